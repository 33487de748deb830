package xlsx

import (
	"bytes"
	"errors"
	"slices"
	"testing"

	"github.com/xuri/excelize/v2"
)

func write(t testing.TB, pages ...Page) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := Write(&b, pages); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// rows reads a sheet as texts, blank cells included.
func rows(t testing.TB, data []byte, sheet int, ty *Typer) ([][]string, []Range) {
	t.Helper()
	f, err := Open(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		t.Fatal(err)
	}
	var out [][]string
	merged, err := f.Rows(sheet, func(row int, cells []Cell) error {
		for len(out) < row {
			out = append(out, nil)
		}
		var line []string
		for _, c := range cells {
			for len(line) < c.Col {
				line = append(line, "")
			}
			line = append(line, ty.Text(c))
		}
		out = append(out, line)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return out, merged
}

var hostile = []string{"=1+1", "+cmd", "@x", "-5", "01", "1E2", "00", "<&>\"'", " lead", "trail ", "a\nb", "a\r\nb", "tab\t", "\u202eright\u200f", "nul\x00bell\x07", "_x0041_", "_x005F_x0000_", "_x_", "\uFFFE\uFFFF", "𝄞", "'quoted", "], ]]>", "&#x41;"}

// Another program must see what we write; control characters it drops.
func TestWriteForOthers(t *testing.T) {
	texts := slices.DeleteFunc(slices.Clone(hostile), func(s string) bool { return s == "\uFFFE\uFFFF" })
	var lines [][]string
	for _, h := range texts {
		lines = append(lines, []string{h, "22"})
	}
	data := write(t, Page{Name: "Circuits", Headings: []Heading{{Text: "circuit", Width: 12, Strong: true, Help: "name"}, {Text: "class", Width: 9, Choices: []string{"power", "ground"}}, {Text: "key", Hidden: true, Width: 9}}, Rows: lines}, Page{Name: "Empty", Headings: []Heading{{Text: "a", Width: 8}}})
	f, err := excelize.OpenReader(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	if got := f.GetSheetList(); !slices.Equal(got, []string{"Circuits", "Empty"}) {
		t.Errorf("sheets %q", got)
	}
	for i, want := range texts {
		cell, _ := excelize.CoordinatesToCellName(1, i+2)
		if got, err := f.GetCellValue("Circuits", cell); err != nil || got != want {
			t.Errorf("%s: another reader sees %q, want %q (%v)", cell, got, want, err)
		}
		if kind, err := f.GetCellType("Circuits", cell); err != nil || kind != excelize.CellTypeSharedString {
			t.Errorf("%s: kind %v, want a text (%v)", cell, kind, err)
		}
	}
	if seen, err := f.GetColVisible("Circuits", "C"); err != nil || seen {
		t.Errorf("key column visible: %v %v", seen, err)
	}
	vs, err := f.GetDataValidations("Circuits")
	if err != nil || len(vs) != 2 || vs[1].Formula1 != `"power,ground"` {
		for _, v := range vs {
			t.Errorf("validation %+v %v", *v, err)
		}
	}
	if p, err := f.GetPanes("Circuits"); err != nil || !p.Freeze || p.YSplit != 1 {
		t.Errorf("panes %+v %v", p, err)
	}
}

func TestWriteRead(t *testing.T) {
	var lines [][]string
	for _, h := range hostile {
		lines = append(lines, []string{"", h})
	}
	page := Page{Name: "A & B", Headings: []Heading{{Text: "a"}, {Text: "b"}}, Rows: lines}
	data := write(t, page)
	got, _ := rows(t, data, 0, &Typer{})
	for i, want := range hostile {
		if i+1 >= len(got) || len(got[i+1]) != 2 || got[i+1][1] != want {
			t.Errorf("row %d: got %q, want %q", i+2, got[i+1], want)
		}
	}
	if again := write(t, page); !bytes.Equal(data, again) {
		t.Error("the same pages gave other bytes")
	}
	var b bytes.Buffer
	if err := Write(&b, []Page{{Name: "x", Headings: []Heading{{Text: "a"}}, Rows: [][]string{{string(make([]byte, MaxText+1))}}}}); err == nil {
		t.Error("a text longer than a cell was written")
	}
}

// What another program writes, we read as a person would have typed it.
func TestReadOthers(t *testing.T) {
	f := excelize.NewFile()
	set := func(cell string, v any, format string) {
		t.Helper()
		if err := f.SetCellValue("Sheet1", cell, v); err != nil {
			t.Fatal(err)
		}
		if format != "" {
			id, err := f.NewStyle(&excelize.Style{CustomNumFmt: &format})
			if err != nil {
				t.Fatal(err)
			}
			f.SetCellStyle("Sheet1", cell, cell, id)
		}
	}
	tenth, fifth := 0.1, 0.2
	cases := []struct {
		cell   string
		v      any
		format string
		point  string
		comma  string
	}{
		{"A1", tenth + fifth, "", "0.3", "0,3"},
		{"A2", 12.0, "", "12", "12"},
		{"A3", 0.125, "", "0.125", "0,125"},
		{"A4", 1234567.5, "#,##0.00", "1234567.5", "1234567,5"},
		{"A5", 1e-7, "", "0.0000001", "0,0000001"},
		{"A6", 7, "00", "07", "07"},
		{"A7", 0.6, "0%", "60%", "60%"},
		{"A8", 0.075, "0.0%", "7.5%", "7,5%"},
		{"A9", 12.4, `0" mm"`, "12.4 mm", "12,4 mm"},
		{"A10", 46082, "yyyy-mm-dd", "2026-03-01", "2026-03-01"}, // 46082 days after 1899-12-30
		{"A11", "01", "", "01", "01"},
		{"A12", "1E2", "", "1E2", "1E2"},
		{"A13", true, "", "TRUE", "TRUE"},
		{"A14", 100, "0.00E+00", "100", "100"},
		{"A15", 22, "@", "22", "22"},
		{"A16", 1e15, "", "1000000000000000", "1000000000000000"},
		{"A17", -3, "", "-3", "-3"},
	}
	for _, c := range cases {
		set(c.cell, c.v, c.format)
	}
	f.SetCellFormula("Sheet1", "B1", "1+1")
	f.SetCellRichText("Sheet1", "B2", []excelize.RichTextRun{{Text: "from "}, {Text: "pin", Font: &excelize.Font{Bold: true}}})
	f.SetCellValue("Sheet1", "B3", "top left")
	f.MergeCell("Sheet1", "B3", "C4")
	f.NewSheet("Hidden")
	f.SetSheetVisible("Hidden", false)
	var b bytes.Buffer
	if err := f.Write(&b); err != nil {
		t.Fatal(err)
	}
	for _, comma := range []bool{false, true} {
		got, merged := rows(t, b.Bytes(), 0, &Typer{Comma: comma})
		for i, c := range cases {
			want := c.point
			if comma {
				want = c.comma
			}
			if got[i][0] != want {
				t.Errorf("%v as %q: %q, want %q", c.v, c.format, got[i][0], want)
			}
		}
		if got[1][1] != "from pin" || got[2][1] != "top left" || len(merged) != 1 || merged[0] != (Range{2, 1, 3, 2}) {
			t.Errorf("rich text %q, merged %q %v", got[1], got[2], merged)
		}
	}
	x, err := Open(bytes.NewReader(b.Bytes()), int64(b.Len()))
	if err != nil || len(x.Sheets) != 2 || x.Sheets[0].Hidden || !x.Sheets[1].Hidden {
		t.Fatalf("sheets %+v %v", x, err)
	}
	x.Rows(0, func(row int, cells []Cell) error {
		if row == 0 && (len(cells) != 2 || !cells[1].Formula || !cells[1].Unset) {
			t.Errorf("formula without a value: %+v", cells)
		}
		return nil
	})
}

func TestNotAWorkbook(t *testing.T) {
	good := write(t, Page{Name: "a", Headings: []Heading{{Text: "a"}}, Rows: [][]string{{"x"}}})
	var locked bytes.Buffer
	f := excelize.NewFile()
	if err := f.Write(&locked, excelize.Options{Password: "p"}); err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		data []byte
		want error
	}{
		"empty":     {nil, ErrNotWorkbook},
		"text":      {[]byte("circuit,from,to\n"), ErrNotWorkbook},
		"cut short": {good[:len(good)*2/3], ErrDamaged},
		"password":  {locked.Bytes(), ErrPassword},
		"old":       {append([]byte("\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"), make([]byte, 600)...), ErrOld},
	} {
		if _, err := Open(bytes.NewReader(c.data), int64(len(c.data))); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", name, err, c.want)
		}
	}
}
