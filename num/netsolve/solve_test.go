package netsolve

import (
	"errors"
	"math"
	"strings"
	"testing"
)

func near(a, b, tol float64) bool { return math.Abs(a-b) <= tol }

// The net and its voltages are from a circuit simulator and a Cholesky nodal
// solve that agree to 12 digits; the voltages follow by hand from the currents
// 7.5 + 4.25 A as well.
func TestSolveReference(t *testing.T) {
	n := New("minus")
	bat, n1, n2, n3 := n.Node("bat"), n.Node("n1"), n.Node("n2"), n.Node("n3")
	source := n.Battery("source", bat, Reference, 13.8, 0)
	n.Resistor("r1", bat, n1, 0.0123)
	r12 := n.Resistor("r12", n1, n2, 0.045)
	r13 := n.Resistor("r13", n1, n3, 0.051)
	r23 := n.Resistor("r23", n2, n3, 0.250)
	n.LoadI("a", n2, Reference, 7.5, 0)
	n.LoadI("b", n3, Reference, 4.25, 0)
	sol, err := n.Solve(Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []struct {
		node  int
		volts float64
	}{{bat, 13.8}, {n1, 13.655475000000}, {n2, 13.333679479769}, {n3, 13.420926589595}} {
		if !near(sol.V[want.node], want.volts, 1e-11) {
			t.Errorf("V(%s) = %.12f, want %.12f", n.NodeName(want.node), sol.V[want.node], want.volts)
		}
	}
	for _, want := range []struct {
		elem      Elem
		amps, tol float64
	}{{source, -11.75, 1e-10}, {r12, 7.15101, 5e-6}, {r13, 4.59899, 5e-6}, {r23, -0.348988, 5e-7}} {
		if !near(sol.I[want.elem], want.amps, want.tol) {
			t.Errorf("I(%s) = %.9f, want %.6f", n.Name(want.elem), sol.I[want.elem], want.amps)
		}
	}
	if sol.Factors != 1 {
		t.Errorf("%d factors for a linear net, want 1", sol.Factors)
	}
}

// divider is 12 V behind 1 Ω, so a load sees V = 12 - I and the most power that
// it can draw is 36 W, at 6 V.
func divider() (n *Net, bus int) {
	n = New("minus")
	bus = n.Node("bus")
	n.Battery("battery", bus, Reference, 12, 1)
	return n, bus
}

func TestSolveLoads(t *testing.T) {
	tests := []struct {
		name  string
		load  func(n *Net, bus int) Elem
		volts float64
		mode  Mode
	}{
		{"constant current", func(n *Net, b int) Elem { return n.LoadI("l", b, Reference, 5, 0) }, 7, Conducts},
		{"constant resistance", func(n *Net, b int) Elem { return n.LoadR("l", b, Reference, 5, 0) }, 10, Conducts},
		{"constant power, roots 8 and 4", func(n *Net, b int) Elem { return n.LoadP("l", b, Reference, 32, 0) }, 8, Conducts},
		{"constant power near its most", func(n *Net, b int) Elem { return n.LoadP("l", b, Reference, 35.9999, 0) }, 6.01, Conducts},
		{"just its least volts", func(n *Net, b int) Elem { return n.LoadP("l", b, Reference, 32, 7.999999) }, 8, Conducts},
		{"under its least volts", func(n *Net, b int) Elem { return n.LoadP("l", b, Reference, 32, 8.000001) }, 12, CutOut},
		{"too much power with least volts", func(n *Net, b int) Elem { return n.LoadP("l", b, Reference, 37, 5) }, 12, CutOut},
		{"too much current with least volts", func(n *Net, b int) Elem { return n.LoadI("l", b, Reference, 50, 1) }, 12, CutOut},
		{"too low a resistance with least volts", func(n *Net, b int) Elem { return n.LoadR("l", b, Reference, 1, 6.1) }, 12, CutOut},
		{"the wrong way round", func(n *Net, b int) Elem { return n.LoadP("l", Reference, b, 32, 0) }, 12, Unfed},
		{"no draw", func(n *Net, b int) Elem { return n.LoadI("l", b, Reference, 0, 0) }, 12, Conducts},
	}
	for _, tt := range tests {
		n, bus := divider()
		e := tt.load(n, bus)
		sol, err := n.Solve(Options{})
		if err != nil {
			t.Errorf("%s: %v", tt.name, err)
			continue
		}
		if !near(sol.V[bus], tt.volts, 1e-9) || sol.Mode[e] != tt.mode {
			t.Errorf("%s: %.9f V, %v, want %g V, %v", tt.name, sol.V[bus], sol.Mode[e], tt.volts, tt.mode)
		}
		if out := len(sol.Out) == 1; out != (tt.mode == CutOut) {
			t.Errorf("%s: cut out %v", tt.name, sol.Out)
		}
		if unfed := len(sol.Unfed) == 1; unfed != (tt.mode == Unfed) {
			t.Errorf("%s: unfed %v", tt.name, sol.Unfed)
		}
	}
}

// The bus of divider at exactly 36 W is a double root; a little more has none.
func TestSolveNoRoot(t *testing.T) {
	for _, watts := range []float64{36.0001, 36.1, 50, 1e6} {
		n, bus := divider()
		n.LoadI("lamp", bus, Reference, 0, 0)
		n.LoadP("pump", bus, Reference, watts, 0)
		_, err := n.Solve(Options{})
		var none *NoRoot
		if !errors.As(err, &none) || none.Load != "pump" || none.Bus != "bus" || !near(none.Volts, 12, 1e-2) {
			t.Errorf("%g W: error %v, want no root at pump", watts, err)
		}
	}
	n, bus := divider()
	n.LoadI("fan", bus, Reference, 12.5, 0)
	if _, err := n.Solve(Options{}); err == nil || !strings.Contains(err.Error(), "fan at bus") {
		t.Errorf("12.5 A: error %v, want no root at fan", err)
	}
}

// Of two loads that both get too little, the one further below its least volts
// goes; that frees the other.
func TestSolveCutsOneAtATime(t *testing.T) {
	n, bus := divider()
	a := n.LoadI("a", bus, Reference, 3, 7)
	b := n.LoadI("b", bus, Reference, 3, 8)
	sol, err := n.Solve(Options{})
	if err != nil || len(sol.Out) != 1 || sol.Out[0] != b || sol.Mode[a] != Conducts || !near(sol.V[bus], 9, 1e-9) {
		t.Errorf("cut %v, %g V, %v, want only b out and 9 V", sol.Out, sol.V[bus], err)
	}
	// A tie goes to the load made first.
	n, bus = divider()
	a = n.LoadI("a", bus, Reference, 3, 7)
	n.LoadI("b", bus, Reference, 3, 7)
	sol, err = n.Solve(Options{})
	if err != nil || len(sol.Out) != 1 || sol.Out[0] != a {
		t.Errorf("cut %v, %v, want a", sol.Out, err)
	}
	n.LoadI("c", bus, Reference, 3, 9)
	if _, err = n.Solve(Options{Cuts: 1}); err == nil || !strings.Contains(err.Error(), "more than 1 loads") {
		t.Errorf("budget of one cut: %v", err)
	}
}

func TestSolveAlternator(t *testing.T) {
	tests := []struct {
		name        string
		load, volts float64 // amps on the bus, its voltage
		mode        Mode
		amps        float64 // delivered
	}{
		// Battery 12.6 V behind 0.02 Ω; alternator 14.2 V less 0.01 Ω × I, 60 A.
		// By hand: regulating, V = (14.2/0.01 + 12.6/0.02 - I)/150.
		{"holds its voltage", -80, (1420 + 630 + 80) / 150.0, Regulates, 0},
		{"limits", 20, 12.6 + 0.02*40, Limits, 60},
		{"limits at a heavy load", 100, 12.6 - 0.02*40, Limits, 60},
	}
	for _, tt := range tests {
		n := New("minus")
		bus := n.Node("bus")
		n.Battery("battery", bus, Reference, 12.6, 0.02)
		alt := n.Alternator("alternator", bus, Reference, 14.2, 60, 0.01)
		if tt.load > 0 {
			n.LoadI("load", bus, Reference, tt.load, 0)
		} else {
			// A charger from outside: 80 A into the bus, as a current by 1 kΩ.
			n.Battery("charger", bus, Reference, 80e3, 1e3)
		}
		sol, err := n.Solve(Options{})
		if err != nil {
			t.Errorf("%s: %v", tt.name, err)
			continue
		}
		if !near(sol.V[bus], tt.volts, 1e-3) || sol.Mode[alt] != tt.mode || tt.amps > 0 && !near(sol.I[alt], -tt.amps, 1e-9) {
			t.Errorf("%s: %.4f V, %v, %.4f A, want %.4f V, %v", tt.name, sol.V[bus], sol.Mode[alt], sol.I[alt], tt.volts, tt.mode)
		}
	}
	n := New("minus")
	bus := n.Node("bus")
	n.Battery("battery", bus, Reference, 14.8, 0.02)
	alt := n.Alternator("alternator", bus, Reference, 14.2, 60, 0.01)
	if sol, err := n.Solve(Options{}); err != nil || sol.Mode[alt] != Off || sol.I[alt] != 0 || !near(sol.V[bus], 14.8, 1e-12) {
		t.Errorf("bus above the alternator: %v, %v", sol, err)
	}
}

func TestSolveDiode(t *testing.T) {
	n := New("minus")
	a, b, c := n.Node("a"), n.Node("b"), n.Node("c")
	n.Battery("battery", a, Reference, 12, 0)
	on := n.Diode("on", a, b, 0.6, 0.01)
	off := n.Diode("off", c, b, 0.6, 0.01)
	n.Resistor("to c", c, Reference, 10)
	load := n.LoadI("load", b, Reference, 10, 0)
	sol, err := n.Solve(Options{})
	if err != nil || !near(sol.V[b], 12-0.6-0.1, 1e-10) || sol.Mode[on] != Conducts || sol.Mode[off] != Off || !near(sol.V[c], 0, 1e-12) || sol.Mode[load] != Conducts {
		t.Errorf("%+v, %v, want 11.3 V at b", sol, err)
	}

	// The other way round the diode keeps the load from its supply.
	n = New("minus")
	a, b = n.Node("a"), n.Node("b")
	n.Battery("battery", a, Reference, 12, 0)
	n.Diode("d", b, a, 0.6, 0.01)
	load = n.LoadP("load", b, Reference, 10, 0)
	sol, err = n.Solve(Options{})
	if err != nil || sol.Mode[load] != Unfed || !near(sol.V[b], 0, 1e-5) {
		t.Errorf("blocked load: %+v, %v", sol, err)
	}
}

func TestSolveIslands(t *testing.T) {
	n := New("minus")
	bus, x, y, p, m, alone := n.Node("bus"), n.Node("x"), n.Node("y"), n.Node("p"), n.Node("m"), n.Node("alone")
	n.Battery("battery", bus, Reference, 12, 0.01)
	k := n.Contact("relay", bus, x, 0.01, false)
	n.Resistor("xy", x, y, 1)
	dead := n.LoadP("dead", x, y, 5, 0)
	n.Battery("loose", p, m, 9, 0.5)
	lit := n.LoadI("lit", p, m, 2, 0)
	ungrounded := n.LoadI("ungrounded", bus, alone, 3, 4)
	sol, err := n.Solve(Options{})
	if err != nil {
		t.Fatal(err)
	}
	want := [][]int{{x, y}, {p, m}, {alone}}
	if len(sol.Islands) != 3 || sol.Islands[0][1] != want[0][1] || sol.Islands[1][0] != p || sol.Islands[2][0] != alone {
		t.Errorf("islands %v, want %v", sol.Islands, want)
	}
	if !near(sol.V[p]-sol.V[m], 8, 1e-9) || sol.Mode[lit] != Conducts || sol.V[p] != 0 {
		t.Errorf("loose island: %g and %g V, want 0 and -8", sol.V[p], sol.V[m])
	}
	if sol.Mode[dead] != Unfed || sol.V[x] != 0 || sol.V[bus] != 12 {
		t.Errorf("dead island: %v, %g V, bus %g V", sol.Mode[dead], sol.V[x], sol.V[bus])
	}
	if sol.Mode[ungrounded] != CutOut || !near(sol.V[alone], 12, 1e-9) {
		t.Errorf("load without ground: %v, %g V", sol.Mode[ungrounded], sol.V[alone])
	}

	// The relay closes: x gets its supply, but no way back.
	n.SetClosed(k, true)
	sol, err = n.Solve(Options{})
	if err != nil || len(sol.Islands) != 2 || !near(sol.V[y], 12, 1e-9) {
		t.Errorf("relay closed: islands %v, V(y) %g, %v", sol.Islands, sol.V[y], err)
	}
}

func TestSolveRefuses(t *testing.T) {
	tests := []struct {
		name  string
		build func(n *Net)
		want  string
	}{
		{"negative resistance", func(n *Net) { n.Resistor("w1", 0, n.Node("a"), -1) }, "element w1 has resistance -1"},
		{"no number", func(n *Net) { n.LoadI("fan", 0, n.Node("a"), math.NaN(), 0) }, "element fan has draw NaN"},
		{"infinite", func(n *Net) { n.Battery("b", n.Node("a"), 0, math.Inf(1), 0) }, "element b has voltage +Inf"},
		{"node of nowhere", func(n *Net) { n.Resistor("w1", 0, 7, 1) }, "element w1 has an end at no node"},
		{"stiff diode", func(n *Net) { n.Diode("d", n.Node("a"), 0, 0.6, 0) }, "element d has no resistance"},
		{"loop without resistance", func(n *Net) {
			n.Battery("b", n.Node("a"), 0, 12, 0)
			n.Resistor("link", 0, n.Node("a"), 0)
		}, "element link closes a loop without resistance"},
	}
	for _, tt := range tests {
		n := New("minus")
		tt.build(n)
		if _, err := n.Solve(Options{}); err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s: error %v, want %q", tt.name, err, tt.want)
		}
	}
}
