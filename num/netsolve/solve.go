package netsolve

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// Options holds the counted budgets of Solve; zero or less takes the default.
type Options struct {
	Steps int // Newton steps for one set of live loads, 200
	Cuts  int // loads cut out for their least volts, all
}

// Solution is the steady state of a net.
type Solution struct {
	V    []float64 // volts of each node against the reference
	I    []float64 // amps of each element from its first end to its second
	Mode []Mode    // of each element

	Out   []Elem // loads cut out for their least volts, in the order of cutting
	Unfed []Elem // loads that no source reaches, ascending

	// Islands are the groups of nodes without a way to the reference through
	// anything but loads, by lowest node, nodes ascending. The voltages of one
	// that no load ties to the rest stand against its lowest node.
	Islands [][]int

	Steps    int     // Newton steps taken
	Factors  int     // matrices factored
	Residual float64 // largest sum of currents into a node, amps
}

// NoRoot tells that a load without least volts asks for more than the network
// can carry at any voltage.
type NoRoot struct {
	Load  string
	Elem  Elem
	Bus   string  // node of the load's first end
	Volts float64 // what the load would get if it drew nothing
}

func (e *NoRoot) Error() string {
	return fmt.Sprintf("netsolve: no steady state: load %s at %s asks for more than its supply of %.4g V can carry", e.Load, e.Bus, e.Volts)
}

// NoRest tells that the budget of steps ran out before the voltages came to
// rest.
type NoRest struct {
	Steps    int
	Bus      string  // the node that moved most in the last step
	Volts    float64 // by how much
	Residual float64 // amps
}

func (e *NoRest) Error() string {
	return fmt.Sprintf("netsolve: not at rest after %d steps: node %s still moves by %.3g V", e.Steps, e.Bus, e.Volts)
}

// Solve finds the steady state. Loads under their least volts are cut out one
// at a time, the one furthest below first, of equals the one made first; each
// stays out. The voltages are found to 1e-12 of the highest source.
func (n *Net) Solve(opt Options) (Solution, error) {
	s, err := newSearch(n, opt.filled(n))
	if err != nil {
		return Solution{}, err
	}
	s.start()
	return s.run()
}

func (opt Options) filled(n *Net) Options {
	if opt.Steps <= 0 {
		opt.Steps = 200
	}
	if opt.Cuts <= 0 {
		opt.Cuts = len(n.elems)
	}
	return opt
}

// run settles the voltages with fewer and fewer loads until each live load has
// its least volts.
func (s *search) run() (Solution, error) {
	var sol Solution
	for moved := true; ; {
		if moved {
			if err := s.comeDown(); err != nil {
				return sol, err
			}
		}
		var cut []Elem
		if cut, moved = s.short(); len(cut) == 0 {
			break
		}
		for _, e := range cut {
			if len(sol.Out) == s.opt.Cuts {
				return sol, fmt.Errorf("netsolve: more than %d loads under their least volts, the next is %s", s.opt.Cuts, s.n.Name(e))
			}
			s.modes[e] = CutOut
			sol.Out = append(sol.Out, e)
		}
		s.sort()
	}
	if err := s.unfed(&sol); err != nil {
		return sol, err
	}
	s.fill(&sol)
	return sol, nil
}

// comeDown settles the voltages for the loads at hand. With loads of constant
// power held at the current of the ceiling the state is unique and lies above
// every root; from there Newton's method comes down to the highest one, whatever
// the start was.
func (s *search) comeDown() error {
	if err := s.settle(true, !s.power); err != nil {
		return err
	}
	if s.power {
		if err := s.settle(false, true); err != nil {
			return err
		}
	}
	s.measure()
	return nil
}

