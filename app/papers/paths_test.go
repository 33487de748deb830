//go:build outside

package papers_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"keyon/app/report"
)

// component is the wires of a circuit in one loom that splices hold together.
type component struct {
	wires  []*report.Wire
	probes []end
}

func (o *oracle) components(loom string) []component {
	var out []component
	seen := map[string]bool{}
	list := o.ofLoom(loom)
	for _, w := range list {
		if seen[w.ID] {
			continue
		}
		var c component
		seen[w.ID] = true
		todo := []*report.Wire{w}
		for len(todo) > 0 {
			x := todo[0]
			todo = todo[1:]
			c.wires = append(c.wires, x)
			for _, e := range endsOf(x) {
				if e.at.Kind != "splice" {
					if e.at.Kind != "free" {
						c.probes = append(c.probes, e)
					}
					continue
				}
				for _, y := range list {
					if !seen[y.ID] && (y.FromEnd.Splice == e.at.Splice || y.ToEnd.Splice == e.at.Splice) {
						seen[y.ID] = true
						todo = append(todo, y)
					}
				}
			}
		}
		out = append(out, c)
	}
	return out
}

// passes checks the rows of a ring-out sheet: every probe end but one of each
// component is measured against that one, over the right wires, by the right
// method, to the right limit.
func (o *oracle) passes(t *testing.T, loom string, rows [][]string) {
	t.Helper()
	all := o.components(loom)
	at := func(name, numbers string) *component {
		for _, c := range all {
			if slices.ContainsFunc(c.probes, func(e end) bool { return squeezed(e.name) == name }) &&
				slices.ContainsFunc(c.wires, func(w *report.Wire) bool { return slices.Contains(strings.Split(numbers, ","), w.Number) }) {
				return &c
			}
		}
		return nil
	}
	total := 0
	for _, c := range all {
		if len(c.probes) > 0 {
			total += len(c.probes) - 1
		}
	}
	if len(rows) != total {
		t.Errorf("%s: %d paths to ring out, the plan has %d", loom, len(rows), total)
	}
	reached := map[string]int{}
	for _, r := range rows {
		circuit, from, to, over, method, reads := r[0], r[1], r[2], r[3], r[4], r[5]
		c := at(from, over)
		if c == nil {
			t.Errorf("%s: no path begins at %s over %s", loom, from, over)
			continue
		}
		var way []*report.Wire
		for _, n := range strings.Split(over, ",") {
			for _, w := range c.wires {
				if w.Number == n {
					way = append(way, w)
				}
			}
		}
		a, b, ok := chain(way, from, to)
		if !ok || squeezed(way[0].Circuit) != circuit {
			t.Errorf("%s: %s to %s does not run over %s", loom, from, to, over)
			continue
		}
		reached[b.w.ID+b.name]++
		amps, ohm, old := 0.0, 0.0, false
		for _, w := range way {
			amps = math.Max(amps, w.Amps)
			ohm += w.OhmPerKm * w.CutMM / 1e6
			if q := o.c.WireOf(w.Family, w.Gauge); q != nil {
				old = old || q.Resistance.Status == "memory"
			}
		}
		for _, e := range []end{a, b} {
			if k := o.c.Contacts[e.at.Contact]; k != nil {
				ohm += float64(k.Ohm) / 2
				old = old || k.Ohm > 0 && k.Source.Status == "memory"
			}
		}
		up := func(x, step float64) float64 { return math.Ceil(x/step-1e-6) * step }
		wantMethod, wantReads := "beep", "beeps"
		switch {
		case amps >= 20:
			wantMethod, wantReads = "four-wire", "at most "+trim(up(1.2*ohm, 0.001)*1e3, 0)+" mΩ"
		case amps >= 5:
			wantMethod, wantReads = "lamp load", "burns bright, at most "+trim(up(1.2*ohm*21/12, 0.05), 2)+" V"
		case amps >= 1:
			wantMethod, wantReads = "two-wire, zeroed", "at most "+trim(up(1.2*ohm, 0.1), 1)+" Ω"
		}
		if old && wantMethod != "beep" {
			wantReads += " (check)"
		}
		if method != squeezed(wantMethod) || reads != squeezed(wantReads) {
			t.Errorf("%s: %s to %s: %q, %q; want %q, %q", loom, from, to, method, reads, wantMethod, wantReads)
		}
	}
	for key, n := range reached {
		if n > 1 {
			t.Errorf("%s: %s is measured %d times", loom, key, n)
		}
	}
}

// chain says whether wires in order lead from one name to another.
func chain(way []*report.Wire, from, to string) (a, b end, ok bool) {
	if len(way) == 0 {
		return a, b, false
	}
	for _, e := range endsOf(way[0]) {
		if squeezed(e.name) != from || e.at.Kind == "splice" {
			continue
		}
		last := e.far()
		fits := true
		for _, w := range way[1:] {
			next := slices.IndexFunc([]end{endsOf(w)[0], endsOf(w)[1]}, func(x end) bool {
				return x.at.Kind == "splice" && last.at.Kind == "splice" && x.at.Splice == last.at.Splice
			})
			if next < 0 {
				fits = false
				break
			}
			last = endsOf(w)[1-next]
		}
		if fits && squeezed(last.name) == to && last.at.Kind != "splice" {
			return e, last, true
		}
	}
	return a, b, false
}

// beyond names the ends of a circuit on the far side of a wire, through
// splices and joins.
func (o *oracle) beyond(e end) []string {
	node := func(x *report.WireEnd, circuit string) string {
		switch x.Kind {
		case "splice":
			return "s" + x.Splice
		case "cavity":
			return "j" + x.Join + "\x00" + x.Cavity
		}
		return ""
	}
	seen := map[string]bool{e.w.ID: true}
	var out []string
	todo := []end{e.far()}
	for len(todo) > 0 {
		x := todo[0]
		todo = todo[1:]
		n := node(x.at, x.w.Circuit)
		if n == "" {
			if x.at.Kind != "free" {
				out = append(out, x.name)
			}
			continue
		}
		for i := range o.p.Wires {
			w := &o.p.Wires[i]
			if w.Circuit != e.w.Circuit || seen[w.ID] {
				continue
			}
			for _, y := range endsOf(w) {
				if node(y.at, w.Circuit) == n && !seen[w.ID] {
					seen[w.ID] = true
					todo = append(todo, y.far())
				}
			}
		}
	}
	return out
}
