package route_test

import (
	"slices"
	"testing"

	"keyon/model/plan"
	"keyon/stage/route"
	"keyon/testkit/small"
)

// comb is a trunk from A to E with a branch at B, C and D, all devices well
// clear of the branch points.
const comb = `
-- places.csv --
place
A
B
B1
C
C1
D
D1
E
-- legs.csv --
from, to, length
A, B, 1000
B, C, 1000
C, D, 1000
D, E, 1000
B, B1, 400
C, C1, 400
D, D1, 400
-- devices.csv --
device, part, place
da, box, A
db, box, B1
dc, box, C1
dd, box, D1
de, box, E
`

func TestPoints(t *testing.T) {
	for _, c := range []struct {
		name, text string
		want       []string
	}{
		{"three ends: a splice where they part", comb + `
-- circuits.csv --
circuit, from device, from pin, to device, to pin, class
X, da, 1, db, 1, power
X, da, 1, dc, 1, power
`, []string{"da s0@B [A–B]", "db s0@B [B–B1]", "dc s0@B [C–C1 B–C]"}},
		{"five ends: a longer wire is better than a third splice",
			// Splices at B, C and D: 4.0 m of trunk, 1.2 m of branches, 3 × 1.1 m: 8.5 m.
			// At C and D, with B–C laid twice: a metre more, a splice less: 8.4 m.
			// At C alone, five wires take two splices: 7.2 m + 2.2 m = 9.4 m.
			comb + `
-- circuits.csv --
circuit, from device, from pin, to device, to pin, class
X, da, 1, db, 1, power
X, da, 1, dc, 1, power
X, da, 1, dd, 1, power
X, da, 1, de, 1, power
-- limits.csv --
limit, value, reason
splice cost, 1100, dear
splice after splice, 0, house
most wires in a splice, 4, house
`, []string{"da s1@C [A–B B–C]", "db s1@C [B–B1 B–C]", "dc s1@C [C–C1]", "dd s0@D [D–D1]", "de s0@D [D–E]", "s0@D s1@C [C–D]"}},
		{"a splice stays clear of a connector", `
-- places.csv --
place
A
B
B1
C
-- legs.csv --
from, to, length
A, B, 1000
B, B1, 100
B, C, 150
-- devices.csv --
device, part, place
da, box, A
db, box, B
dc, box, C
dd, box, C
-- circuits.csv --
circuit, from device, from pin, to device, to pin, class
X, da, 1, dc, 1, power
X, da, 1, dd, 1, power
`,
			// At C it lacks 305 mm, at B, beside db, as much, with 150 mm of wire more;
			// A is no better: C.
			[]string{"da s0@C [A–B B–C]", "dc s0@C []", "dd s0@C []"}},
		{"a splice moves up the leg to be clear", `
-- places.csv --
place
A
B
C
-- legs.csv --
from, to, length
A, B, 1000
B, C, 310
-- devices.csv --
device, part, place
da, box, A
dc, box, C
dd, box, C
-- circuits.csv --
circuit, from device, from pin, to device, to pin, class
X, da, 1, dc, 1, power
X, da, 1, dd, 1, power
-- limits.csv --
limit, value, reason
splice reach, 400, house
`,
			// At C it lacks 400 mm, which counts three times. At B, 310 mm away, it lacks
			// 90 mm and takes 310 mm of wire more.
			[]string{"da s0@B [A–B]", "dc s0@B [B–C]", "dd s0@B [B–C]"}},
		{"given splice place", comb + `
-- circuits.csv --
circuit, from device, from pin, to device, to pin, class
X, da, 1, db, 1, power
X, da, 1, dc, 1, power
-- splices.csv --
circuit, place
X, C
`, []string{"da s0@C [A–B B–C]", "db s0@C [B–B1 B–C]", "dc s0@C [C–C1]"}},
		{"six wires at one place take two splices of four", `
-- places.csv --
place
H
P1
P2
P3
P4
P5
P6
-- legs.csv --
from, to, length
H, P1, 1000
H, P2, 1000
H, P3, 1000
H, P4, 1000
H, P5, 1000
H, P6, 1000
-- devices.csv --
device, part, place
d1, box, P1
d2, box, P2
d3, box, P3
d4, box, P4
d5, box, P5
d6, box, P6
-- circuits.csv --
circuit, from device, from pin, to device, to pin, class
X, d1, 1, d2, 1, power
X, d1, 1, d3, 1, power
X, d1, 1, d4, 1, power
X, d1, 1, d5, 1, power
X, d1, 1, d6, 1, power
-- limits.csv --
limit, value, reason
most wires in a splice, 4, house
`, []string{"d1 s0@H [H–P1]", "d2 s0@H [H–P2]", "d3 s0@H [H–P3]", "d4 s1@H [H–P4]", "d5 s1@H [H–P5]", "d6 s1@H [H–P6]", "s0@H s1@H []"}},
		{"a stud is a free meeting point", comb + `
-- studs.csv --
stud, place, use
G1, C, ground
-- circuits.csv --
circuit, from device, from pin, to device, to pin, class
X, da, 1, G1, , ground
X, dc, 1, G1, , ground
X, de, 1, G1, , ground
`, []string{"G1 da [B–C A–B]", "G1 dc [C–C1]", "G1 de [C–D D–E]"}},
		{"more wires than lugs", comb + `
-- studs.csv --
stud, place, use, most lugs
G1, C, ground, 2
-- circuits.csv --
circuit, from device, from pin, to device, to pin, class
X, da, 1, G1, , ground
X, db, 1, G1, , ground
X, dc, 1, G1, , ground
`, []string{"G1 dc [C–C1]", "G1 s0@B [B–C]", "da s0@B [A–B]", "db s0@B [B–B1]"}},
		{"heavy cable meets at posts only", comb + `
-- devices.csv --
device, part, place
b1, battery, A
b2, battery, C1
b3, battery, E
-- circuits.csv --
circuit, from device, from pin, to device, to pin, class
X, b1, +, b2, +, heavy
X, b1, +, b3, +, heavy
`, []string{"b1 b2 [A–B B–C C–C1]", "b2 b3 [C–C1 C–D D–E]"}},
		{"a data bus is a line with short stubs", comb + `
-- circuits.csv --
circuit, from device, from pin, to device, to pin, class
X, da, 1, db, 1, data
X, da, 1, dc, 1, data
X, da, 1, de, 1, data
`,
			// The branch points are 400 mm from the devices, the longest stub is 300 mm:
			// the line goes to each device and the splice sits there.
			[]string{"da s0@B1 [A–B B–B1]", "db s0@B1 []", "dc s1@C1 []", "de s1@C1 [D–E C–D C–C1]", "s0@B1 s1@C1 [B–B1 B–C C–C1]"}},
		{"with longer stubs allowed the splice moves to the branch", comb + `
-- circuits.csv --
circuit, from device, from pin, to device, to pin, class
X, da, 1, db, 1, data
X, da, 1, dc, 1, data
X, da, 1, de, 1, data
-- limits.csv --
limit, value, reason
bus stub, 500, 250 kbit/s
`, []string{"da s0@B [A–B]", "db s0@B [B–B1]", "dc s1@C [C–C1]", "de s1@C [D–E C–D]", "s0@B s1@C [B–C]"}},
		{"terminated devices end the line", `
-- parts.csv --
part, kind, connector
node, device, 38999-9-35S
-- pins.csv --
part, pin, role
node, 1, bus high
node, 2, bus low
-- links.csv --
part, from pin, to pin, kind, ohm
node, 1, 2, terminator, 120
` + comb + `
-- devices.csv --
device, part, place
na, node, A
nd, node, D1
-- circuits.csv --
circuit, from device, from pin, to device, to pin, class
X, na, 1, de, 1, data
X, na, 1, nd, 1, data
`, []string{"de s0@E []", "na s0@E [A–B B–C C–D D–E]", "nd s0@E [D–D1 D–E]"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			x := car(t, c.text)
			r := run(t, &x)
			want(t, show(&x, &r[x.Circuit(t, "X")]), c.want...)
		})
	}
}

