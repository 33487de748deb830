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

// slot is where an element stands in the matrix: the steps of elimination of
// its ends (-1 for the reference), the place of their pair, and the voltage
// between its ends that comes from rigid elements.
type slot struct {
	p, q int32
	pair int32 // -1 where an end is at the reference
	rise float64
}

// Solve finds the steady state. Loads under their least volts are cut out one
// at a time, the one furthest below first, of equals the one made first; each
// stays out. The voltages are found to 1e-12 of the highest source.
func (n *Net) Solve(opt Options) (Solution, error) {
	if opt.Steps <= 0 {
		opt.Steps = 200
	}
	if opt.Cuts <= 0 {
		opt.Cuts = len(n.elems)
	}
	s, err := newSearch(n, opt)
	if err != nil {
		return Solution{}, err
	}
	return s.run()
}

// prepare works out all that depends on the wiring only.
func (n *Net) prepare() error {
	if n.err != nil {
		return n.err
	}
	if n.shape != nil {
		return nil
	}
	j, err := join(n)
	if err != nil {
		return err
	}
	n.joined = j
	n.shape = newPattern(n.couplings())
	n.slots = make([]slot, len(n.elems))
	for e := range n.elems {
		el := &n.elems[e]
		s := slot{p: -1, q: -1, pair: -1, rise: j.offset[el.a] - j.offset[el.b]}
		ga, gb := j.group[el.a], j.group[el.b]
		if ga >= 0 {
			s.p = n.shape.step[ga]
		}
		if gb >= 0 {
			s.q = n.shape.step[gb]
		}
		if s.p >= 0 && s.q >= 0 && s.p != s.q {
			s.pair = n.shape.pair(ga, gb)
		}
		n.slots[e] = s
	}
	return nil
}

// couplings is the graph of groups that have an element between them, open
// contacts included, so that a contact may close without a new order.
func (n *Net) couplings() graph {
	j := n.joined
	start := make([]int32, j.groups+1)
	each := func(do func(a, b int32)) {
		for e := range n.elems {
			a, b := j.group[n.elems[e].a], j.group[n.elems[e].b]
			if a >= 0 && b >= 0 && a != b {
				do(a, b)
			}
		}
	}
	each(func(a, b int32) { start[a+1]++; start[b+1]++ })
	for i := range j.groups {
		start[i+1] += start[i]
	}
	adj := make([]int32, start[j.groups])
	fill := append([]int32(nil), start...)
	each(func(a, b int32) {
		adj[fill[a]], adj[fill[b]] = b, a
		fill[a]++
		fill[b]++
	})

	// Elements in parallel make one coupling.
	mark := make([]int32, j.groups)
	kept := int32(0)
	g := graph{start: make([]int32, j.groups+1), adj: adj}
	for i := range int32(j.groups) {
		for _, k := range adj[start[i]:start[i+1]] {
			if mark[k] != i+1 {
				mark[k] = i + 1
				adj[kept] = k
				kept++
			}
		}
		g.start[i+1] = kept
	}
	g.adj = adj[:kept]
	return g
}

// search is the state of one Solve. Vectors over groups are in the order of
// elimination.
type search struct {
	n     *Net
	opt   Options
	lv    level
	f     *factor
	modes []Mode // CutOut or Unfed of a load, else Conducts

	u     []float64 // volts of each group
	d     []float64 // the step
	out   []float64 // sum of currents out of each group
	w, dw []float64 // volts across each element, and their change with d
	slope []float64
	used  []float64 // slopes in the factor, NaN before the first

	steps, factors int
}

