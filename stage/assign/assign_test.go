package assign_test

import (
	"reflect"
	"slices"
	"strings"
	"testing"

	"keyon/model/design"
	"keyon/model/plan"
	"keyon/stage/assign"
	"keyon/stage/resolve"
	"keyon/testkit/fixture"
)

// head is a bench: a controller, a module, a fuse carrier and what hangs on
// them, all within a metre or two.
const head = `
-- places.csv --
place, x, y, z
a, 0, 0, 0
b, 1000, 0, 0
c, 2000, 0, 0
d, 3000, 0, 0
-- legs.csv --
from, to, length
a, b, 1000
b, c, 1000
c, d, 1000
-- parts.csv --
part, kind
ecu, device
box, device
fuses, device
lamp, device
coil, device
press, device
track2, device
bare, device
pair, device
-- pins.csv --
part, pin, role, index, group, amps, swap, needed
ecu, A1, sensor supply, , A, 0.5, ,
ecu, A2, sensor return, , A, 0.5, ,
ecu, A3, analogue in, , A, , ,
ecu, B1, sensor supply, , B, 0.5, ,
ecu, B2, sensor return, , B, 0.5, ,
ecu, B3, analogue in, , B, , ,
ecu, IGN C, coil, 3, , , ,
ecu, IGN A, coil, 1, , , ,
ecu, IGN B, coil, 2, , , ,
ecu, CH, bus high, , bus 1, , ,
ecu, CL, bus low, , bus 1, , ,
ecu, DH, bus high, , bus 2, , ,
ecu, DL, bus low, , bus 2, , ,
box, IN, supply in, , , 60, , yes
box, O1, switched out, , left, 10, ,
box, O2, switched out, , left, 10, ,
box, O3, switched out, , right, 15, ,
fuses, IN, supply in, , , 80, , yes
fuses, F1, supply out, , , 15, ,
fuses, F2, supply out, , , 30, ,
lamp, +, supply in, , , , , yes
lamp, -, load -, , , , , yes
coil, T, coil in, , , , , yes
press, 5V, sensor supply in, , , , , yes
press, 0V, sensor ground, , , , , yes
press, OUT, analogue out, , , , , yes
track2, 5V 1, sensor supply in, , one, , , yes
track2, 5V 2, sensor supply in, , two, , , yes
bare, X, , , , , ,
bare, Y, , , , , ,
pair, X, , , , , either,
pair, Y, , , , , either,
`

// ends plans a text and gives "circuit device" (or "circuit" for a feed or
// stud) its pin.
func ends(t *testing.T, text string) (map[string]string, plan.Ends, plan.Things) {
	t.Helper()
	c := fixture.Text(t, head+text)
	x, vs := resolve.Run(c.Design, c.Catalogue)
	before, _ := resolve.Run(c.Design, c.Catalogue)
	e, more := assign.Run(c.Design, x)
	c.Compare(t, append(vs, more...))
	if !reflect.DeepEqual(x, before) {
		t.Error("Run changed its input")
	}
	out := map[string]string{}
	for _, end := range e.List {
		key := x.Circuits[end.Circuit].Name
		value := end.Pin.Value
		switch {
		case end.Feed >= 0:
			value = x.Feeds[end.Feed].Name
		case end.Device >= 0:
			key += " " + x.Devices[end.Device].Name
		}
		out[key] = value
	}
	return out, e, x
}

