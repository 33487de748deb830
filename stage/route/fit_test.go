package route_test

import (
	"slices"
	"strings"
	"testing"

	"keyon/model/finding"
	"keyon/model/plan"
	"keyon/model/settle"
	"keyon/stage/route"
)

// twoJoins has a short way from A to B over J (arrangement 9-98: three size 20
// contacts) and a longer one over K.
const twoJoins = `
-- places.csv --
place
A
A1
A2
B
B1
B2
-- legs.csv --
from, to, length
A, A1, 100
B, B1, 100
A, A2, 400
B, B2, 400
-- joins.csv --
join, kind, part, place a, place b
J, bulkhead, 38999-9-98, A1, B1
K, bulkhead, 38999-9-98, A2, B2
-- devices.csv --
device, part, place
da, box, A
db, box, B
ea, box, A
eb, box, B
-- circuits.csv --
key, circuit, from device, from pin, to device, to pin, class
c1, C1, da, 1, db, 1, signal
c2, C2, da, 2, db, 2, signal
c3, C3, da, 3, db, 3, signal
`

func joinsOf(t *testing.T, text string, g plan.Guess) (string, []finding.Verdict) {
	t.Helper()
	x := car(t, text)
	r, vs := route.Run(x.D, x.T, x.E, g)
	var out []string
	for c := range r.List {
		s := x.T.Circuits[c].Name
		for _, j := range r.List[c].Joins {
			s += " " + x.T.Joins[j].Name
		}
		out = append(out, s)
	}
	return strings.Join(out, ", "), vs
}

func TestJoinFull(t *testing.T) {
	for _, c := range []struct{ name, text, want, verdict string }{
		{"three fit", twoJoins, "C1 J, C2 J, C3 J", ""},
		{"the fourth goes round; all lose alike, so the first key does", twoJoins + "d4, D4, ea, 1, eb, 1, signal\n", "C1 K, C2 J, C3 J, D4 J", ""},
		{"a given way stays", twoJoins + "d4, D4, ea, 1, eb, 1, signal\n-- routes.csv --\ncircuit, from, to\nC1, A, A1\n", "C1 J, C2 K, C3 J, D4 J", ""},
		{"kin leave together", strings.NewReplacer("to pin, class", "to pin, class, twist", "db, 1, signal", "db, 1, signal, T", "db, 2, signal", "db, 2, signal, T", "db, 3, signal", "db, 3, signal,").Replace(twoJoins) + "d4, D4, ea, 1, eb, 1, signal,\n",
			"C1 J, C2 J, C3 K, D4 J", ""},
		{"both full", strings.Replace(twoJoins, "K, bulkhead, 38999-9-98, A2, B2\n", "", 1) + "d4, D4, ea, 1, eb, 1, signal\n", "C1 J, C2 J, C3 J, D4 J",
			"J: 4 circuits take 4 contacts, 38999-9-98 has 3 cavities; 1 more needed"},
		{"a through-stud carries one", strings.Replace(strings.Replace(twoJoins, "K, bulkhead, 38999-9-98, A2, B2\n", "", 1), "J, bulkhead, 38999-9-98", "J, stud, ", 1), "C1 J, C2 J, C3 J",
			"J: a through-stud carries one circuit, 3 cross: C1, C2, C3"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, vs := joinsOf(t, c.text, plan.Guess{})
			if got != c.want {
				t.Errorf("got %s, want %s", got, c.want)
			}
			said := ""
			for _, v := range vs {
				said += v.What
			}
			if said != c.verdict {
				t.Errorf("got %q, want %q", said, c.verdict)
			}
		})
	}
}

// Large currents need several contacts: 20 A on size 20 (7.5 A) takes four.
func TestCurrentTakesContacts(t *testing.T) {
	text := strings.Replace(twoJoins, "K, bulkhead, 38999-9-98, A2, B2\n", "", 1) + `
-- parts.csv --
part, kind, connector
fan, device, 38999-9-35S
-- pins.csv --
part, pin, role
fan, 1, supply in
fan, 2, ground
-- devices.csv --
device, part, place
fan, fan, B
-- loads.csv --
device, from pin, to pin, mean
fan, 1, 2, 20
-- circuits.csv --
key, circuit, from device, from pin, to device, to pin, class
p, P, ea, 1, fan, 1, power
`
	_, vs := joinsOf(t, text, plan.Guess{})
	want := "J: 4 circuits take 7 contacts, 38999-9-98 has 3 cavities; 4 more needed"
	if len(vs) != 1 || vs[0].What != want {
		t.Errorf("got %v, want %q", vs, want)
	}
}

func TestKeptLeavesFullJoin(t *testing.T) {
	text := keyed(twoJoins) + `d4, D4, ea, 1, eb, 1, signal
-- kept.csv --
kind, thing, field, value
circuit, c1, legs, LAA1 LBB1
`
	x := car(t, text)
	r, _ := route.Run(x.D, x.T, x.E, plan.Guess{})
	if r.List[x.Circuit(t, "C1")].Origin != settle.FromKept {
		t.Error("C1 left its kept way though others could")
	}
	x = car(t, text+"circuit, c2, legs, LAA1 LBB1\ncircuit, c3, legs, LAA1 LBB1\ncircuit, d4, legs, LAA1 LBB1\n")
	_, vs := route.Run(x.D, x.T, x.E, plan.Guess{})
	if !slices.ContainsFunc(vs, func(v finding.Verdict) bool { return v.Rule == route.RuleKept }) {
		t.Errorf("the kept way left without a word: %v", vs)
	}
}

// A hole with less room than its wires take sends as many round as it must.
func TestHoleTooFull(t *testing.T) {
	text := keyed(square) + `
-- circuits.csv --
key, circuit, from device, from pin, to device, to pin, class
c1, C1, da, 1, dd, 1, signal
c2, C2, da, 2, dd, 2, signal
c3, C3, da, 3, dd, 3, signal
`
	area := 3.14159265 / 4 * 2 * 2 // mm² of a 2 mm wire
	for _, c := range []struct {
		free float64
		want int // circuits that stay
	}{{0, 3}, {-0.5 * area, 2}, {-1.01 * area, 1}} {
		x := car(t, text)
		g := plan.Guess{Hole: map[string]float64{"LAC": c.free}, Gauge: map[string]plan.GaugeGuess{"c1": {OutsideMM: 2}, "c2": {OutsideMM: 2}, "c3": {OutsideMM: 2}}}
		r, _ := route.Run(x.D, x.T, x.E, g)
		stay := 0
		for i := range r.List {
			if slices.Contains(x.Legs(r.List[i].Legs), "A–C") {
				stay++
			}
		}
		if stay != c.want {
			t.Errorf("with %g mm² free %d stay, want %d", c.free, stay, c.want)
		}
	}
}
