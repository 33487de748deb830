//go:build outside

package papers_test

import (
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"keyon/format/pdf"
	"keyon/format/sheet"
	"keyon/format/svg"
)

// TestCodes: a camera reads the code of every connector from the printed
// label sheet.
func TestCodes(t *testing.T) {
	car, p := example(t, "tern")
	o := newOracle(t, car, p)
	packs := set(t, car, p)
	pack := packs[len(packs)-2] // the smallest loom
	b, err := pdf.Encode(pack.Document)
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	file := writeFile(t, "pack.pdf", b)
	var have []string
	if _, err := exec.LookPath("zbarimg"); err != nil {
		t.Skip("zbarimg is not installed")
	}
	for i, s := range readPDF(t, file) {
		if _, title, _, _, _ := s.body(false); title != "Label sheet" {
			continue
		}
		n := strconv.Itoa(i + 1)
		tool(t, "pdftoppm", "-r", "150", "-f", n, "-l", n, "-gray", "-png", file, filepath.Join(dir, n))
	}
	pictures, _ := filepath.Glob(filepath.Join(dir, "*.png"))
	for _, picture := range pictures {
		out, err := exec.Command("zbarimg", "--raw", "-q", picture).Output() // fails on a page without a code
		if err == nil {
			have = append(have, strings.Split(strings.TrimSpace(string(out)), "\n")...)
		}
	}
	var want []string
	for _, name := range keys(o.sockets(pack.Name)) {
		want = append(want, "keyon plug "+name)
	}
	slices.Sort(have)
	slices.Sort(want)
	if !slices.Equal(have, want) {
		t.Errorf("codes read: %q, want %q", have, want)
	}
}

// TestOpenElsewhere: a spreadsheet program opens the workbooks, and each page
// is well formed as SVG.
func TestOpenElsewhere(t *testing.T) {
	car, p := example(t, "retrofit")
	dir := t.TempDir()
	var files []string
	for _, pack := range set(t, car, p) {
		b, err := sheet.Write(pack.Book)
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, writeFile(t, strings.ReplaceAll(pack.Name, " ", "-")+".xlsx", b))
		for i, s := range pack.Document.Pages {
			b, err := svg.Encode(s, svg.Options{Title: pack.Name})
			if err != nil {
				t.Fatal(err)
			}
			tool(t, "xmllint", "--noout", writeFile(t, strconv.Itoa(i)+".svg", b))
		}
	}
	tool(t, "soffice", append([]string{"--headless", "-env:UserInstallation=file://" + dir + "/profile", "--convert-to", "pdf", "--outdir", dir}, files...)...)
	for _, f := range files {
		name := filepath.Join(dir, strings.TrimSuffix(filepath.Base(f), ".xlsx")+".pdf")
		if _, err := os.Stat(name); err != nil {
			t.Fatalf("%s was not opened: %v", f, err)
		}
		if text := tool(t, "pdftotext", name, "-"); !strings.Contains(text, "keyon") && !strings.Contains(text, car.Design.Car.Name) {
			t.Errorf("%s opened as something else: %.300s", f, text)
		}
	}
}
