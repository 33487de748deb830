package cross_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"keyon/model/design"
	"keyon/model/finding"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/model/settle"
	"keyon/stage/cross"
	"keyon/stage/route"
	"keyon/testkit/small"
)

const parts = `
-- parts.csv --
part, kind, connector
box, device, 38999-25-35S
fan, device, 38999-9-35S
-- pins.csv --
part, pin, role
fan, 1, supply in
fan, 2, ground
`

const bulkhead = `
-- places.csv --
place, x, y, z
A, 0, 0, 0
J1, 1000, 0, 0
J2, 1000, 0, 0
B, 2000, 0, 0
-- legs.csv --
from, to, length
A, J1, 1000
J2, B, 1000
-- devices.csv --
device, part, place
da, box, A
db, box, B
`

// circuits writes n circuits from da to db, each with the class, twist and
// gauge that f says.
func circuits(n int, f func(i int) (class, twist, gauge string)) string {
	var b strings.Builder
	b.WriteString("-- pins.csv --\npart, pin\n")
	for i := range n {
		fmt.Fprintf(&b, "box, %d\n", i+1)
	}
	b.WriteString("-- circuits.csv --\nkey, circuit, from device, from pin, to device, to pin, class, twist, gauge\n")
	for i := range n {
		class, twist, gauge := f(i)
		fmt.Fprintf(&b, "c%03d, C%03d, da, %d, db, %d, %s, %s, %s\n", i, i, i+1, i+1, class, twist, gauge)
	}
	return b.String()
}

func signals(int) (string, string, string) { return "signal", "", "" }

const anyJoin = `
-- joins.csv --
join, kind, place a, place b
J, bulkhead, J1, J2
`

func join(partID string) string {
	return "-- joins.csv --\njoin, kind, place a, place b, part\nJ, bulkhead, J1, J2, " + partID + "\n"
}

func run(t *testing.T, text string) (small.Car, plan.Cavities, []finding.Verdict) {
	t.Helper()
	c := small.Text(t, parts+bulkhead+text)
	r, _ := route.Run(c.D, c.T, c.E, plan.Guess{})
	x, vs := cross.Run(c.D, c.C, c.T, c.E, r)
	legal(t, &c, &x)
	return c, x, vs
}

// legal holds a table against what must be true of any: every worked-out
// cavity is one of the connector's, in use once, and its contact takes its
// share of the current.
func legal(t *testing.T, c *small.Car, x *plan.Cavities) {
	t.Helper()
	used := map[string]string{}
	for _, k := range x.Crossings {
		name := fmt.Sprintf("%s contact %d", c.T.Circuits[k.Circuit].Name, k.N)
		if !k.Cavity.Settled() {
			continue
		}
		conn := x.Joins[k.Join].Connector
		if conn == nil {
			continue
		}
		at := fmt.Sprint(k.Join, k.Cavity.Value)
		if other, twice := used[at]; twice {
			t.Errorf("%s and %s share cavity %s", name, other, k.Cavity.Value)
		}
		used[at] = name
		if k.Cavity.Origin == settle.Worked && !slices.ContainsFunc(conn.Cavities, func(v part.Cavity) bool { return v.Name == k.Cavity.Value && v.Size == k.Size }) {
			t.Errorf("%s: %s has no cavity %s of size %s", name, conn.ID, k.Cavity.Value, k.Size)
		}
	}
}

// Counts and positions are those of MIL-STD-1560C.
func TestPart(t *testing.T) {
	for _, c := range []struct {
		name, text, want string
	}{
		{"one signal takes the smallest shell with the fewest cavities", anyJoin + circuits(1, signals), "38999-9-98"},
		{"five of six leave more than a tenth", anyJoin + circuits(5, signals), "38999-9-35"},
		{"six of six leave none: the next has seven of size 20", anyJoin + circuits(6, signals), "38999-11-99"},
		{"no spares wanted", "-- joins.csv --\njoin, kind, place a, place b, spare share\nJ, bulkhead, J1, J2, 0\n" + circuits(6, signals), "38999-9-35"},
		{"gauge 16 asks for size 16", anyJoin + circuits(1, func(int) (string, string, string) { return "signal", "", "16" }), "38999-11-2"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, x, vs := run(t, c.text)
			if got := x.Joins[0].Part.Value; got != c.want {
				t.Errorf("got %s, want %s (%v)", got, c.want, vs)
			}
		})
	}
}

