package svg_test

import (
	"bytes"
	"encoding/xml"
	"errors"
	"flag"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"keyon/format/page"
	"keyon/format/page/sample"
	"keyon/format/svg"
)

var update = flag.Bool("update", false, "rewrite golden files")

// read parses a drawing with the standard XML reader and returns its texts and
// data-ids in order.
func read(t *testing.T, b []byte) (texts, ids []string) {
	t.Helper()
	d := xml.NewDecoder(bytes.NewReader(b))
	in, s := false, ""
	for {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			return texts, ids
		}
		if err != nil {
			t.Fatalf("not well formed: %v", err)
		}
		switch tok := tok.(type) {
		case xml.StartElement:
			in, s = tok.Name.Local == "text", ""
			for _, a := range tok.Attr {
				if a.Name.Local == "data-id" {
					ids = append(ids, a.Value)
				}
			}
		case xml.CharData:
			s += string(tok)
		case xml.EndElement:
			if in {
				texts = append(texts, s)
			}
			in = false
		}
	}
}

func pageTexts(marks []page.Mark) (texts, ids []string) {
	for _, m := range marks {
		switch m := m.(type) {
		case page.Text:
			if m.Text != "" {
				texts = append(texts, m.Text)
			}
			if m.ID != "" {
				ids = append(ids, m.ID)
			}
		case page.Group:
			if m.ID != "" {
				ids = append(ids, m.ID)
			}
			a, b := pageTexts(m.Marks)
			texts, ids = append(texts, a...), append(ids, b...)
		case page.Circle:
			if m.ID != "" {
				ids = append(ids, m.ID)
			}
		}
	}
	return texts, ids
}

func TestTextsAndIDsSurvive(t *testing.T) {
	for i, p := range sample.Pack().Pages {
		b, err := svg.Encode(p, svg.Options{Title: p.Bookmark, Inline: i%2 == 1})
		if err != nil {
			t.Fatal(err)
		}
		texts, ids := read(t, b)
		wantTexts, wantIDs := pageTexts(p.Marks)
		if d := cmp.Diff(wantTexts, texts); d != "" {
			t.Errorf("page %d: texts (-want +got):\n%s", i+1, d)
		}
		if d := cmp.Diff(wantIDs, ids); d != "" {
			t.Errorf("page %d: data-id (-want +got):\n%s", i+1, d)
		}
	}
}

func TestHostileTexts(t *testing.T) {
	for _, s := range sample.Hostile {
		p := page.Page{W: 100, H: 100, Marks: []page.Mark{
			page.Group{ID: s, Class: page.Class(s), Marks: []page.Mark{
				page.Text{ID: s, Class: page.Class("heavy " + s), At: page.Point{X: 1, Y: 9}, Text: "." + s, Size: 3}}}}}
		b, err := svg.Encode(p, svg.Options{Title: s})
		if err != nil {
			t.Fatalf("Encode(%.20q): %v", s, err)
		}
		texts, _ := read(t, b)
		if want := page.Clean("." + s); !slices.Contains(texts, want) {
			t.Errorf("text %.40q came back as %.40q", want, texts)
		}
	}
}

func TestRefusesWhatIsNoNumber(t *testing.T) {
	for _, m := range []page.Mark{
		page.Line{B: page.Point{X: math.NaN()}},
		page.Circle{R: math.Inf(1)},
		page.Arc{R: 1, To: math.NaN()},
		page.Text{Text: "a", Size: math.Inf(-1)},
		page.Polygon{Points: []page.Point{{X: 1}, {X: 2}, {Y: 1e9}}},
	} {
		if _, err := svg.Encode(page.Page{W: 10, H: 10, Marks: []page.Mark{m}}, svg.Options{}); err == nil {
			t.Errorf("Encode(%+v): no error", m)
		}
	}
	if _, err := svg.Encode(page.Page{}, svg.Options{}); err == nil {
		t.Error("a page without size was written")
	}
}

func TestGolden(t *testing.T) {
	marks := []page.Mark{
		page.Line{ID: "a", Class: page.Hidden, A: page.Point{X: 1, Y: 2}, B: page.Point{X: 3.00049, Y: 4}},
		page.Polyline{Class: page.Middle, Points: []page.Point{{X: 1, Y: 1}, {X: 2, Y: 1}, {X: 2, Y: 2}}},
		page.Polygon{Class: page.Tint, Points: []page.Point{{X: 1, Y: 1}, {X: 2, Y: 1}, {X: 2, Y: 2}}},
		page.Rect{Class: "hatch tail picked", Box: page.Box{X: 10, Y: 10, W: 6, H: 4}},
		page.Circle{Class: "unknown", Centre: page.Point{X: 5, Y: 5}, R: 2},
		page.Arc{Centre: page.Point{X: 20, Y: 20}, R: 5, From: 350, To: 90},
		page.Arc{Centre: page.Point{X: 20, Y: 20}, R: 5, From: 0, To: 360},
		page.Group{ID: "X1.A", Class: page.Stop, Marks: []page.Mark{
			page.Text{At: page.Point{X: 5, Y: 6}, Text: "R < 0.2 Ω", Face: page.Mono, Size: 3, Anchor: page.Centre, Turn: 90}}},
	}
	b, err := svg.Encode(page.Page{W: 40, H: 30, Marks: marks}, svg.Options{Title: "all marks"})
	if err != nil {
		t.Fatal(err)
	}
	name := filepath.Join("testdata", "marks.svg")
	if *update && os.Getenv("CI") == "" {
		if err := os.WriteFile(name, b, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(strings.Split(string(want), "\n"), strings.Split(string(b), "\n")); d != "" {
		t.Errorf("%s (-want +got):\n%s", name, d)
	}
}
