package page_test

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"keyon/format/page"
	"keyon/format/page/sample"
)

var update = flag.Bool("update", false, "rewrite golden files")

// texts returns what is written on a page, in order.
func texts(marks []page.Mark) []string {
	var out []string
	for _, m := range marks {
		switch m := m.(type) {
		case page.Text:
			out = append(out, m.Text)
		case page.Group:
			out = append(out, texts(m.Marks)...)
		}
	}
	return out
}

func rows(n int) page.Table {
	t := page.Table{Columns: []page.Column{{Head: "Wire", Face: page.Mono}, {Head: "Circuit", Weight: 1}, {Head: "Area", Unit: "mm²", Align: page.Decimal}}}
	for i := range n {
		t.Rows = append(t.Rows, page.Row{ID: fmt.Sprintf("w%d", i), Cells: []string{fmt.Sprintf("W%04d", i), "pump", "0.5"}})
	}
	return t
}

func bind(blocks ...page.Block) page.Document {
	f := page.NewFlow(page.Frame{Number: "P1", Title: "Test", Car: "Tern"})
	f.Add(blocks...)
	return page.Bind("t", page.Meta{}, f)
}

func count(doc page.Document, what string) []int {
	var out []int
	for _, p := range doc.Pages {
		n := 0
		for _, s := range texts(p.Marks) {
			if s == what {
				n++
			}
		}
		out = append(out, n)
	}
	return out
}

func noProblems(t interface {
	Helper()
	Errorf(string, ...any)
}, doc page.Document) {
	t.Helper()
	for i, p := range page.Check(doc) {
		if i == 5 {
			break
		}
		t.Errorf("%v", p)
	}
}

func TestTableFlows(t *testing.T) {
	doc := bind(page.Heading{Text: "Wires"}, rows(200))
	noProblems(t, doc)
	if len(doc.Pages) < 4 {
		t.Fatalf("200 rows on %d pages", len(doc.Pages))
	}
	var seen []string
	for i, p := range doc.Pages {
		all := texts(p.Marks)
		for _, s := range all {
			if strings.HasPrefix(s, "W0") {
				seen = append(seen, s)
			}
		}
		if !slices.Contains(all, "Circuit") {
			t.Errorf("page %d has no table head", i+1)
		}
		if got := slices.Contains(all, "continued"); got != (i > 0) {
			t.Errorf("page %d says continued: %v", i+1, got)
		}
		if !slices.Contains(all, fmt.Sprintf("page %d of %d", i+1, len(doc.Pages))) {
			t.Errorf("page %d has no page number", i+1)
		}
	}
	if len(seen) != 200 || !slices.IsSorted(seen) {
		t.Errorf("%d rows seen, in order: %v", len(seen), slices.IsSorted(seen))
	}
}

// A group head is never the last thing on a page, and a page that begins in
// the middle of a group repeats its head.
func TestGroupHeads(t *testing.T) {
	for size := 3; size < 30; size++ {
		tab := rows(0)
		for g := range 12 {
			tab.Rows = append(tab.Rows, page.Row{Kind: page.GroupHead, Cells: []string{fmt.Sprintf("Reel %d", g)}})
			for i := range size {
				tab.Rows = append(tab.Rows, page.Row{Cells: []string{fmt.Sprintf("R%d-%d", g, i)}})
			}
		}
		doc := bind(tab)
		noProblems(t, doc)
		for i, p := range doc.Pages {
			group := ""
			fresh := false
			for _, s := range texts(p.Marks) {
				if strings.HasPrefix(s, "Reel") {
					if fresh {
						t.Errorf("groups of %d, page %d: %q has no row", size, i+1, group)
					}
					group, fresh = s, true
				}
				if strings.HasPrefix(s, "R") && strings.Contains(s, "-") {
					if want := "Reel " + s[1:strings.IndexByte(s, '-')]; group != want {
						t.Errorf("groups of %d, page %d: row %q stands under %q", size, i+1, s, group)
					}
					fresh = false
				}
			}
			if fresh {
				t.Errorf("groups of %d, page %d ends with %q", size, i+1, group)
			}
		}
	}
}

