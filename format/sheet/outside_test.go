//go:build outside

package sheet_test

import (
	"bytes"
	"encoding/csv"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"

	"keyon/format/page/sample"
	"keyon/format/sheet"
)

// A spreadsheet program opens the book and shows each cell as it was given:
// formulas as text, codes with their zeros, numbers with their decimals.
func TestSpreadsheetProgramReadsIt(t *testing.T) {
	if _, err := exec.LookPath("soffice"); err != nil {
		t.Skip("soffice is not installed")
	}
	book := cutList()
	want := [][]string{
		{"Wire", "Length (mm)", "Note"},
		{"007", "1234.5", "=HYPERLINK(\"x\")"},
		{"F002", "-3.0", ""},
		{"F003", "no number", "one\ntwo"},
		{"_x0041_x0042_", "", "@A1"},
	}
	book.Tabs[0].Rows = append(book.Tabs[0].Rows, []sheet.Cell{sheet.Text("_x0041_x0042_"), {}, sheet.Text("@A1")})
	for _, s := range sample.Hostile {
		if s == "" || len(s) > 200 {
			continue
		}
		book.Tabs[0].Rows = append(book.Tabs[0].Rows, sheet.Texts(s))
		want = append(want, []string{sheet.Legal(s), "", ""})
	}
	b, err := sheet.Write(book)
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "book.xlsx"), b, 0o644); err != nil {
		t.Fatal(err)
	}
	// CSV filter: comma, double quote, UTF-8, from line 1, cells as shown.
	cmd := exec.Command("soffice", "--headless", "-env:UserInstallation=file://"+dir+"/profile",
		"--convert-to", "csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,true", "--outdir", dir, filepath.Join(dir, "book.xlsx"))
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("soffice: %v\n%s", err, out)
	}
	found, err := filepath.Glob(filepath.Join(dir, "*.csv"))
	if err != nil || len(found) != 1 {
		t.Fatalf("soffice wrote %v, %v", found, err)
	}
	text, err := os.ReadFile(found[0])
	if err != nil {
		t.Fatal(err)
	}
	got, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Errorf("cells (-want +got):\n%s", d)
	}
}
