package packing

import "math"

// search hops from one soft packing to the next: change the layout, let it
// settle, and go on from there if it became narrower, or wider by no more than
// a heat that cools as the budget runs out (simulated annealing over local
// minima).
type search struct {
	f    *field
	d    *descender
	skin float64
	from []float64 // layout that the next hop changes
	best []float64
	low  float64 // energy of best
	calm int     // steps in which most layouts settle
	dice uint64
}

const (
	pull   = 0.2    // of the soft packings; soft enough to settle fast, hard enough to rank layouts
	glance = 25     // steps after which a bad layout shows
	far    = 0.02   // how much more energy than the last it then has, in units of pull
	hot    = 0.01   // heat at the start, in units of pull
	cold   = 0.0001 // heat at the end
)

func newSearch(r []float64) *search {
	n := len(r)
	return &search{
		f: newField(r), d: newDescender(2*n + 1),
		skin: 0.6 / math.Sqrt(float64(n)),            // 0.6 of the mean radius
		calm: max(100, int(4*math.Sqrt(float64(n)))), // pressure crosses the bundle
		from: make([]float64, 2*n+1), best: make([]float64, 2*n+1), low: math.Inf(1),
	}
}

// layOut returns centres for circles of diameter d, widest first, and the work
// done. They may overlap by a trace.
func layOut(d []float64, e Effort) ([]float64, int) {
	n := len(d)
	if n == 1 {
		return make([]float64, 2), 0
	}
	area := 0.0
	for _, v := range d {
		area += v * v / 4
	}
	unit := math.Sqrt(area)
	r := make([]float64, n)
	kinds := 1
	for i, v := range d {
		r[i] = v / 2 / unit
		if i > 0 && v != d[i-1] {
			kinds++
		}
	}
	s := newSearch(r)
	// At about 1.5 ns a unit of work: half a millisecond for a leg of fifty
	// wires, 0.6 s for a question.
	if e == Calc {
		s.start(400_000_000)
		s.hop(min(400_000_000, 1_000_000*n*n))
		s.tighten(200, 100_000_000)
	} else {
		budget := min(1_000*n*n, 60_000+3_000*n+200*n*min(kinds-1, 50))
		s.start(budget)
		s.hop(budget)
		s.tighten(60, max(budget/4, 20_000))
	}
	for i := range s.f.x {
		s.f.x[i] *= unit
	}
	return s.f.x, s.f.work
}

// settle lets the layout in f.x relax for so many steps.
func (s *search) settle(steps int) float64 {
	s.f.pull = pull
	return s.d.run(s.f, steps, 1e-3*pull, s.skin)
}

func (s *search) keep(e float64) {
	if e < s.low {
		s.low = e
		copy(s.best, s.f.x)
	}
}

// hop searches until the field has done the given work, and leaves the best
// layout in f.x.
func (s *search) hop(budget int) {
	f := s.f
	at := s.low
	copy(s.from, s.best)
	for f.work < budget {
		copy(f.x, s.from)
		s.kick()
		if s.settle(glance) > at+far*pull {
			continue
		}
		e := s.settle(s.calm)
		s.keep(e)
		heat := hot * math.Pow(cold/hot, float64(f.work)/float64(budget))
		if e < at-heat*pull*math.Log(1-s.roll()) {
			at = e
			copy(s.from, f.x)
		}
	}
	copy(f.x, s.best)
}

// kick changes the layout so that it may settle elsewhere: two discs of near
// size change places, one goes to a hole, small ones more often, or all shake.
func (s *search) kick() {
	f := s.f
	n := float64(f.n)
	u := s.roll()
	switch {
	case u < 0.75 && f.r[0] != f.r[f.n-1]:
		for {
			i := int(n * s.roll())
			j := i + 1 + int(0.4*n*s.roll()*s.roll())
			if j < f.n && f.r[i] != f.r[j] {
				f.x[2*i], f.x[2*j] = f.x[2*j], f.x[2*i]
				f.x[2*i+1], f.x[2*j+1] = f.x[2*j+1], f.x[2*i+1]
				return
			}
		}
	case u < 0.95:
		i := f.n - 1 - int(n*math.Pow(s.roll(), 1.5))
		s.drop(i, f.n, 20)
	default:
		for i := range 2 * f.n {
			f.x[i] += 0.8 / math.Sqrt(n) * (2*s.roll() - 1)
		}
	}
}

// drop moves disc i to the roomiest among some places thrown at random, with
// an eye on the first n discs.
func (s *search) drop(i, n, throws int) {
	f := s.f
	room := lever*f.x[2*f.n] - f.r[i]
	least, x, y := math.Inf(1), 0.0, 0.0
	for range throws {
		turn, out := 2*math.Pi*s.roll(), math.Sqrt(s.roll())*room
		px, py := out*math.Cos(turn), out*math.Sin(turn)
		over := math.Inf(-1)
		for j, r := range f.r[:n] {
			if j != i {
				dx, dy := px-f.x[2*j], py-f.x[2*j+1]
				over = max(over, r-math.Sqrt(dx*dx+dy*dy))
			}
		}
		if over < least {
			least, x, y = over, px, py
		}
	}
	f.x[2*i], f.x[2*i+1] = x, y
	f.work += throws * n
}

// roll returns the next number in [0, 1) of a fixed sequence (SplitMix64,
// Steele, Lea and Flood 2014).
func (s *search) roll() float64 {
	s.dice += 0x9e3779b97f4a7c15
	z := s.dice
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return float64((z^z>>31)>>11) / (1 << 53)
}
