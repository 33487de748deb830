package packing

import "math"

// layOut returns centres for circles of radius r (widest first) in units of
// half the unit of r, so that radii read as diameters, and the work done.
func layOut(r []float64, e Effort) ([]float64, int) {
	n := len(r)
	sum := 0.0
	for _, v := range r {
		sum += v * v
	}
	unit := math.Sqrt(sum)
	f := newField(make([]float64, n))
	for i, v := range r {
		f.r[i] = v / unit
		f.wall[i] = v / unit
	}
	s := &search{f: f, d: newDescender(2*n + 1), best: make([]float64, 2*n+1), low: math.Inf(1)}
	tries := 3
	if n == 1 {
		return s.best, 0
	}
	for try := range tries {
		s.spiral(try)
		s.keep(s.soft(100))
	}
	copy(f.x, s.best)
	s.tighten()
	for i := range f.x {
		f.x[i] *= unit / 2
	}
	return f.x, f.work
}

// search holds the best soft packing met so far.
type search struct {
	f    *field
	d    *descender
	best []float64
	low  float64
}

// spiral starts the discs on a sunflower spiral, each as far out as the area
// of those before it fills.
func (s *search) spiral(try int) {
	f := s.f
	golden := math.Pi * (3 - math.Sqrt(5)) // angle between neighbours that never lines up
	area := 0.0
	for k := range f.n {
		i := k
		switch try {
		case 1:
			i = f.n - 1 - k
		case 2:
			if i = 2 * k; i >= f.n {
				i = 2*(f.n-1-k) + 1
			}
		}
		a := f.r[i] * f.r[i]
		out := 1.1 * math.Sqrt(area+a/2)
		area += a
		f.x[2*i], f.x[2*i+1] = out*math.Cos(float64(k)*golden), out*math.Sin(float64(k)*golden)
	}
	f.x[2*f.n] = 1.15
	f.pairs = f.pairs[:0]
}

func (s *search) soft(steps int) float64 {
	s.f.pull = 0.1
	return s.d.run(s.f, steps, 1e-4, s.f.r[s.f.n-1])
}

func (s *search) keep(e float64) {
	if e < s.low {
		s.low = e
		copy(s.best, s.f.x)
	}
}

func (s *search) tighten() {
	s.f.pull = 0.001
	s.d.run(s.f, 200, 1e-6, s.f.r[s.f.n-1])
}
