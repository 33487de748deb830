package assign

import (
	"math"

	"keyon/num/graph"
)

// joinMetres is what crossing a join adds to a distance (judgement: half a
// metre of wire costs about what two contacts do).
const joinMetres = 0.5

// openLeg is how long a leg counts whose length is open, mm (judgement).
const openLeg = 1000

// noWay is the distance between places that no legs join, mm: more than any
// way on a car.
const noWay = 100_000

// distances makes the graph of places over legs and joins, costs in mm.
func (w *work) distances() {
	w.g = graph.New(len(w.t.Places))
	for i := range w.t.Legs {
		l := &w.t.Legs[i]
		mm := int64(openLeg)
		if l.Length.Settled() {
			mm = int64(math.Round(l.Length.Value.MM()))
		}
		if l.From >= 0 && l.To >= 0 {
			w.g.AddEdge(l.From, l.To, mm)
		}
	}
	for i := range w.t.Joins {
		if j := &w.t.Joins[i]; j.A >= 0 && j.B >= 0 {
			w.g.AddEdge(j.A, j.B, joinMetres*1000)
		}
	}
}

// far is the distance between two places in mm, 0 where one is not known.
func (w *work) far(a, b int) int64 {
	if a == b || a < 0 || b < 0 {
		return 0
	}
	if _, mm, ok := w.g.Path(a, []int{b}, nil); ok {
		return mm
	}
	return noWay
}

// hit is a place with its distance.
type hit struct {
	place int
	mm    int64
}

// nearest lists the n nearest of some places, nearest first; fewer where no
// more can be reached.
func (w *work) nearest(from int, places []int, n int) []hit {
	left := append([]int(nil), places...)
	var out []hit
	for len(out) < n && len(left) > 0 {
		edges, mm, ok := w.g.Path(from, left, nil)
		if !ok {
			break
		}
		at := from
		for _, e := range edges {
			a, b := w.g.Ends(e)
			at = a + b - at
		}
		out = append(out, hit{at, mm})
		for i, p := range left {
			if p == at {
				left = append(left[:i], left[i+1:]...)
				break
			}
		}
	}
	return out
}
