package netsolve

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// The oracle works on part lists of its own and solves dense matrices with
// gonum. It finds modes by changing one wrong mode at a time, the first in the
// list (Murty's least-index rule, which ends where the laws rise with voltage),
// and constant power by repeating with the current P/w from above. It shares
// nothing with the package.

type partKind int

const (
	pResistor partKind = iota
	pContact
	pBattery
	pAlternator
	pDiode
	pLoadI
	pLoadR
	pLoadP
)

type part struct {
	kind             partKind
	a, b             int
	ohm, volts, draw float64
	least            float64
	closed           bool
}

func (p part) switches() bool {
	return p.kind == pAlternator || p.kind == pDiode || p.kind == pLoadI || p.kind == pLoadP
}

type circuit struct {
	nodes int
	parts []part
}

func (c circuit) net() *Net {
	n := New("n0")
	for i := 1; i < c.nodes; i++ {
		n.Node(fmt.Sprint("n", i))
	}
	for i, p := range c.parts {
		name := fmt.Sprint("e", i)
		switch p.kind {
		case pResistor:
			n.Resistor(name, p.a, p.b, p.ohm)
		case pContact:
			n.Contact(name, p.a, p.b, p.ohm, p.closed)
		case pBattery:
			n.Battery(name, p.a, p.b, p.volts, p.ohm)
		case pAlternator:
			n.Alternator(name, p.a, p.b, p.volts, p.draw, p.ohm)
		case pDiode:
			n.Diode(name, p.a, p.b, p.volts, p.ohm)
		case pLoadI:
			n.LoadI(name, p.a, p.b, p.draw, p.least)
		case pLoadR:
			n.LoadR(name, p.a, p.b, p.ohm, p.least)
		case pLoadP:
			n.LoadP(name, p.a, p.b, p.draw, p.least)
		}
	}
	return n
}

// randomCircuit strings resistors to a tree, closes loops, and hangs sources,
// diodes, contacts and loads of every kind on it.
func randomCircuit(r *counter, kinds ...partKind) circuit {
	c := circuit{nodes: 4 + r.below(11)}
	ohm := func(lo, hi float64) float64 { return lo * math.Pow(hi/lo, r.unit()) }
	add := func(p part) { c.parts = append(c.parts, p) }
	two := func() (int, int) {
		a := r.below(c.nodes)
		return a, (a + 1 + r.below(c.nodes-1)) % c.nodes
	}
	for i := 1; i < c.nodes; i++ {
		add(part{kind: pResistor, a: r.below(i), b: i, ohm: ohm(1e-3, 1)})
	}
	// One branch of the tree becomes the battery, the rest stays or is replaced.
	bat := r.below(len(c.parts))
	c.parts[bat] = part{kind: pBattery, a: c.parts[bat].b, b: c.parts[bat].a, volts: 11 + 2*r.unit(), ohm: ohm(1e-3, 0.05)}
	if r.below(3) == 0 {
		c.parts[bat].ohm = 0
	}
	for i := range c.parts {
		p := &c.parts[i]
		if i == bat {
			continue
		}
		switch r.below(16) {
		case 0:
			*p = part{kind: pContact, a: p.a, b: p.b, ohm: p.ohm, closed: r.below(4) > 0}
		case 1:
			if r.below(2) == 0 {
				p.a, p.b = p.b, p.a
			}
			*p = part{kind: pDiode, a: p.a, b: p.b, volts: 0.2 + 0.5*r.unit(), ohm: ohm(1e-3, 0.05)}
		case 2:
			if p.ohm < 0.01 {
				p.ohm = 0
			}
		}
	}
	for range r.below(4) {
		a, b := two()
		add(part{kind: pResistor, a: a, b: b, ohm: ohm(1e-3, 1000)})
	}
	if slices.Contains(kinds, pDiode) {
		for range r.below(3) {
			a, b := two()
			add(part{kind: pDiode, a: a, b: b, volts: 0.2 + 0.5*r.unit(), ohm: ohm(1e-3, 0.05)})
		}
	}
	if slices.Contains(kinds, pAlternator) {
		for range r.below(3) {
			p := c.parts[bat]
			if r.below(3) == 0 {
				p.a, p.b = two()
			}
			add(part{kind: pAlternator, a: p.a, b: p.b, volts: 12 + 2*r.unit(), draw: 5 + 60*r.unit(), ohm: ohm(1e-3, 0.05)})
		}
	}
	for range 1 + r.below(6) {
		p := part{kind: []partKind{pLoadI, pLoadR, pLoadP}[r.below(3)]}
		if !slices.Contains(kinds, p.kind) {
			continue
		}
		p.a, p.b = two()
		if r.below(3) > 0 {
			p.b = 0
			p.a = 1 + r.below(c.nodes-1)
		}
		amps := ohm(0.1, 15)
		switch p.kind {
		case pLoadI:
			p.draw = amps
		case pLoadR:
			p.ohm = 12 / amps
		case pLoadP:
			p.draw = 12 * amps
		}
		if r.below(2) == 0 {
			p.least = 11 * r.unit()
		}
		add(p)
	}
	return c
}

