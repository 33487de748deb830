// Package packing lays circles into the smallest circle that holds them, and
// wires into twisted layers round a core.
//
// It decides where each circle lies and how wide the whole becomes. It takes
// wires for round and stiff across their axis. Twisted pairs and cables come
// in as the circle they fill; which wire belongs in which layer is left to the
// caller.
package packing

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// Circle is a round thing seen from its end: centre and diameter, in the unit
// of the diameters that were packed. The container's centre is the origin.
type Circle struct{ X, Y, D float64 }

// Result is a packing without overlap.
type Result struct {
	Diameter   float64  // of the container
	Circles    []Circle // in the order of the diameters given
	LowerBound float64  // no container narrower than this can hold them
	Work       int      // counted work: pairs of circles looked at and circles moved
}

// Effort says how much counted work goes into a packing.
type Effort int

const (
	Plan Effort = iota // a leg of a plan: within 6 % of the best published packings
	Calc               // a question of its own, a thousand times the work: within 2 %
)

// Most circles, and widest ratio of two diameters, that Pack takes.
const (
	MaxCircles = 10_000
	MaxRatio   = 1e4
)

// Pack finds a narrow circle round circles of the given diameters. The answer
// depends on the set of diameters only: not on their order, and on the unit
// only by scale. No diameters give the zero Result. A diameter that is not a
// positive number (1e-100 to 1e100 of any unit), more than MaxCircles of them,
// or a ratio above MaxRatio is an error.
func Pack(diameters []float64, e Effort) (Result, error) {
	n := len(diameters)
	if n == 0 {
		return Result{}, nil
	}
	if n > MaxCircles {
		return Result{}, fmt.Errorf("pack %d circles: at most %d", n, MaxCircles)
	}
	const least, most = 1e-100, 1e100 // their squares are still ordinary numbers
	for i, d := range diameters {
		if !(d >= least && d <= most) {
			return Result{}, fmt.Errorf("pack circle %d: diameter %g is not a positive number from %g to %g", i+1, d, least, most)
		}
	}
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(diameters[b], diameters[a]) })
	widest := diameters[order[0]]
	if thinnest := diameters[order[n-1]]; widest/thinnest > MaxRatio {
		return Result{}, fmt.Errorf("pack circles of diameter %g and %g: ratio at most %g", thinnest, widest, float64(MaxRatio))
	}
	// In units of the widest. The search sees 40 binary digits: the same set in
	// another unit differs in the last digit, and a search magnifies that.
	const grid = 1 << 40
	d, seen := make([]float64, n), make([]float64, n)
	for i, k := range order {
		d[i] = diameters[k] / widest
		seen[i] = math.Round(d[i]*grid) / grid
	}
	x, work := layOut(seen, e)
	part := spread(x, d)
	res := Result{
		Circles:    make([]Circle, n),
		LowerBound: widest * lowerBound(d),
		Work:       work,
	}
	placed := make([]Circle, n)
	for i := range d {
		placed[i] = Circle{part * x[2*i], part * x[2*i+1], d[i]}
	}
	middle := Around(placed)
	for i, k := range order {
		c := Circle{widest * (placed[i].X - middle.X), widest * (placed[i].Y - middle.Y), diameters[k]}
		res.Circles[k] = c
		res.Diameter = max(res.Diameter, 2*math.Hypot(c.X, c.Y)+c.D)
	}
	return res, nil
}

// spread returns the factor by which centres x must move outward so that
// circles of diameter d do not overlap.
func spread(x, d []float64) float64 {
	f := newField(make([]float64, len(d)))
	for i := range d {
		f.r[i] = d[i] / 2
	}
	f.collect(x, d[len(d)-1]/100)
	part, far := 1.0, 0.0
	for _, p := range f.pairs {
		part = max(part, p.reach/math.Hypot(x[2*p.i]-x[2*p.j], x[2*p.i+1]-x[2*p.j+1]))
	}
	for i := range d {
		far = max(far, math.Hypot(x[2*i], x[2*i+1]))
	}
	// The products that follow round each centre by a share of its distance
	// from the middle, which two thin circles far out must stand.
	return part * (1 + 0x1p-50*(1+far/d[len(d)-1]))
}