func TestNowhereToJoin(t *testing.T) {
	x := car(t, comb+`
-- circuits.csv --
circuit, from device, from pin, to device, to pin, class
X, da, 1, db, 1, thermocouple
X, da, 1, dc, 1, thermocouple
`)
	r, vs := route.Run(x.D, x.T, x.E, plan.Guess{})
	if len(vs) != 1 || vs[0].Rule != route.RulePoints || !r.List[0].Open {
		t.Errorf("want one route.points and an open route, got %v, open %v", vs, r.List[0].Open)
	}
}

func TestNoWay(t *testing.T) {
	x := car(t, square+`
-- places.csv --
place
F
-- devices.csv --
device, part, place
df, box, F
-- circuits.csv --
circuit, from device, from pin, to device, to pin, class
X, da, 1, df, 1, signal
Y, da, 2, dd, 1, signal
`)
	r, vs := route.Run(x.D, x.T, x.E, plan.Guess{})
	if len(vs) != 1 || vs[0].Rule != route.RuleWay || !r.List[0].Open || r.List[1].Open {
		t.Errorf("want one route.way, X open and Y not; got %v", vs)
	}
	if want := "X: no way over legs and joins between A and F"; vs[0].What != want {
		t.Errorf("got %q, want %q", vs[0].What, want)
	}
}

// Shields that are grounded at one end run along with the pair they shield,
// to its far end.
func TestShieldEndsFree(t *testing.T) {
	x := car(t, comb+`
-- circuits.csv --
circuit, from device, from pin, to device, to pin, class, twist
H, da, 1, dd, 1, low-level, K
S, da, 3, , , shield, K
`)
	r := run(t, &x)
	want(t, show(&x, &r[x.Circuit(t, "S")]), "da free@D1 [A–B B–C C–D D–D1]")
}

func TestInputsUnchanged(t *testing.T) {
	text := parts + comb + `
-- circuits.csv --
circuit, from device, from pin, to device, to pin, class
X, da, 1, db, 1, power
X, da, 1, dc, 1, power
`
	x, y := small.Text(t, text), small.Text(t, text)
	route.Run(x.D, x.T, x.E, plan.Guess{})
	same(t, "things", x.T, y.T)
	same(t, "ends", x.E, y.E)
}

// Whatever the order of rows, the routes are the same.
func TestRowOrder(t *testing.T) {
	x := car(t, comb+`
-- circuits.csv --
circuit, from device, from pin, to device, to pin, class
X, da, 1, db, 1, power
X, da, 1, dc, 1, power
Y, da, 2, dd, 1, data
Y, da, 2, dc, 2, data
Y, da, 2, de, 2, data
`)
	first, _ := route.Run(x.D, x.T, x.E, plan.Guess{})
	b := x.Book.Clone()
	for i := range b.Sheets {
		slices.Reverse(b.Sheets[i].Rows)
	}
	y := small.Book(t, b, x.C)
	second, _ := route.Run(y.D, y.T, y.E, plan.Guess{})
	same(t, "routes", first, second)
}
