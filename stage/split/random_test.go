package split_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"keyon/model/plan"
)

// dice is a small counted generator (xorshift).
type dice uint64

func (d *dice) roll(n int) int {
	*d ^= *d << 13
	*d ^= *d >> 7
	*d ^= *d << 17
	return int(uint64(*d>>11) % uint64(n))
}

func (d *dice) pick(list ...string) string { return list[d.roll(len(list))] }

// wild is a car without sense: legs in loops, joins of every kind in any
// place, circuits of every class between anything, given and kept answers that
// may or may not be possible.
func wild(d *dice) string {
	var b strings.Builder
	b.WriteString("-- places.csv --\nplace\n")
	n := 6 + d.roll(8)
	for i := range n {
		fmt.Fprintf(&b, "P%d\n", i)
	}
	place := func() string { return fmt.Sprintf("P%d", d.roll(n)) }
	b.WriteString("-- legs.csv --\nfrom, to, length, keep out\n")
	for i := range n + 3 {
		from, to := place(), place()
		if i > 0 && i < n && d.roll(5) > 0 {
			from, to = fmt.Sprintf("P%d", d.roll(i)), fmt.Sprintf("P%d", i)
		}
		fmt.Fprintf(&b, "%s, %s, %d, %s\n", from, to, 10*d.roll(150), d.pick("", "", "", "data", "power", "ignition"))
	}
	b.WriteString("-- joins.csv --\njoin, kind, place a, place b, part\n")
	for i := range 1 + d.roll(4) {
		fmt.Fprintf(&b, "J%d, %s, %s, %s, %s\n", i, d.pick("bulkhead", "in-line", "stud", "grommet"), place(), place(), d.pick("", "38999-9-98", "38999-11-2", "none"))
	}
	b.WriteString("-- devices.csv --\ndevice, part, place\n")
	for i := range 6 {
		fmt.Fprintf(&b, "d%d, %s, %s\n", i, []string{"box", "box", "box", "box", "fan", "carrier"}[i], place())
	}
	b.WriteString("-- studs.csv --\nstud, place, use, most lugs\n")
	fmt.Fprintf(&b, "G, %s, ground, %d\n", place(), 1+d.roll(4))
	b.WriteString("-- loads.csv --\ndevice, from pin, to pin, mean\n")
	for i := range 6 {
		fmt.Fprintf(&b, "d%d, 1, 2, %d\n", i, d.roll(40))
	}
	b.WriteString("-- circuits.csv --\nkey, circuit, from device, from pin, to device, to pin, class, gauge, twist\n")
	for i := range 12 {
		end := func() string {
			switch i := d.roll(20); {
			case i < 14:
				return fmt.Sprintf("d%d, %d", i%4, 1+d.roll(3))
			case i < 17:
				return "d4, " + d.pick("1", "2")
			case i < 19:
				return "d5, " + d.pick("+", "F1")
			}
			return "d1, none"
		}
		from, to := end(), end()
		if d.roll(6) == 0 {
			to = "G, "
		}
		class := d.pick("power", "ground", "sensor supply", "signal", "low-level", "data", "ignition", "heavy", "shield", "thermocouple")
		fmt.Fprintf(&b, "k%d, C%d, %s, %s, %s, %s, %s\n", i, d.roll(6), from, to, class, d.pick("", "", "22", "12"), d.pick("", "", "", "T"))
	}
	b.WriteString("-- routes.csv --\ncircuit, from, to, use\n")
	b.WriteString("-- splices.csv --\ncircuit, place\n")
	for range d.roll(3) {
		fmt.Fprintf(&b, "C%d, %s\n", d.roll(6), place())
	}
	b.WriteString("-- cavities.csv --\njoin, circuit, n, cavity\n")
	for range d.roll(4) {
		fmt.Fprintf(&b, "J%d, C%d, %s, %s\n", d.roll(4), d.roll(6), d.pick("", "1", "2", "0", "9"), d.pick("A", "B", "1", "nothing"))
	}
	b.WriteString("-- kept.csv --\nkind, thing, field, value\n")
	fmt.Fprintf(&b, "circuit, k%d, points, splice@x stud@y nonsense\ncircuit, k%d, legs, a b c | d | e\n", d.roll(12), d.roll(12))
	return b.String()
}