func TestPins(t *testing.T) {
	for _, k := range []struct {
		name, text string
		want       map[string]string
	}{
		{"coils by the number of their name, whatever the order of pins", `
-- devices.csv --
device, part, place
E, ecu, a
coil 1, coil, b
coil 2, coil, b
coil 3, coil, b
-- circuits.csv --
circuit, from device, from pin, to device, to pin
IG ONE, E, , coil 1, T
IG TWO, E, , coil 2, T
IG THREE, E, , coil 3, T
`, map[string]string{"IG ONE E": "IGN A", "IG TWO E": "IGN B", "IG THREE E": "IGN C"}},

		{"return and signal follow the supply's group", `
-- devices.csv --
device, part, place
E, ecu, a
S, press, b
-- circuits.csv --
circuit, from device, from pin, to device, to pin
V, E, B1, S, 5V
R, E, , S, 0V
P, E, , S, OUT
`, map[string]string{"V E": "B1", "R E": "B2", "P E": "B3"}},

		{"two tracks hang in two groups", `
-- devices.csv --
device, part, place
E, ecu, a
T, track2, b
-- circuits.csv --
circuit, from device, from pin, to device, to pin
V1, E, B1, T, 5V 1
V2, E, , T, 5V 2
`, map[string]string{"V1 E": "B1", "V2 E": "A1"}},

		{"a given pin goes first, and the kept one before the cheapest", `
-- devices.csv --
device, part, place
E, ecu, a
S1, press, b
S2, press, b
-- circuits.csv --
key, circuit, from device, from pin, to device, to pin
r1, P1, E, , S1, OUT
r2, P2, E, A3, S2, OUT
-- kept.csv --
kind, thing, field, value
end, r1/from, pin, B3
`, map[string]string{"P1 E": "B3", "P2 E": "A3"}},

		{"a bus stays on one pair", `
-- devices.csv --
device, part, place
E, ecu, a
K, keypad-can, b
-- circuits.csv --
circuit, from device, from pin, to device, to pin, twist
HI, E, DH, K, CAN H, t
LO, E, , K, CAN L, t
`, map[string]string{"LO E": "DL"}},

		{"a load takes a channel that carries it, the small ones stay", `
-- devices.csv --
device, part, place
M, box, a
L1, lamp, b
L2, lamp, b
-- circuits.csv --
circuit, from device, from pin, to device, to pin
HOT, M, , L1, +
COLD, M, , L2, +
-- loads.csv --
device, mean
L1, 12
L2, 2
`, map[string]string{"HOT M": "O3", "COLD M": "O1"}},

		{"pins that say nothing serve by their name", `
-- devices.csv --
device, part, place
N, bare, a
O, bare, b
-- circuits.csv --
circuit, from device, from pin, to device, to pin, class
LINE X, N, , O, , signal
LINE Y, N, , O, , signal
`, map[string]string{"LINE X N": "X", "LINE X O": "X", "LINE Y N": "Y", "LINE Y O": "Y"}},

		{"or where the part calls them interchangeable", `
-- devices.csv --
device, part, place
N, pair, a
O, pair, b
-- circuits.csv --
circuit, from device, from pin, to device, to pin, class
ONE, N, , O, , signal
`, map[string]string{"ONE N": "X", "ONE O": "X"}},
	} {
		got, _, _ := ends(t, k.text)
		for end, pin := range k.want {
			if got[end] != pin {
				t.Errorf("%s: %s is on %q, want %q", k.name, end, got[end], pin)
			}
		}
	}
}

// TestMissing: what can't be placed says so at its cell, once, with numbers.
func TestMissing(t *testing.T) {
	for _, k := range []struct{ name, text, says string }{
		{"two inputs too few", `
-- devices.csv --
device, part, place
E, ecu, a
S1, press, b
S2, press, b
S3, press, b
S4, press, b
-- circuits.csv --
circuit, from device, from pin, to device, to pin, want
ALPHA, E, , S1, OUT,
BRAVO, E, , S2, OUT,
CHARLIE, E, , S3, OUT, assign.pin
DELTA, E, , S4, OUT,
`, "CHARLIE, DELTA: 2 analogue ins more needed"},
		{"no channel is strong enough", `
-- devices.csv --
device, part, place
M, box, a
L, lamp, b
-- circuits.csv --
circuit, from device, from pin, to device, to pin, want
HOT, M, , L, +, assign.pin
-- loads.csv --
device, mean
L, 15.1
`, "15.1 A is more than the 15 A of the strongest"},
		{"nothing tells two plain pins apart", `
-- devices.csv --
device, part, place
N, bare, a
S, press, b
-- circuits.csv --
circuit, from device, from pin, to device, to pin, class, want
P, S, OUT, N, , signal, assign.pin
`, "N has no"},
		{"a kept pin that a given one takes", `
-- devices.csv --
device, part, place
E, ecu, a
S1, press, b
S2, press, b
-- circuits.csv --
key, circuit, from device, from pin, to device, to pin, want
r1, P1, E, , S1, OUT, assign.kept
r2, P2, E, B3, S2, OUT,
-- kept.csv --
kind, thing, field, value
end, r1/from, pin, B3
`, "kept pin E B3"},
		{"no feed is strong enough", `
-- devices.csv --
device, part, place
C, fuses, a
L, lamp, b
-- feeds.csv --
feed, device, pin
F1, C, F1
-- circuits.csv --
circuit, from device, from pin, to device, to pin, want
HOT, , , L, +, assign.feed
-- loads.csv --
device, mean
L, 15.1
`, "takes 15.1 A"},
		{"a feed beside two given sides", `
-- devices.csv --
device, part, place
C, fuses, a
M, box, a
L, lamp, b
-- feeds.csv --
feed, device, pin
F1, C, F1
-- circuits.csv --
circuit, from device, from pin, to device, to pin, feed, want
HOT, M, O1, L, +, F1, assign.beside
`, "no blank side"},
		{"a full stud", `
-- devices.csv --
device, part, place
L1, lamp, b
L2, lamp, b
-- studs.csv --
stud, place, most lugs
G, a, 1
-- circuits.csv --
circuit, from device, from pin, to device, to pin, class, want
N1, L1, -, , , ground,
N2, L2, -, , , ground, assign.stud
`, "no ground stud with room"},
	} {
		c := fixture.Text(t, head+k.text)
		x, _ := resolve.Run(c.Design, c.Catalogue)
		_, vs := assign.Run(c.Design, x)
		c.Compare(t, vs)
		if !slices.ContainsFunc(vs, func(v verdict) bool { return strings.Contains(v.What, k.says) }) {
			t.Errorf("%s: nothing says %q: %v", k.name, k.says, said(vs))
		}
	}
}