// short returns the load furthest below its least volts, and whether cutting it
// moves any voltage. Where it draws nothing that isn't so, and the next furthest
// follow in their order up to the first that draws.
func (s *search) short() (cut []Elem, moves bool) {
	for e := range s.n.elems {
		if least := s.n.elems[e].least; least > 0 && s.modes[e] == Conducts && s.w[e] < least {
			cut = append(cut, Elem(e))
		}
	}
	slices.SortStableFunc(cut, func(a, b Elem) int {
		return cmp.Compare(s.w[a]-s.n.elems[a].least, s.w[b]-s.n.elems[b].least)
	})
	for i, e := range cut {
		w := s.w[e]
		if s.n.elems[e].kind == loadR {
			w = math.Abs(w)
		}
		if w > 1e-12*s.lv.top {
			return cut[:i+1], true
		}
	}
	return cut, false
}

// starved returns the live loads without least volts that get next to nothing.
func (s *search) starved() []Elem {
	var low []Elem
	for e := range s.n.elems {
		el := &s.n.elems[e]
		if s.modes[e] == Conducts && (el.kind == loadI || el.kind == loadP) && el.least == 0 && el.draw > 0 && s.w[e] < hopeless*s.lv.top {
			low = append(low, Elem(e))
		}
	}
	return low
}

// unfed takes out the starved loads. Where one then has volts again, it was its
// own draw that took them, and no root exists.
func (s *search) unfed(sol *Solution) error {
	sol.Unfed = s.starved()
	if len(sol.Unfed) == 0 {
		return nil
	}
	worst := sol.Unfed[0]
	for _, e := range sol.Unfed {
		if s.w[e] < s.w[worst] {
			worst = e
		}
	}
	for _, e := range sol.Unfed {
		s.modes[e] = probed
	}
	s.sort()
	if err := s.comeDown(); err != nil {
		return err
	}
	fed := func(e Elem) bool { return s.w[e] > hopeless*s.lv.top }
	if !fed(worst) {
		worst = -1
		for _, e := range sol.Unfed {
			if fed(e) {
				worst = e
				break
			}
		}
	}
	if worst >= 0 {
		el := &s.n.elems[worst]
		return &NoRoot{Load: el.name, Elem: worst, Bus: s.n.nodes[el.a], Volts: s.w[worst]}
	}
	for _, e := range sol.Unfed {
		s.modes[e] = Unfed
	}
	s.sort()
	return s.comeDown()
}

func (s *search) noRest() error {
	most := -1
	for k, d := range s.d {
		if most < 0 || math.Abs(d) > math.Abs(s.d[most]) {
			most = k
		}
	}
	group := s.n.shape.order[most]
	for i, g := range s.n.joined.group {
		if g == group {
			return &NoRest{Steps: s.opt.Steps, Bus: s.n.nodes[i], Volts: math.Abs(s.d[most]), Residual: s.residual()}
		}
	}
	panic("netsolve: a group without nodes")
}

func (s *search) residual() float64 {
	most := 0.0
	for _, amps := range s.out {
		most = max(most, math.Abs(amps))
	}
	return most
}

// fill writes the settled state into the solution.
func (s *search) fill(sol *Solution) {
	n := s.n
	sol.Steps, sol.Factors, sol.Residual = s.steps, s.factors, s.residual()
	sol.V = make([]float64, len(n.nodes))
	for i, g := range n.joined.group {
		sol.V[i] = n.joined.offset[i]
		if g >= 0 {
			sol.V[i] += s.u[n.shape.step[g]]
		}
	}
	sol.I = make([]float64, len(n.elems))
	sol.Mode = make([]Mode, len(n.elems))
	for e := range n.elems {
		el := &n.elems[e]
		sol.Mode[e] = el.mode(s.w[e], s.modes[e])
		if !el.rigid() {
			sol.I[e], _ = el.flow(s.w[e], s.modes[e], s.lv, false)
		}
	}
	n.joined.currents(n, sol.I)
	sol.Islands = n.islands(false)
	for _, island := range n.islands(true) {
		base := sol.V[island[0]]
		for _, i := range island {
			sol.V[i] -= base
		}
	}
}
