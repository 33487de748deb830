package route_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/stage/route"
	"keyon/testkit/small"
)

// parts is what the cars of these tests are built from: boxes with pins, a
// bus device whose contacts take two wires, and a battery with posts.
const parts = `
-- parts.csv --
part, kind, connector
box, device, 38999-9-35S
battery, device,
-- pins.csv --
part, pin, role, contact
box, 1, ,
box, 2, ,
box, 3, ,
battery, +, battery +, stud M8
battery, -, ground, stud M8
`

func car(t *testing.T, text string) small.Car {
	t.Helper()
	return small.Text(t, parts+text)
}

// show writes a route's spans as "A>B over p–q, q–r" with joints by name.
func show(c *small.Car, r *plan.Route) string {
	joint := func(j *plan.Joint) string {
		switch {
		case j.End >= 0:
			e := &c.E.List[j.End]
			if e.Stud >= 0 {
				return c.T.Studs[e.Stud].Name
			}
			return c.T.Devices[e.Device].Name
		case j.Join >= 0:
			return c.T.Joins[j.Join].Name + "/" + j.Half
		case j.Point >= 0:
			return fmt.Sprintf("s%d@%s", j.Point, c.T.Places[r.Points[j.Point].Place].Name)
		}
		return "free@" + c.T.Places[j.Place].Name
	}
	var out []string
	for i := range r.Spans {
		s := &r.Spans[i]
		a, b := joint(&s.From), joint(&s.To)
		legs := c.Legs(s.Legs)
		if b < a {
			a, b = b, a
			slices.Reverse(legs)
		}
		out = append(out, a+" "+b+" ["+strings.Join(legs, " ")+"]")
	}
	slices.Sort(out)
	return strings.Join(out, "\n")
}

func want(t *testing.T, got string, lines ...string) {
	t.Helper()
	if w := strings.Join(lines, "\n"); got != w {
		t.Errorf("got\n%s\nwant\n%s", got, w)
	}
}

func run(t *testing.T, c *small.Car) []plan.Route {
	t.Helper()
	r, vs := route.Run(c.D, c.T, c.E, plan.Guess{})
	for _, v := range vs {
		t.Errorf("%s: %s", v.Rule.ID, v.What)
	}
	return r.List
}

const square = `
-- places.csv --
place
A
B
C
D
-- legs.csv --
from, to, length
A, B, 1000
B, D, 1000
A, C, 900
C, D, 1050
-- devices.csv --
device, part, place
da, box, A
db, box, B
dc, box, C
dd, box, D
`

// firewall has a stud on the short way and a connector on the longer.
const firewall = `
-- places.csv --
place
A
J1
J2
T1
T2
B
-- legs.csv --
from, to, length
A, J1, 300
J2, B, 300
A, T1, 200
T2, B, 200
-- joins.csv --
join, kind, place a, place b
J, bulkhead, J1, J2
T, stud, T1, T2
-- devices.csv --
device, part, place
da, box, A
db, box, B
ba, battery, A
bb, battery, B
`

