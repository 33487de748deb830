package route

import (
	"slices"
	"strings"

	"keyon/model/design"
	"keyon/model/finding"
	"keyon/model/settle"
)

// given is what the design and earlier plans fix about ways.
type given struct {
	through [][]int // by circuit: edges
	avoid   [][]int // by circuit: edges
	splices [][]int // by circuit: places
	kept    [][]int // by circuit: edges
	points  [][]int // by circuit: places of kept splices
}

// readGiven reads the tables Routes and Splices, and what was kept. Names that
// lead nowhere are resolve's to report.
func (w *work) readGiven() {
	n := len(w.t.Circuits)
	w.given = given{make([][]int, n), make([][]int, n), make([][]int, n), make([][]int, n), make([][]int, n)}
	between := map[[2]int]int{}
	for i := range w.t.Legs {
		l := &w.t.Legs[i]
		if _, taken := between[[2]int{l.From, l.To}]; !taken && w.net.legEdge[i] >= 0 {
			between[[2]int{l.From, l.To}], between[[2]int{l.To, l.From}] = w.net.legEdge[i], w.net.legEdge[i]
		}
	}
	for i := range w.d.Routes {
		r := &w.d.Routes[i]
		c, known := w.t.CircuitOf[r.Circuit.Value]
		from, a := w.t.PlaceOf[r.From.Value]
		to, b := w.t.PlaceOf[r.To.Value]
		if !known || !a || !b || r.Use.State == settle.Garbled {
			continue
		}
		e, ok := between[[2]int{from, to}]
		if !ok { // no such leg: resolve says so
			continue
		}
		if r.Use.Value == "avoid" {
			w.given.avoid[c] = append(w.given.avoid[c], e)
		} else {
			w.given.through[c] = append(w.given.through[c], e)
		}
	}
	for i := range w.d.Splices {
		s := &w.d.Splices[i]
		c, known := w.t.CircuitOf[s.Circuit.Value]
		p, ok := w.t.PlaceOf[s.Place.Value]
		if known && ok && !slices.Contains(w.given.splices[c], p) {
			w.given.splices[c] = append(w.given.splices[c], p)
		}
	}
	if len(w.d.Kept) == 0 {
		return
	}
	leg, join, place := map[string]int{}, map[string]int{}, map[string]int{}
	for i := range w.t.Legs {
		leg[string(w.t.Legs[i].ID)] = w.net.legEdge[i]
	}
	for i := range w.t.Joins {
		join[string(w.t.Joins[i].ID)] = w.net.joinEdge[i]
	}
	for i := range w.t.Places {
		place[string(w.t.Places[i].ID)] = i
	}
	for c := range w.t.Circuits {
		k := &w.t.Circuits[c]
		if e := k.Keep(w.d, blank, "circuit", "", "legs"); e.State == settle.Kept && len(w.given.through[c]) == 0 {
			legs, joins, _ := strings.Cut(e.Value, "|")
			for _, id := range strings.Fields(legs) {
				if x, ok := leg[id]; ok && x >= 0 {
					w.given.kept[c] = append(w.given.kept[c], x)
				}
			}
			for _, id := range strings.Fields(joins) {
				if x, ok := join[id]; ok && x >= 0 {
					w.given.kept[c] = append(w.given.kept[c], x)
				}
			}
		}
		if e := k.Keep(w.d, blank, "circuit", "", "points"); e.State == settle.Kept && len(w.given.splices[c]) == 0 {
			for _, p := range strings.Fields(e.Value) {
				if id, ok := strings.CutPrefix(p, "splice@"); ok {
					if x, ok := place[id]; ok && !slices.Contains(w.given.points[c], x) {
						w.given.points[c] = append(w.given.points[c], x)
					}
				}
			}
		}
	}
}

// ask adds what is fixed for a circuit to a query: given and kept legs cost
// nothing and must be reached, legs to avoid are closed.
func (g *given) ask(c int, n *net, q *query) {
	if len(g.through[c])+len(g.kept[c]) > 0 && q.free == nil {
		q.free = map[int]bool{}
	}
	for _, e := range g.kept[c] {
		if !q.closed[e] {
			q.free[e] = true
		}
	}
	for _, e := range g.through[c] {
		q.free[e] = true
		a, b := n.g.Ends(e)
		q.terminals = append(q.terminals, a, b)
	}
	g.avoids(c, n, q)
}

// avoids closes the legs a circuit must not use.
func (g *given) avoids(c int, n *net, q *query) {
	if len(g.avoid[c]) == 0 {
		return
	}
	closed := map[int]bool{}
	for e := range q.closed {
		closed[e] = true
	}
	for _, e := range g.avoid[c] {
		if !q.free[e] {
			closed[e] = true
		}
	}
	q.closed = closed
}

// dropKept forgets a kept way that has become impossible.
func (w *work) dropKept(c int) {
	class := w.net.class(w.t.Circuits[c].Class.Value)
	for _, e := range w.given.kept[c] {
		why := ""
		switch {
		case w.net.keepOut[e]&class != 0:
			why = w.t.Circuits[c].Class.Value + " circuits are kept out of it"
		case slices.Contains(w.given.avoid[c], e):
			why = "it is to be avoided"
		default:
			continue
		}
		w.verdicts = append(w.verdicts, finding.Say(RuleKept, w.place(c, "legs"), w.t.Circuits[c].Name+": the kept way over "+w.edgeName(e)+" is left, "+why, "look at the new way; keep it by printing or freezing again"))
		w.given.kept[c] = nil
		return
	}
}

// unusedGiven reports given legs that lead nowhere the circuit goes.
func (w *work) unusedGiven(c int) {
	for _, e := range w.given.through[c] {
		if _, used := slices.BinarySearch(w.ways[c].edges, e); !used {
			place := w.place(c, "legs")
			for i := range w.d.Routes {
				if r := &w.d.Routes[i]; r.Circuit.Value == w.t.Circuits[c].Name && w.isLeg(e, r.From.Value, r.To.Value) {
					place.Cell = r.From.At
				}
			}
			w.verdicts = append(w.verdicts, finding.Say(RuleGiven, place, w.t.Circuits[c].Name+": the given leg "+w.edgeName(e)+" lies on no way between its ends", "give a leg on the way, or delete the row of Routes"))
		}
	}
}

// isLeg says whether an edge is the leg between two places of these names.
func (w *work) isLeg(e int, a, b string) bool {
	l := w.net.kinds[e].leg
	if l < 0 {
		return false
	}
	from, to := w.t.Places[w.t.Legs[l].From].Name, w.t.Places[w.t.Legs[l].To].Name
	return from == a && to == b || from == b && to == a
}

func (w *work) edgeName(e int) string {
	if k := w.net.kinds[e]; k.leg >= 0 {
		return "leg " + w.t.Legs[k.leg].Name
	}
	return w.t.Joins[w.net.kinds[e].join].Name
}

var blank design.TextEntry
