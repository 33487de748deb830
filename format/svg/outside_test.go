//go:build outside

package svg_test

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"keyon/format/page"
	"keyon/format/page/sample"
	"keyon/format/svg"
)

func TestXMLLint(t *testing.T) {
	if _, err := exec.LookPath("xmllint"); err != nil {
		t.Skip("xmllint is not installed")
	}
	pages := sample.Pack().Pages
	for _, s := range sample.Hostile {
		pages = append(pages, page.Page{W: 99, H: 99, Bookmark: s, Marks: []page.Mark{
			page.Text{ID: s, Class: page.Class(s), At: page.Point{X: 9, Y: 9}, Text: s, Size: 3}}})
	}
	for i, p := range pages {
		b, err := svg.Encode(p, svg.Options{Title: p.Bookmark})
		if err != nil {
			t.Fatal(err)
		}
		name := filepath.Join(t.TempDir(), fmt.Sprintf("%d.svg", i))
		if err := os.WriteFile(name, b, 0o644); err != nil {
			t.Fatal(err)
		}
		if out, err := exec.Command("xmllint", "--noout", "--nonet", "--huge", name).CombinedOutput(); err != nil || len(out) > 0 {
			t.Errorf("xmllint, page %d: %v\n%s", i, err, out)
		}
	}
}
