package netsolve

import (
	"errors"
	"math"
	"strings"
	"testing"
)

// A wire of 10 mΩ at 20 °C with 0.00393/K (IEC 60028) that warms by 0.02 K/A²
// at any temperature carries a constant 20 A: 28 °C, 10.3144 mΩ, by hand. In
// series with 12 V and a fixed 0.6 Ω its current falls as it warms; there the
// fixed point is found by bisection.
func TestSolveWarm(t *testing.T) {
	const alpha = 0.00393 // 1/K at 20 °C, IEC 60028
	law := func(_ Elem, amps float64) (float64, float64) {
		celsius := 20 + 0.02*amps*amps
		return 0.01 * (1 + alpha*(celsius-20)), celsius
	}
	n := New("minus")
	bus, end := n.Node("bus"), n.Node("end")
	n.Battery("battery", bus, Reference, 12, 0)
	wire := n.Resistor("wire", bus, end, 0.01)
	n.LoadI("fan", end, Reference, 20, 0)
	warm, err := n.SolveWarm(Options{}, []Elem{wire}, law)
	if err != nil || !near(warm.Celsius[0], 28, 1e-9) || !near(warm.Ohm[0], 0.0103144, 1e-12) || !near(warm.V[end], 12-20*0.0103144, 1e-9) {
		t.Errorf("constant current: %+v, %v, want 28 °C, 10.3144 mΩ", warm, err)
	}
	if sol, err := n.Solve(Options{}); err != nil || !near(sol.V[end], 11.8, 1e-9) {
		t.Errorf("the net was left at %g V, want its own 11.8", sol.V[end])
	}

	n = New("minus")
	bus, end = n.Node("bus"), n.Node("end")
	n.Battery("battery", bus, Reference, 12, 0)
	wire = n.Resistor("wire", bus, end, 0.01)
	n.LoadR("heater", end, Reference, 0.3, 0)
	warm, err = n.SolveWarm(Options{}, []Elem{wire}, law)
	lo, hi := 0.0, 40.0 // amps
	for range 200 {
		amps := (lo + hi) / 2
		if ohm, _ := law(wire, amps); amps*(0.3+ohm) < 12 {
			lo = amps
		} else {
			hi = amps
		}
	}
	if want := 20 + 0.02*lo*lo; err != nil || !near(warm.Celsius[0], want, 0.01) || !near(warm.I[wire], lo, 1e-3) {
		t.Errorf("falling current: %.4f °C, %.5f A, %v, want %.4f °C, %.5f A", warm.Celsius[0], warm.I[wire], err, want, lo)
	}
}

// Where the law finds no rest, or the temperature goes on rising, the wire is
// named.
func TestSolveWarmRunaway(t *testing.T) {
	n := New("minus")
	bus, end := n.Node("bus"), n.Node("end")
	n.Battery("battery", bus, Reference, 12, 0)
	wire := n.Resistor("thin wire", bus, end, 0.5)
	n.LoadI("pump", end, Reference, 8, 0)
	_, err := n.SolveWarm(Options{}, []Elem{wire}, func(_ Elem, amps float64) (float64, float64) {
		return 0.5, math.Inf(1) // as of a law whose own search diverges
	})
	var runaway *Runaway
	if !errors.As(err, &runaway) || runaway.Elem != wire || !strings.Contains(err.Error(), "thin wire") {
		t.Errorf("no rest: error %v, want a runaway of the wire", err)
	}
	turn := 0.0
	_, err = n.SolveWarm(Options{}, []Elem{wire}, func(_ Elem, amps float64) (float64, float64) {
		turn++
		return 0.5, 20 + 10*turn
	})
	if !errors.As(err, &runaway) || runaway.Rounds != warmRounds {
		t.Errorf("ever warmer: error %v, want a runaway", err)
	}
}
