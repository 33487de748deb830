//go:build outside

package xlsx

import (
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"
)

// A spreadsheet program opens what we write, writes it again in its own way,
// and we read the same texts from that.
func TestThroughOffice(t *testing.T) {
	// what the office program itself changes: control characters, text that
	// isn't Unicode, an escape that stands as text
	lost := []string{"nul\x00bell\x07", "\uFFFE\uFFFF", "a\r\nb", "tab\t", "_x005F_x0000_"}
	var texts []string
	var lines [][]string
	for _, h := range hostile {
		if !slices.Contains(lost, h) {
			texts = append(texts, h)
			lines = append(lines, []string{h, "22"})
		}
	}
	dir := t.TempDir()
	in := filepath.Join(dir, "in.xlsx")
	data := write(t, Page{Name: "Circuits", Headings: []Heading{{Text: "circuit", Width: 12, Help: "name"}, {Text: "class", Width: 9, Choices: []string{"power", "ground"}}, {Text: "key", Hidden: true, Width: 9}}, Rows: lines})
	if err := os.WriteFile(in, data, 0o644); err != nil {
		t.Fatal(err)
	}
	out := filepath.Join(dir, "out")
	cmd := exec.Command("soffice", "-env:UserInstallation=file://"+filepath.Join(dir, "profile"), "--headless", "--convert-to", "xlsx:Calc MS Excel 2007 XML", "--outdir", out, in)
	if msg, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, msg)
	}
	again, err := os.ReadFile(filepath.Join(out, "in.xlsx"))
	if err != nil {
		t.Fatal(err)
	}
	got, _ := rows(t, again, 0, &Typer{})
	for i, want := range texts {
		if got[i+1][0] != want || got[i+1][1] != "22" {
			t.Errorf("row %d: %q, want %q and 22", i+2, got[i+1], want)
		}
	}
}
