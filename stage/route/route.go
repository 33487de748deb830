// Package route settles which legs and joins each circuit runs over, and where
// its wires join inside a loom: a tree of least cost over all its ends, then
// splices, studs and daisies where they save most wire.
//
// It decides the way, the joins crossed and the points. It takes pins and
// places from assign, and the guess for what wires will be as thick as; the
// guess only prices. Which cavity a crossing takes is left to cross, what the
// wires are called to split, whether a given way is wise to the checks.
//
// Costs are whole micrometres of leg, so equal ways are exactly equal and ties
// go to the leg that comes first in the design's order.
package route

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"keyon/model/design"
	"keyon/model/finding"
	"keyon/model/flow"
	"keyon/model/plan"
	"keyon/model/settle"
	"keyon/model/source"
)

// way is a circuit's tree over the net's edges.
type way struct {
	edges  []int // rising
	bound  int64 // no tree over the ends costs less
	origin settle.Origin
	moved  string // the join or leg it had to leave, "" where it didn't
	open   bool
}

// work is one run.
type work struct {
	d        *design.Design
	t        *plan.Things
	e        *plan.Ends
	g        *plan.Guess
	flow     flow.Table
	net      *net
	house    house
	given    given
	group    [][]int      // by circuit: what runs with it, itself included
	ways     []way        // by circuit
	using    [][]int      // by edge: circuits, once ways have been counted
	full     map[int]bool // edges that take no more
	spare    []int        // by stud: lugs not yet shared out
	points   int64        // price of the points of the circuit in hand
	clearing              // what keeps splices clear of connectors
	routes   []plan.Route
	verdicts []finding.Verdict
}

// Run settles legs, joins and points of each circuit.
func Run(d *design.Design, t plan.Things, e plan.Ends, g plan.Guess) (plan.Routes, []finding.Verdict) {
	w := &work{d: d, t: &t, e: &e, g: &g, flow: flow.Of(&t, &e, float64(d.Car.Volts)), house: readHouse(d)}
	w.net = newNet(w.t, w.house)
	w.readGiven()
	w.ways = make([]way, len(t.Circuits))
	w.group = make([][]int, len(t.Circuits))
	for _, group := range w.groups() {
		for _, c := range group {
			w.group[c] = group
		}
		w.solve(group)
	}
	w.fit()
	w.routes = make([]plan.Route, len(t.Circuits))
	for c := range t.Circuits {
		w.finish(c)
	}
	return plan.Routes{List: w.routes}, w.verdicts
}

// groups are the circuits that run together, in the order of their first:
// twisted or cabled kin, with the kin of kin, or one alone.
func (w *work) groups() [][]int {
	group := make([]int, len(w.t.Circuits)) // by circuit: into out, -1
	for c := range group {
		group[c] = -1
	}
	var out [][]int
	for c := range w.t.Circuits {
		if group[c] >= 0 {
			continue
		}
		members := []int{c}
		group[c] = len(out)
		for i := 0; i < len(members); i++ {
			for _, k := range w.t.Circuits[members[i]].Kin {
				if group[k] < 0 {
					group[k] = len(out)
					members = append(members, k)
				}
			}
		}
		slices.Sort(members)
		out = append(out, members)
	}
	return out
}

// ready says that all ends of a circuit are settled and there are two of them,
// or that it is a shield, which may end free.
func (w *work) ready(c int) bool {
	if c >= len(w.e.Of) {
		return false
	}
	ends := w.e.Of[c]
	for _, i := range ends {
		if x := &w.e.List[i]; x.Place < 0 || !x.Pin.Settled() {
			return false
		}
	}
	return len(ends) >= 2 || len(ends) == 1 && len(w.beside(c)) > 0
}

// beside are the ends of the circuit a single-ended shield runs with, at which
// it ends free: all but the one where the shield has its own end.
func (w *work) beside(c int) []int {
	k := &w.t.Circuits[c]
	if k.Class.Value != "shield" || c >= len(w.e.Of) || len(w.e.Of[c]) != 1 {
		return nil
	}
	own := &w.e.List[w.e.Of[c][0]]
	for _, other := range k.Kin {
		if other == c || w.t.Circuits[other].Class.Value == "shield" || len(w.e.Of[other]) < 2 {
			continue
		}
		var out []int
		left := false
		for _, i := range w.e.Of[other] {
			x := &w.e.List[i]
			if x.Place < 0 || !x.Pin.Settled() {
				return nil
			}
			if !left && x.Place == own.Place && x.Device == own.Device {
				left = true
				continue
			}
			out = append(out, i)
		}
		return out
	}
	return nil
}