func TestNoPart(t *testing.T) {
	_, x, vs := run(t, anyJoin+circuits(125, signals))
	if len(vs) != 1 || vs[0].Rule != cross.RulePart || x.Joins[0].Part.Settled() || len(x.Crossings) != 125 {
		t.Errorf("125 circuits and a tenth spare are more than 128 cavities: %v, %d crossings", vs, len(x.Crossings))
	}
}

// at is the position of a circuit's cavity, mm.
func at(c *small.Car, x *plan.Cavities, name string, n int) (float64, float64) {
	for _, k := range x.Crossings {
		if c.T.Circuits[k.Circuit].Name == name && k.N == n {
			for _, v := range x.Joins[k.Join].Connector.Cavities {
				if v.Name == k.Cavity.Value {
					return v.X.MM(), v.Y.MM()
				}
			}
		}
	}
	return math.NaN(), math.NaN()
}

func apart(c *small.Car, x *plan.Cavities, a, b string) float64 {
	ax, ay := at(c, x, a, 1)
	bx, by := at(c, x, b, 1)
	return math.Hypot(ax-bx, ay-by)
}

// The least distance in a -35 arrangement is 1.9 mm to 2.0 mm (MIL-STD-1560C,
// from its coordinates); neighbours are within 2.4 mm.
func TestPairsSideBySide(t *testing.T) {
	c, x, _ := run(t, anyJoin+circuits(40, func(i int) (string, string, string) {
		if i%4 < 2 {
			return "data", fmt.Sprintf("T%d", i/4), ""
		}
		return "signal", "", ""
	}))
	far := 0
	for i := 0; i < 40; i += 4 {
		a, b := fmt.Sprintf("C%03d", i), fmt.Sprintf("C%03d", i+1)
		if d := apart(&c, &x, a, b); !(d < 2.4) {
			far++
			t.Logf("%s and %s lie %.2f mm apart", a, b, d)
		}
	}
	if far > 0 {
		t.Errorf("%d of 10 pairs are not side by side", far)
	}
}

// Two data circuits between the same devices are one bus, twisted or not.
func TestBusSideBySide(t *testing.T) {
	c, x, _ := run(t, anyJoin+circuits(40, func(i int) (string, string, string) {
		if i == 3 || i == 30 {
			return "data", "", ""
		}
		return "signal", "", ""
	}))
	if d := apart(&c, &x, "C003", "C030"); !(d < 2.4) {
		t.Errorf("the two lines lie %.2f mm apart", d)
	}
}

func TestIgnitionApartFromLowLevel(t *testing.T) {
	c, x, _ := run(t, anyJoin+circuits(20, func(i int) (string, string, string) {
		switch i % 5 {
		case 0:
			return "ignition", "", ""
		case 1:
			return "low-level", "", ""
		}
		return "signal", "", ""
	}))
	for i := 0; i < 20; i += 5 {
		for k := 1; k < 20; k += 5 {
			if d := apart(&c, &x, fmt.Sprintf("C%03d", i), fmt.Sprintf("C%03d", k)); !(d > 3.9) {
				t.Errorf("ignition C%03d and low-level C%03d lie %.2f mm apart", i, k, d)
			}
		}
	}
}

