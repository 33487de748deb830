package sheet_test

import (
	"archive/zip"
	"bytes"
	"encoding/csv"
	"encoding/xml"
	"io"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"keyon/format/page"
	"keyon/format/page/sample"
	"keyon/format/sheet"
)

// part reads one part of a workbook with the standard library alone.
func part(t *testing.T, book []byte, name string) []byte {
	t.Helper()
	z, err := zip.NewReader(bytes.NewReader(book), int64(len(book)))
	if err != nil {
		t.Fatal(err)
	}
	f, err := z.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	b, err := io.ReadAll(f)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// cells reads the first sheet: cell reference → text or number as stored, and
// the style of each.
func cells(t *testing.T, book []byte) (values map[string]string, styles map[string]int) {
	t.Helper()
	var strs struct {
		SI []struct {
			T string   `xml:"t"`
			R []string `xml:"r>t"`
		} `xml:"si"`
	}
	if err := xml.Unmarshal(part(t, book, "xl/sharedStrings.xml"), &strs); err != nil {
		t.Fatal(err)
	}
	var ws struct {
		C []struct {
			R string  `xml:"r,attr"`
			T string  `xml:"t,attr"`
			S int     `xml:"s,attr"`
			V string  `xml:"v"`
			F *string `xml:"f"`
		} `xml:"sheetData>row>c"`
	}
	if err := xml.Unmarshal(part(t, book, "xl/worksheets/sheet1.xml"), &ws); err != nil {
		t.Fatal(err)
	}
	values, styles = map[string]string{}, map[string]int{}
	for _, c := range ws.C {
		if c.F != nil {
			t.Errorf("cell %s holds the formula %q", c.R, *c.F)
		}
		if c.V == "" { // blank, only ruled
			continue
		}
		switch c.T {
		case "s":
			i, err := strconv.Atoi(c.V)
			if err != nil {
				t.Fatal(err)
			}
			values[c.R] = "text:" + strs.SI[i].T + strings.Join(strs.SI[i].R, "")
		case "", "n":
			values[c.R] = "number:" + c.V
		default:
			t.Errorf("cell %s is of type %q", c.R, c.T)
		}
		styles[c.R] = c.S
	}
	return values, styles
}

func cutList() sheet.Book {
	return sheet.Book{Title: "Tern & co", Author: "shop", Date: "2026-11-25", Tabs: []sheet.Tab{{
		Name:    "Cut list: F1/A",
		Columns: []sheet.Column{{Head: "Wire"}, {Head: "Length", Unit: "mm", Decimals: 1}, {Head: "Note"}},
		Rows: [][]sheet.Cell{
			{sheet.Text("007"), sheet.Number(1234.5), sheet.Text("=HYPERLINK(\"x\")")},
			{sheet.Text("F002"), sheet.Number(-3), {}},
			{sheet.Text("F003"), sheet.Number(math.NaN()), sheet.Text("one\r\ntwo")},
		}}, {Name: "cut list? F1*A", Columns: []sheet.Column{{Head: "x"}}}}}
}

func TestCellsKeepTheirType(t *testing.T) {
	b, err := sheet.Write(cutList())
	if err != nil {
		t.Fatal(err)
	}
	if f := os.Getenv("KEYON_SAMPLE_XLSX"); f != "" { // to look at it
		os.WriteFile(f, b, 0o644)
	}
	got, _ := cells(t, b)
	want := map[string]string{
		"A1": "text:Wire", "B1": "text:Length (mm)", "C1": "text:Note",
		"A2": "text:007", "B2": "number:1234.5", "C2": "text:=HYPERLINK(\"x\")",
		"A3": "text:F002", "B3": "number:-3",
		"A4": "text:F003", "B4": "text:no number", "C4": "text:one\ntwo",
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Errorf("cells (-want +got):\n%s", d)
	}
	for _, want := range []string{`name="Cut list- F1-A"`, `name="cut list- F1-A 2"`, `_xlnm.Print_Titles`} {
		if book := part(t, b, "xl/workbook.xml"); !bytes.Contains(book, []byte(want)) {
			t.Errorf("workbook.xml lacks %s:\n%s", want, book)
		}
	}
	for _, want := range []string{`state="frozen"`, `ySplit="1"`, `paperSize="9"`, `fitToWidth="1"`} {
		if ws := part(t, b, "xl/worksheets/sheet1.xml"); !bytes.Contains(ws, []byte(want)) {
			t.Errorf("sheet1.xml lacks %s", want)
		}
	}
}

// A text that begins like a formula carries quotePrefix and the text format,
// so that it stays text when a person edits the cell; plain texts don't.
func TestRiskyTextIsQuoted(t *testing.T) {
	rows := [][]sheet.Cell{}
	risky := []string{"=1+1", "+1", "-1", "@A1", "\t=1", "\r=1", "\n=1"}
	plain := []string{"1+1", "a=b", "7-pin", "'quoted"}
	for _, s := range append(append([]string{}, risky...), plain...) {
		rows = append(rows, sheet.Texts(s))
	}
	b, err := sheet.Write(sheet.Book{Tabs: []sheet.Tab{{Name: "x", Columns: []sheet.Column{{Head: "a"}}, Rows: rows}}})
	if err != nil {
		t.Fatal(err)
	}
	var look struct {
		XF []struct {
			Quote bool `xml:"quotePrefix,attr"`
			Fmt   int  `xml:"numFmtId,attr"`
		} `xml:"cellXfs>xf"`
	}
	if err := xml.Unmarshal(part(t, b, "xl/styles.xml"), &look); err != nil {
		t.Fatal(err)
	}
	_, styles := cells(t, b)
	for i := range rows {
		xf := look.XF[styles["A"+strconv.Itoa(i+2)]]
		if want := i < len(risky); xf.Quote != want || (xf.Fmt == 49) != want {
			t.Errorf("row %d: quotePrefix %v, format %d, want quoted %v", i+2, xf.Quote, xf.Fmt, want)
		}
	}
}

func TestHostileTexts(t *testing.T) {
	tab := sheet.Tab{Name: "hostile", Columns: []sheet.Column{{Head: "text"}}}
	for _, s := range sample.Hostile {
		tab.Rows = append(tab.Rows, sheet.Texts(s))
	}
	tab.Rows = append(tab.Rows, sheet.Texts("_x0041_"), sheet.Texts(strings.Repeat("Ω", 40000)))
	tabs := []sheet.Tab{tab}
	for _, s := range sample.Hostile {
		tabs = append(tabs, sheet.Tab{Name: s, Columns: []sheet.Column{{Head: s, Unit: s}}})
	}
	b, err := sheet.Write(sheet.Book{Title: sample.Hostile[2] + sample.Hostile[10], Author: sample.Hostile[4], Tabs: tabs})
	if err != nil {
		t.Fatal(err)
	}
	got, _ := cells(t, b)
	for i := range tab.Rows {
		want := ""
		if i < len(sample.Hostile) {
			want = sheet.Legal(sample.Hostile[i])
		} else if i == len(sample.Hostile) {
			// A reader takes _x0041_ for "A", so the writer must escape it:
			// _x005F_ stands for the underscore (ECMA-376 part 1, 22.9.2.19).
			want = "_x005F_x0041_"
		} else {
			want = strings.Repeat("Ω", 32766) + "…"
		}
		if g := strings.TrimPrefix(got["A"+strconv.Itoa(i+2)], "text:"); g != want {
			t.Errorf("row %d: got %.60q, want %.60q", i+2, g, want)
		}
	}
}

func TestSameBytes(t *testing.T) {
	a, err := sheet.Write(cutList())
	if err != nil {
		t.Fatal(err)
	}
	for range 10 {
		b, err := sheet.Write(cutList())
		if err != nil || !bytes.Equal(a, b) {
			t.Fatalf("a second writing differs (%d and %d bytes, %v)", len(a), len(b), err)
		}
	}
}

func TestNoTabs(t *testing.T) {
	if _, err := sheet.Write(sheet.Book{Title: "t", Paper: page.Letter}); err == nil {
		t.Error("a book without tabs was written")
	}
}

// Every text comes back from CSV through the standard reader and Unguard.
func TestCSVGuardIsReversible(t *testing.T) {
	tab := sheet.Tab{Columns: []sheet.Column{{Head: "=head"}, {Head: "number", Unit: "A"}}}
	texts := append([]string{"'", "''=1", "'=1", "a,b", "a\"b"}, sample.Hostile...)
	for _, s := range texts {
		tab.Rows = append(tab.Rows, []sheet.Cell{sheet.Text(s), sheet.Number(-0.25)})
	}
	rows, err := csv.NewReader(bytes.NewReader(sheet.CSV(tab))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff([]string{"'=head", "number (A)"}, rows[0]); d != "" {
		t.Error(d)
	}
	for i, s := range texts {
		got := rows[i+1]
		if strings.ContainsAny(got[0][:min(1, len(got[0]))], "=+-@\t\r\n") {
			t.Errorf("%.20q is written as %.20q, which a spreadsheet may run", s, got[0])
		}
		if sheet.Unguard(got[0]) != sheet.Legal(s) || got[1] != "-0.25" {
			t.Errorf("%.20q came back as %.20q, number %q", s, got[0], got[1])
		}
	}
}
