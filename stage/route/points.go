package route

import (
	"slices"
	"strconv"

	"keyon/model/finding"
	"keyon/model/plan"
	"keyon/model/settle"
)

// spliced are the classes whose wires may be spliced. Data buses are spliced
// only as a chain, close to each device. In all others a splice costs what
// the circuit is for: low-level and thermocouple lose accuracy, coax its
// impedance, ignition and injection timing outputs have one load each, heavy
// cable and extinguisher must not depend on one (common practice).
func spliced(class string) bool {
	switch class {
	case "power", "ground", "sensor supply", "sensor return", "signal":
		return true
	}
	return false
}

// chained are the classes that run from device to device, ISO 11898-2: a line
// with short stubs. A shield runs along with them.
func chained(class string) bool { return class == "data" || class == "shield" }

// wiring is the spans and points of one piece.
type wiring struct {
	spans   []plan.Span
	splices []int // nodes, one entry a splice; joints point into it
	price   int64 // of the splices, wire left out
}

// wire settles points and spans of a circuit; false if its wires may join
// nowhere.
func (w *work) wire(c int, r *plan.Route) bool {
	for _, p := range w.pieces(c) {
		w.lugs(p)
		g, ok := w.join(c, p)
		if !ok {
			w.verdicts = append(w.verdicts, w.nowhere(c, p))
			return false
		}
		w.points += g.price
		first := len(r.Points)
		fixed := w.fixed(c, p)
		for _, v := range g.splices {
			x := plan.Point{Place: p.place[v], Kind: "splice", End: -1, Origin: settle.Worked}
			if slices.Contains(fixed, v) {
				x.Origin = settle.FromKept
				if slices.Contains(w.given.splices[c], p.place[v]) {
					x.Origin = settle.FromUser
				}
			}
			r.Points = append(r.Points, x)
		}
		wires := make([]int, len(p.ports))
		for _, s := range g.spans {
			for _, j := range []*plan.Joint{&s.From, &s.To} {
				if j.Point >= 0 {
					j.Point += first
				}
				for i := range p.ports {
					if j.End >= 0 && p.ports[i].joint.End == j.End {
						wires[i]++
					}
				}
			}
			s.Loom = w.t.Places[s.From.Place].Loom
			r.Spans = append(r.Spans, s)
		}
		for i := range p.ports {
			q := &p.ports[i]
			if wires[i] < 2 {
				continue
			}
			if e := q.joint.End; w.e.List[e].Stud >= 0 {
				w.spare[w.e.List[e].Stud] -= wires[i] - 1
			}
			x := plan.Point{Place: q.joint.Place, Kind: "daisy", End: q.joint.End, Origin: settle.Worked}
			if q.post {
				x.Kind = "stud"
			}
			r.Points = append(r.Points, x)
		}
	}
	return true
}

// lugs shares out the lugs of a stud: one to each end that names it, and what
// is left to the circuits in order.
func (w *work) lugs(p *piece) {
	if w.spare == nil {
		w.spare = make([]int, len(w.t.Studs))
		for i := range w.t.Studs {
			w.spare[i] = w.t.Studs[i].MostLugs
		}
		for i := range w.e.List {
			if x := &w.e.List[i]; x.Stud >= 0 && !w.ways[x.Circuit].open {
				w.spare[x.Stud]--
			}
		}
	}
	for i := range p.ports {
		if e := p.ports[i].joint.End; e >= 0 && w.e.List[e].Stud >= 0 {
			p.ports[i].most = 1 + max(0, w.spare[w.e.List[e].Stud])
		}
	}
}

// nowhere reports a piece whose wires may join nowhere.
func (w *work) nowhere(c int, p *piece) finding.Verdict {
	k := &w.t.Circuits[c]
	v := finding.Say(RulePoints, w.place(c, "class"), k.Name+": "+strconv.Itoa(len(p.ports))+" ends meet in one loom; "+k.Class.Value+" wires are not spliced, and too few of its contacts take two wires",
		"give a place in the table Splices", "use parts whose contacts take two wires", "make it circuits of two ends")
	for i := range p.ports {
		if e := p.ports[i].joint.End; e >= 0 && w.e.List[e].Device >= 0 {
			v.Related = append(v.Related, finding.Place{Kind: "device", ID: w.t.Devices[w.e.List[e].Device].Name, Field: "pin"})
		}
	}
	return v
}

// fixed are the nodes of a piece with a given splice, or a kept one.
func (w *work) fixed(c int, p *piece) []int {
	var out []int
	for _, list := range [][]int{w.given.splices[c], w.given.points[c]} {
		for _, place := range list {
			if v := p.node(place); v >= 0 && !slices.Contains(out, v) {
				out = append(out, v)
			}
		}
	}
	slices.Sort(out)
	return out
}

// join settles one piece.
func (w *work) join(c int, p *piece) (wiring, bool) {
	class := w.t.Circuits[c].Class.Value
	fixed := w.fixed(c, p)
	switch {
	case len(p.ports) < 2:
		return wiring{}, true
	case len(p.ports) == 2 && len(fixed) == 0:
		return wiring{spans: []plan.Span{p.span(p.ports[0].joint, p.ports[0].node, p.ports[1].joint, p.ports[1].node)}}, true
	case chained(class):
		g, ok := w.chain(p, true)
		if ok && (len(fixed) == 0 || slices.Equal(places(g.splices), fixed)) {
			return g, true
		}
		return w.tree(p, fixed), true
	case spliced(class) || len(fixed) > 0:
		return w.tree(p, fixed), true
	}
	posts := false
	for i := range p.ports {
		if q := &p.ports[i]; q.post {
			posts, q.most = true, len(p.ports) // no splice spares a lug here: the checks count them
		}
	}
	if posts {
		return w.build(p, p.meet(nil)), true
	}
	return w.chain(p, false)
}

// places are the nodes of splices, each once.
func places(splices []int) []int {
	out := slices.Clone(splices)
	slices.Sort(out)
	return slices.Compact(out)
}

// span is a wire to be between two joints.
func (p *piece) span(from plan.Joint, a int, to plan.Joint, b int) plan.Span {
	return plan.Span{From: from, To: to, Legs: p.legs(p.way(a, b))}
}

// splice is the joint of the i-th splice of a wiring, at node v.
func (p *piece) splice(i, v int) plan.Joint {
	return plan.Joint{Place: p.place[v], End: -1, Join: -1, Point: i, Beside: -1}
}