func TestGivenAndKept(t *testing.T) {
	j := string(design.UID("Joins", "J", 0))
	text := join("38999-11-35") + circuits(4, signals) + `
-- cavities.csv --
join, circuit, cavity
J, C000, 13
J, C001, 99
-- kept.csv --
kind, thing, field, value
crossing, ` + j + `/c002/1, cavity, 7
crossing, ` + j + `/c003/1, cavity, 13
`
	_, x, vs := run(t, text)
	want := []struct {
		value  string
		origin settle.Origin
	}{{"13", settle.FromUser}, {"99", settle.FromUser}, {"7", settle.FromKept}, {"", settle.Worked}}
	for i, w := range want {
		k := x.Crossings[i].Cavity
		if w.value != "" && k.Value != w.value || k.Origin != w.origin {
			t.Errorf("crossing %d: got %s %v, want %s %v", i, k.Value, k.Origin, w.value, w.origin)
		}
	}
	var said []string
	for _, v := range vs {
		said = append(said, v.Rule.ID+": "+v.What)
	}
	slices.Sort(said)
	wantSaid := []string{"cross.cavity: J has no cavity 99: 38999-11-35 has 13, 1 to 13", "cross.kept: J: the kept cavity 13 of C003 is left, it is taken by another circuit"}
	if !slices.Equal(said, wantSaid) {
		t.Errorf("got %q, want %q", said, wantSaid)
	}
}

// Giving back every worked-out cavity, part, key and socket side leads to the
// same values.
func TestGivingBack(t *testing.T) {
	text := circuits(20, func(i int) (string, string, string) {
		return []string{"ignition", "low-level", "signal", "data"}[i%4], []string{"", "", "", "T"}[i%4], ""
	})
	_, first, _ := run(t, anyJoin+text)
	j := first.Joins[0]
	given := "-- joins.csv --\njoin, kind, place a, place b, part, key, sockets\nJ, bulkhead, J1, J2, " + j.Part.Value + "," + j.Key.Value + "," + j.Sockets.Value + "\n"
	given += text + "-- cavities.csv --\njoin, circuit, cavity\n"
	for i, k := range first.Crossings {
		given += fmt.Sprintf("J, C%03d, %s\n", i, k.Cavity.Value)
	}
	_, second, vs := run(t, given)
	if len(vs) > 0 {
		t.Errorf("findings: %v", vs)
	}
	for i := range first.Crossings {
		if a, b := first.Crossings[i], second.Crossings[i]; a.Cavity.Value != b.Cavity.Value || a.Size != b.Size {
			t.Errorf("crossing %d: %s %s, given back %s %s", i, a.Cavity.Value, a.Size, b.Cavity.Value, b.Size)
		}
	}
	if a, b := first.Joins[0], second.Joins[0]; a.Connector != b.Connector || a.Key.Value != b.Key.Value || a.Sockets.Value != b.Sockets.Value {
		t.Errorf("join: %v, given back %v", a, b)
	}
}

// 9 A on size 22D (5 A, MIL-DTL-38999N Table IV): each contact counts for four
// fifths, 9 / 4 → three.
func TestSeveralContacts(t *testing.T) {
	text := join("38999-11-35") + `
-- devices.csv --
device, part, place
fan, fan, B
-- loads.csv --
device, from pin, to pin, mean
fan, 1, 2, 9
` + circuits(1, signals) + "p, P, da, 1, fan, 1, power, ,\n"
	c, x, vs := run(t, text)
	n := 0
	for _, k := range x.Crossings {
		if c.T.Circuits[k.Circuit].Name == "P" {
			n++
		}
	}
	if n != 3 || len(vs) > 0 {
		t.Errorf("got %d contacts, want 3; %v", n, vs)
	}
}

func TestSockets(t *testing.T) {
	for _, c := range []struct{ name, joins, want string }{
		{"the half power comes from", anyJoin, "b"},
		{"the fixed half's given part has sockets", join("38999-11-35S"), "a"},
		{"the fixed half's given part has pins", join("38999-11-35P"), "b"},
		{"given", "-- joins.csv --\njoin, kind, place a, place b, sockets\nJ, bulkhead, J1, J2, a\n", "a"},
	} {
		text := c.joins + `
-- parts.csv --
part, kind, connector
source, device, 38999-9-35S
-- pins.csv --
part, pin, role
source, 1, supply out
-- devices.csv --
device, part, place
source, source, B
fan, fan, A
` + circuits(0, signals) + "p, P, source, 1, fan, 1, power, ,\n"
		_, x, _ := run(t, text)
		if got := x.Joins[0].Sockets.Value; got != c.want {
			t.Errorf("%s: sockets on %s, want %s", c.name, got, c.want)
		}
	}
}

