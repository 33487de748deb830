// Package split settles the wires: the spans of each circuit's route become
// cut pieces of conductor with a contact, splice or lug at each end.
//
// It decides a wire's identity, direction, the row of Circuits whose given
// gauge holds for it, and how many run side by side. It takes the route's
// spans and the crossings' cavities as they are. Gauge, family and colour are
// left to size, lengths and numbers to cut.
package split

import (
	"slices"
	"sort"

	"keyon/model/design"
	"keyon/model/finding"
	"keyon/model/flow"
	"keyon/model/plan"
	"keyon/model/settle"
)

// work is one run.
type work struct {
	d   *design.Design
	t   *plan.Things
	e   *plan.Ends
	x   *plan.Cavities
	out plan.Wires
}

// Run settles wires and splices.
func Run(d *design.Design, t plan.Things, e plan.Ends, r plan.Routes, x plan.Cavities) (plan.Wires, []finding.Verdict) {
	w := &work{d: d, t: &t, e: &e, x: &x}
	for i := range r.List {
		if !r.List[i].Open {
			w.circuit(&r.List[i])
		}
	}
	return w.out, nil
}

// segment is a run of equal wires side by side: a whole span, or the part of
// it on one side of a fan.
type segment struct {
	step      int
	near, far []plan.WireEnd // one a wire
	legs      []int          // from near to far
	loom      int
}

// fan is a splice at a join that spreads one wire over several contacts.
type fan struct {
	splice int
	step   int
}

func (w *work) circuit(r *plan.Route) {
	walk := flow.Through(w.t, w.e, r)
	over := walk.Over(flow.Rows(w.t, w.e, r.Circuit))
	points := make([]int, len(r.Points)) // by point: splice, -1
	first := len(w.out.Splices)
	for i := range r.Points {
		points[i] = -1
		if p := &r.Points[i]; p.Kind == "splice" {
			points[i] = len(w.out.Splices)
			w.out.Splices = append(w.out.Splices, plan.Splice{Circuit: r.Circuit, Place: p.Place, Loom: w.t.Places[p.Place].Loom, Origin: p.Origin})
		}
	}
	var segments []segment
	var fans []fan
	for i := range walk.Steps {
		segments, fans = w.segments(r, &walk, i, points, segments, fans)
	}
	name := newNames(w, r, &walk)
	name.splices(first, points, fans)
	cable, core := w.core(r.Circuit)
	for i := range segments {
		s := &segments[i]
		row := w.row(r.Circuit, over[s.step])
		key := name.wire(segments, i)
		for n := range s.near {
			x := plan.Wire{ID: key(n + 1), Circuit: r.Circuit, Row: row, Loom: s.loom, From: s.near[n], To: s.far[n], Legs: slices.Clone(s.legs), Parallel: n + 1, Cable: cable, Core: core}
			if walk.Back {
				x.From, x.To = x.To, x.From
				slices.Reverse(x.Legs)
			}
			for _, end := range []*plan.WireEnd{&x.From, &x.To} {
				if end.Splice >= 0 {
					p := &w.out.Splices[end.Splice]
					p.Wires = append(p.Wires, len(w.out.List))
				}
			}
			w.out.List = append(w.out.List, x)
		}
	}
}

// segments makes the wires of one step. Where its two ends take different
// numbers of wires, a fan at the join that takes more spreads them.
func (w *work) segments(r *plan.Route, walk *flow.Walk, step int, points []int, segments []segment, fans []fan) ([]segment, []fan) {
	s := &walk.Steps[step]
	near, far := s.Near(r), s.Far(r)
	legs := slices.Clone(r.Spans[s.Span].Legs)
	if s.Turned {
		slices.Reverse(legs)
	}
	loom := r.Spans[s.Span].Loom
	a, b := w.crossings(r.Circuit, near), w.crossings(r.Circuit, far)
	add := func(n int, from, to func(i int) plan.WireEnd, legs []int) {
		g := segment{step: step, legs: legs, loom: loom}
		for i := range n {
			g.near, g.far = append(g.near, from(i)), append(g.far, to(i))
		}
		segments = append(segments, g)
	}
	end := func(j *plan.Joint, crossings []int) func(i int) plan.WireEnd {
		return func(i int) plan.WireEnd { return w.end(j, crossings, points, i) }
	}
	m, n := w.most(near, a), w.most(far, b)
	switch {
	case m == 0 && n == 0:
		add(1, end(near, a), end(far, b), legs)
	case m == 0:
		add(n, end(near, a), end(far, b), legs)
	case n == 0 || m == n:
		add(m, end(near, a), end(far, b), legs)
	default:
		at := near
		if n > m {
			at = far
		}
		f := fan{len(w.out.Splices), step}
		fans = append(fans, f)
		w.out.Splices = append(w.out.Splices, plan.Splice{Circuit: r.Circuit, Place: at.Place, Loom: loom, Origin: settle.Worked})
		here := func(int) plan.WireEnd {
			return plan.WireEnd{Kind: plan.AtSplice, Place: at.Place, End: -1, Crossing: -1, Splice: f.splice}
		}
		if n > m {
			add(m, end(near, a), here, legs)
			add(n, here, end(far, b), []int{})
		} else {
			add(m, end(near, a), here, []int{})
			add(n, here, end(far, b), legs)
		}
	}
	return segments, fans
}

