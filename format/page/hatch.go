package page

import (
	"math"
	"slices"
)

// hatchStep is the distance of the slanted lines, mm.
const hatchStep = 1.8

// HatchLines returns the slanted lines, at 45°, within the outline of a
// Polygon, Rect or Circle; nothing for other marks. Encoders draw them so that
// all of them hatch alike.
func HatchLines(m Mark) []Line {
	ring := outline(m)
	if len(ring) < 3 {
		return nil
	}
	// On a line of this slant x + y = s is constant; cuts come in pairs.
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range ring {
		lo, hi = math.Min(lo, p.X+p.Y), math.Max(hi, p.X+p.Y)
	}
	step := hatchStep * math.Sqrt2
	if !(hi-lo < 1e4) {
		return nil
	}
	var out []Line
	for s := math.Ceil(lo/step) * step; s < hi; s += step {
		var xs []float64
		for i, a := range ring {
			b := ring[(i+1)%len(ring)]
			sa, sb := a.X+a.Y, b.X+b.Y
			if (sa <= s) != (sb <= s) {
				xs = append(xs, a.X+(b.X-a.X)*(s-sa)/(sb-sa))
			}
		}
		slices.Sort(xs)
		for i := 0; i+1 < len(xs); i += 2 {
			out = append(out, Line{Class: Fine, A: Point{xs[i], s - xs[i]}, B: Point{xs[i+1], s - xs[i+1]}})
		}
	}
	return out
}

func outline(m Mark) []Point {
	switch m := m.(type) {
	case Polygon:
		return m.Points
	case Rect:
		b := m.Box
		return []Point{{b.X, b.Y}, {b.X + b.W, b.Y}, {b.X + b.W, b.Y + b.H}, {b.X, b.Y + b.H}}
	case Circle:
		ring := make([]Point, 72)
		for i := range ring {
			ring[i] = on(m.Centre, m.R, float64(i)*5)
		}
		return ring
	}
	return nil
}