// Whatever the car, the wires of a circuit that isn't open join all of its
// ends, a wire stays in one loom, and its legs lead from one end to the other.
func TestWildCars(t *testing.T) {
	d := dice(2024)
	open, circuits, wires := 0, 0, 0
	for range 400 {
		text := wild(&d)
		p := run(t, text)
		unique(t, &p)
		wires += len(p.W.List)
		for i := range p.R.List {
			circuits++
			if p.R.List[i].Open {
				open++
				continue
			}
			if why := p.whole(i); why != "" {
				t.Errorf("%s: %s", p.T.Circuits[i].Name, why)
			}
		}
		for i := range p.W.List {
			if why := p.path(&p.W.List[i]); why != "" {
				t.Errorf("%s: %s", p.T.Circuits[p.W.List[i].Circuit].Name, why)
			}
		}
		if t.Failed() {
			t.Fatalf("%s", text)
		}
	}
	if circuits-open < 500 || wires < 1000 {
		t.Errorf("only %d of %d circuits and %d wires: the cars are too wild to show anything", circuits-open, circuits, wires)
	}
}

// whole says what keeps a circuit's wires from joining all of its ends.
func (p *planned) whole(circuit int) string {
	group := map[string]string{}
	var find func(s string) string
	find = func(s string) string {
		if up, ok := group[s]; ok && up != s {
			return find(up)
		}
		return s
	}
	node := func(e *plan.WireEnd) string {
		switch {
		case e.End >= 0:
			return fmt.Sprint("end ", e.End)
		case e.Crossing >= 0: // all contacts of a circuit at a join are one
			return fmt.Sprint("join ", p.X.Crossings[e.Crossing].Join)
		case e.Splice >= 0:
			return fmt.Sprint("splice ", e.Splice)
		}
		return fmt.Sprint("free ", e.Place)
	}
	for i := range p.W.List {
		if w := &p.W.List[i]; w.Circuit == circuit {
			a, b := find(node(&w.From)), find(node(&w.To))
			if a != b {
				group[a] = b
			}
		}
	}
	first := ""
	for _, i := range p.E.Of[circuit] {
		g := find(fmt.Sprint("end ", i))
		if first == "" {
			first = g
		}
		if g != first {
			return fmt.Sprintf("end %s is not joined to the first", p.E.List[i].ID)
		}
	}
	return ""
}

// path says what is wrong with a wire's legs. The two sides of a grommet count
// as one place and one loom, since the wire runs on.
func (p *planned) path(w *plan.Wire) string {
	same := func(a, b int) bool {
		seen, open := map[int]bool{a: true}, []int{a}
		for len(open) > 0 {
			v := open[0]
			open = open[1:]
			for j := range p.T.Joins {
				if x := &p.T.Joins[j]; x.Kind == "grommet" && (x.A == v || x.B == v) && !seen[x.A+x.B-v] {
					seen[x.A+x.B-v] = true
					open = append(open, x.A+x.B-v)
				}
			}
		}
		return seen[b]
	}
	at := w.From.Place
	for _, l := range w.Legs {
		k := &p.T.Legs[l]
		switch {
		case same(at, k.From):
			at = k.To
		case same(at, k.To):
			at = k.From
		default:
			return fmt.Sprintf("leg %s doesn't go on from %s", k.Name, p.T.Places[at].Name)
		}
	}
	if !same(at, w.To.Place) {
		return fmt.Sprintf("legs %v end at %s, the wire at %s", p.Legs(w.Legs), p.T.Places[at].Name, p.T.Places[w.To.Place].Name)
	}
	grommets := slices.ContainsFunc(p.T.Joins, func(x plan.Join) bool { return x.Kind == "grommet" })
	for _, l := range w.Legs {
		if !grommets && p.T.Legs[l].Loom != w.Loom {
			return "legs of several looms"
		}
	}
	return ""
}
