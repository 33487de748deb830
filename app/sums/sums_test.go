package sums

import (
	"math"
	"testing"

	"keyon/model/fault"
	"keyon/model/part"
)

// TestWireTable11_9 asks the question of FAA AC 43.13-1B Table 11-9 (33 wires
// at 20 % loading, 70 °C, 60,000 ft) for three of its rows and compares the
// amps. The handbook prints whole amps read off a chart: 12 %.
func TestWireTable11_9(t *testing.T) {
	for _, x := range []struct {
		gauge, family, rating string
		amps                  float64
	}{
		{"20", "AS22759/32", "150C", 7},
		{"16", "AS22759/32", "150C", 11},
		{"20", "AS22759/41", "200C", 9},
	} {
		a, err := Wire(part.Embedded(), WireAsk{Amps: "1", Length: "1m", Ambient: "70C", Insulation: x.rating, Bundle: 33, Loading: "20%", Altitude: "60000ft", Gauge: x.gauge, Family: x.family, Drop: "1V"})
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(a.CapacityA/x.amps-1) > 0.12 {
			t.Errorf("gauge %s at %s: capacity %.2f A, handbook %.0f A", x.gauge, x.rating, a.CapacityA, x.amps)
		}
	}
}

// TestWireDrop is the first row of AC 43.13-1B Table 11-7: 107 ft of No. 6 at
// 20 A drops 0.942 V (0.44 Ω/1000 ft, conductor at 20 °C). The conductor here
// is warmer than 20 °C by its own current, so the drop may be up to 3 % more.
func TestWireDrop(t *testing.T) {
	a, err := Wire(part.Embedded(), WireAsk{Amps: "20", Length: "107ft", Ambient: "20C", Insulation: "150C", Drop: "1V", Gauge: "6"})
	if err != nil {
		t.Fatal(err)
	}
	if a.DropV < 0.90 || a.DropV > 0.942*1.03 {
		t.Errorf("107 ft of gauge 6 at 20 A: drop %.3f V, handbook 0.942 V", a.DropV)
	}
}

// TestWireChooses: the chosen gauge is the thinnest that does.
func TestWireChooses(t *testing.T) {
	q := WireAsk{Amps: "16", Length: "3m", Return: "3m", Ambient: "60C", Insulation: "150C", Bundle: 10, Loading: "40%", Drop: "0.5V"}
	a, err := Wire(part.Embedded(), q)
	if err != nil || !a.OK {
		t.Fatalf("Wire(%+v) = %+v, %v", q, a, err)
	}
	all := part.Embedded().Wires[a.Family]
	for i, w := range all {
		if w.Gauge == a.Gauge && i > 0 {
			q.Gauge, q.Family = all[i-1].Gauge, a.Family
			thinner, err := Wire(part.Embedded(), q)
			if err != nil || thinner.OK {
				t.Errorf("gauge %s does too: %+v, %v", q.Gauge, thinner, err)
			}
		}
	}
}

func TestWireRefuses(t *testing.T) {
	ok := WireAsk{Amps: "5", Length: "2m"}
	for name, change := range map[string]func(*WireAsk){
		"current":    func(q *WireAsk) { q.Amps = "five" },
		"length":     func(q *WireAsk) { q.Length = "-2m" },
		"unit":       func(q *WireAsk) { q.Length = "2A" },
		"loading":    func(q *WireAsk) { q.Loading = "140%" },
		"high volts": func(q *WireAsk) { q.Volts = "400" },
		"bundle":     func(q *WireAsk) { q.Bundle = -1 },
	} {
		q := ok
		change(&q)
		if _, err := Wire(part.Embedded(), q); fault.Of(err) != fault.Usage {
			t.Errorf("%s: %v, want a usage error", name, err)
		}
	}
}

// TestBundle: seven equal circles lie in three diameters (Graham 1968).
func TestBundle(t *testing.T) {
	a, err := Bundle([]string{"2.1x7"})
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(a.DiameterMM-6.3) > 0.001 || len(a.Circles) != 7 {
		t.Errorf("7 of 2.1 mm: %.4f mm, %d circles; want 6.3 mm", a.DiameterMM, len(a.Circles))
	}
	for _, bad := range []string{"2.1x0", "x7", "0", "2.1x9999", "abc"} {
		if _, err := Bundle([]string{bad}); fault.Of(err) != fault.Usage {
			t.Errorf("%s: %v, want a usage error", bad, err)
		}
	}
}
