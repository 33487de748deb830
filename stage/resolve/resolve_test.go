package resolve

import (
	"reflect"
	"slices"
	"testing"

	"keyon/model/design"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/testkit/fixture"
)

const car = `A pump on its own loom behind an in-line join.
-- zones.csv --
zone, ambient
bay, 95
cabin, 45
-- places.csv --
place, x, y, z, zone
rail, 0, 0, 0, bay
joint a, 1000, 0, 0, cabin
joint b, 1010, 0, 0,
pump, 1010, 300, 400, bay
post, 500, 0, 0, cabin
-- legs.csv --
from, to, length, zone, loom
rail, post, 600, , main
post, joint a, , , main
joint b, pump, , cabin,
-- looms.csv --
loom, letter
main, M
-- joins.csv --
join, kind, place a, place b
J1, in-line, joint a, joint b
-- studs.csv --
stud, place, use
G1, post, ground
-- parts.csv --
part, kind
carrier, device
-- pins.csv --
part, pin, role, amps
carrier, 1, supply out, 20
carrier, 2, supply out, 20
-- devices.csv --
device, part, place
FC, carrier, rail
PUMP, fuel-pump-main, pump
-- feeds.csv --
feed, device, pin
F1, FC, 1
-- circuits.csv --
circuit, from device, from pin, to device, to pin, twist
pump +, F1, , PUMP, +, p
pump -, PUMP, -, G1, , p
spare, FC, 2, , ,
-- loads.csv --
device, state, mean, least volts
PUMP, , , 9
PUMP, cranking, 14,
`

func resolve(t *testing.T, text string) (plan.Things, *fixture.Case) {
	t.Helper()
	c := fixture.Text(t, text)
	before := fixture.Text(t, text)
	things, vs := Run(c.Design, c.Catalogue)
	c.Compare(t, vs)
	if !reflect.DeepEqual(c.Design, before.Design) {
		t.Error("Run changed the design")
	}
	return things, &c
}

func TestThings(t *testing.T) {
	x, _ := resolve(t, car)
	leg := func(name string) plan.Leg {
		i := slices.IndexFunc(x.Legs, func(l plan.Leg) bool { return l.Name == name })
		return x.Legs[i]
	}
	for _, k := range []struct {
		leg     string
		mm      float64
		ambient float64
		loom    string
	}{
		{"rail–post", 600, 95, "main"},    // given; the hotter of bay and cabin
		{"post–joint a", 545, 45, "main"}, // 500 × 1.05 + 20 = 545
		{"joint b–pump", 545, 45, "L1"},   // 500 (3-4-5) × 1.05 + 20; its own zone, though the pump is in the bay
	} {
		l := leg(k.leg)
		if got := l.Length.Value.MM(); got < k.mm-1e-6 || got > k.mm+1e-6 {
			t.Errorf("%s: %v mm, want %v", k.leg, got, k.mm)
		}
		if float64(l.Ambient) != k.ambient || x.Looms[l.Loom].Name != k.loom {
			t.Errorf("%s: %v °C in %s, want %v in %s", k.leg, l.Ambient, x.Looms[l.Loom].Name, k.ambient, k.loom)
		}
	}
	if m := x.Looms[leg("rail–post").Loom]; m.Letter != "M" {
		t.Errorf("letter %q, want M as given", m.Letter)
	}
	if m := x.Looms[leg("joint b–pump").Loom]; m.Letter != "A" {
		t.Errorf("letter %q, want A, the first free one", m.Letter)
	}

	plus, minus, spare := x.Circuits[x.CircuitOf["pump +"]], x.Circuits[x.CircuitOf["pump -"]], x.Circuits[x.CircuitOf["spare"]]
	if plus.Class.Value != "power" || minus.Class.Value != "ground" || spare.Class.Value != "signal" {
		t.Errorf("classes %q, %q, %q", plus.Class.Value, minus.Class.Value, spare.Class.Value)
	}
	if len(plus.Ends) != 2 || plus.Ends[plus.Rows[0].From].Feed != x.FeedOf["F1"] || plus.Ends[plus.Rows[0].From].Device != x.DeviceOf["FC"] {
		t.Errorf("ends of pump +: %+v", plus.Ends)
	}
	if len(spare.Ends) != 1 || spare.Rows[0].To != -1 {
		t.Errorf("a blank side has no end: %+v", spare)
	}
	if want := []int{x.CircuitOf["pump +"], x.CircuitOf["pump -"]}; !slices.Equal(plus.Kin, want) || spare.Kin != nil {
		t.Errorf("kin %v and %v, want %v and none", plus.Kin, spare.Kin, want)
	}
	if len(x.States) != 5 || x.States[1].Name != "cranking" || x.States[1].Volts != 9.6 || !x.States[1].Default {
		t.Errorf("states %+v", x.States)
	}
	loads := map[string][2]float64{} // by state: mean and least volts
	for _, l := range x.Loads {
		if l.Device == x.DeviceOf["PUMP"] {
			loads[x.States[l.State].Name] = [2]float64{float64(l.Mean), float64(l.LeastVolts)}
		}
	}
	if len(loads) != 5 || loads["idle"] != [2]float64{12, 9} || loads["cranking"] != [2]float64{14, 9} {
		t.Errorf("loads %v: the catalogue's 12 A stay where the table is blank", loads)
	}
}