// TestBanks: the cheapest channels would take bank left to 14 A of 12; the
// best pairing within its limit moves the smaller load.
func TestBanks(t *testing.T) {
	c := fixture.Text(t, head+`
-- devices.csv --
device, part, place
M, box, a
L1, lamp, b
L2, lamp, b
-- circuits.csv --
circuit, from device, from pin, to device, to pin
ONE, M, , L1, +
TWO, M, , L2, +
-- loads.csv --
device, mean
L1, 8
L2, 6
`)
	for most, want := range map[float64]string{14: "O1 O2", 13.9: "O1 O3"} {
		limit(c, "box", "left", most)
		x, _ := resolve.Run(c.Design, c.Catalogue)
		e, vs := assign.Run(c.Design, x)
		if len(vs) > 0 {
			t.Fatalf("%v", said(vs))
		}
		var got []string
		for _, end := range e.List {
			if x.Devices[end.Device].Name == "M" {
				got = append(got, end.Pin.Value)
			}
		}
		slices.Sort(got)
		if strings.Join(got, " ") != want {
			t.Errorf("limit %v A: %v, want %s", most, got, want)
		}
	}
}

// TestOrder: the order of rows means nothing.
func TestOrder(t *testing.T) {
	c := fixture.Text(t, head+`
-- devices.csv --
device, part, place
E, ecu, a
M, box, b
C, fuses, c
S1, press, b
S2, press, c
L1, lamp, d
L2, lamp, d
-- studs.csv --
stud, place
G1, a
G2, d
-- feeds.csv --
feed, device, pin
F1, C, F1
F2, C, F2
-- circuits.csv --
circuit, from device, from pin, to device, to pin
V, E, , S1, 5V
V, E, , S2, 5V
R, E, , S1, 0V
R, E, , S2, 0V
P1, E, , S1, OUT
P2, E, , S2, OUT
L1 +, , , L1, +
L2 +, M, , L2, +
L -, L1, -, ,
L -, L2, -, ,
`)
	run := func(d *design.Design) plan.Ends {
		x, _ := resolve.Run(d, c.Catalogue)
		e, vs := assign.Run(d, x)
		if len(vs) > 0 {
			t.Fatalf("%v", said(vs))
		}
		return e
	}
	want := run(c.Design)
	b := c.Book.Clone()
	for i := range b.Sheets {
		slices.Reverse(b.Sheets[i].Rows)
	}
	if got := run(design.Read(b)); !reflect.DeepEqual(got, want) {
		t.Error("reversed rows give other ends")
	}
	for _, e := range want.List {
		if e.Place < 0 || !e.Pin.Settled() {
			t.Errorf("%s is open", e.ID)
		}
	}
}

// TestFar: a ground looks past the nearest studs while they are wanted by
// others; all find one.
func TestFar(t *testing.T) {
	text := "-- places.csv --\nplace\n"
	legs := "-- legs.csv --\nfrom, to, length\n"
	studs := "-- studs.csv --\nstud, place, most lugs\n"
	devices := "-- devices.csv --\ndevice, part, place\n"
	circuits := "-- circuits.csv --\ncircuit, from device, from pin, class\n"
	last := "p00"
	text += last + "\n"
	for i := range 25 {
		n := string(rune('A' + i))
		text += n + "\n"
		legs += last + "," + n + ",100\n"
		studs += "G" + n + "," + n + ",1\n"
		devices += "L" + n + ",lamp-brake,p00\n"
		circuits += "N" + n + ",L" + n + ",-,ground\n"
		last = n
	}
	c := fixture.Text(t, text+legs+studs+devices+circuits)
	x, vs := resolve.Run(c.Design, c.Catalogue)
	e, more := assign.Run(c.Design, x)
	c.Compare(t, append(vs, more...))
	for _, end := range e.List {
		if !end.Pin.Settled() {
			t.Errorf("%s is open", end.ID)
		}
	}
}