func newSearch(n *Net, opt Options) (*search, error) {
	if err := n.prepare(); err != nil {
		return nil, err
	}
	groups, elems := n.joined.groups, len(n.elems)
	s := &search{
		n: n, opt: opt, f: newFactor(n.shape), modes: make([]Mode, elems),
		u: make([]float64, groups), d: make([]float64, groups), out: make([]float64, groups),
		w: make([]float64, elems), dw: make([]float64, elems),
		slope: make([]float64, elems), used: make([]float64, elems),
	}
	for e := range n.elems {
		el := &n.elems[e]
		if el.kind == battery || el.kind == alternator {
			s.lv.top = max(s.lv.top, math.Abs(el.volts))
			s.lv.ceiling += math.Abs(el.volts)
		}
		s.used[e] = math.NaN()
	}
	if s.lv.top == 0 {
		s.lv = level{1, 1}
	}
	return s, nil
}

// run settles the voltages with fewer and fewer loads until each live load has
// its least volts.
func (s *search) run() (Solution, error) {
	var sol Solution
	s.start()
	for {
		// With loads of constant power held at the current of the ceiling the
		// state is unique and lies above every root; from there Newton's method
		// comes down to the highest one, whatever the start was.
		if err := s.settle(true); err != nil {
			return sol, err
		}
		if err := s.settle(false); err != nil {
			return sol, err
		}
		cut := s.short()
		if len(cut) == 0 {
			break
		}
		for _, e := range cut {
			if len(sol.Out) == s.opt.Cuts {
				return sol, fmt.Errorf("netsolve: more than %d loads under their least volts, the next is %s", s.opt.Cuts, s.n.Name(e))
			}
			s.modes[e] = CutOut
			sol.Out = append(sol.Out, e)
		}
	}
	if err := s.unfed(&sol); err != nil {
		return sol, err
	}
	s.fill(&sol)
	return sol, nil
}

// short returns the load furthest below its least volts. Where that one draws
// nothing, cutting it changes no voltage, so the next furthest follow in their
// order up to the first that draws.
func (s *search) short() []Elem {
	var low []Elem
	for e := range s.n.elems {
		if least := s.n.elems[e].least; least > 0 && s.modes[e] == Conducts && s.w[e] < least {
			low = append(low, Elem(e))
		}
	}
	slices.SortStableFunc(low, func(a, b Elem) int {
		return cmp.Compare(s.w[a]-s.n.elems[a].least, s.w[b]-s.n.elems[b].least)
	})
	for i, e := range low {
		if s.n.elems[e].kind == loadR || s.w[e] > 1e-12*s.lv.top {
			return low[:i+1]
		}
	}
	return low
}