func TestWays(t *testing.T) {
	for _, c := range []struct {
		name, text string
		want       []string
	}{
		{"shortest of two ways", square + `
-- circuits.csv --
circuit, from device, from pin, to device, to pin, class
X, da, 1, dd, 1, signal
`, []string{"da dd [A–C C–D]"}},
		{"kept out of the shorter", strings.Replace(square, "from, to, length\nA, B, 1000\nB, D, 1000\nA, C, 900\n", "from, to, length, keep out\nA, B, 1000,\nB, D, 1000,\nA, C, 900, data\n", 1) + `
-- circuits.csv --
circuit, from device, from pin, to device, to pin, class
X, da, 1, dd, 1, data
`, []string{"da dd [A–B B–D]"}},
		{"round a hot zone", strings.Replace(square, "from, to, length\nA, B, 1000\nB, D, 1000\nA, C, 900\n", "from, to, length, zone\nA, B, 1000,\nB, D, 1000,\nA, C, 900, bay\n", 1) + `
-- zones.csv --
zone, ambient, exposures
bay, 90, heat
-- circuits.csv --
circuit, from device, from pin, to device, to pin, class
X, da, 1, dd, 1, signal
`, []string{"da dd [A–B B–D]"}},
		{"given through", square + `
-- circuits.csv --
circuit, from device, from pin, to device, to pin, class
X, da, 1, dd, 1, signal
-- routes.csv --
circuit, from, to
X, B, D
`, []string{"da dd [A–B B–D]"}},
		{"given to avoid", square + `
-- circuits.csv --
circuit, from device, from pin, to device, to pin, class
X, da, 1, dd, 1, signal
-- routes.csv --
circuit, from, to, use
X, A, C, avoid
`, []string{"da dd [A–B B–D]"}},
		{"kept though longer", square + `
-- circuits.csv --
key, circuit, from device, from pin, to device, to pin, class
cx, X, da, 1, dd, 1, signal
-- kept.csv --
kind, thing, field, value
circuit, cx, legs, LAB LBD
`, []string{"da dd [A–B B–D]"}},
		{"kin go together", square + `
-- circuits.csv --
circuit, from device, from pin, to device, to pin, class, twist
X, da, 1, dd, 1, signal, T
Y, da, 2, db, 1, signal, T
`, []string{"da dd [A–B B–D]"}},
		{"both at one place", square + `
-- devices.csv --
device, part, place
da2, box, A
-- circuits.csv --
circuit, from device, from pin, to device, to pin, class
X, da, 1, da2, 1, signal
`, []string{"da da2 []"}},
		{"over a join rather than round it", square + `
-- places.csv --
place
J1
J2
-- legs.csv --
from, to, length
A, J1, 200
J2, D, 200
-- joins.csv --
join, kind, place a, place b
J, in-line, J1, J2
-- circuits.csv --
circuit, from device, from pin, to device, to pin, class
X, da, 1, dd, 1, signal
`, []string{"J/a da [A–J1]", "J/b dd [J2–D]"}},
		{"round a join that saves less than it costs", square + `
-- places.csv --
place
J1
J2
-- legs.csv --
from, to, length
A, J1, 800
J2, D, 700
-- joins.csv --
join, kind, place a, place b
J, in-line, J1, J2
-- circuits.csv --
circuit, from device, from pin, to device, to pin, class
X, da, 1, dd, 1, signal
`, []string{"da dd [A–C C–D]"}},
		{"a through-stud is for heavy cable, a connector for all else", firewall + `
-- circuits.csv --
circuit, from device, from pin, to device, to pin, class
X, ba, +, bb, +, heavy
`, []string{"T/a ba [A–T1]", "T/b bb [T2–B]"}},
		{"and signals keep off the stud", firewall + `
-- circuits.csv --
circuit, from device, from pin, to device, to pin, class
X, da, 1, db, 1, signal
`, []string{"J/a da [A–J1]", "J/b db [J2–B]"}},
		{"on through a grommet", `
-- places.csv --
place
A
J1
J2
B
-- legs.csv --
from, to, length
A, J1, 800
J2, B, 700
-- devices.csv --
device, part, place
da, box, A
db, box, B
-- joins.csv --
join, kind, place a, place b
J, grommet, J1, J2
-- circuits.csv --
circuit, from device, from pin, to device, to pin, class
X, da, 1, db, 1, signal
`, []string{"da db [A–J1 J2–B]"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			x := car(t, keyed(c.text))
			r := run(t, &x)
			want(t, show(&x, &r[x.Circuit(t, "X")]), c.want...)
		})
	}
}

// keyed gives legs of a text keys such as LAB, so that Kept can name them.
func keyed(text string) string {
	var out []string
	legs := false
	for _, line := range strings.Split(text, "\n") {
		switch {
		case strings.HasPrefix(line, "-- "):
			legs = line == "-- legs.csv --"
		case legs && strings.HasPrefix(line, "from, to"):
			line = "key, " + line
		case legs && strings.Contains(line, ","):
			f := strings.Split(line, ", ")
			line = "L" + f[0] + f[1] + ", " + line
		}
		out = append(out, line)
	}
	return strings.Join(out, "\n")
}

func TestCost(t *testing.T) {
	x := car(t, square+`
-- circuits.csv --
circuit, from device, from pin, to device, to pin, class
X, da, 1, dd, 1, signal
`)
	r := run(t, &x)[0]
	if r.Metres != 1.95 || r.Cost != 1.95 || r.Bound != 1.95 {
		t.Errorf("metres %v, cost %v, bound %v; want 1.95 each", r.Metres, r.Cost, r.Bound)
	}
}

func same(t *testing.T, what string, a, b any) {
	t.Helper()
	if d := cmp.Diff(a, b, cmp.AllowUnexported(part.Connector{}, part.Device{})); d != "" {
		t.Errorf("%s differ: %s", what, d)
	}
}
