package netsolve

import (
	"math"
	"slices"
)

// search is the state of one Solve. Vectors over groups are in the order of
// elimination.
type search struct {
	n     *Net
	opt   Options
	lv    level
	f     *factor
	modes []Mode // CutOut or Unfed of a load, else Conducts

	u   []float64 // volts of each group
	d   []float64 // the step
	out []float64 // sum of currents out of each group
	w   []float64 // volts across each element, as of the last measure

	// Elements that obey Ohm's law are summed up by place.
	pairs, leak []float64
	// All others are looked at one by one.
	bent  []bent
	power bool // some of them take constant power

	// The factor at hand.
	fresh  bool    // it is of this sum and these bent elements
	blunt  bool    // it has falling currents in part only
	raised float64 // its floor

	steps, factors int
}

// bent is an element that Ohm's law alone doesn't tell.
type bent struct {
	law
	slot
	mode  Mode
	w, dw float64

	amps, slope         float64
	usedAmps, usedSlope float64 // those of the factor, before floor and share
}

func newSearch(n *Net, opt Options) (*search, error) {
	if err := n.prepare(); err != nil {
		return nil, err
	}
	groups, elems := n.joined.groups, len(n.elems)
	s := &search{
		n: n, opt: opt, f: newFactor(n.shape), modes: make([]Mode, elems),
		u: make([]float64, groups), d: make([]float64, groups), out: make([]float64, groups), w: make([]float64, elems),
		pairs: make([]float64, len(n.shape.pairRow)), leak: make([]float64, groups),
	}
	for e := range n.elems {
		el := &n.elems[e]
		if el.kind == battery || el.kind == alternator {
			s.lv.top = max(s.lv.top, math.Abs(el.volts))
			s.lv.ceiling += math.Abs(el.volts)
		}
	}
	if s.lv.top == 0 {
		s.lv = level{1, 1}
	}
	s.sort()
	return s, nil
}

// sort sums up the elements that obey Ohm's law and lists the others. It is due
// when a load changes its mode.
func (s *search) sort() {
	clear(s.pairs)
	clear(s.leak)
	s.bent, s.power, s.fresh = s.bent[:0], false, false
	for e := range s.n.elems {
		el, sl := &s.n.elems[e], &s.n.slots[e]
		if sl.p == sl.q || el.open {
			continue
		}
		g, ok := el.siemens(s.modes[e])
		if !ok || sl.rise != 0 {
			s.bent = append(s.bent, bent{law: el.law, slot: *sl, mode: s.modes[e]})
			s.power = s.power || el.kind == loadP
			continue
		}
		sl.place(s.pairs, s.leak, g)
	}
}

// place adds a conductance where an element stands.
func (sl *slot) place(pairs, leak []float64, g float64) {
	switch {
	case sl.pair >= 0:
		pairs[sl.pair] += g
	case sl.p >= 0:
		leak[sl.p] += g
	default:
		leak[sl.q] += g
	}
}

func (sl *slot) across(u []float64) float64 {
	w := 0.0
	if sl.p >= 0 {
		w = u[sl.p]
	}
	if sl.q >= 0 {
		w -= u[sl.q]
	}
	return w
}

// push counts a current a→b of an element out of one group and into the other.
func (s *search) push(sl *slot, amps float64) {
	if sl.p >= 0 {
		s.out[sl.p] += amps
	}
	if sl.q >= 0 {
		s.out[sl.q] -= amps
	}
}

// measure works out the voltage across each element at s.u.
func (s *search) measure() {
	for e := range s.w {
		sl := &s.n.slots[e]
		s.w[e] = sl.across(s.u) + sl.rise
	}
}

// start sets the voltages that the net would have with every switching element
// in its usual mode.
func (s *search) start() {
	clear(s.out)
	for i := range s.bent {
		b := &s.bent[i]
		b.amps, b.slope = b.eager(b.mode, s.lv)
		s.push(&b.slot, b.amps+b.slope*b.rise)
	}
	s.factor(floorSiemens)
	s.step()
	for k, d := range s.d {
		// Beyond the sources' reach nothing but a load sets the voltage.
		if math.Abs(d) <= s.lv.ceiling {
			s.u[k] = d
		}
	}
}

// flow works out the currents out of each group at s.u and the slopes of the
// bent elements.
func (s *search) flow(flat bool) {
	clear(s.out)
	f := s.f
	for k, u := range s.u {
		sum := s.leak[k] * u
		for p := f.pairStart[k]; p < f.pairStart[k+1]; p++ {
			r := f.pairRow[p]
			amps := s.pairs[p] * (u - s.u[r])
			sum += amps
			s.out[r] -= amps
		}
		s.out[k] += sum
	}
	for i := range s.bent {
		b := &s.bent[i]
		b.w = b.across(s.u) + b.rise
		b.amps, b.slope = b.flow(b.w, b.mode, s.lv, flat)
		s.push(&b.slot, b.amps)
	}
}

// settled says whether the factor at hand has every bent element on the piece
// of its law where it stands.
func (s *search) settled() bool {
	for i := range s.bent {
		b := &s.bent[i]
		if b.slope < 0 && b.usedSlope < 0 {
			continue
		}
		// Two flat pieces, such as off and limiting, differ in their current.
		if b.slope != b.usedSlope || b.slope == 0 && b.amps != b.usedAmps {
			return false
		}
	}
	return true
}

