package packing

import "math"

// pair is two discs near enough to touch. Overlap is measured against reach,
// the sum of the radii plus what tighten adds to force the two apart.
type pair struct {
	i, j  int32
	reach float64
}

// field is a soft packing: disc i of radius r[i] has its centre at x[2i],
// x[2i+1], inside a circle of radius R = lever·x[2n] about the origin. Its
// energy is
//
//	pull·R + Σ max(0, ri + rj - |ci-cj|)² + Σ max(0, |ci| + ri - R)²
//
// A smaller pull gives harder discs; in the limit the least energy is the
// tightest packing near the layout. As the radii are given in units of
// sqrt(Σ r²), the same pull squeezes few discs and many alike.
type field struct {
	n    int
	r    []float64
	wall []float64 // radius as the container feels it, as reach for pairs
	x    []float64
	pull float64

	pairs []pair
	held  []float64 // x at which pairs was collected
	skin  float64   // gap below which a pair was collected
	work  int       // pairs looked at, and discs times discWork
	cells cells
}

const (
	lever    = 0.3 // the container meets many discs at once and is stiffer; this evens it out
	discWork = 16  // what moving a disc costs against looking at a pair
	plainly  = 100 // up to so many discs every pair is looked at when collecting
)

func newField(r []float64) *field {
	return &field{
		n: len(r), r: r,
		wall: append([]float64(nil), r...),
		x:    make([]float64, 2*len(r)+1),
		held: make([]float64, 2*len(r)+1),
	}
}

// moved reports whether a disc has gone so far that pairs may miss a contact.
func (f *field) moved(x []float64) bool {
	limit := f.skin * f.skin / 4
	for i := 0; i < 2*f.n; i += 2 {
		dx, dy := x[i]-f.held[i], x[i+1]-f.held[i+1]
		if dx*dx+dy*dy > limit {
			return true
		}
	}
	return false
}

// collect lists every pair of discs less than skin apart.
func (f *field) collect(x []float64, skin float64) {
	f.skin = skin
	copy(f.held, x)
	f.pairs = f.pairs[:0]
	if f.n > plainly {
		f.cells.collect(f, x, skin)
		return
	}
	for i := range f.n {
		for j := i + 1; j < f.n; j++ {
			f.add(x, i, j, skin)
		}
	}
	f.work += f.n * f.n / 2
}

func (f *field) add(x []float64, i, j int, skin float64) {
	dx, dy, reach := x[2*j]-x[2*i], x[2*j+1]-x[2*i+1], f.r[i]+f.r[j]
	if near := reach + skin; dx*dx+dy*dy < near*near {
		f.pairs = append(f.pairs, pair{int32(i), int32(j), reach})
	}
}

// energy returns the energy at x and writes its gradient to g.
func (f *field) energy(x, g []float64) float64 {
	n := f.n
	R := x[2*n] * lever
	e := f.pull * R
	gR := f.pull
	for i, r := range f.wall {
		px, py := x[2*i], x[2*i+1]
		g[2*i], g[2*i+1] = 0, 0
		d2 := px*px + py*py
		room := R - r
		if room > 0 && d2 <= room*room {
			continue
		}
		d := math.Sqrt(d2)
		over := d - room
		e += over * over
		gR -= 2 * over
		if d > 0 {
			w := 2 * over / d
			g[2*i], g[2*i+1] = w*px, w*py
		}
	}
	for k := range f.pairs {
		p := &f.pairs[k]
		i, j := 2*p.i, 2*p.j
		dx, dy := x[i]-x[j], x[i+1]-x[j+1]
		d2 := dx*dx + dy*dy
		if d2 >= p.reach*p.reach {
			continue
		}
		d := math.Sqrt(d2)
		over := p.reach - d
		e += over * over
		if d == 0 { // two centres in one point: push along x, the lower index left
			d, dx = 1, -1
		}
		w := 2 * over / d
		g[i] -= w * dx
		g[i+1] -= w * dy
		g[j] += w * dx
		g[j+1] += w * dy
	}
	g[2*n] = gR * lever
	f.work += len(f.pairs) + discWork*n
	return e
}
