package conductor

import (
	"math"
	"slices"
	"testing"
)

// The fit of the chart as tabled beside it, all sizes and rises.
func TestFreeAirChart(t *testing.T) {
	n := 0
	for _, r := range rows(t, "../../../shared/reference/freeair_curve_points.csv") {
		got, ok := FreeAir(r["wire_size"], number(t, r["delta_t_c"]))
		if !ok {
			t.Errorf("FreeAir(%s) not ok", r["wire_size"])
		}
		want := number(t, r["current_a"])
		near(t, r["wire_size"]+" at "+r["delta_t_c"], got, want, 0.006+1e-3*want)
		n++
	}
	if n < 200 {
		t.Errorf("only %d points", n)
	}
	if _, ok := FreeAir("28", 100); ok {
		t.Error("the chart has no size 28")
	}
	top, _ := FreeAir("20", 250)
	above, _ := FreeAir("20", 400)
	near(t, "above 250 °C", above, top, 0)
}

// By resistance, a size of the chart comes out as the chart has it.
func TestFreeAirOf(t *testing.T) {
	for _, a := range freeAir {
		got, extrapolated, err := FreeAirOf(a.ohm20, 100)
		if err != nil || extrapolated {
			t.Errorf("number %d: %v, extrapolated %v", a.number, err, extrapolated)
		}
		near(t, "chart size", got, a.amps, 1e-9*a.amps)
	}
	// Metric car cable, ISO 6722 maximum resistance: between its neighbours.
	for _, c := range []struct{ ohm20, low, high float64 }{
		{54.4e-3, 10.7, 14},  // 0.35 mm²: between 24 and 22
		{7.6e-3, 39.6, 51.8}, // 2.5 mm²: between 14 and 12
		{0.743e-3, 189, 260}, // 25 mm²: between 4 and 2
	} {
		got, extrapolated, err := FreeAirOf(c.ohm20, 100)
		if err != nil || extrapolated || got < c.low || got > c.high {
			t.Errorf("%g Ω/m: %g A, extrapolated %v, %v; want %g to %g A", c.ohm20, got, extrapolated, err, c.low, c.high)
		}
	}
	// Carried on, and held against the heat balance, which has no chart in it:
	// 0.13 mm² (ISO 6722: 136 mΩ/m, 1.05 mm) and 30 AWG (29606A tin, 0.61 mm).
	for _, c := range []struct{ ohm20, core, outer float64 }{
		{136e-3, 0.45e-3, 1.05e-3}, {355.6e-3, 0.30e-3, 0.61e-3}, {0.16e-3, 15e-3, 18.5e-3},
	} {
		got, extrapolated, err := FreeAirOf(c.ohm20, 100)
		if err != nil || !extrapolated {
			t.Errorf("%g Ω/m: extrapolated %v, %v", c.ohm20, extrapolated, err)
		}
		b, err := HeatBalanceCurrent(Wire{Copper, c.ohm20, c.core, c.outer, 0.24, 0.9, 0}, 150, Air{50, 1})
		if err != nil {
			t.Fatal(err)
		}
		near(t, "over heat balance", got/b.Amps, 1, 0.15)
	}
	last := math.Inf(1)
	for r := 1e-4; r < 1; r *= 1.01 {
		got, _, _ := FreeAirOf(r, 100)
		if got > last {
			t.Fatalf("%g Ω/m carries more than less resistance", r)
		}
		last = got
	}
}

// The FAA's way to read the loading: the first step that holds the sum.
func TestLoad(t *testing.T) {
	ten := func(free, amps float64) []Share { return slices.Repeat([]Share{{free, amps}}, 10) }
	for _, c := range []struct {
		what string
		in   []Share
		step float64
		over int
		ok   bool
	}{
		// Ten wires of 10 A: the sum may reach p·F(10,p)·100 A = 15.1, 24.9, 33, 40, 46.5 A.
		{"idle", ten(10, 0), 0.2, 0, true},
		{"just within 20 %", ten(10, 1.50), 0.2, 0, true},
		{"just above 20 %", ten(10, 1.52), 0.4, 0, true},
		{"just within 100 %", ten(10, 4.64), 1, 0, true},
		{"above 100 %", ten(10, 4.66), 1, 10, false},
		{"one wire too hot in an idle bundle", append(ten(10, 0)[:9], Share{10, 7.6}), 0.2, 1, false},
		{"one wire alone", []Share{{10, 9.9}}, 1, 0, true},
		{"none", nil, 0.2, 0, true},
	} {
		l, err := Load(c.in, 0)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(l.Step-c.step) > 1e-12 || len(l.Over) != c.over || l.OK != c.ok {
			t.Errorf("%s: step %g, %d over, ok %v; want %g, %d, %v", c.what, l.Step, len(l.Over), l.OK, c.step, c.over, c.ok)
		}
	}
	high, _ := Load(ten(10, 1.45), 4300)
	near(t, "factor with altitude", high.Factor, 0.6225*0.934, 1e-3) // 0.4 step: 14.5 A is above 0.2·0.755·0.934·100
}

func TestPartLoad(t *testing.T) {
	near(t, "full", PartLoad(50, 150, 1), 150, 1e-12)
	near(t, "FAA at half", PartLoadFAA(50, 150, 0.5), 50+70.7, 0.05)
	near(t, "none", PartLoad(50, 150, 0), 50, 0)
	// The chart's own: at the current it allows for a rise of 25 °C, that is the rise.
	less, _ := FreeAir("20", 25)
	full, _ := FreeAir("20", 100)
	near(t, "by the chart", PartLoad(50, 150, less/full), 75, 1e-9)
	// And the heat balance, at half the current of a rise of 100 °C.
	b, _ := HeatBalanceCurrent(size20(), 150, Air{50, 1})
	half, _ := HeatBalanceTemp(size20(), b.Amps/2, Air{50, 1})
	near(t, "by heat balance", PartLoad(50, 150, 0.5), half.Conductor, 3)
}