// answer is what the oracle finds.
type answer struct {
	volts, amps []float64
	out         []int
	unfed       []int
	noRoot      bool // a load without least volts gets nothing though it has a supply
	hard        bool // the repetition for constant power was too slow to judge
}

const (
	oracleLeak = 1e-12
)

// oracle solves the circuit with some loads out from the start.
func oracle(c circuit, out ...int) answer {
	gone := make([]float64, len(c.parts)) // leak of a load that is out, 0 while it draws
	for _, i := range out {
		gone[i] = oracleLeak
	}
	ans := answer{out: slices.Clone(out)}
	for {
		volts, amps, ok := powerFromAbove(c, gone)
		if !ok {
			ans.hard = true
			return ans
		}
		ans.volts, ans.amps = volts, amps
		worst, margin := -1, 0.0
		var starved []int
		for i, p := range c.parts {
			if gone[i] > 0 || p.kind < pLoadI {
				continue
			}
			w := volts[p.a] - volts[p.b]
			if p.least > 0 && w-p.least < margin {
				worst, margin = i, w-p.least
			}
			if p.least == 0 && p.kind != pLoadR && w < hopelessVolts(c) {
				starved = append(starved, i)
			}
		}
		if worst >= 0 {
			gone[worst] = oracleLeak
			ans.out = append(ans.out, worst)
			continue
		}
		if len(starved) == 0 {
			return ans
		}
		for _, i := range starved {
			gone[i] = 1e-4
		}
		if ans.volts, ans.amps, ok = powerFromAbove(c, gone); !ok {
			ans.hard = true
			return ans
		}
		ans.unfed = starved
		for _, i := range starved {
			if ans.volts[c.parts[i].a]-ans.volts[c.parts[i].b] > hopelessVolts(c) {
				ans.noRoot = true
			}
			gone[i] = oracleLeak
		}
		ans.volts, ans.amps, ok = powerFromAbove(c, gone)
		ans.hard = !ok
		return ans
	}
}

// hopelessVolts is where a load without least volts counts as without supply:
// a thousandth of the highest source.
func hopelessVolts(c circuit) float64 {
	most := 0.0
	for _, p := range c.parts {
		if p.kind == pBattery || p.kind == pAlternator {
			most = max(most, p.volts)
		}
	}
	return most / 1000
}

// foot is where a load is no more than a resistance.
func foot(c circuit, p part) float64 {
	if p.kind == pLoadP && p.least > 0 {
		return p.least
	}
	return hopelessVolts(c)
}

func powerFromAbove(c circuit, gone []float64) (volts, amps []float64, ok bool) {
	draw := make([]float64, len(c.parts))
	mode := make([]int, len(c.parts))
	for i, p := range c.parts {
		mode[i] = 1
		draw[i] = p.draw
		if p.kind == pLoadP {
			draw[i] = p.draw / 30
		}
	}
	for range 4000 {
		volts, amps, ok = murty(c, gone, draw, mode)
		if !ok {
			return nil, nil, false
		}
		change := 0.0
		for i, p := range c.parts {
			if p.kind != pLoadP || gone[i] > 0 {
				continue
			}
			w := max(volts[p.a]-volts[p.b], p.least)
			if p.least == 0 {
				w = max(w, hopelessVolts(c))
			}
			change = max(change, math.Abs(p.draw/w-draw[i])/p.draw)
			draw[i] = p.draw / w
		}
		if change < 1e-14 {
			return volts, amps, true
		}
	}
	return nil, nil, false
}

