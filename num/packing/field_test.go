package packing

import (
	"math"
	"testing"
)

// The gradient is the slope of the energy along each coordinate.
func TestGradient(t *testing.T) {
	f := newField([]float64{0.6, 0.5, 0.4, 0.3, 0.3})
	f.pull = 0.2
	copy(f.x, []float64{0.1, 0.2, -0.5, 0.1, 0.3, -0.4, 0.9, 0.3, -0.2, -0.6, 1 / lever})
	f.collect(f.x, 0.2)
	g, other := make([]float64, len(f.x)), make([]float64, len(f.x))
	f.energy(f.x, g)
	const h = 1e-6
	for i, x := range f.x {
		f.x[i] = x + h
		up := f.energy(f.x, other)
		f.x[i] = x - h
		down := f.energy(f.x, other)
		f.x[i] = x
		near(t, "slope", g[i], (up-down)/(2*h), 1e-8)
	}
}

// Sorting into squares finds the same pairs as looking at all.
func TestCells(t *testing.T) {
	n := 400
	r := make([]float64, n)
	for i := range r {
		r[i] = 0.01 + 0.04*math.Abs(math.Sin(float64(i)))
	}
	s := newSearch(r)
	s.spiral()
	f := s.f
	f.collect(f.x, 0.01)
	got := map[[2]int32]bool{}
	for _, p := range f.pairs {
		got[[2]int32{min(p.i, p.j), max(p.i, p.j)}] = true
	}
	if len(got) != len(f.pairs) {
		t.Errorf("%d pairs, %d of them different", len(f.pairs), len(got))
	}
	want := 0
	for i := range n {
		for j := range i {
			if math.Hypot(f.x[2*i]-f.x[2*j], f.x[2*i+1]-f.x[2*j+1]) < r[i]+r[j]+0.01 {
				want++
				if !got[[2]int32{int32(j), int32(i)}] {
					t.Errorf("pair %d, %d not found", j, i)
				}
			}
		}
	}
	if want != len(got) {
		t.Errorf("%d pairs, want %d", len(got), want)
	}
}