// terminals are the places a circuit must reach.
func (w *work) terminals(c int) []int {
	var out []int
	for _, i := range w.e.Of[c] {
		out = append(out, w.e.List[i].Place)
	}
	for _, i := range w.beside(c) {
		out = append(out, w.e.List[i].Place)
	}
	out = append(out, w.given.splices[c]...)
	slices.Sort(out)
	return slices.Compact(out)
}

// solve finds the ways of circuits that run together: a tree over the ends of
// all of them, cut back to each one's own.
func (w *work) solve(group []int) {
	var ready []int
	for _, c := range group {
		if w.ready(c) {
			ready = append(ready, c)
		} else {
			w.ways[c].open = true
		}
	}
	if len(ready) == 0 {
		return
	}
	for _, c := range ready {
		w.dropKept(c)
	}
	edges, ok := w.together(ready, nil)
	if !ok && len(ready) > 1 {
		// Kin that can't all run together run as far as each one can.
		for _, c := range ready {
			edges, ok := w.together([]int{c}, nil)
			w.take(c, edges, ok)
		}
		return
	}
	for _, c := range ready {
		w.take(c, edges, ok)
	}
}

// together is the cheapest tree over all ends of the circuits, with the joins
// and legs of closed left out.
func (w *work) together(circuits []int, closed map[int]bool) ([]int, bool) {
	q := query{closed: closed}
	for _, c := range circuits {
		q.terminals = append(q.terminals, w.terminals(c)...)
		q.classes |= w.net.class(w.t.Circuits[c].Class.Value)
		w.given.ask(c, w.net, &q)
	}
	edges, _, err := w.net.tree(&q)
	return edges, err == nil
}

// take cuts a tree back to the ends of one circuit and stores it.
func (w *work) take(c int, edges []int, ok bool) {
	x := &w.ways[c]
	k := &w.t.Circuits[c]
	if !ok {
		x.open = true
		v := finding.Say(RuleWay, w.place(c, "legs"), k.Name+": no way over legs and joins between "+w.apart(c), "add the missing leg or join, or lift what keeps "+k.Class.Value+" circuits out of a leg")
		w.verdicts = append(w.verdicts, v)
		return
	}
	keep := w.terminals(c)
	x.edges = w.net.cutBack(edges, keep)
	free := query{terminals: keep, classes: w.net.class(k.Class.Value)}
	w.given.avoids(c, w.net, &free)
	if _, bound, err := w.net.tree(&free); err == nil {
		x.bound = bound
	}
	switch {
	case len(w.given.through[c]) > 0 || len(w.given.splices[c]) > 0:
		x.origin = settle.FromUser
		w.unusedGiven(c)
	case len(w.given.kept[c]) > 0:
		x.origin = settle.FromKept
	default:
		x.origin = settle.Worked
	}
}

// apart names two places that no way connects.
func (w *work) apart(c int) string {
	q := query{terminals: w.terminals(c), classes: w.net.class(w.t.Circuits[c].Class.Value)}
	w.given.avoids(c, w.net, &q)
	names := func(a, b int) string { return w.t.Places[a].Name + " and " + w.t.Places[b].Name }
	_, _, err := w.net.tree(&q)
	if is, ok := w.net.islands(err); ok {
		return names(is[0], is[1])
	}
	return names(q.terminals[0], q.terminals[len(q.terminals)-1])
}

