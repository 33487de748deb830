package split_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/stage/cross"
	"keyon/stage/route"
	"keyon/stage/split"
	"keyon/testkit/small"
)

const parts = `
-- parts.csv --
part, kind, connector
box, device, 38999-9-35S
fan, device, 38999-9-35S
carrier, device,
-- pins.csv --
part, pin, role, contact
box, 1, ,
box, 2, ,
box, 3, ,
fan, 1, supply in,
fan, 2, ground,
carrier, +, supply in, stud M8
carrier, F1, supply out, stud M6
`

type planned struct {
	small.Car
	R plan.Routes
	X plan.Cavities
	W plan.Wires
}

func run(t *testing.T, text string) planned {
	t.Helper()
	return over(small.Text(t, parts+text))
}

func over(c small.Car) planned {
	p := planned{Car: c}
	p.R, _ = route.Run(c.D, c.T, c.E, plan.Guess{})
	p.X, _ = cross.Run(c.D, c.C, c.T, c.E, p.R)
	p.W, _ = split.Run(c.D, c.T, c.E, p.R, p.X)
	return p
}

func (p *planned) end(e *plan.WireEnd) string {
	switch e.Kind {
	case plan.AtPin, plan.AtLead:
		x := &p.E.List[e.End]
		return p.T.Devices[x.Device].Name + ":" + x.Pin.Value
	case plan.AtStud:
		return p.T.Studs[p.E.List[e.End].Stud].Name
	case plan.AtCavity:
		x := &p.X.Crossings[e.Crossing]
		return fmt.Sprintf("%s/%s#%d", p.T.Joins[x.Join].Name, e.Half, x.N)
	case plan.AtSplice:
		return "splice@" + p.T.Places[e.Place].Name
	}
	return "free@" + p.T.Places[e.Place].Name
}

// gauge is what the row that holds for a wire gives.
func (p *planned) gauge(w *plan.Wire) string {
	if g := p.D.Circuits[p.T.Circuits[w.Circuit].Rows[w.Row].Design].Gauge; g.Is() {
		return " " + g.Value
	}
	return ""
}

// show writes a circuit's wires as "from > to [legs] gauge".
func (p *planned) show(circuit string) string {
	var out []string
	for i := range p.W.List {
		w := &p.W.List[i]
		if p.T.Circuits[w.Circuit].Name == circuit {
			out = append(out, fmt.Sprintf("%s > %s [%s]%s", p.end(&w.From), p.end(&w.To), strings.Join(p.Legs(w.Legs), " "), p.gauge(w)))
		}
	}
	slices.Sort(out)
	return strings.Join(out, "\n")
}

const line = `
-- places.csv --
place
A
B
J1
J2
C
D
-- legs.csv --
from, to, length
A, B, 1000
B, J1, 500
J2, C, 700
C, D, 900
-- joins.csv --
join, kind, place a, place b
J, bulkhead, J1, J2
-- devices.csv --
device, part, place
da, box, A
db, box, B
dd, box, D
fan, fan, D
fuses, carrier, A
-- studs.csv --
stud, place, use
G, A, ground
`

func TestWires(t *testing.T) {
	for _, c := range []struct {
		name, text string
		want       []string
	}{
		{"across a join", line + `
-- circuits.csv --
circuit, from device, from pin, to device, to pin, class
X, da, 1, dd, 1, signal
`, []string{"J/b#1 > dd:1 [J2–C C–D]", "da:1 > J/a#1 [A–B B–J1]"}},
		{"ground runs to the stud", line + `
-- circuits.csv --
circuit, from device, from pin, to device, to pin, class
X, G, , fan, 2, ground
`, []string{"J/a#1 > G [B–J1 A–B]", "fan:2 > J/b#1 [C–D J2–C]"}},
		{"the row whose way it is on, the one with a gauge first", line + `
-- circuits.csv --
circuit, from device, from pin, to device, to pin, class, gauge
X, da, 1, db, 1, power,
X, da, 1, dd, 1, power, 20
`, []string{"J/b#1 > dd:1 [J2–C C–D] 20", "da:1 > splice@B [A–B] 20", "splice@B > J/a#1 [B–J1] 20", "splice@B > db:1 []"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := run(t, c.text)
			if got, want := p.show("X"), strings.Join(c.want, "\n"); got != want {
				t.Errorf("got\n%s\nwant\n%s", got, want)
			}
		})
	}
}