// murty solves with each switching part in one of its linear pieces until all
// pieces fit. Pieces: 0 carries nothing, 1 as it mostly works, 2 at its limit
// (alternator) or fading (load).
func murty(c circuit, gone []float64, draw []float64, mode []int) (volts, amps []float64, ok bool) {
	for range 3000 {
		volts, amps, ok = linear(c, gone, draw, mode)
		if !ok {
			return nil, nil, false
		}
		wrong := -1
		for i, p := range c.parts {
			if gone[i] == oracleLeak || !p.switches() {
				continue
			}
			w := volts[p.a] - volts[p.b]
			want := 1
			switch p.kind {
			case pDiode:
				if w < p.volts {
					want = 0
				}
			case pAlternator:
				if w > p.volts {
					want = 0
				} else if (p.volts-w)/p.ohm > p.draw {
					want = 2
				}
			default:
				if w < 0 {
					want = 0
				} else if w < foot(c, p) && gone[i] == 0 {
					want = 2
				}
			}
			if want != mode[i] {
				wrong = i
				// From piece to piece in their order along w.
				if p.kind != pDiode && gone[i] == 0 {
					if p.kind == pAlternator { // 2, 1, 0 as w rises
						if want < mode[i] {
							want = mode[i] - 1
						} else {
							want = mode[i] + 1
						}
					} else { // 0, 2, 1 as w rises
						pos := [...]int{0, 2, 1}
						if pos[want] < pos[mode[i]] {
							want = [...]int{0, 2, 1}[pos[mode[i]]-1]
						} else {
							want = [...]int{0, 2, 1}[pos[mode[i]]+1]
						}
					}
				}
				mode[i] = want
				break
			}
		}
		if wrong < 0 {
			return volts, amps, true
		}
	}
	return nil, nil, false
}

// linear solves with a row for each node but 0 and a column more for the
// current of each part without resistance.
func linear(c circuit, gone []float64, draw []float64, mode []int) (volts, amps []float64, ok bool) {
	n := c.nodes - 1
	var stiff []int
	for i, p := range c.parts {
		if p.ohm == 0 && (p.kind == pResistor || p.kind == pBattery || p.kind == pContact && p.closed) {
			stiff = append(stiff, i)
		}
	}
	a := mat.NewDense(n+len(stiff), n+len(stiff), nil)
	b := mat.NewVecDense(n+len(stiff), nil)
	add := func(i, j int, v float64) {
		if i > 0 && j > 0 {
			a.Set(i-1, j-1, a.At(i-1, j-1)+v)
		}
	}
	root := make([]int, c.nodes)
	for i := range root {
		root[i] = i
	}
	law := make([][2]float64, len(c.parts)) // amps = g·w + s
	for i, p := range c.parts {
		var g, s float64
		switch p.kind {
		case pResistor:
			g = 1 / p.ohm
		case pContact:
			if p.closed {
				g = 1 / p.ohm
			}
		case pBattery:
			g, s = 1/p.ohm, -p.volts/p.ohm
		case pDiode:
			if mode[i] == 1 {
				g, s = 1/p.ohm, -p.volts/p.ohm
			}
		case pAlternator:
			switch mode[i] {
			case 1:
				g, s = 1/p.ohm, -p.volts/p.ohm
			case 2:
				s = -p.draw
			}
		case pLoadR:
			if g = 1 / p.ohm; gone[i] > 0 {
				g = gone[i]
			}
		case pLoadI, pLoadP:
			switch {
			case mode[i] == 0:
				g = oracleLeak
			case gone[i] > 0:
				g = gone[i]
			case mode[i] == 1:
				s = draw[i]
			default:
				g = draw[i] / foot(c, p)
			}
		}
		if g > 2e-4 {
			from, to := root[p.a], root[p.b]
			for k := range root {
				if root[k] == from || root[k] == to {
					root[k] = min(from, to)
				}
			}
		}
		if slices.Contains(stiff, i) {
			continue
		}
		law[i] = [2]float64{g, s}
		add(p.a, p.a, g)
		add(p.b, p.b, g)
		add(p.a, p.b, -g)
		add(p.b, p.a, -g)
		if p.a > 0 {
			b.SetVec(p.a-1, b.AtVec(p.a-1)-s)
		}
		if p.b > 0 {
			b.SetVec(p.b-1, b.AtVec(p.b-1)+s)
		}
	}
	// Each group that only leaks tie to the rest rests at 0 V.
	for i := 1; i <= n; i++ {
		if root[i] == i {
			add(i, i, 1e-11)
		}
	}
	for k, i := range stiff {
		p := c.parts[i]
		if p.a > 0 {
			a.Set(n+k, p.a-1, 1)
			a.Set(p.a-1, n+k, 1)
		}
		if p.b > 0 {
			a.Set(n+k, p.b-1, -1)
			a.Set(p.b-1, n+k, -1)
		}
		b.SetVec(n+k, p.volts)
	}
	var x mat.VecDense
	if err := x.SolveVec(a, b); err != nil {
		var cond mat.Condition
		if !errors.As(err, &cond) || math.IsInf(float64(cond), 1) {
			return nil, nil, false
		}
	}
	volts = make([]float64, c.nodes)
	for i := 1; i <= n; i++ {
		volts[i] = x.AtVec(i - 1)
	}
	amps = make([]float64, len(c.parts))
	for i, p := range c.parts {
		amps[i] = law[i][0]*(volts[p.a]-volts[p.b]) + law[i][1]
	}
	for k, i := range stiff {
		amps[i] = x.AtVec(n + k)
	}
	return volts, amps, true
}