func TestKeys(t *testing.T) {
	text := `
-- places.csv --
place, x, y, z
K1, 1100, 0, 0
K2, 1100, 0, 0
L1, 9000, 0, 0
L2, 9000, 0, 0
-- joins.csv --
join, kind, place a, place b, part, key
J, bulkhead, J1, J2, 38999-11-35,
K, bulkhead, K1, K2, 38999-11-35,
L, bulkhead, L1, L2, 38999-11-35,
` + circuits(1, signals)
	_, x, vs := run(t, text)
	got := x.Joins[0].Key.Value + x.Joins[1].Key.Value + x.Joins[2].Key.Value
	if got != "NAN" || len(vs) > 0 {
		t.Errorf("keys %s, want N, then A within reach, then N far off; %v", got, vs)
	}
	text = strings.Replace(text, "38999-11-35,\nL,", "38999-11-35, N\nL,", 1)
	_, x, _ = run(t, text)
	if got := x.Joins[0].Key.Value + x.Joins[1].Key.Value; got != "AN" {
		t.Errorf("keys %s, want the given N kept and A beside it", got)
	}
}

func TestRowOrderAndInputs(t *testing.T) {
	text := parts + bulkhead + anyJoin + circuits(30, func(i int) (string, string, string) {
		return []string{"ignition", "low-level", "signal", "data", "data"}[i%5], []string{"", "", "", fmt.Sprint("T", i/5), fmt.Sprint("T", i/5)}[i%5], ""
	})
	c, fresh := small.Text(t, text), small.Text(t, text)
	r, _ := route.Run(c.D, c.T, c.E, plan.Guess{})
	x, _ := cross.Run(c.D, c.C, c.T, c.E, r)
	b := c.Book.Clone()
	for i := range b.Sheets {
		slices.Reverse(b.Sheets[i].Rows)
	}
	q := small.Book(t, b, c.C)
	rq, _ := route.Run(q.D, q.T, q.E, plan.Guess{})
	y, _ := cross.Run(q.D, q.C, q.T, q.E, rq)
	hidden := cmp.AllowUnexported(part.Connector{}, part.Device{})
	if d := cmp.Diff(x, y, hidden); d != "" {
		t.Errorf("another order of rows, other cavities: %s", d)
	}
	again, _ := route.Run(fresh.D, fresh.T, fresh.E, plan.Guess{})
	for _, pair := range [][2]any{{c.T, fresh.T}, {c.E, fresh.E}, {r, again}} {
		if d := cmp.Diff(pair[0], pair[1], hidden); d != "" {
			t.Errorf("an input changed: %s", d)
		}
	}
}

// TestOneMisfit: a circuit that no contact serves at both ends does not
// spoil the contacts of the others. Contacts of size 16 take 20 to 16 AWG and
// those of size 20 take 24 to 20, but their seals share no wire (AS39029,
// MIL-DTL-38999N Table VI).
func TestOneMisfit(t *testing.T) {
	c, x, _ := run(t, anyJoin+`
-- parts.csv --
part, kind, connector
large, device, 38999-13-4S
medium, device, 38999-11-98S
-- pins.csv --
part, pin
large, A
large, B
medium, A
-- devices.csv --
device, part, place
la, large, A
lb, large, B
mb, medium, B
-- circuits.csv --
circuit, from device, from pin, to device, to pin, class
FITS, la, A, lb, A, signal
NOT, la, B, mb, A, signal
`)
	for _, k := range x.Crossings {
		if name := c.T.Circuits[k.Circuit].Name; name == "FITS" && k.Size != "16" {
			t.Errorf("%s crosses on size %s, its ends have size 16", name, k.Size)
		}
	}
	if len(x.Crossings) != 2 {
		t.Errorf("%d crossings, want 2", len(x.Crossings))
	}
}
