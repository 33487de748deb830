package flow_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"keyon/model/flow"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/stage/route"
	"keyon/testkit/small"
)

// chain feeds a fan and a pump from a battery through a fuse carrier.
const chain = `
-- parts.csv --
part, kind, connector
motor, device, 38999-9-35S
carrier, device,
battery, device,
-- pins.csv --
part, pin, role, contact
motor, 1, supply in,
motor, 2, ground,
carrier, IN, supply in, stud M8
carrier, F1, supply out, stud M6
carrier, F2, supply out, stud M6
battery, +, battery +, stud M8
battery, -, ground, stud M8
-- places.csv --
place
A
B
C
-- legs.csv --
from, to, length
A, B, 1000
B, C, 1000
-- devices.csv --
device, part, place
batt, battery, A
fuses, carrier, B
fan, motor, C
pump, motor, C
-- studs.csv --
stud, place, use
G, A, ground
-- states.csv --
state, source, volts
idle, alternator, 14
cruise, alternator, 14
-- loads.csv --
device, from pin, to pin, state, mean, rms, power
fan, 1, 2, idle, 10, 12,
pump, 1, 2, cruise, , , 70
-- circuits.csv --
circuit, from device, from pin, to device, to pin, class
B, batt, +, fuses, IN, heavy
F, fuses, F1, fan, 1, power
P, fuses, F2, pump, 1, power
G, fan, 2, G, , ground
G, pump, 2, G, , ground
`

// By hand: the fan's RMS current heats, 12 A; the pump takes 70 W / 14 V =
// 5 A, in another state, so the battery never gives both.
func TestOf(t *testing.T) {
	c := small.Text(t, chain)
	f := flow.Of(&c.T, &c.E, 12)
	want := map[string]float64{"B batt": 12, "B fuses": 12, "F fuses": 12, "F fan": 12, "P fuses": 5, "P pump": 5, "G fan": 12, "G pump": 5, "G G": 12}
	for i := range c.E.List {
		x := &c.E.List[i]
		name := c.T.Circuits[x.Circuit].Name + " "
		if x.Stud >= 0 {
			name += c.T.Studs[x.Stud].Name
		} else {
			name += c.T.Devices[x.Device].Name
		}
		if got := f.Amps[i]; math.Abs(got-want[name]) > 1e-9 {
			t.Errorf("%s: %g A, want %g A", name, got, want[name])
		}
	}
}

func TestWalk(t *testing.T) {
	c := small.Text(t, chain)
	r, _ := route.Run(c.D, c.T, c.E, plan.Guess{})
	f := flow.Of(&c.T, &c.E, 12)
	g := &r.List[c.Circuit(t, "G")]
	w := flow.Through(&c.T, &c.E, g)
	if !w.Back {
		t.Error("a ground's current runs to its stud")
	}
	if root := &c.E.List[w.Ends[0]]; root.Stud != 0 {
		t.Errorf("the root of a ground is its stud, got %+v", root)
	}
	if n := len(w.Ends); n != 3 {
		t.Errorf("%d ends met, want 3", n)
	}
	var far []float64
	for i, a := range w.Amps(&f) {
		if s := &w.Steps[i]; s.Hi-s.Lo == 1 {
			far = append(far, a)
		}
	}
	if slices.Sort(far); !slices.Equal(far, []float64{5, 12}) {
		t.Errorf("to the devices %v, want 5 and 12 A", far)
	}
	over := w.Over(flow.Rows(&c.T, &c.E, g.Circuit))
	for i := range w.Steps {
		if s := &w.Steps[i]; len(over[i]) != s.Hi-s.Lo {
			t.Errorf("rows %v run over the step to %v", over[i], w.Ends[s.Lo:s.Hi])
		}
	}
}

// A power circuit whose rows leave the supply side blank gets one end for its
// feed: all of those rows run to it.
func TestRowsWithBlankSide(t *testing.T) {
	c := small.Text(t, strings.Replace(chain, "F, fuses, F1, fan, 1, power\n", "F, , , fan, 1, power\nF, , , pump, 1, power\n", 1))
	k := c.Circuit(t, "F")
	id := string(c.T.Circuits[k].Key()) + "/from"
	c.E.Of[k] = append(slices.Clone(c.E.Of[k]), len(c.E.List))
	c.E.List = append(c.E.List, plan.End{ID: id, Circuit: k, Device: c.T.DeviceOf["fuses"], Stud: -1, Feed: -1, PinIndex: 1, Connector: -1, Place: 1, Role: part.SupplyOut})
	for _, r := range flow.Rows(&c.T, &c.E, k) {
		if r[0] != len(c.E.List)-1 || r[1] < 0 {
			t.Errorf("row runs from %d to %d, want from the feed's end", r[0], r[1])
		}
	}
	if root, back := flow.Root(&c.T, &c.E, k); root != len(c.E.List)-1 || back {
		t.Errorf("root %d, want the feed's end", root)
	}
}

// Ratings of MIL-DTL-38999N Table IV: 22D 5 A, 20 7.5 A.
func TestFill(t *testing.T) {
	k := part.Embedded().Connector("38999-9-98") // three of size 20
	for _, c := range []struct {
		amps            []float64
		needed, missing int
	}{
		{[]float64{1, 1, 1}, 3, 0},
		{[]float64{7.5, 1, 1}, 3, 0},
		{[]float64{8, 1}, 3, 0}, // 8 / (7.5 × 0.8) → 2
		{[]float64{8, 1, 1}, 4, 1},
		{[]float64{20}, 4, 4}, // 20 / 6 → 4
	} {
		if n, m := flow.Fill(k, c.amps); n != c.needed || m != c.missing {
			t.Errorf("%v A: %d needed, %d missing; want %d, %d", c.amps, n, m, c.needed, c.missing)
		}
	}
}