// finish makes the route of a circuit from its tree.
func (w *work) finish(c int) {
	x, r := &w.ways[c], &w.routes[c]
	r.Circuit = c
	r.Legs, r.Joins, r.Points, r.Spans = []int{}, []int{}, []plan.Point{}, []plan.Span{}
	if x.open {
		r.Open = true
		return
	}
	for _, e := range x.edges {
		if k := w.net.kinds[e]; k.leg >= 0 {
			r.Legs = append(r.Legs, k.leg)
		} else {
			r.Joins = append(r.Joins, k.join)
		}
	}
	slices.Sort(r.Legs)
	slices.Sort(r.Joins)
	w.points = 0
	if !w.wire(c, r) {
		*r = plan.Route{Circuit: c, Legs: []int{}, Joins: []int{}, Points: []plan.Point{}, Spans: []plan.Span{}, Open: true}
		return
	}
	cost, wire := int64(0), int64(0)
	for _, p := range w.given.splices[c] {
		if !slices.ContainsFunc(r.Points, func(x plan.Point) bool { return x.Kind == "splice" && x.Place == p }) {
			place := w.place(c, "splice")
			for i := range w.d.Splices {
				if s := &w.d.Splices[i]; s.Circuit.Value == w.t.Circuits[c].Name && s.Place.Value == w.t.Places[p].Name {
					place.Cell = s.Place.At
				}
			}
			w.verdicts = append(w.verdicts, finding.Say(RuleGiven, place, w.t.Circuits[c].Name+": the given splice at "+w.t.Places[p].Name+" joins nothing, no two wires of the circuit meet in its loom", "give a place in a loom where the circuit has ends", "delete the row of Splices"))
		}
	}
	class := w.net.class(w.t.Circuits[c].Class.Value)
	for _, j := range r.Joins {
		cost += w.net.price(w.net.joinEdge[j], class)
	}
	for i := range r.Spans {
		for _, l := range r.Spans[i].Legs {
			wire += int64(math.Round(float64(w.t.Legs[l].Length.Value) * 1e6))
			cost += w.net.legCost(l)
		}
	}
	cost += w.points
	r.Metres, r.Cost, r.Bound = float64(wire)/1e6, float64(cost)/1e6, float64(min(x.bound+w.least(c), cost))/1e6
	r.Origin, r.Reason = x.origin, w.reason(c, r)
}

// least is what the splices of a circuit cost at the very least: s splices
// join at most s·(most-2) + 2 ends. Posts and contacts that take two wires may
// spare them all.
func (w *work) least(c int) int64 {
	ends := w.e.Of[c]
	for _, i := range ends {
		if most, _, _ := w.takes(i); most > 1 {
			return 0
		}
	}
	n := ceil(len(ends)-2, w.house.most-2)
	if !spliced(w.t.Circuits[c].Class.Value) {
		return int64(n) * int64(w.house.splice*1e6)
	}
	return int64(math.Round(float64(n)*w.house.splice*1e6 + float64(max(0, n-1))*w.house.link*1e6))
}

func (w *work) reason(c int, r *plan.Route) settle.Reason {
	switch w.ways[c].origin {
	case settle.FromUser:
		return settle.GivenReason
	case settle.FromKept:
		return settle.KeptReason
	}
	text := "least cost over legs and joins"
	if len(w.t.Circuits[c].Kin) > 1 {
		text += ", together with what it is twisted or cabled with"
	}
	if m := w.ways[c].moved; m != "" {
		text += ", clear of " + m + " which is full"
	}
	terms := []settle.Term{settle.Num("wire", r.Metres, "m"), settle.Num("cost", r.Cost, "m"), settle.Num("least possible", r.Bound, "m")}
	if len(r.Joins) > 0 {
		terms = append(terms, settle.Num("joins", float64(len(r.Joins)), ""), settle.Num("a join counts as", w.house.join, "m"))
	}
	return settle.Reason{Text: text, Because: terms, Source: source.Ref{Kind: source.Judgement, Doc: "house-rules", Where: "routes"}}
}

// place is where a circuit's findings point: its first row.
func (w *work) place(c int, field string) finding.Place {
	k := &w.t.Circuits[c]
	return finding.Place{Kind: "circuit", ID: k.Name, Field: field, Cell: settle.Cell{Table: "Circuits", Row: string(k.Key()), Column: "circuit"}}
}

// metres prints a cost.
func metres(cost int64) string { return fmt.Sprintf("%.3f m", float64(cost)/1e6) }

// names lists names, sorted by what cmp says of them, at most five.
func names(list []string) string {
	slices.SortFunc(list, cmp.Compare[string])
	if len(list) > 5 {
		return strings.Join(list[:4], ", ") + fmt.Sprintf(" and %d more", len(list)-4)
	}
	return strings.Join(list, ", ")
}
