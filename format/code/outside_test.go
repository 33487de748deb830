//go:build outside

package code_test

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"keyon/format/code"
	"keyon/format/page"
	"keyon/format/pdf"
)

// A reader of bar codes reads the text back from the printed page.
func TestCodesAreRead(t *testing.T) {
	for _, name := range []string{"pdftoppm", "zbarimg"} {
		if _, err := exec.LookPath(name); err != nil {
			t.Skipf("%s is not installed", name)
		}
	}
	dir := t.TempDir()
	for i, text := range []string{"F1-X2", "keyon:tern/F1/X2?rev=3&side=mating", strings.Repeat("long text ", 20)} {
		g, err := code.QR("q", text, 25)
		if err != nil {
			t.Fatal(err)
		}
		marks := page.Moved(g.Marks, 1, 10, 10)
		want := []string{"QR-Code:" + text}
		if i < 2 {
			bar, err := code.Code128("b", text, 80, 12)
			if err != nil {
				t.Fatal(err)
			}
			marks = append(marks, page.Moved(bar.Marks, 1, 10, 50)...)
			want = append(want, "CODE-128:"+text)
		}
		b, err := pdf.Encode(page.Document{Title: "codes", Pages: []page.Page{{W: 100, H: 80, Marks: marks}}})
		if err != nil {
			t.Fatal(err)
		}
		file := filepath.Join(dir, "codes.pdf")
		if err := os.WriteFile(file, b, 0o644); err != nil {
			t.Fatal(err)
		}
		if out, err := exec.Command("pdftoppm", "-r", "300", "-png", "-singlefile", file, filepath.Join(dir, "codes")).CombinedOutput(); err != nil {
			t.Fatalf("pdftoppm: %v\n%s", err, out)
		}
		out, err := exec.Command("zbarimg", "-q", filepath.Join(dir, "codes.png")).CombinedOutput()
		if err != nil {
			t.Fatalf("zbarimg: %v\n%s", err, out)
		}
		for _, w := range want {
			if !strings.Contains(string(out), w+"\n") {
				t.Errorf("read %q, want %q", out, w)
			}
		}
	}
}