// TestSharedEnds: sides that name one pin are one end, also where only one of
// them names it.
func TestSharedEnds(t *testing.T) {
	const head = "-- parts.csv --\npart, kind\necu, device\n-- pins.csv --\npart, pin, role\necu, 5V1, sensor supply\necu, 5V2, sensor supply\n" +
		"-- places.csv --\nplace\np\n-- devices.csv --\ndevice, part, place\nECU, ecu, p\nS1, sensor-pressure-3w, p\nS2, sensor-pressure-3w, p\nS3, sensor-pressure-3w, p\n" +
		"-- circuits.csv --\ncircuit, from device, from pin, to device, to pin\n"
	for _, k := range []struct {
		name, rows string
		ends       int
	}{
		{"no pin named", "5V, ECU, , S1, 5V\n5V, ECU, , S2, 5V\n5V, ECU, , S3, 5V\n", 4},
		{"one pin named once", "5V, ECU, 5V1, S1, 5V\n5V, ECU, , S2, 5V\n5V, ECU, , S3, 5V\n", 4},
		{"two pins named", "5V, ECU, 5V1, S1, 5V\n5V, ECU, 5V2, S2, 5V\n5V, ECU, , S3, 5V\n", 6},
		{"a chain", "5V, ECU, 5V1, S1, 5V\n5V, S1, , S2, 5V\n5V, S2, 5V, S3, 5V\n", 4},
	} {
		x, _ := resolve(t, head+k.rows)
		c := x.Circuits[0]
		if len(c.Ends) != k.ends {
			t.Errorf("%s: %d ends, want %d", k.name, len(c.Ends), k.ends)
		}
		if c.Class.Value != "sensor supply" {
			t.Errorf("%s: class %q", k.name, c.Class.Value)
		}
		for _, e := range c.Ends {
			if e.Device == x.DeviceOf["ECU"] && k.name == "one pin named once" && e.Pin.Value != "5V1" {
				t.Errorf("%s: the pin is %q", k.name, e.Pin.Value)
			}
		}
	}
}

// TestScope: 60 V is inside, anything above is refused.
func TestScope(t *testing.T) {
	for volts, refused := range map[string]bool{"60": false, "60.01": true} {
		text := "-- car.csv --\nkey, value\nvolts, " + volts + "\n-- places.csv --\nplace\np\n-- want.csv --\nrule\n"
		if refused {
			text += "resolve.scope\n"
		}
		x, _ := resolve(t, text)
		if (len(x.Places) == 0) != refused {
			t.Errorf("%s V: %d places", volts, len(x.Places))
		}
	}
}

// TestOrder: the order of rows means nothing.
func TestOrder(t *testing.T) {
	x, c := resolve(t, car)
	b := c.Book.Clone()
	for i := range b.Sheets {
		slices.Reverse(b.Sheets[i].Rows)
	}
	y, _ := Run(design.Read(b), c.Catalogue)
	if !reflect.DeepEqual(x, y) {
		t.Error("reversed rows give other things")
	}
}

func TestNear(t *testing.T) {
	all := []string{"bulkhead", "engine bay", "Fan 1", "fan 2", "fuel cell", "rail"}
	for _, k := range []struct {
		wrong string
		want  []string
	}{
		{"bulkhaed", []string{"bulkhead"}}, // swapped neighbours
		{"FAN1", []string{"Fan 1"}},        // case and space
		{"fan 3", []string{"Fan 1", "fan 2"}},
		{"gearbox", nil},
		{"", nil},
	} {
		if got := near(k.wrong, all); !slices.Equal(got, k.want) {
			t.Errorf("near(%q) = %q, want %q", k.wrong, got, k.want)
		}
	}
}

// TestLetters leaves out I and O and goes on with two letters.
func TestLetters(t *testing.T) {
	for n, want := range map[int]string{0: "A", 7: "H", 8: "J", 12: "N", 13: "P", 23: "Z", 24: "AA", 25: "AB", 47: "AZ", 48: "BA"} {
		if got := letter(n); got != want {
			t.Errorf("letter(%d) = %s, want %s", n, got, want)
		}
	}
}

func TestEmpty(t *testing.T) {
	if x, vs := Run(design.Read(design.NewBook()), part.Catalogue{}); len(vs) != 0 || len(x.States) != 5 {
		t.Errorf("an empty book: %v, %d states", vs, len(x.States))
	}
}

// TestCores: in the order of the list, else by sign and name; a screen takes
// the drain.
func TestCores(t *testing.T) {
	x, _ := resolve(t, `
-- places.csv --
place
p
-- devices.csv --
device, part, place
k, knock-2w, p
tc, thermocouple-k, p
-- cables.csv --
cable, part, cores
listed, shielded-2x22-32, "K2, K1"
named, shielded-2x22-32,
metals, thermocouple-kx-24,
-- circuits.csv --
circuit, from device, from pin, class, cable
K1, k, SIG, low-level,
K2, k, 0V, sensor return,
KS, k, SCR, shield, listed
L1, k, SIG, low-level, named
L2, k, 0V, sensor return, named
A, tc, -, thermocouple, metals
B, tc, +, thermocouple, metals
`)
	want := map[string]string{"K2": "white", "K1": "blue", "KS": "drain", "L1": "white", "L2": "blue", "A": "-", "B": "+"}
	for _, cable := range x.Cables {
		for n, k := range cable.Circuits {
			name := x.Circuits[k].Name
			if cable.Cores[n] != want[name] {
				t.Errorf("%s: %s is on core %s, want %s", cable.Name, name, cable.Cores[n], want[name])
			}
		}
	}
}
