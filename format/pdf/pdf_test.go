package pdf_test

import (
	"bytes"
	"math"
	"os"
	"testing"

	"pgregory.net/rapid"

	"keyon/format/page"
	"keyon/format/page/sample"
	"keyon/format/pdf"
)

func TestHostileSameBytes(t *testing.T) {
	p := page.Page{W: 100, H: 100}
	for _, s := range sample.Hostile {
		p.Marks = append(p.Marks, page.Text{At: page.Point{X: 10, Y: 10}, Text: s, Size: 3, Face: page.Mono}, page.Text{Text: s, Size: 3})
	}
	doc := page.Document{Pages: []page.Page{p}}
	a, err := pdf.Encode(doc)
	if err != nil {
		t.Fatal(err)
	}
	if b, err := pdf.Encode(doc); err != nil || !bytes.Equal(a, b) {
		t.Fatalf("a second encoding differs (%v)", err)
	}
}

func TestSameBytes(t *testing.T) {
	a, err := pdf.Encode(sample.Pack())
	if err != nil {
		t.Fatal(err)
	}
	for range 3 {
		b, err := pdf.Encode(sample.Pack())
		if err != nil || !bytes.Equal(a, b) {
			t.Fatalf("a second encoding differs (%d and %d bytes, %v)", len(a), len(b), err)
		}
	}
	if f := os.Getenv("KEYON_SAMPLE_PDF"); f != "" { // to look at it
		if err := os.WriteFile(f, a, 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

func TestHostileTexts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		texts := rapid.OneOf(rapid.String(), rapid.SampledFrom(sample.Hostile))
		doc := page.Document{Title: texts.Draw(t, "title"), Meta: page.Meta{Subject: texts.Draw(t, "subject"), Author: texts.Draw(t, "author"), Date: texts.Draw(t, "date")}}
		p := page.Page{W: 100, H: 100, Bookmark: texts.Draw(t, "bookmark")}
		for range 5 {
			p.Marks = append(p.Marks, page.Text{
				At: page.Point{X: 10, Y: 10}, Text: texts.Draw(t, "text"), Class: page.Class(texts.Draw(t, "class")), Size: 3,
				Face: page.Face(rapid.IntRange(-1, 4).Draw(t, "face")), Turn: rapid.SampledFrom([]float64{0, 90, 33}).Draw(t, "turn")})
		}
		doc.Pages = []page.Page{p}
		if _, err := pdf.Encode(doc); err != nil {
			t.Fatal(err)
		}
	})
}

func TestRefuses(t *testing.T) {
	for _, doc := range []page.Document{
		{Title: "no pages"},
		{Title: "no size", Pages: []page.Page{{}}},
		{Title: "NaN", Pages: []page.Page{{W: 10, H: 10, Marks: []page.Mark{page.Group{Marks: []page.Mark{page.Line{B: page.Point{X: math.NaN()}}}}}}}},
		{Title: "infinite", Pages: []page.Page{{W: 10, H: 10, Marks: []page.Mark{page.Text{Text: "a", Size: 3, Turn: math.Inf(1)}}}}},
	} {
		if b, err := pdf.Encode(doc); err == nil {
			t.Errorf("%s: %d bytes and no error", doc.Title, len(b))
		}
	}
}
