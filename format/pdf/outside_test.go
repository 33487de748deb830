//go:build outside

package pdf_test

import (
	"encoding/xml"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"unicode"

	"keyon/format/page"
	"keyon/format/page/sample"
	"keyon/format/pdf"
)

// tool runs a program of the system and returns what it prints.
func tool(t *testing.T, name string, args ...string) string {
	t.Helper()
	if _, err := exec.LookPath(name); err != nil {
		t.Skipf("%s is not installed", name)
	}
	out, err := exec.Command(name, args...).CombinedOutput()
	if err != nil {
		t.Fatalf("%s %s: %v\n%s", name, strings.Join(args, " "), err, out)
	}
	return string(out)
}

func write(t *testing.T, doc page.Document) string {
	t.Helper()
	b, err := pdf.Encode(doc)
	if err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(t.TempDir(), "doc.pdf")
	if err := os.WriteFile(name, b, 0o644); err != nil {
		t.Fatal(err)
	}
	return name
}

func hostile() page.Document {
	doc := page.Document{Title: sample.Hostile[2] + "(" + sample.Hostile[10], Meta: page.Meta{Subject: sample.Hostile[11], Author: sample.Hostile[9], Date: "no date"}}
	for _, s := range sample.Hostile {
		doc.Pages = append(doc.Pages, page.Page{W: 210, H: 297, Bookmark: s, Marks: []page.Mark{
			page.Text{At: page.Point{X: 10, Y: 20}, Text: "a" + s, Face: page.Mono, Size: 3},
			page.Text{At: page.Point{X: 10, Y: 40}, Text: s, Size: 3, Turn: 30, Anchor: page.Centre}}})
	}
	return doc
}

func TestFilesAreSound(t *testing.T) {
	for _, doc := range []page.Document{sample.Pack(), hostile()} {
		name := write(t, doc)
		if out := tool(t, "qpdf", "--check", name); !strings.Contains(out, "No syntax or stream encoding errors") {
			t.Errorf("qpdf: %s", out)
		}
		info := tool(t, "pdfinfo", name)
		for _, want := range []string{fmt.Sprintf("Pages:           %d\n", len(doc.Pages)), "Title:"} {
			if !strings.Contains(info, want) {
				t.Errorf("pdfinfo lacks %q:\n%s", want, info)
			}
		}
	}
}

func TestMetaAndBookmarks(t *testing.T) {
	name := write(t, sample.Pack())
	info := tool(t, "pdfinfo", name)
	for _, want := range []string{"Tern, loom F1\n", "Wed Nov 25 00:00:00 2026"} {
		if !strings.Contains(info, want) {
			t.Errorf("pdfinfo lacks %q:\n%s", want, info)
		}
	}
	if fonts := tool(t, "pdffonts", name); strings.Count(fonts, "yes no  yes") != 3 {
		t.Errorf("not all fonts are embedded with their characters:\n%s", fonts)
	}
	outline := tool(t, "qpdf", "--json", "--json-key=outlines", name)
	for _, want := range []string{"F1-P03 Pin sheet: engine bulkhead", "F1-P04 Cut list by reel", "F1-P05 Ring-out"} {
		if strings.Count(outline, want) != 1 {
			t.Errorf("bookmark %q is not there once:\n%s", want, outline)
		}
	}
}

// pdftotext reads back every character of every text, in the order written.
func TestTextComesBack(t *testing.T) {
	doc := sample.Pack()
	name := write(t, doc)
	squash := func(s string) string {
		return strings.Map(func(r rune) rune {
			if unicode.IsSpace(r) {
				return -1
			}
			return r
		}, s)
	}
	for i, p := range doc.Pages {
		n := fmt.Sprint(i + 1)
		got := squash(tool(t, "pdftotext", "-raw", "-enc", "UTF-8", "-f", n, "-l", n, name, "-"))
		var want strings.Builder
		var walk func([]page.Mark)
		walk = func(ms []page.Mark) {
			for _, m := range ms {
				switch m := m.(type) {
				case page.Text:
					want.WriteString(m.Text)
				case page.Group:
					walk(m.Marks)
				}
			}
		}
		walk(p.Marks)
		if w := squash(want.String()); got != w {
			t.Errorf("page %d:\ngot  %s\nwant %s", i+1, got, w)
		}
	}
}

// The length of a word as poppler measures it from the embedded font and its
// width table is the one that page laid it out with.
func TestWidthsAgree(t *testing.T) {
	words := []string{"iiiiiiiiiiiiiiiiiiii", "WWWWWWWWWW", "AVATAR.To,Ty", "0123456789", "ΩΩΩ²³±°µ→×", "ÀÉŁŐŘŠŽß", "БВГДЖЯ", "αβγδ"}
	doc := page.Document{Title: "widths"}
	p := page.Page{W: 210, H: 297}
	type want struct {
		x, w float64
	}
	var wants []want
	for f := page.Regular; f <= page.Mono; f++ {
		for i, s := range words {
			m := page.Text{At: page.Point{X: 100, Y: 10 + 10*float64(len(wants))}, Text: s, Face: f, Size: 3 + float64(i)*0.7, Anchor: page.Anchor(i % 3)}
			w := page.Width(f, m.Size, s)
			x := 100 - w*float64(m.Anchor)/2
			p.Marks = append(p.Marks, m)
			wants = append(wants, want{x, w})
		}
	}
	doc.Pages = []page.Page{p}
	var out struct {
		Words []struct {
			X0 float64 `xml:"xMin,attr"`
			X1 float64 `xml:"xMax,attr"`
			S  string  `xml:",chardata"`
		} `xml:"body>doc>page>word"`
	}
	if err := xml.Unmarshal([]byte(tool(t, "pdftotext", "-bbox", write(t, doc), "-")), &out); err != nil {
		t.Fatal(err)
	}
	if len(out.Words) != len(wants) {
		t.Fatalf("%d words, want %d", len(out.Words), len(wants))
	}
	const mm = 25.4 / 72
	for i, g := range out.Words {
		// The file holds sizes and places to 0.01 point: 0.0006 of a 3 mm em.
		most := 0.01 + 0.0006*wants[i].w
		if x, w := g.X0*mm, (g.X1-g.X0)*mm; math.Abs(x-wants[i].x) > most || math.Abs(w-wants[i].w) > most {
			t.Errorf("%q: at %.3f, %.3f mm wide; want %.3f, %.3f", g.S, x, w, wants[i].x, wants[i].w)
		}
	}
}