func outs(sol Solution) []int {
	var out []int
	for _, e := range sol.Out {
		out = append(out, int(e))
	}
	return out
}

// tied says which nodes have a conducting way to the reference, so that their
// voltage is a matter of more than leaks.
func tied(c circuit, gone []int, sol Solution) []bool {
	in := make([]bool, c.nodes)
	in[0] = true
	for changed := true; changed; {
		changed = false
		for i, p := range c.parts {
			conducts := false
			switch p.kind {
			case pResistor, pBattery:
				conducts = true
			case pContact:
				conducts = p.closed
			case pDiode:
				conducts = sol.I[i] > 1e-6
			case pAlternator:
				conducts = sol.Mode[i] == Regulates && sol.I[i] < -1e-6
			case pLoadR:
				conducts = !slices.Contains(gone, i)
			}
			if conducts && in[p.a] != in[p.b] {
				in[p.a], in[p.b], changed = true, true, true
			}
		}
	}
	return in
}

func TestSolveDense(t *testing.T) {
	r := counter(11)
	kinds := map[string]int{}
	for range 600 {
		c := randomCircuit(&r, pDiode, pAlternator, pLoadI, pLoadR, pLoadP)
		want := oracle(c)
		if want.hard {
			kinds["hard"]++
			continue
		}
		compare(t, c, want, kinds)
		if t.Failed() {
			return
		}
	}
	t.Log(kinds)
	if kinds["root"] < 300 || kinds["cut out"] < 100 || kinds["no root"] < 30 || kinds["unfed"] < 20 || kinds["hard"] > 60 {
		t.Errorf("the cases are lopsided: %v", kinds)
	}
}

func compare(t *testing.T, c circuit, want answer, kinds map[string]int) {
	t.Helper()
	sol, err := c.net().Solve(Options{})
	judge(t, c, sol, err, want, kinds)
}

func judge(t *testing.T, c circuit, sol Solution, err error, want answer, kinds map[string]int) {
	t.Helper()
	var none *NoRoot
	if want.noRoot {
		kinds["no root"]++
		// With several loads that cannot all be carried, which one is named is
		// a matter of taste.
		if !errors.As(err, &none) || c.parts[none.Elem].least > 0 {
			t.Errorf("%+v\n%v, unfed %v, want no root, as at %v", c, err, sol.Unfed, want.unfed)
		}
		return
	}
	kinds["root"]++
	if err != nil {
		t.Errorf("%+v\n%v", c, err)
		return
	}
	if len(want.out) > 0 {
		kinds["cut out"]++
	}
	if len(want.unfed) > 0 {
		kinds["unfed"]++
	}
	for _, s := range []struct {
		what string
		got  []Elem
		want []int
	}{{"cut out", sol.Out, want.out}, {"unfed", sol.Unfed, want.unfed}} {
		var got []int
		for _, e := range s.got {
			got = append(got, int(e))
		}
		slices.Sort(got)
		if ids := slices.Sorted(slices.Values(s.want)); !slices.Equal(got, ids) {
			t.Errorf("%+v\n%s %v, want %v\n%v\n%v", c, s.what, s.got, s.want, want.volts, sol.V)
			return
		}
	}
	in := tied(c, want.out, sol)
	for i, v := range sol.V {
		if in[i] && math.Abs(v-want.volts[i]) > 1e-8 {
			t.Errorf("%+v\nV(n%d) = %.12f, want %.12f", c, i, v, want.volts[i])
			return
		}
	}
	for i, amps := range sol.I {
		if math.Abs(amps-want.amps[i]) > 1e-6 {
			t.Errorf("%+v\nI(e%d) = %.9f, want %.9f", c, i, amps, want.amps[i])
			return
		}
	}
}

// counter is a counted source of numbers (splitmix64), so that every run sees
// the same cases.
type counter uint64

func (c *counter) next() uint64 {
	*c += 0x9e3779b97f4a7c15
	z := uint64(*c)
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

func (c *counter) below(n int) int { return int(c.next() % uint64(n)) }

func (c *counter) unit() float64 { return float64(c.next()>>11) / (1 << 53) }
