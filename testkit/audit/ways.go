package audit

import (
	"math"
	"slices"

	"keyon/model/part"
)

// paths: the legs of a wire hang together from its one end's place to the
// other's, all in its loom.
func (a *auditor) paths() {
	for i := range a.p.Wires {
		w := &a.p.Wires[i]
		at := w.From.Place
		for _, name := range w.Legs {
			l, ok := a.leg[name]
			if !ok {
				a.say("path: wire %s runs in unknown leg %s", w.Number, name)
				break
			}
			a.r.Checked["path"]++
			g := &a.p.Legs[l]
			if g.Loom != w.Loom {
				a.say("path: wire %s of %s runs in leg %s of %s", w.Number, w.Loom, name, g.Loom)
			}
			switch at {
			case g.From:
				at = g.To
			case g.To:
				at = g.From
			default:
				a.say("path: wire %s leaves %s for leg %s", w.Number, at, name)
			}
		}
		if at != w.To.Place {
			a.say("path: wire %s ends at %s, not at %s", w.Number, at, w.To.Place)
		}
	}
}

// looms: a splice joins wires of its own circuit and loom at its own place, a
// join's halves lie in different looms, and nothing runs where its class is
// kept out.
func (a *auditor) looms() {
	at := map[string]string{} // place → loom
	out := map[string][]string{}
	for i := range a.p.Legs {
		l := &a.p.Legs[i]
		at[l.From], at[l.To] = l.Loom, l.Loom
		for _, row := range a.tables["Legs"] {
			if n := text(row, "from") + "–" + text(row, "to"); n == l.Name {
				out[l.Name] = list(row["keep out"])
				break
			}
		}
	}
	for _, s := range a.p.Splices {
		a.r.Checked["splice"]++
		if len(s.Wires) < 2 {
			a.say("splice: %s of %s joins %d wires", s.ID, s.Circuit, len(s.Wires))
		}
		for _, id := range s.Wires {
			k, ok := a.wire[id]
			if !ok {
				a.say("splice: %s joins unknown wire %s", s.ID, id)
				continue
			}
			w := &a.p.Wires[k]
			e := &w.From
			if e.Splice != s.ID {
				e = &w.To
			}
			if w.Circuit != s.Circuit || w.Loom != s.Loom || e.Splice != s.ID || e.Place != s.Place {
				a.say("splice: %s of %s at %s joins wire %s, which ends elsewhere", s.ID, s.Circuit, s.Place, w.Number)
			}
		}
	}
	for _, j := range a.p.Joins {
		a.r.Checked["join"]++
		if la, lb := at[j.A], at[j.B]; la != "" && la == lb {
			a.say("join: both halves of %s are in %s", j.Name, la)
		}
	}
	for i := range a.p.Wires {
		w := &a.p.Wires[i]
		for _, l := range w.Legs {
			a.r.Checked["keep out"]++
			if slices.Contains(out[l], w.Class) {
				a.say("keep out: wire %s of class %s runs in %s", w.Number, w.Class, l)
			}
		}
	}
}

// cables: a circuit that is given a cable runs on a core of it, one circuit a
// core, with the core's gauge.
func (a *auditor) cables() {
	kind := map[string]string{}
	for _, row := range a.tables["Cables"] {
		kind[text(row, "cable")] = text(row, "part")
	}
	cable := map[string]string{}
	for _, row := range a.tables["Circuits"] {
		if c := text(row, "cable"); c != "" {
			cable[text(row, "circuit")] = c
		}
	}
	on := map[string]string{}
	for i := range a.p.Wires {
		w := &a.p.Wires[i]
		want := cable[w.Circuit]
		if want == "" && w.Cable == "" {
			continue
		}
		a.r.Checked["cable"]++
		if want != "" && w.Cable != want {
			a.say("cable: wire %s of %s runs in %q, given %s", w.Number, w.Circuit, w.Cable, want)
		}
		key := w.Cable + "\x00" + w.Core
		if o, ok := on[key]; ok && o != w.Circuit {
			a.say("cable: core %s of %s serves %s and %s", w.Core, w.Cable, o, w.Circuit)
		}
		on[key] = w.Circuit
		p := a.c.Cables[kind[w.Cable]]
		if p == nil || w.Class == "shield" {
			continue
		}
		k := slices.IndexFunc(p.Cores, func(c part.Core) bool { return c.Name == w.Core })
		if k < 0 {
			a.say("cable: %s has no core %q (wire %s)", p.ID, w.Core, w.Number)
		} else if p.Cores[k].Gauge != w.Gauge {
			a.say("cable: core %s of %s is gauge %s, wire %s says %s", w.Core, p.ID, p.Cores[k].Gauge, w.Number, w.Gauge)
		}
	}
}

