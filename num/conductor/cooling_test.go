package conductor

import (
	"math"
	"testing"
)

// march is the heating equation by many small steps, with the laws written out
// again from their sources.
func march(w Wire, air Air, amps, from, seconds float64, steps int) float64 {
	loss := func(tc float64) float64 {
		wall := math.Log(w.Outer/w.Core) / (2 * math.Pi * w.Insulation)
		lo, hi := air.Temp, tc
		q := 0.0
		for range 50 {
			ts := (lo + hi) / 2
			film := (ts+air.Temp)/2 + 273.15
			nu := 1.589e-5 * math.Pow(film/300, 1.77) / air.Pressure
			ra := 9.80665 / film * (ts - air.Temp) * math.Pow(w.Outer, 3) * 0.707 / (nu * nu)
			nusselt := math.Pow(0.60+0.387*math.Pow(ra/math.Pow(1+math.Pow(0.559/0.707, 0.5625), 16./9), 1./6), 2)
			convected := nusselt * 0.0263 * math.Pow(film/300, 0.85) * math.Pi * (ts - air.Temp)
			radiated := w.Emissivity * 5.670e-8 * math.Pi * w.Outer * (math.Pow(ts+273.15, 4) - math.Pow(air.Temp+273.15, 4))
			if q = convected + radiated; ts+q*wall < tc {
				lo = ts
			} else {
				hi = ts
			}
		}
		return q
	}
	t, h := from, seconds/float64(steps)
	for range steps {
		slope := func(t float64) float64 {
			return (amps*amps*w.Ohm20*(234.5+t)/254.5 - loss(t)) / w.Heat
		}
		mid := t + h/2*slope(t)
		t += h * slope(mid)
	}
	return t
}

func warm20(t *testing.T) (Wire, *Cooling) {
	t.Helper()
	w := size20()
	w.Heat = HeatOf(w, 0.616*MM2, 2e6)
	c, err := NewCooling(w, Air{40, 1})
	if err != nil {
		t.Fatal(err)
	}
	return w, c
}

func TestCoolingAgainstSmallSteps(t *testing.T) {
	w, c := warm20(t)
	for _, k := range []struct{ amps, from, seconds float64 }{
		{10, 40, 20}, {20, 40, 60}, {30, 40, 30}, {40, 90, 15}, {100, 40, 1}, {5, 180, 40}, {0, 300, 30}, {18, 40, 300},
	} {
		got, err := c.After(k.amps, k.from, k.seconds)
		if err != nil {
			t.Fatal(err)
		}
		want := march(w, Air{40, 1}, k.amps, k.from, k.seconds, 800)
		near(t, "°C", got, want, 0.002*(math.Abs(want-40)+1))
		back, err := c.Time(k.amps, k.from, got)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "there and back, s", back, k.seconds, 1e-6*k.seconds)
	}
}

// In a time too short to lose heat, k²S² = I²t.
func TestCoolingShort(t *testing.T) {
	for _, c := range []struct{ from, to, k float64 }{
		{70, 160, 115}, {90, 250, 143}, {30, 160, 143}, {60, 200, 141}, // IEC 60364-5-54
		{40, 1083, 283}, // Onderdonk
	} {
		w := size20()
		w.Ohm20 = Copper.Ohm20(0.616 * MM2)
		w.Heat = 0.616 * MM2 * Copper.Heat
		cold, err := NewCooling(w, Air{20, 1})
		if err != nil {
			t.Fatal(err)
		}
		amps := 0.616 * c.k / math.Sqrt(0.02) // for 20 ms
		got, err := cold.Time(amps, c.from, c.to)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "s", got, 0.02, 0.0004)
		// With heat lost it can only take longer.
		slow := 0.616 * c.k / math.Sqrt(5)
		if longer, _ := cold.Time(slow, c.from, c.to); longer < 5 {
			t.Errorf("k = %g: %g s, sooner than without losing heat", c.k, longer)
		}
	}
}

// In a long time, the steady balance.
func TestCoolingLong(t *testing.T) {
	w, c := warm20(t)
	for _, amps := range []float64{1, 10, 17, 25} {
		b, err := HeatBalanceTemp(w, amps, Air{40, 1})
		if err != nil {
			t.Fatal(err)
		}
		for _, from := range []float64{40, 600} {
			got, err := c.After(amps, from, 1e5)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "°C", got, b.Conductor, 0.0005*(b.Conductor-40)+1e-9)
		}
		if s, _ := c.Time(amps, 40, b.Conductor*1.01); !math.IsInf(s, 1) {
			t.Errorf("%g A reaches more than its balance after %g s", amps, s)
		}
		if s, _ := c.Time(amps, 40, 40+0.99*(b.Conductor-40)); math.IsInf(s, 1) {
			t.Errorf("%g A never reaches 99 %% of its balance", amps)
		}
	}
}

// Onderdonk from below and Preece at rest: a bare oxidised wire.
func TestMeltingBounds(t *testing.T) {
	for _, n := range []int{30, 26, 22, 20, 16, 12, 10} {
		d := GaugeDiameter(n)
		w := Wire{Copper, Copper.Ohm20(GaugeArea(n)), d, d, 1, 0.8, GaugeArea(n) * Copper.Heat}
		c, err := NewCooling(w, Air{40, 1})
		if err != nil {
			t.Fatal(err)
		}
		// Onderdonk loses no heat and has 0.4 % more k, so it melts no later than this.
		s, err := c.Time(Onderdonk(GaugeArea(n), 40, 1), 40, 1083)
		if err != nil || s < 0.985 {
			t.Errorf("AWG %d: melts in %g s where Onderdonk says 1 s; %v", n, s, err)
		}
		// Preece, measured wires of 1884: within a seventh of the balance.
		b, err := HeatBalanceCurrent(w, 1083, Air{40, 1})
		if err != nil {
			t.Fatal(err)
		}
		near(t, "balance over Preece", b.Amps/Preece(d), 1, 0.15)
		if s, _ := c.Time(b.Amps*0.999, 40, 1083); !math.IsInf(s, 1) {
			t.Errorf("AWG %d melts at less than its balance", n)
		}
	}
}

func TestCoolingEdges(t *testing.T) {
	_, c := warm20(t)
	if s, err := c.Time(10, 80, 80); err != nil || s != 0 {
		t.Errorf("no way to go: %g s, %v", s, err)
	}
	if s, err := c.Time(0, 80, 40); err != nil || !math.IsInf(s, 1) {
		t.Errorf("cooling right down: %g s, %v", s, err)
	}
	if s, err := c.Time(0, 80, 90); err != nil || !math.IsInf(s, 1) {
		t.Errorf("heating without current: %g s, %v", s, err)
	}
	if got, err := c.After(500, 40, 1e9); err != nil || got != 1083 {
		t.Errorf("far too much current: %g °C, %v", got, err)
	}
	if got, err := c.After(10, 75, 0); err != nil || got != 75 {
		t.Errorf("no time: %g °C, %v", got, err)
	}
	if _, err := c.Time(10, 20, 80); err == nil {
		t.Error("a start colder than the air is taken")
	}
	if _, err := c.After(math.NaN(), 40, 1); err == nil {
		t.Error("NaN amperes are taken")
	}
	if _, err := c.After(1, 40, -1); err == nil {
		t.Error("a time before now is taken")
	}
}
