package netsolve

import (
	"math"
	"testing"
)

// Currents sum to zero at every node, the reference included, and the power of
// the sources is what conductors and loads turn to heat and work.
func TestCurrentsAndPower(t *testing.T) {
	r := counter(31)
	judged := 0
	check := func(n *Net) {
		sol, err := n.Solve(Options{})
		if err != nil {
			return
		}
		judged++
		sums := make([]float64, n.Nodes())
		scale := make([]float64, n.Nodes())
		given, taken := 0.0, 0.0
		for e, el := range n.elems {
			i, w := sol.I[e], sol.V[el.a]-sol.V[el.b]
			sums[el.a] += i
			sums[el.b] -= i
			scale[el.a] = max(scale[el.a], math.Abs(i))
			scale[el.b] = max(scale[el.b], math.Abs(i))
			switch el.kind {
			case battery:
				given -= el.volts * i
				taken += i * i * el.ohm
			case alternator:
				given -= w * i
			case resistor, contact:
				taken += i * i * el.ohm
			case diode:
				taken += i * (el.volts + i*el.ohm)
			default:
				taken += w * i
			}
		}
		for node, sum := range sums {
			if math.Abs(sum) > 1e-9*max(1, scale[node]) {
				t.Errorf("currents at %s sum to %g A, the largest is %g A", n.NodeName(node), sum, scale[node])
			}
		}
		if math.Abs(given-taken) > 1e-9*math.Abs(given)+1e-9 {
			t.Errorf("sources give %.12f W, %.12f W are taken", given, taken)
		}
	}
	for range 300 {
		check(randomCircuit(&r, pDiode, pAlternator, pLoadI, pLoadR, pLoadP).net())
	}
	check(carLike(3000))
	if judged < 200 {
		t.Errorf("only %d nets have a steady state", judged)
	}
}

// In a linear net the voltages of two sets of loads add up.
func TestSuperposition(t *testing.T) {
	r := counter(37)
	for range 200 {
		n := New("minus")
		nodes := []int{n.Node("bus")}
		n.Battery("battery", nodes[0], Reference, 12, 0.01)
		for len(nodes) < 12 {
			i := n.Node(string(rune('a' + len(nodes))))
			n.Resistor("wire", nodes[r.below(len(nodes))], i, 0.01+r.unit()/10)
			nodes = append(nodes, i)
		}
		n.Resistor("across", nodes[r.below(6)], nodes[6+r.below(6)], 0.02)
		a := n.LoadI("a", nodes[r.below(12)], Reference, 0, 0)
		b := n.LoadI("b", nodes[r.below(12)], Reference, 0, 0)
		volts := func(ampsA, ampsB float64) []float64 {
			n.SetDraw(a, ampsA)
			n.SetDraw(b, ampsB)
			sol, err := n.Solve(Options{})
			if err != nil {
				t.Fatal(err)
			}
			return sol.V
		}
		none, first, second, both := volts(0, 0), volts(3, 0), volts(0, 5), volts(3, 5)
		for i := range both {
			if got, want := both[i]-none[i], first[i]-none[i]+second[i]-none[i]; !near(got, want, 1e-12) {
				t.Fatalf("node %d drops by %.15f under both loads, %.15f under one each", i, got, want)
			}
		}
	}
}

// In a tree a thicker wire lowers no load's voltage, where loads take constant
// current or power. (A resistance behind it takes more, at the others' cost.)
func TestThickerWireInTree(t *testing.T) {
	r := counter(41)
	for range 200 {
		n := New("minus")
		bus, ground := n.Node("bus"), n.Node("ground")
		n.Battery("battery", bus, Reference, 12.6, 0.01)
		n.Resistor("strap", ground, Reference, 0.002)
		nodes := []int{bus}
		var wires, loads []Elem
		ohms := []float64{}
		for len(nodes) < 15 {
			i := n.Node(string(rune('a' + len(nodes))))
			ohms = append(ohms, 0.005+r.unit()/20)
			wires = append(wires, n.Resistor("wire", nodes[r.below(len(nodes))], i, ohms[len(ohms)-1]))
			nodes = append(nodes, i)
			if r.below(2) == 0 {
				loads = append(loads, n.LoadI("i", i, ground, 3*r.unit(), 0))
			} else {
				loads = append(loads, n.LoadP("p", i, ground, 20*r.unit(), 0))
			}
		}
		before, err := n.Solve(Options{})
		if err != nil {
			t.Fatal(err)
		}
		k := r.below(len(wires))
		n.SetOhm(wires[k], ohms[k]/1.6)
		after, err := n.Solve(Options{})
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range loads {
			a, b := n.Ends(e)
			was, is := before.V[a]-before.V[b], after.V[a]-after.V[b]
			if is < was-1e-12 {
				t.Fatalf("load %d went from %.12f to %.12f V", e, was, is)
			}
		}
	}
}

// A solution is the same to the last bit each time, and does not depend on what
// the net was solved for before.
func TestSolveRepeats(t *testing.T) {
	fresh := carLike(800)
	used := carLike(800)
	first, err := fresh.Solve(Options{})
	if err != nil {
		t.Fatal(err)
	}
	for e := range used.elems {
		if used.elems[e].kind == resistor {
			used.SetOhm(Elem(e), used.elems[e].ohm*2)
		}
	}
	if _, err := used.Solve(Options{}); err != nil {
		t.Fatal(err)
	}
	for e := range used.elems {
		if used.elems[e].kind == resistor {
			used.SetOhm(Elem(e), used.elems[e].ohm/2)
		}
	}
	second, err := used.Solve(Options{})
	if err != nil {
		t.Fatal(err)
	}
	for i, v := range first.V {
		if math.Float64bits(v) != math.Float64bits(second.V[i]) {
			t.Fatalf("V(%s) is %v, then %v", fresh.NodeName(i), v, second.V[i])
		}
	}
}