// 9 A on size 22D (5 A) takes three contacts counted on for 4 A each: three
// wires to the post, and on the fan's side, where one contact takes one wire,
// a splice at the join that gathers them.
func TestSeveralContacts(t *testing.T) {
	text := strings.Replace(line, "join, kind, place a, place b\nJ, bulkhead, J1, J2", "join, kind, place a, place b, part\nJ, bulkhead, J1, J2, 38999-11-35", 1) + `
-- loads.csv --
device, from pin, to pin, mean
fan, 1, 2, 9
-- circuits.csv --
circuit, from device, from pin, to device, to pin, class
X, fuses, F1, fan, 1, power
`
	p := run(t, text)
	want := strings.Join([]string{
		"J/b#1 > splice@J2 []", "J/b#2 > splice@J2 []", "J/b#3 > splice@J2 []",
		"fuses:F1 > J/a#1 [A–B B–J1]", "fuses:F1 > J/a#2 [A–B B–J1]", "fuses:F1 > J/a#3 [A–B B–J1]",
		"splice@J2 > fan:1 [J2–C C–D]"}, "\n")
	if got := p.show("X"); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	if n := len(p.W.Splices); n != 1 || len(p.W.Splices[0].Wires) != 4 {
		t.Errorf("want one splice of four wires, got %+v", p.W.Splices)
	}
	unique(t, &p)
}

func unique(t *testing.T, p *planned) {
	t.Helper()
	seen := map[string]bool{}
	for _, w := range p.W.List {
		if seen[w.ID] || len(w.ID) != 10 {
			t.Errorf("wire ID %q twice or too short", w.ID)
		}
		seen[w.ID] = true
	}
	for _, s := range p.W.Splices {
		if seen[s.ID] || len(s.ID) != 10 {
			t.Errorf("splice ID %q twice or too short", s.ID)
		}
		seen[s.ID] = true
	}
}

const identity = line + `
-- circuits.csv --
key, circuit, from device, from pin, to device, to pin, class
x1, X, da, 1, db, 1, power
x2, X, da, 1, dd, 1, power
y1, Y, da, 2, dd, 2, signal
`

// ids are the IDs of a circuit's wires and splices by what they join.
func (p *planned) ids(circuit string) map[string]string {
	out := map[string]string{}
	for i := range p.W.List {
		w := &p.W.List[i]
		if p.T.Circuits[w.Circuit].Name == circuit {
			out[p.end(&w.From)+" > "+p.end(&w.To)] = w.ID
		}
	}
	for i := range p.W.Splices {
		if s := &p.W.Splices[i]; p.T.Circuits[s.Circuit].Name == circuit {
			out["splice@"+p.T.Places[s.Place].Name] = s.ID
		}
	}
	return out
}

func TestIdentity(t *testing.T) {
	base := run(t, identity)
	unique(t, &base)
	x := base.ids("X")
	for _, c := range []struct {
		name string
		edit func(s string) string
		lose []string // what may have a new identity
	}{
		{"another cavity", func(s string) string { return s + "-- cavities.csv --\njoin, circuit, cavity\nJ, X, 5\n" }, nil},
		{"another circuit before it", func(s string) string { return s + "a1, A, da, 3, db, 3, signal\n" }, nil},
		{"a longer leg", func(s string) string { return strings.Replace(s, "A, B, 1000", "A, B, 1300", 1) }, nil},
		{"a splice elsewhere", func(s string) string { return s + "-- splices.csv --\ncircuit, place\nX, A\n" },
			nil},
		{"a further end on the far side", func(s string) string { return s + "x3, X, da, 1, fan, 1, power\n" },
			[]string{"splice@B > J/a#1", "J/b#1 > dd:1"}},
		{"names of places, devices and joins", func(s string) string {
			s = strings.NewReplacer("\nA\n", "\nZA\n", "A, B, 1000", "ZA, B, 1000", "box, A", "box, ZA", "carrier, A", "carrier, ZA", "G, A,", "G, ZA,").Replace(s)
			return s
		}, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := run(t, c.edit(identity))
			unique(t, &p)
			got := p.ids("X")
			for k, id := range x {
				if slices.Contains(c.lose, k) || slices.Contains(slices.Collect(mapsValues(got)), id) {
					continue
				}
				t.Errorf("%s lost its identity %s; now %v", k, id, got)
			}
		})
	}
}

func mapsValues(m map[string]string) func(func(string) bool) {
	return func(yield func(string) bool) {
		for _, v := range m {
			if !yield(v) {
				return
			}
		}
	}
}

func TestRowOrderAndInputs(t *testing.T) {
	p := run(t, identity)
	b := p.Book.Clone()
	for i := range b.Sheets {
		slices.Reverse(b.Sheets[i].Rows)
	}
	q := over(small.Book(t, b, p.C))
	if d := cmp.Diff(p.W, q.W); d != "" {
		t.Errorf("another order of rows, other wires: %s", d)
	}
	fresh := run(t, identity)
	fresh.W, _ = split.Run(fresh.D, fresh.T, fresh.E, fresh.R, fresh.X)
	for _, pair := range [][2]any{{p.T, fresh.T}, {p.E, fresh.E}, {p.R, fresh.R}, {p.X, fresh.X}, {p.W, fresh.W}} {
		if d := cmp.Diff(pair[0], pair[1], cmp.AllowUnexported(part.Connector{}, part.Device{})); d != "" {
			t.Errorf("an input changed: %s", d)
		}
	}
}