// crossings are the contacts a circuit takes at a joint that is a join.
func (w *work) crossings(circuit int, j *plan.Joint) []int {
	if j.Join < 0 {
		return nil
	}
	list := w.x.Crossings
	i := sort.Search(len(list), func(i int) bool {
		return list[i].Join > j.Join || list[i].Join == j.Join && list[i].Circuit >= circuit
	})
	var out []int
	for ; i < len(list) && list[i].Join == j.Join && list[i].Circuit == circuit; i++ {
		out = append(out, i)
	}
	if len(out) == 0 {
		panic("stage split: circuit " + w.t.Circuits[circuit].Name + " crosses " + w.t.Joins[j.Join].Name + " without an entry in Cavities")
	}
	return out
}

// most is how many wires of one span a joint takes: as many as there are
// contacts, one in a pin, and 0 for as many as come.
func (w *work) most(j *plan.Joint, crossings []int) int {
	switch {
	case len(crossings) > 0:
		return len(crossings)
	case j.Point >= 0:
		return 0
	case j.End >= 0:
		if kind := w.kind(j.End); kind == plan.AtStud || w.post(j.End) {
			return 0
		}
	}
	return 1
}

// post says that an end is a threaded post of its device.
func (w *work) post(end int) bool {
	x := &w.e.List[end]
	if x.Device < 0 || x.PinIndex < 0 || x.Connector >= 0 || w.t.Devices[x.Device].Part == nil {
		return false
	}
	_, ok := w.t.Devices[x.Device].Part.Pins[x.PinIndex].Stud()
	return ok
}

// kind is what a wire ends in at an end.
func (w *work) kind(end int) plan.EndKind {
	x := &w.e.List[end]
	switch {
	case x.Stud >= 0:
		return plan.AtStud
	case x.Connector >= 0 && w.t.Devices[x.Device].Connectors[x.Connector].Part != nil:
		return plan.AtPin
	}
	return plan.AtLead
}

// end is the i-th wire's end at a joint.
func (w *work) end(j *plan.Joint, crossings []int, points []int, i int) plan.WireEnd {
	x := plan.WireEnd{Place: j.Place, End: -1, Crossing: -1, Splice: -1}
	switch {
	case j.End >= 0:
		x.Kind, x.End = w.kind(j.End), j.End
	case j.Join >= 0:
		x.Kind, x.Crossing, x.Half = plan.AtCavity, crossings[i], j.Half
	case j.Point >= 0:
		x.Kind, x.Splice = plan.AtSplice, points[j.Point]
	default:
		x.Kind = plan.AtFree
	}
	return x
}

// row is the row whose given gauge, family and colour hold for a wire: of
// those whose way it is on the first that gives a gauge, else a family or a
// colour, else the first.
func (w *work) row(circuit int, over []int) int {
	rows := w.t.Circuits[circuit].Rows
	best, worth := -1, -1
	for _, r := range over {
		c := &w.d.Circuits[rows[r].Design]
		n := 0
		if c.Colour.State != settle.Blank {
			n++
		}
		if c.Wire.State != settle.Blank {
			n += 2
		}
		if c.Gauge.State != settle.Blank {
			n += 4
		}
		if n > worth {
			best, worth = r, n
		}
	}
	return best
}

// core is the cable a circuit runs in, and its core there.
func (w *work) core(circuit int) (cable int, core string) {
	cable = w.t.Circuits[circuit].Cable
	if cable < 0 {
		return -1, ""
	}
	k := &w.t.Cables[cable]
	if i := slices.Index(k.Circuits, circuit); i >= 0 && i < len(k.Cores) {
		core = k.Cores[i]
	}
	return cable, core
}