// factor factors the matrix of all slopes with no slope of zero below the floor.
// Where falling currents make it indefinite, it takes them at less and in the
// end at none: so long as a root is near a little less will do and steps stay
// long, and they stay downhill in any case.
func (s *search) factor(floor float64) {
	same := s.fresh && s.raised == floor
	for i := range s.bent {
		b := &s.bent[i]
		same = same && b.usedSlope == b.slope
		b.usedAmps, b.usedSlope = b.amps, b.slope
	}
	if same {
		return
	}
	s.fresh, s.raised = true, floor
	for _, share := range []float64{1, 0.9999, 0.99, 0} {
		copy(s.f.pairs, s.pairs)
		copy(s.f.leak, s.leak)
		for i := range s.bent {
			g := s.bent[i].slope
			if g < 0 {
				g *= share
			}
			if g >= 0 {
				g = max(g, floor)
			}
			s.bent[i].place(s.f.pairs, s.f.leak, g)
		}
		s.factors++
		s.blunt = share < 1
		if s.f.compute() {
			return
		}
	}
	panic("netsolve: a matrix of positive conductances has a negative pivot")
}

// step sets s.d to the Newton step.
func (s *search) step() {
	for k, amps := range s.out {
		s.d[k] = -amps
	}
	s.f.solve(s.d)
}

// settle takes Newton steps from s.u until they are negligible. Not tight, it
// is content with the right modes.
//
// All laws but that of constant power rise with the voltage, so the state is
// the minimum of a convex function, the content: the sum over elements of
// ∫i dw (Millar, Phil. Mag. 42 (1951) 1150-1160). A step that would overshoot
// is shortened to where the content is least along it. Where loads of constant
// power make the matrix indefinite, less of their falling currents enters it,
// which keeps the step downhill.
//
// With flat the minimum is the only one, so whole steps are tried first, which
// mostly find the modes at once but may cycle.
func (s *search) settle(flat, tight bool) error {
	floor, idle := floorSiemens, 0
	far := 4 * s.lv.ceiling
	from := slices.Clone(s.u)
	s.flow(flat)
	for pass := range s.opt.Steps {
		whole := flat && pass < wholeSteps
		if flat && pass == wholeSteps {
			copy(s.u, from)
			s.flow(flat)
		}
		s.steps++
		s.factor(floor)
		s.step()
		size, gain := 0.0, 0.0
		for k, d := range s.d {
			size = max(size, math.Abs(d))
			gain -= s.out[k] * d
		}
		// What moves at a small gain is tied by leaks alone. The currents there
		// are below rounding, so it may never come to rest.
		small := gain < idleSiemens*s.lv.top*s.lv.top
		if floor == floorSiemens {
			if idle++; !small {
				idle = 0
			}
			if idle == 8 {
				return nil
			}
		}
		t := min(1, far/size)
		if size > 1e-9*s.lv.top && !whole {
			t = s.length(t, flat)
		}
		for k, d := range s.d {
			s.u[k] += t * d
		}
		s.flow(flat)
		// With all modes right a Newton step leaves an error of the square of its
		// size, in parts of the voltage.
		sharp := !s.blunt && s.settled() && (size <= 1e-8*s.lv.top || !tight)
		if t == 1 && floor == floorSiemens && (sharp || size <= 1e-12*s.lv.top) {
			return nil
		}
		// A step cut short has run into a change of modes. A higher floor then
		// lets all parts of the net move at once, rather than the one with the
		// widest swing.
		if t < 0.5 && !small {
			floor = min(1, max(100*floor, 1e-4))
		} else if floor /= 100; floor < 1e-10 {
			floor = floorSiemens
		}
	}
	return s.noRest()
}

// wholeSteps is how many whole steps are tried before each is looked at;
// judgement.
const wholeSteps = 20

// length returns how much of the step to take, at most all of it: where the
// content is least along it. A tangent may fall short or overshoot by many
// powers of ten where a kink lies on the way, hence the narrow tolerance.
func (s *search) length(most float64, flat bool) float64 {
	// The content's slope along the step is ohm + t·rise of all that obeys
	// Ohm's law, and the bent elements' on top.
	ohm, rise := 0.0, 0.0
	f := s.f
	for k, d := range s.d {
		ohm += s.leak[k] * s.u[k] * d
		rise += s.leak[k] * d * d
		for p := f.pairStart[k]; p < f.pairStart[k+1]; p++ {
			r := f.pairRow[p]
			dw := d - s.d[r]
			ohm += s.pairs[p] * (s.u[k] - s.u[r]) * dw
			rise += s.pairs[p] * dw * dw
		}
	}
	for i := range s.bent {
		s.bent[i].dw = s.bent[i].across(s.d)
	}
	at := func(t float64) float64 {
		sum := ohm + t*rise
		for i := range s.bent {
			b := &s.bent[i]
			amps, _ := b.flow(b.w+t*b.dw, b.mode, s.lv, flat)
			sum += amps * b.dw
		}
		return sum
	}
	lo, hi := 0.0, most
	atLo, atHi := at(0), at(hi)
	if atHi <= 0 || most == 1 && atHi <= 1e-2*math.Abs(atLo) {
		return hi
	}
	// Regula falsi, halving the end that stays (Illinois).
	side := 0
	for range 100 {
		if hi-lo <= 1e-9*hi {
			break
		}
		t := (lo*atHi - hi*atLo) / (atHi - atLo)
		if !(t > lo && t < hi) {
			t = lo + (hi-lo)/2
		}
		v := at(t)
		if v == 0 {
			return t
		}
		if v > 0 {
			hi, atHi = t, v
			if side > 0 {
				atLo /= 2
			}
			side = 1
		} else {
			lo, atLo = t, v
			if side < 0 {
				atHi /= 2
			}
			side = -1
		}
	}
	if lo > 0 {
		return lo
	}
	return hi
}