func TestKeepStaysTogether(t *testing.T) {
	for n := 1; n < 60; n++ {
		kept := rows(12)
		for i := range kept.Rows {
			kept.Rows[i].Cells[0] = "kept"
		}
		doc := bind(rows(n), page.Keep{Blocks: []page.Block{page.Heading{Text: "X2"}, kept}})
		pages := count(doc, "kept")
		if slices.Max(pages) != 12 {
			t.Errorf("after %d rows the kept rows stand as %v", n, pages)
		}
		if i := slices.Index(pages, 12); i >= 0 && count(doc, "X2")[i] != 1 {
			t.Errorf("after %d rows the heading is not with its table", n)
		}
	}
	doc := bind(rows(3), page.Keep{Blocks: []page.Block{rows(90)}})
	noProblems(t, doc)
	if got := count(doc, "W0000"); len(doc.Pages) < 3 || got[0] != 1 || got[1] != 1 {
		t.Errorf("a block higher than a page: first rows on %v", got)
	}
}

// What a table leaves for the last page is either saved by tighter spacing or
// at least a quarter of the page, or there is nothing that could move.
func TestNoNearlyEmptyLastPage(t *testing.T) {
	for n := 2; n < 260; n++ {
		doc := bind(rows(n))
		if len(doc.Pages) < 2 {
			continue
		}
		last := 0
		for _, s := range texts(doc.Pages[len(doc.Pages)-1].Marks) {
			if strings.HasPrefix(s, "W0") {
				last++
			}
		}
		if last < 9 { // a page holds about 42 rows; a quarter is 10 with the head
			t.Errorf("%d rows on %d pages: %d on the last", n, len(doc.Pages), last)
		}
	}
}

func TestDecimalsLineUp(t *testing.T) {
	tab := page.Table{Columns: []page.Column{{Head: "A", Align: page.Decimal}}}
	for _, s := range []string{"0.35", "10", "2.5", "-0.125"} {
		tab.Rows = append(tab.Rows, page.Row{Cells: []string{s}})
	}
	doc := bind(tab)
	noProblems(t, doc)
	points := map[string]bool{}
	var walk func(ms []page.Mark)
	walk = func(ms []page.Mark) {
		for _, m := range ms {
			switch m := m.(type) {
			case page.Group:
				walk(m.Marks)
			case page.Text:
				if slices.Contains([]string{"0.35", "10", "2.5", "-0.125"}, m.Text) {
					whole, frac, _ := strings.Cut(m.Text, ".")
					x := m.At.X
					if frac != "" {
						x -= page.Width(m.Face, m.Size, "."+frac)
					}
					points[fmt.Sprintf("%.3f", x)] = true
					_ = whole
				}
			}
		}
	}
	walk(doc.Pages[0].Marks)
	if len(points) != 1 {
		t.Errorf("decimal points stand at %v", points)
	}
}

// Whatever is asked for, the pages pass Check and the same blocks make the
// same pages.
func TestAnythingFlows(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		size := rapid.SampledFrom([]page.Size{page.A4, page.Letter, page.A4.Landscape(), page.A3}).Draw(t, "size")
		frame := page.Frame{Size: size, Number: anyText.Draw(t, "number"), Title: anyText.Draw(t, "title"), Car: anyText.Draw(t, "car"),
			Loom: anyText.Draw(t, "loom"), Date: anyText.Draw(t, "date"), Banner: rapid.SampledFrom([]string{"", "NOT FOR BUILDING"}).Draw(t, "banner"), Status: anyText.Draw(t, "status")}
		var blocks []page.Block
		for range rapid.IntRange(0, 5).Draw(t, "blocks") {
			blocks = append(blocks, anyBlock(t, 2))
		}
		make := func() page.Document {
			f := page.NewFlow(frame)
			f.Add(blocks...)
			return page.Bind("any", page.Meta{}, f)
		}
		doc := make()
		noProblems(t, doc)
		if page.Dump(doc) != page.Dump(make()) {
			t.Errorf("the same blocks made other pages")
		}
	})
}

