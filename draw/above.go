package draw

import (
	"cmp"
	"math"
	"slices"

	"keyon/format/page"
)

// Sides of the drawing of a loom from above, mm.
const (
	aboveWide   = 190.0
	aboveTall   = 110.0 // at most
	aboveMargin = 12.0
	aboveText   = 2.6
)

// Above draws a loom's legs from above at one scale, front to the left: so
// rearward runs to the right, and the driver's right is up. Thick lines are
// thick legs. ok is false where fewer than two of its places are known.
func (k *Car) Above(loom int) (d page.Drawing, ok bool) {
	l := &k.t.Looms[loom]
	low, high := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
	known := 0
	for _, i := range l.Places {
		if p := &k.t.Places[i]; p.Known {
			known++
			for a, v := range [2]float64{p.At.X * 1e3, -p.At.Y * 1e3} {
				low[a], high[a] = min(low[a], v), max(high[a], v)
			}
		}
	}
	if known < 2 {
		return d, false
	}
	wide, tall := max(high[0]-low[0], 1), max(high[1]-low[1], 1)
	scale := min((aboveWide-2*aboveMargin)/wide, (aboveTall-2*aboveMargin)/tall)
	d = page.Drawing{W: aboveWide, H: tall*scale + 2*aboveMargin}
	left := (aboveWide - wide*scale) / 2
	at := func(i int) page.Point {
		p := &k.t.Places[i]
		return page.Point{X: left + (p.At.X*1e3-low[0])*scale, Y: aboveMargin + (-p.At.Y*1e3-low[1])*scale}
	}
	degree := map[int]int{}
	for _, i := range l.Legs {
		leg := &k.t.Legs[i]
		degree[leg.From]++
		degree[leg.To]++
		if !k.t.Places[leg.From].Known || !k.t.Places[leg.To].Known {
			continue
		}
		class := page.Class(page.Plain)
		switch mm := k.p.Bundles.Legs[i].Diameter.MM(); {
		case mm >= 10: // judgement: a thumb
			class = page.Heavy
		case mm < 4:
			class = page.Fine
		}
		d.Marks = append(d.Marks, page.Line{ID: "leg " + leg.Name, Class: class, A: at(leg.From), B: at(leg.To)})
	}
	k.aboveNames(&d, l.Places, degree, at)
	return d, true
}

// aboveNames marks places and writes their names where they fit, branching
// points first.
func (k *Car) aboveNames(d *page.Drawing, places []int, degree map[int]int, at func(int) page.Point) {
	order := slices.DeleteFunc(slices.Clone(places), func(i int) bool { return !k.t.Places[i].Known })
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(degree[b], degree[a]) })
	var taken []page.Box
	for _, i := range order {
		p := at(i)
		d.Marks = append(d.Marks, page.Circle{ID: "place " + k.t.Places[i].Name, Class: page.Blank, Centre: p, R: 0.9})
		taken = append(taken, page.Box{X: p.X - 0.9, Y: p.Y - 0.9, W: 1.8, H: 1.8})
	}
	for _, i := range order {
		name := k.t.Places[i].Name
		w := page.Width(page.Regular, aboveText, name)
		p := at(i)
		for _, c := range []page.Point{{X: p.X + 1.5, Y: p.Y - 1.2}, {X: p.X + 1.5, Y: p.Y + 2.9}, {X: p.X - 1.5 - w, Y: p.Y - 1.2}, {X: p.X - 1.5 - w, Y: p.Y + 2.9}, {X: p.X - w/2, Y: p.Y - 2}, {X: p.X - w/2, Y: p.Y + 4}} {
			box := page.Box{X: c.X, Y: c.Y - aboveText*0.8, W: w, H: aboveText}
			if box.X < 0 || box.X+box.W > d.W || box.Y < 0 || box.Y+box.H > d.H || slices.ContainsFunc(taken, func(o page.Box) bool { return overlap(box, o) }) {
				continue
			}
			taken = append(taken, box)
			d.Marks = append(d.Marks, page.Text{At: c, Text: name, Size: aboveText})
			break
		}
	}
}

func overlap(a, b page.Box) bool {
	return a.X < b.X+b.W && b.X < a.X+a.W && a.Y < b.Y+b.H && b.Y < a.Y+a.H
}
