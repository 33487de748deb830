package workbook

import (
	"archive/zip"
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"keyon/model/design"
	"keyon/model/fault"
)

// packed makes a zip file of parts.
func packed(t *testing.T, parts map[string]string) []byte {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for n, s := range parts {
		w, err := z.Create(n)
		if err != nil {
			t.Fatal(err)
		}
		w.Write([]byte(s))
	}
	z.Close()
	return b.Bytes()
}

const (
	rels  = `<Relationships><Relationship Id="r1" Type="x/worksheet" Target="s1.xml"/><Relationship Id="r2" Type="x/sharedStrings" Target="strings.xml"/></Relationships>`
	book  = `<workbook xmlns:r="x"><sheets><sheet name="Circuits" r:id="r1"/></sheets></workbook>`
	sheet = `<worksheet><sheetData><row r="1"><c r="A1" t="inlineStr"><is><t>circuit</t></is></c></row></sheetData></worksheet>`
)

// A file that can't be read, or shouldn't be, is a clear error with a hint.
func TestBadFiles(t *testing.T) {
	var whole bytes.Buffer
	if err := EncodeXLSX(&whole, design.NewBook()); err != nil {
		t.Fatal(err)
	}
	parts := func(name, text string) []byte {
		p := map[string]string{"xl/workbook.xml": book, "xl/_rels/workbook.xml.rels": rels, "xl/s1.xml": sheet, "xl/strings.xml": "<sst/>"}
		p[name] = text
		return packed(t, p)
	}
	far := `<worksheet><sheetData><row r="1">` + strings.Repeat(`<c r="A1"/>`, 100) + `</row><row r="1048577"><c r="A1"><v>1</v></c></row></sheetData></worksheet>`
	for name, c := range map[string]struct {
		data []byte
		want string
	}{
		"cut short":              {whole.Bytes()[:whole.Len()-200], "cut short"},
		"cut to its first bytes": {whole.Bytes()[:40], "cut short"},
		"nothing":                {nil, "not an XLSX"},
		"text":                   {[]byte("circuit,from\nF1,ECU\n"), "not an XLSX"},
		"a zip of something":     {packed(t, map[string]string{"a.txt": "x"}), "not an XLSX"},
		"OpenDocument":           {append([]byte("PK\x03\x04\x14\x00\x00\x08\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x08\x00\x00\x00mimetypeapplication/vnd.oasis.opendocument.spreadsheet"), make([]byte, 60)...), "OpenDocument"},
		"a bomb of blanks":       {parts("xl/s1.xml", `<worksheet><sheetData><row r="1"><c r="A1"><v>`+strings.Repeat(" ", 17<<20)), "unpacks to more"},
		"a bomb of cells":        {parts("xl/s1.xml", `<worksheet><sheetData><row r="1">`+strings.Repeat(`<c t="b"/>`, 17<<20/10)), "unpacks to more"},
		"a bomb of texts":        {parts("xl/strings.xml", `<sst>`+strings.Repeat(`<si><t>a</t></si>`, 1<<20)), "unpacks to more"},
		"a row past the last":    {parts("xl/s1.xml", far), "damaged"},
		"rows going back":        {parts("xl/s1.xml", `<worksheet><sheetData><row r="2"/><row r="1"/></sheetData></worksheet>`), "damaged"},
		"a cell far right":       {parts("xl/s1.xml", `<worksheet><sheetData><row r="1"><c r="ZZZZZZ1"><v>1</v></c></row></sheetData></worksheet>`), "damaged"},
		"broken XML":             {parts("xl/s1.xml", `<worksheet><sheetData><row r="1"><c`), "damaged"},
		"XML cut short":          {parts("xl/s1.xml", `<worksheet><sheetData><row r="1"><c r="A1"><v>1`), "damaged"},
		"an entity of its own":   {parts("xl/s1.xml", `<!DOCTYPE x [<!ENTITY a "aaaa">]><worksheet><sheetData><row><c><v>&a;</v></c></row></sheetData></worksheet>`), "damaged"},
		"a sheet left out":       {parts("xl/_rels/workbook.xml.rels", strings.Replace(rels, "s1.xml", "s2.xml", 1)), "damaged"},
	} {
		_, err := Read("t.xlsx", c.data)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: error %v, want one with %q", name, err, c.want)
			continue
		}
		if fault.Of(err) != fault.Invalid || fault.Hint(err) == "" {
			t.Errorf("%s: kind %v, hint %q; want invalid with a hint", name, fault.Of(err), fault.Hint(err))
		}
	}
	// the least of a workbook, as small programs write it, is read
	if r, err := Read("t.xlsx", parts("x", "")); err != nil || !r.Has("Circuits") {
		t.Errorf("a plain workbook: %v", err)
	}
	// a shared text out of range is blank, not a panic
	if _, err := Read("t.xlsx", parts("xl/s1.xml", `<worksheet><sheetData><row r="1"><c r="A1" t="s"><v>99</v></c></row></sheetData></worksheet>`)); err != nil {
		t.Error(err)
	}
}

