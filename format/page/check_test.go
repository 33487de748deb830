package page_test

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"keyon/format/page"
)

func at(x, y float64, s string) page.Text {
	return page.Text{At: page.Point{X: x, Y: y}, Text: s, Face: page.Mono, Size: 5}
}

func TestCheckFinds(t *testing.T) {
	boxed := func(w float64) page.Text {
		m := at(10, 20, "HHHH") // 4 · 0.602 · 5 = 12.04 mm wide
		m.Box = page.Box{X: 10, Y: 10, W: w, H: 12}
		return m
	}
	turned := func(x, y, turn float64) page.Text {
		m := at(x, y, "HHHHHHHH") // 24.08 mm
		m.Turn = turn
		return m
	}
	right := at(50, 20, "HH")
	right.Anchor = page.Right
	for _, c := range []struct {
		name  string
		marks []page.Mark
		want  []string
	}{
		{"apart", []page.Mark{at(10, 20, "HH"), at(16.1, 20, "HH")}, nil}, // 2 · 3.01 mm each
		{"side by side, over", []page.Mark{at(10, 20, "HH"), at(15.8, 20, "HH")}, []string{"overlap"}},
		{"under each other", []page.Mark{at(10, 20, "Hg"), at(10, 26.2, "Éj")}, nil},
		{"under each other, over", []page.Mark{at(10, 20, "Hg"), at(10, 24, "Éj")}, []string{"overlap"}},
		{"right end", []page.Mark{at(43.5, 20, "H"), right}, []string{"overlap"}},
		{"same place twice", []page.Mark{at(10, 20, "a"), page.Group{ID: "g", Marks: []page.Mark{at(10, 20, "a")}}}, []string{"overlap"}},
		{"in its box", []page.Mark{boxed(12.1)}, nil},
		{"out of its box", []page.Mark{boxed(11.9)}, []string{"outside box"}},
		{"turned, past each other", []page.Mark{turned(50, 50, 90), turned(50.5, 50, 0)}, nil},
		{"turned, over", []page.Mark{turned(50, 50, 90), turned(40, 40, 0)}, []string{"overlap"}},
		{"slanted side by side", []page.Mark{turned(30, 60, 45), turned(36, 60, 45)}, nil},
		{"text off the page", []page.Mark{at(95, 20, "HHHH")}, []string{"outside page"}},
		{"line width off the page", []page.Mark{page.Line{Class: page.Heavy, A: page.Point{X: 0.2, Y: 5}, B: page.Point{X: 9, Y: 5}}}, []string{"outside page"}},
		{"line at the edge", []page.Mark{page.Line{Class: page.Heavy, A: page.Point{X: 0.25, Y: 5}, B: page.Point{X: 9, Y: 5}}}, nil},
		{"arc bulges out", []page.Mark{page.Arc{Centre: page.Point{X: 5, Y: 50}, R: 8, From: 90, To: 270}}, []string{"outside page"}},
		{"arc the other way", []page.Mark{page.Arc{Centre: page.Point{X: 5, Y: 50}, R: 4.5, From: 270, To: 90}}, nil},
		{"circle", []page.Mark{page.Circle{Centre: page.Point{X: 5, Y: 5}, R: 6}}, []string{"outside page"}},
		{"no number", []page.Mark{page.Rect{Box: page.Box{X: math.NaN()}}, page.Arc{R: 1, From: math.Inf(1)}}, []string{"not a number", "not a number"}},
		{"spaces have no ink", []page.Mark{at(10, 20, "  "), at(10, 20, "  ")}, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			var got []string
			for _, p := range page.Check(page.Document{Pages: []page.Page{{W: 100, H: 100, Marks: c.marks}}}) {
				got = append(got, p.Kind)
			}
			if !slices.Equal(got, c.want) {
				t.Errorf("Check: got %v, want %v", got, c.want)
			}
		})
	}
}

// The grid finds the same pairs as looking at all of them, on texts of equal
// letters whose extent is known: H of the mono face is 0.602 em wide, its ink
// 0.729 em high (cap height 1493 of 2048 units, OS/2 table of the font).
func TestCheckFindsAllPairs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		type rect struct{ x, y, w, h float64 }
		var marks []page.Mark
		var rects []rect
		for range rapid.IntRange(0, 40).Draw(t, "n") {
			x := float64(rapid.IntRange(0, 60).Draw(t, "x"))
			y := float64(rapid.IntRange(10, 95).Draw(t, "y"))
			n := rapid.SampledFrom([]int{1, 2, 3, 4, 6, 7, 8}).Draw(t, "letters") // of 5, neighbours share just the 0.05 mm that count as none
			marks = append(marks, at(x, y, "HHHHHHHH"[:n]))
			rects = append(rects, rect{x, y - 0.729*5, float64(n) * 3.01, 0.729 * 5})
		}
		want := 0
		for i, a := range rects {
			for _, b := range rects[:i] {
				dx := math.Min(a.x+a.w, b.x+b.w) - math.Max(a.x, b.x)
				dy := math.Min(a.y+a.h, b.y+b.h) - math.Max(a.y, b.y)
				if dx > 0.05 && dy > 0.05 {
					want++
				}
			}
		}
		if got := len(page.Check(page.Document{Pages: []page.Page{{W: 100, H: 100, Marks: marks}}})); got != want {
			t.Fatalf("Check found %d pairs, want %d", got, want)
		}
	})
}