// connected: wires, splices and crossings join all ends of a circuit.
func (a *auditor) connected() {
	head := map[string]string{}
	var find func(string) string
	find = func(x string) string {
		if head[x] == "" || head[x] == x {
			head[x] = x
			return x
		}
		head[x] = find(head[x])
		return head[x]
	}
	for i := range a.p.Wires {
		w := &a.p.Wires[i]
		head[find(w.Circuit+"\x00"+w.From.node())] = find(w.Circuit + "\x00" + w.To.node())
	}
	// A circuit that crosses on several contacts is one on either side.
	first := map[string]string{}
	for _, x := range a.p.Cavities {
		k := x.Join + "\x00" + x.Circuit
		n := x.Circuit + "\x00join " + x.Join + " " + x.Cavity
		if first[k] != "" {
			head[find(n)] = find(first[k])
		}
		first[k] = n
	}
	root := map[string]string{}
	for _, e := range a.p.Ends {
		// A shield is grounded at one end only, so its other end hangs free.
		if a.open[e.Circuit] || e.Role == "shield" || a.class[e.Circuit] == "shield" {
			continue
		}
		a.r.Checked["connected"]++
		r := find(e.Circuit + "\x00end " + e.ID)
		if root[e.Circuit] == "" {
			root[e.Circuit] = r
		} else if root[e.Circuit] != r {
			a.say("connected: circuit %s is in pieces", e.Circuit)
			root[e.Circuit] = r
		}
	}
}

// lengths: a wire is at least as long as its legs, and not much longer than
// lay and end allowances explain: 10 % and 400 mm.
func (a *auditor) lengths() {
	for i := range a.p.Wires {
		w := &a.p.Wires[i]
		sum := 0.0
		for _, l := range w.Legs {
			if k, ok := a.leg[l]; ok {
				sum += a.p.Legs[k].Length
			}
		}
		a.r.Checked["length"]++
		if w.Length < sum-1e-6 {
			a.say("length: wire %s has %g mm over legs of %g mm", w.Number, w.Length, sum)
		}
		if w.Length > sum*1.1+400 {
			a.say("length: wire %s has %g mm over legs of %g mm: too much", w.Number, w.Length, sum)
		}
		if w.Origin["cut"] != "given" && math.Abs(w.Cut-w.Length-w.Tail) > 5 {
			a.say("length: wire %s is cut to %g mm, not %g + %g", w.Number, w.Cut, w.Length, w.Tail)
		}
		if w.Cut < w.Length-1e-6 {
			a.say("length: wire %s is cut shorter (%g) than it must be (%g)", w.Number, w.Cut, w.Length)
		}
	}
}

// bundles: no thinner than its copper and insulation, nor much thicker.
func (a *auditor) bundles() {
	hole := map[string]float64{}
	for _, row := range a.tables["Legs"] {
		if mm, ok := a.length(row["hole"]); ok {
			hole[text(row, "from")+"–"+text(row, "to")] = mm
		}
	}
	for i := range a.p.Legs {
		l := &a.p.Legs[i]
		cables := map[string]bool{}
		sum, first, second := 0.0, 0.0, 0.0
		known := len(l.Wires) > 0
		for _, id := range l.Wires {
			k, ok := a.wire[id]
			if !ok {
				a.say("bundle: leg %s holds unknown wire %s", l.Name, id)
				continue
			}
			w := &a.p.Wires[k]
			if !slices.Contains(w.Legs, l.Name) {
				a.say("bundle: wire %s is in leg %s, which is not on its way", w.Number, l.Name)
			}
			od := w.OD
			if w.Cable != "" {
				if cables[w.Cable] {
					continue
				}
				cables[w.Cable] = true
				od = 0
				for _, row := range a.tables["Cables"] {
					if row["cable"] == w.Cable {
						if c := a.c.Cables[row["part"]]; c != nil {
							od = c.Outside.MM()
						}
					}
				}
			}
			known = known && od > 0
			sum += od * od
			if od > first {
				first, second = od, first
			} else {
				second = max(second, od)
			}
		}
		if !known || l.Diameter == 0 {
			continue
		}
		a.r.Checked["bundle"]++
		least := max(math.Sqrt(sum), first+second)
		if l.Diameter < least-1e-6 {
			a.say("bundle: leg %s is %g mm, its wires need %g mm", l.Name, l.Diameter, least)
		}
		if l.Diameter > 1.5*math.Sqrt(sum)+0.2 {
			a.say("bundle: leg %s is %g mm for wires of %g mm", l.Name, l.Diameter, math.Sqrt(sum))
		}
		if l.Bound > l.Diameter+1e-6 {
			a.say("bundle: leg %s: bound %g above %g", l.Name, l.Bound, l.Diameter)
		}
		if hole[l.Name] > 0 {
			a.worst("hole", max(l.Covered, l.Diameter), hole[l.Name], 1e-9, "leg "+l.Name)
		}
	}
}