// A width no table has costs a note, not the memory of a million rows of it.
func TestWide(t *testing.T) {
	var s strings.Builder
	s.WriteString(`<worksheet><sheetData><row r="1"><c r="A1" t="str"><v>circuit</v></c><c r="XFD1" t="str"><v>far</v></c></row></sheetData></worksheet>`)
	r, err := Read("t.xlsx", packed(t, map[string]string{"xl/workbook.xml": book, "xl/_rels/workbook.xml.rels": rels, "xl/s1.xml": s.String(), "xl/strings.xml": "<sst/>"}))
	if err != nil || len(r.Findings) == 0 || r.Findings[0].Rule != RuleWide {
		t.Errorf("findings %+v, error %v", r, err)
	}
}

// A workbook of 20 MB and more is read.
func TestBigFile(t *testing.T) {
	if testing.Short() {
		t.Skip("takes some seconds")
	}
	b := design.NewBook()
	s := b.Sheet("Circuits")
	x := uint64(1)
	word := func(n int) string { // letters that don't pack well, from a counted generator
		w := make([]byte, n)
		for i := range w {
			x = x*6364136223846793005 + 1442695040888963407
			w[i] = 'a' + byte(x>>33)%26
		}
		return string(w)
	}
	for range 43_000 {
		s.Add("circuit", word(20), "from device", word(20), "to device", word(20), "note", word(700))
	}
	b.Identify()
	path := filepath.Join(t.TempDir(), "big.xlsx")
	if err := WriteXLSX(path, b, false); err != nil {
		t.Fatal(err)
	}
	if info, err := os.Stat(path); err != nil || info.Size() < 20<<20 {
		t.Fatalf("the file is only %v bytes", info.Size())
	}
	r, err := ReadPath(path)
	if err != nil {
		t.Fatal(err)
	}
	if got, want := r.Book.Hash(), b.Hash(); got != want {
		t.Errorf("a big workbook came back other than it went: %s, want %s", got, want)
	}
}

// Nothing is written over what is there, and nothing is left behind.
func TestWhole(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "t.xlsx")
	if err := os.WriteFile(path, []byte("mine"), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := WriteXLSX(path, design.NewBook(), false); fault.Of(err) != fault.Conflict {
		t.Errorf("over a file: %v", err)
	}
	b := design.NewBook()
	b.Sheet("Circuits").Add("circuit", strings.Repeat("x", 40_000))
	if err := WriteXLSX(path, b, true); fault.Of(err) != fault.Invalid || !strings.Contains(err.Error(), "Circuits cell A2") {
		t.Errorf("a text no cell can hold: %v", err)
	}
	if got, _ := os.ReadFile(path); string(got) != "mine" {
		t.Errorf("the file holds %q", got)
	}
	if err := WriteCSV(filepath.Join(dir, "csv"), b, false); err != nil {
		t.Error(err)
	}
	if err := WriteCSV(filepath.Join(dir, "csv"), b, false); fault.Of(err) != fault.Conflict {
		t.Errorf("over a folder: %v", err)
	}
	if err := WriteCSV(filepath.Join(dir, "csv"), b, true); err != nil {
		t.Error(err)
	}
	left, _ := filepath.Glob(filepath.Join(dir, ".*"))
	if len(left) > 0 {
		t.Errorf("left behind: %q", left)
	}
	if _, err := ReadPath(filepath.Join(dir, "none.xlsx")); fault.Of(err) != fault.NotFound {
		t.Errorf("no such file: %v", err)
	}
}
