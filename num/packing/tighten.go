package packing

import "math"

// tighten hardens the layout in f.x: it settles under a light pull, and then
// until the contacts overlap by no more than a trace, or so much work is done
// and by no more than a little.
//
// The pull leaves an overlap at each contact in proportion to the force it
// carries. Adding that overlap to the reach of the contact cancels it, as a
// multiplier does in the method of Hestenes and Powell 1969; a few rounds
// leave a packing that is tight.
func (s *search) tighten(steps, work int) {
	const trace, little, rounds = 1e-9, 2e-3, 40
	f := s.f
	f.pull = 0.005
	s.d.run(f, steps, 1e-6*f.pull, s.skin)
	f.collect(f.x, s.skin)
	until := f.work + work
	for range rounds {
		if f.moved(f.x) {
			f.collect(f.x, s.skin)
		}
		worst := 0.0
		for k := range f.pairs {
			p := &f.pairs[k]
			d := math.Hypot(f.x[2*p.i]-f.x[2*p.j], f.x[2*p.i+1]-f.x[2*p.j+1])
			touch := f.r[p.i] + f.r[p.j]
			p.reach = touch + max(p.reach-d, 0)
			worst = max(worst, (touch-d)/touch)
		}
		R := f.x[2*f.n] * lever
		for i, r := range f.r {
			d := math.Hypot(f.x[2*i], f.x[2*i+1])
			f.wall[i] = r + max(d+f.wall[i]-R, 0)
			worst = max(worst, (d+r-R)/R)
		}
		if worst <= trace || worst <= little && f.work > until {
			break
		}
		s.d.run(f, steps, 1e-7*f.pull, 0)
	}
}
