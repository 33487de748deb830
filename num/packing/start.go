package packing

import "math"

// nested are the parts of the area that the first layouts of unequal discs
// begin with; 1 is all of it.
var nested = []float64{0.85, 1, 0.75, 0.93}

// few discs are worth more than one first layout: with more, holes are dear to
// find and one layout is much like another.
const few = 300

// start settles some first layouts, at least one, until the field has done
// the given work, and keeps the best.
func (s *search) start(budget int) {
	for _, part := range nested {
		alike := s.f.n > few || s.f.r[0] == s.f.r[s.f.n-1]
		if part < 1 && !alike {
			s.nest(part)
		} else {
			s.spiral()
		}
		s.keep(s.settle(s.calm))
		if alike || s.f.work > budget {
			break
		}
	}
}

// spiral lays the discs on a sunflower spiral, widest inside, each as far out
// as the area of those before it fills, with a tenth to spare.
func (s *search) spiral() {
	f := s.f
	golden := math.Pi * (3 - math.Sqrt(5)) // turn from one to the next; no two line up
	area := 0.0
	for i, r := range f.r {
		out := 1.1 * math.Sqrt(area+r*r/2)
		area += r * r
		f.x[2*i], f.x[2*i+1] = out*math.Cos(float64(i)*golden), out*math.Sin(float64(i)*golden)
	}
	f.x[2*f.n] = 1.15 * math.Sqrt(area) / lever
	f.pairs = f.pairs[:0]
}

// nest settles the widest discs, as many as make up the given part of the area
// alone, and drops the others into the holes between them, widest first.
func (s *search) nest(part float64) {
	f := s.f
	m := 0
	for area := 0.0; area < part && m < f.n; m++ {
		area += f.r[m] * f.r[m]
	}
	wide := newSearch(f.r[:m])
	wide.spiral()
	wide.settle(60)
	f.work += wide.f.work
	copy(f.x, wide.f.x[:2*m])
	f.x[2*f.n] = wide.f.x[2*m]
	for i := m; i < f.n; i++ {
		s.drop(i, i, 50)
	}
	f.pairs = f.pairs[:0]
}
