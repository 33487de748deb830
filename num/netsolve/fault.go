package netsolve

// Study is a net in its steady state, for asking what one fault does to it.
//
// Loads that are out in that state stay out in the fault; further ones may drop
// out. Otherwise an answer is that of Solve for the net with the fault in it. It
// starts from the steady state and keeps the order of elimination. It makes a new
// factor each time: on nets of car shape that costs no more than three solutions
// with an old one, so correcting the old one in the few places that a fault and
// the modes it changes touch (Sherman, Morrison, Woodbury) measures slower.
type Study struct {
	n    *Net
	opt  Options
	rest *search
	base Solution
}

// Study solves the net. The study keeps its own picture of it: later changes of
// the net don't matter.
func (n *Net) Study(opt Options) (*Study, error) {
	own := n.with(nil)
	s, err := newSearch(own, opt.filled(own))
	if err != nil {
		return nil, err
	}
	s.start()
	base, err := s.run()
	if err != nil {
		return nil, err
	}
	return &Study{n: own, opt: s.opt, rest: s, base: base}, nil
}

// Base returns the state without a fault.
func (st *Study) Base() Solution { return st.base }

// Open returns the state with an element broken.
func (st *Study) Open(e Elem) (Solution, error) {
	faulty := st.n.with(nil)
	el := &faulty.elems[e]
	if el.rigid() {
		faulty.joined, faulty.shape = nil, nil
	}
	el.law = law{kind: contact, open: true}
	return st.solve(faulty)
}

// Short returns the state with a resistance between two nodes that should have
// none between them; 0 Ω makes them one.
func (st *Study) Short(a, b int, ohm float64) (Solution, error) {
	short := element{law{kind: resistor, ohm: ohm}, "short", a, b}
	faulty := st.n.with(&short)
	sol, err := st.solve(faulty)
	if err == nil {
		sol.I, sol.Mode = sol.I[:len(st.n.elems)], sol.Mode[:len(st.n.elems)]
	}
	return sol, err
}

// with returns a copy of the net, with one more element if there is one. What
// was prepared is kept where the element needs no new place in the matrix.
func (n *Net) with(more *element) *Net {
	c := *n
	c.elems = append(make([]element, 0, len(n.elems)+1), n.elems...)
	if more == nil {
		return &c
	}
	c.elems = append(c.elems, *more)
	c.check(*more)
	if c.err == nil && c.shape != nil && !more.rigid() {
		if sl, ok := c.slot(Elem(len(n.elems))); ok {
			c.slots = append(append(make([]slot, 0, len(c.elems)), n.slots...), sl)
			return &c
		}
	}
	c.joined, c.shape = nil, nil
	return &c
}

func (st *Study) solve(faulty *Net) (Solution, error) {
	kept := faulty.shape != nil
	s, err := newSearch(faulty, st.opt)
	if err != nil {
		return Solution{}, err
	}
	for e, mode := range st.rest.modes {
		if mode == CutOut {
			s.modes[e] = CutOut
		}
	}
	s.sort()
	if kept {
		copy(s.u, st.rest.u)
	} else {
		s.start()
	}
	sol, err := s.run()
	sol.Out = append(append([]Elem(nil), st.base.Out...), sol.Out...)
	return sol, err
}