func anyBlock(t *rapid.T, depth int) page.Block {
	kinds := 7
	if depth == 0 {
		kinds = 5
	}
	switch rapid.IntRange(0, kinds).Draw(t, "kind") {
	case 0:
		return page.Heading{ID: anyText.Draw(t, "id"), Text: anyText.Draw(t, "text")}
	case 1:
		return page.Paragraph{Text: anyText.Draw(t, "text"), Face: page.Face(rapid.IntRange(0, 2).Draw(t, "face"))}
	case 2:
		return page.List{Items: rapid.SliceOfN(anyText, 0, 4).Draw(t, "items"), Sign: page.Sign(rapid.IntRange(0, 2).Draw(t, "sign"))}
	case 3:
		return page.Note{Kind: page.NoteKind(rapid.IntRange(0, 2).Draw(t, "note")), Title: anyText.Draw(t, "title"), Text: anyText.Draw(t, "text")}
	case 4:
		return page.Drawing{W: rapid.Float64Range(1, 400).Draw(t, "w"), H: rapid.Float64Range(1, 400).Draw(t, "h"), Marks: []page.Mark{page.Circle{Class: page.Hatch, Centre: page.Point{X: 0.5, Y: 0.5}, R: 0.3}}}
	case 5:
		tab := page.Table{Zebra: rapid.Bool().Draw(t, "zebra"), Grid: rapid.Bool().Draw(t, "grid"), ID: "t"}
		for range rapid.IntRange(0, 6).Draw(t, "columns") {
			tab.Columns = append(tab.Columns, page.Column{Head: anyText.Draw(t, "head"), Unit: rapid.SampledFrom([]string{"", "mm"}).Draw(t, "unit"),
				Width: rapid.SampledFrom([]float64{0, 0, 12, 300}).Draw(t, "width"), Weight: float64(rapid.IntRange(0, 2).Draw(t, "weight")),
				Align: page.Align(rapid.IntRange(0, 3).Draw(t, "align")), Face: page.Face(rapid.IntRange(0, 2).Draw(t, "face"))})
		}
		for range rapid.IntRange(0, 12).Draw(t, "rows") {
			tab.Rows = append(tab.Rows, page.Row{Kind: page.RowKind(rapid.IntRange(0, 2).Draw(t, "row")), Cells: rapid.SliceOfN(anyText, 0, 7).Draw(t, "cells")})
		}
		return tab
	case 6:
		return page.Keep{Blocks: []page.Block{anyBlock(t, depth-1), anyBlock(t, depth-1)}}
	}
	return page.Beside{Share: rapid.Float64Range(0.2, 0.8).Draw(t, "share"), Left: []page.Block{anyBlock(t, depth-1)}, Right: []page.Block{anyBlock(t, depth-1)}}
}

func TestSampleIsClean(t *testing.T) { noProblems(t, sample.Pack()) }

func TestGolden(t *testing.T) {
	doc := sample.Pack()
	doc.Pages = []page.Page{doc.Pages[0], doc.Pages[4]} // a pin sheet, and the end of a list
	got := page.Dump(doc)
	name := filepath.Join("testdata", "pack.txt")
	if *update && os.Getenv("CI") == "" {
		if err := os.WriteFile(name, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(strings.Split(string(want), "\n"), strings.Split(got, "\n")); d != "" {
		t.Errorf("%s (-want +got):\n%s", name, d)
	}
}

func TestBreaksAndGaps(t *testing.T) {
	p := func(s string) page.Block { return page.Paragraph{Text: s} }
	doc := bind(page.Break{}, p("one"), page.Break{}, page.Gap{H: 9}, p("two"), page.Keep{Blocks: []page.Block{page.Break{}, p("three")}}, page.Break{})
	var got []string
	for _, pg := range doc.Pages {
		for _, s := range texts(pg.Marks) {
			if slices.Contains([]string{"one", "two", "three"}, s) {
				got = append(got, s)
			}
		}
		got = append(got, "|")
	}
	if want := "one | two | three |"; strings.Join(got, " ") != want {
		t.Errorf("pages hold %v, want %s", got, want)
	}
	if n := bind().Pages; len(n) != 1 {
		t.Errorf("a paper without blocks has %d pages, want 1", len(n))
	}
}

// Two papers are numbered each for itself and together.
func TestBindNumbersSheets(t *testing.T) {
	a, b := page.NewFlow(page.Frame{Title: "A"}), page.NewFlow(page.Frame{Title: "B"})
	a.Add(rows(60))
	b.Add(rows(3))
	doc := page.Bind("both", page.Meta{}, a, b)
	if len(doc.Pages) != a.Count()+b.Count() || a.Count() != 2 || b.Count() != 1 {
		t.Fatalf("%d pages, papers of %d and %d", len(doc.Pages), a.Count(), b.Count())
	}
	for i, want := range [][]string{{"page 1 of 2", "1 / 3"}, {"page 2 of 2", "2 / 3"}, {"page 1 of 1", "3 / 3"}} {
		all := texts(doc.Pages[i].Marks)
		if !slices.Contains(all, want[0]) || !slices.Contains(all, want[1]) {
			t.Errorf("sheet %d lacks %v", i+1, want)
		}
	}
	if doc.Pages[0].Bookmark != "A" || doc.Pages[1].Bookmark != "" || doc.Pages[2].Bookmark != "B" {
		t.Errorf("bookmarks %q, %q, %q", doc.Pages[0].Bookmark, doc.Pages[1].Bookmark, doc.Pages[2].Bookmark)
	}
}
