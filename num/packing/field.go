package packing

import "math"

// pair is two circles near enough to touch. Overlap is measured against
// reach, the sum of the radii plus what tighten adds to force them apart.
type pair struct {
	i, j  int32
	reach float64
}

// field is a soft packing: discs at (x[2i], x[2i+1]) inside a circle of
// radius x[2n], all lengths in units of sqrt(sum r²). Its energy is
//
//	pull·R + Σ max(0, ri + rj - |ci-cj|)² + Σ max(0, |ci| + ri - R)²
//
// A smaller pull gives harder discs; in the limit the least energy is the
// tightest packing near the layout.
type field struct {
	n    int
	r    []float64
	wall []float64 // radius as the container feels it
	x    []float64
	pull float64

	pairs []pair
	held  []float64 // x at which pairs was collected
	skin  float64   // pairs stay complete until two discs close in by this much
	work  int       // pairs looked at
	cells cells
}

func newField(r []float64) *field {
	n := len(r)
	return &field{
		n: n, r: r,
		wall: append([]float64(nil), r...),
		x:    make([]float64, 2*n+1),
		held: make([]float64, 2*n+1),
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

// collect lists every pair closer than skin.
func (f *field) collect(x []float64, skin float64) {
	f.skin = skin
	copy(f.held, x)
	f.pairs = f.pairs[:0]
	if f.n > 100 {
		f.cells.collect(f, x, skin)
		return
	}
	for i := 0; i < f.n; i++ {
		xi, yi, ri := x[2*i], x[2*i+1], f.r[i]+skin
		for j := i + 1; j < f.n; j++ {
			dx, dy, s := x[2*j]-xi, x[2*j+1]-yi, ri+f.r[j]
			if dx*dx+dy*dy < s*s {
				f.pairs = append(f.pairs, pair{int32(i), int32(j), f.r[i] + f.r[j]})
			}
		}
	}
	f.work += f.n * f.n / 2
}

// energy returns the energy at x and writes its gradient to g.
func (f *field) energy(x, g []float64) float64 {
	n := f.n
	R := x[2*n]
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
		o := d - room
		e += o * o
		gR -= 2 * o
		if d > 0 {
			g[2*i], g[2*i+1] = 2*o*px/d, 2*o*py/d
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
		o := p.reach - d
		e += o * o
		if d == 0 { // two centres in one point: push along x, the lower index left
			d, dx = 1, -1
		}
		w := 2 * o / d
		g[i] -= w * dx
		g[i+1] -= w * dy
		g[j] += w * dx
		g[j+1] += w * dy
	}
	g[2*n] = gR
	f.work += len(f.pairs) + n
	return e
}