// unfed takes out the loads without least volts that get next to nothing. Where
// one then has volts again, it was its own draw that took them, and no root
// exists.
func (s *search) unfed(sol *Solution) error {
	worst := Elem(-1)
	for e := range s.n.elems {
		el := &s.n.elems[e]
		if s.modes[e] != Conducts || el.draw == 0 {
			continue
		}
		if el.least == 0 && (el.kind == loadI || el.kind == loadP) && s.w[e] < hopeless*s.lv.top {
			if worst < 0 || s.w[e] < s.w[worst] {
				worst = Elem(e)
			}
			sol.Unfed = append(sol.Unfed, Elem(e))
		}
	}
	if worst < 0 {
		return nil
	}
	for _, e := range sol.Unfed {
		s.modes[e] = probed
	}
	for _, flat := range []bool{true, false} {
		if err := s.settle(flat); err != nil {
			return err
		}
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
	return s.settle(false)
}

// start sets the voltages that the net would have with every switching element
// in its usual mode.
func (s *search) start() {
	clear(s.out)
	for e := range s.n.elems {
		el, sl := &s.n.elems[e], &s.n.slots[e]
		if sl.p == sl.q {
			continue
		}
		amps, slope := el.eager(s.modes[e], s.lv)
		s.slope[e] = slope
		s.push(sl, amps+slope*sl.rise)
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

// push counts a current a→b of an element out of one group and into the other.
func (s *search) push(sl *slot, amps float64) {
	if sl.p >= 0 {
		s.out[sl.p] += amps
	}
	if sl.q >= 0 {
		s.out[sl.q] -= amps
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

// flow works out voltages, currents and slopes of all elements at s.u.
func (s *search) flow(flat bool) {
	clear(s.out)
	for e := range s.n.elems {
		el, sl := &s.n.elems[e], &s.n.slots[e]
		w := sl.across(s.u) + sl.rise
		s.w[e] = w
		if sl.p == sl.q {
			continue
		}
		amps, slope := el.flow(w, s.modes[e], s.lv, flat)
		s.slope[e] = slope
		s.push(sl, amps)
	}
}

// factor factors the matrix of s.slope with no slope of zero below the floor.
// Where falling currents make it indefinite, it takes them at less and in the
// end at none: so long as a root is near a little less will do and steps stay
// long, and they stay downhill in any case.
func (s *search) factor(floor float64) {
	for e, g := range s.slope {
		if g >= 0 {
			s.slope[e] = max(g, floor)
		}
	}
	if s.refactor(s.slope) {
		return
	}
	less := make([]float64, len(s.slope))
	for _, share := range []float64{0.9999, 0.99, 0} {
		for e, g := range s.slope {
			if less[e] = g; g < 0 {
				less[e] = g * share
				if share == 0 {
					less[e] = floor
				}
			}
		}
		if s.refactor(less) {
			return
		}
	}
	panic("netsolve: a matrix of positive conductances has a negative pivot")
}

// refactor factors the matrix of these slopes, unless it is the one at hand. It
// returns false where the matrix isn't positive definite.
func (s *search) refactor(slope []float64) bool {
	same := true
	for e, g := range slope {
		if g != s.used[e] {
			same = false
			break
		}
	}
	if same {
		return true
	}
	copy(s.used, slope)
	clear(s.f.pairs)
	clear(s.f.leak)
	for e, g := range slope {
		switch sl := &s.n.slots[e]; {
		case sl.p == sl.q:
		case sl.pair >= 0:
			s.f.pairs[sl.pair] += g
		case sl.p >= 0:
			s.f.leak[sl.p] += g
		default:
			s.f.leak[sl.q] += g
		}
	}
	s.factors++
	if !s.f.compute() {
		s.used[0] = math.NaN()
		return false
	}
	return true
}

// step sets s.d to the Newton step and s.dw to its change of each element's
// voltage.
func (s *search) step() {
	for k, amps := range s.out {
		s.d[k] = -amps
	}
	s.f.solve(s.d)
	for e := range s.dw {
		s.dw[e] = s.n.slots[e].across(s.d)
	}
}

// settle takes Newton steps from s.u until they are negligible.
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
func (s *search) settle(flat bool) error {
	floor, idle := floorSiemens, 0
	far := 4 * s.lv.ceiling
	from := slices.Clone(s.u)
	for pass := range s.opt.Steps {
		whole := flat && pass < wholeSteps
		if flat && pass == wholeSteps {
			copy(s.u, from)
		}
		s.steps++
		s.flow(flat)
		s.factor(floor)
		s.step()
		size, gain := 0.0, 0.0
		for k, d := range s.d {
			size = max(size, math.Abs(d))
			gain -= s.out[k] * d
		}
		t := 1.0
		if size > 1e-9*s.lv.top && !whole {
			t = s.length(min(1, far/size), flat)
		}
		for k, d := range s.d {
			s.u[k] += t * d
			if whole {
				s.u[k] = min(max(s.u[k], -far), far)
			}
		}
		small := gain < idleSiemens*s.lv.top*s.lv.top
		if floor == floorSiemens {
			// What still moves at a small gain is tied by leaks alone. The
			// currents there are below rounding, so it may never come to rest.
			if idle++; !small {
				idle = 0
			}
			if small && size <= 1e-12*s.lv.top || idle == 8 {
				s.flow(flat)
				return nil
			}
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
	at := func(t float64) float64 {
		sum := 0.0
		for e := range s.dw {
			if dw := s.dw[e]; dw != 0 && s.n.slots[e].p != s.n.slots[e].q {
				amps, _ := s.n.elems[e].flow(s.w[e]+t*dw, s.modes[e], s.lv, flat)
				sum += amps * dw
			}
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
