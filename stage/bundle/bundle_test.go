package bundle

import (
	"math"
	"testing"

	"keyon/model/design"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/model/settle"
	"keyon/num/packing"
	"keyon/num/quantity"
)

func pack(d []float64) packing.Result {
	r, err := packing.Pack(d, packing.Plan)
	if err != nil {
		panic(err)
	}
	return r
}

// leg is one leg with n wires of 20 AWG AS22759/32.
func leg(t *testing.T, n int, sleeve string) (plan.Bundles, int) {
	t.Helper()
	c := part.Embedded()
	q := c.WireOf("AS22759/32", "20")
	things := plan.Things{Places: make([]plan.Place, 2), Legs: []plan.Leg{{Name: "a–b", From: 0, To: 1, Ambient: 60}}}
	if sleeve != "" {
		things.Legs[0].Sleeve = design.TextEntry{State: settle.Given, Value: sleeve, Text: sleeve}
	}
	var w plan.Wires
	var s plan.Sizes
	for range n {
		w.List = append(w.List, plan.Wire{Cable: -1, Legs: []int{0}})
		s.Wires = append(s.Wires, plan.WireSize{Wire: q})
	}
	b, v := Run(design.Read(design.NewBook()), c, things, w, s, pack)
	return b, len(v)
}

// TestDiameter: seven equal wires lie in three diameters, nineteen in 4.8637
// (Graham 1968; Fodor 1999, table in geometry notes), rounded up to 0.1 mm and
// within the plan effort's 6 %.
func TestDiameter(t *testing.T) {
	od := part.Embedded().WireOf("AS22759/32", "20").Outside.MM()
	for n, ratio := range map[int]float64{1: 1, 2: 2, 7: 3, 19: 1 + math.Sqrt2 + math.Sqrt(6)} {
		b, _ := leg(t, n, "")
		got := b.Legs[0].Diameter.MM()
		if got < ratio*od-1e-9 || got > ratio*od*1.06+0.1 {
			t.Errorf("%d wires of %.3f mm: %.2f mm, least %.3f mm", n, od, got, ratio*od)
		}
		if b.Legs[0].Bound.MM() > ratio*od+1e-6 {
			t.Errorf("%d wires: bound %.3f mm is above the optimum %.3f mm", n, b.Legs[0].Bound.MM(), ratio*od)
		}
		if math.Abs(float64(b.Legs[0].MassPerM)-float64(n)*float64(part.Embedded().WireOf("AS22759/32", "20").MassPerM)) > 1e-12 {
			t.Errorf("%d wires: mass %v", n, b.Legs[0].MassPerM)
		}
	}
}

// TestSleeve: the chosen sleeve goes over with its margin and grips.
func TestSleeve(t *testing.T) {
	b, n := leg(t, 12, "")
	x := b.Legs[0]
	s := part.Embedded().Sleeves[x.Sleeve.Value]
	if n != 0 || s == nil {
		t.Fatalf("no sleeve for %v: %+v", x.Diameter, x.Sleeve)
	}
	if s.Expanded.MM() < 1.2*x.Diameter.MM() || s.Recovered.MM() > 0.9*x.Diameter.MM() {
		t.Errorf("%s: %.2f to %.2f mm over %.1f mm", s.ID, s.Expanded.MM(), s.Recovered.MM(), x.Diameter.MM())
	}
	if want := x.Diameter + 2*s.Wall; math.Abs(float64(x.Covered-want)) > 1e-12 {
		t.Errorf("covered %v, want %v", x.Covered, want)
	}
	if b, n := leg(t, 12, "no such sleeve"); n != 0 || b.Legs[0].Covered != b.Legs[0].Diameter { // resolve says it
		t.Errorf("an unknown sleeve: %v, %d findings", b.Legs[0].Covered, n)
	}
	if b, n := leg(t, 12, "none"); n != 0 || b.Legs[0].Covered != b.Legs[0].Diameter {
		t.Errorf("none: %+v, %d findings", b.Legs[0].Covered, n)
	}
}

// TestOpen: a wire without a size leaves its leg open, in silence.
func TestOpen(t *testing.T) {
	things := plan.Things{Places: make([]plan.Place, 2), Legs: []plan.Leg{{From: 0, To: 1}}}
	w := plan.Wires{List: []plan.Wire{{Cable: -1, Legs: []int{0}}}}
	b, v := Run(design.Read(design.NewBook()), part.Embedded(), things, w, plan.Sizes{Wires: make([]plan.WireSize, 1)}, pack)
	if len(v) != 0 || b.Legs[0].Diameter != quantity.Length(0) {
		t.Errorf("%+v, %v", b.Legs[0], v)
	}
}
