package route

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"keyon/model/finding"
	"keyon/model/flow"
	"keyon/model/plan"
	"keyon/model/settle"
)

// fit makes ways fit where room is limited: the cavities of joins whose
// connector is given, one circuit at a through-stud, and holes that the guess
// says are too full. Where too much crosses, those circuits leave that lose
// least by another way.
func (w *work) fit() {
	for i := range w.t.Joins {
		j := &w.t.Joins[i]
		e := w.net.joinEdge[i]
		if e < 0 || j.Connector == nil && j.Kind != "stud" {
			continue
		}
		users := w.users(e)
		if w.fits(j, e, users) {
			continue
		}
		if left := w.leave(e, users, j.Name, func(u []int) bool { return w.fits(j, e, u) }); !w.fits(j, e, left) {
			w.verdicts = append(w.verdicts, w.overfull(j, e, left))
		}
	}
	for i := range w.t.Legs {
		l := &w.t.Legs[i]
		free, guessed := w.g.Hole[string(l.ID)]
		e := w.net.legEdge[i]
		if e < 0 || !guessed || free >= 0 {
			continue
		}
		users := w.users(e)
		room := free
		for _, c := range users {
			room += w.area(c)
		}
		w.leave(e, users, "the hole on leg "+l.Name, func(u []int) bool {
			sum := 0.0
			for _, c := range u {
				sum += w.area(c)
			}
			return sum <= room+1e-9
		})
	}
}

// users are the circuits whose way takes an edge.
func (w *work) users(edge int) []int {
	if w.using == nil {
		w.using = make([][]int, len(w.net.kinds))
		for c := range w.ways {
			for _, e := range w.ways[c].edges {
				w.using[e] = append(w.using[e], c)
			}
		}
	}
	return slices.Clone(w.using[edge])
}

// leave moves circuits off an edge until the rest fits, cheapest first, and
// returns who stays. Given ways don't move, kin move together.
func (w *work) leave(edge int, users []int, name string, fits func([]int) bool) []int {
	type move struct {
		group []int
		kept  int // 1: people rely on the way, so it leaves last
		edges []int
		more  int64
	}
	var moves []move
	seen := map[int]bool{}
	closed := map[int]bool{edge: true}
	for e := range w.full {
		closed[e] = true
	}
	for _, c := range users {
		if seen[c] {
			continue
		}
		var group []int
		fixed, kept := false, 0
		for _, k := range w.group[c] {
			seen[k] = true
			if !w.ways[k].open {
				group = append(group, k)
				switch w.ways[k].origin {
				case settle.FromUser:
					fixed = true
				case settle.FromKept:
					kept = 1
				}
			}
		}
		if fixed {
			continue
		}
		edges, ok := w.together(group, closed)
		if !ok {
			continue
		}
		more := int64(0)
		for _, k := range group {
			more += w.cost(k, w.net.cutBack(edges, w.terminals(k))) - w.cost(k, w.ways[k].edges)
		}
		moves = append(moves, move{group, kept, edges, more})
	}
	slices.SortStableFunc(moves, func(x, y move) int {
		return cmp.Or(cmp.Compare(x.kept, y.kept), cmp.Compare(x.more, y.more), cmp.Compare(w.t.Circuits[x.group[0]].Key(), w.t.Circuits[y.group[0]].Key()))
	})
	for _, m := range moves {
		if fits(users) {
			break
		}
		for _, k := range m.group {
			x := &w.ways[k]
			if x.origin == settle.FromKept {
				w.verdicts = append(w.verdicts, finding.Say(RuleKept, w.place(k, "legs"), fmt.Sprintf("%s: the kept way is left, %s is full; the new one costs %s more", w.t.Circuits[k].Name, name, metres(m.more)), "look at the new way; keep it by printing or freezing again"))
			}
			w.rewire(k, w.net.cutBack(m.edges, w.terminals(k)))
			x.origin, x.moved = settle.Worked, name
			users = slices.DeleteFunc(users, func(c int) bool { return c == k })
		}
	}
	if w.full == nil {
		w.full = map[int]bool{}
	}
	w.full[edge] = true
	return users
}

// rewire gives a circuit other edges.
func (w *work) rewire(c int, edges []int) {
	for _, e := range w.ways[c].edges {
		w.using[e] = slices.DeleteFunc(w.using[e], func(k int) bool { return k == c })
	}
	for _, e := range edges {
		i, _ := slices.BinarySearch(w.using[e], c)
		w.using[e] = slices.Insert(w.using[e], i, c)
	}
	w.ways[c].edges = edges
}

// cost is what edges cost a circuit.
func (w *work) cost(c int, edges []int) (sum int64) {
	class := w.net.class(w.t.Circuits[c].Class.Value)
	for _, e := range edges {
		sum += w.net.price(e, class)
	}
	return sum
}

// area is what a circuit's wire takes of a hole, mm².
func (w *work) area(c int) float64 {
	od := w.g.Gauge[string(w.t.Circuits[c].Key())].OutsideMM
	if od == 0 {
		od = 1.27 // mm, AS22759/41-22; seen
	}
	return math.Pi / 4 * od * od
}

// fits says whether a join takes the circuits.
func (w *work) fits(j *plan.Join, edge int, users []int) bool {
	if j.Kind == "stud" {
		return len(users) <= 1
	}
	if j.Connector == nil {
		return true
	}
	_, missing := flow.Fill(j.Connector, w.ampsOf(users, edge))
	return missing == 0
}

func (w *work) ampsOf(users []int, edge int) []float64 {
	amps := make([]float64, len(users))
	for i, c := range users {
		amps[i] = w.ampsAt(c, edge)
	}
	return amps
}

// ampsAt is what a circuit is expected to carry over an edge of its tree.
func (w *work) ampsAt(c, edge int) float64 {
	a, _ := w.net.g.Ends(edge)
	side := w.net.beyond(w.ways[c].edges, edge, a)
	var on, off float64
	var source [2]bool
	for _, i := range w.e.Of[c] {
		here := side[w.e.List[i].Place]
		switch {
		case w.flow.Source[i] && here:
			source[0] = true
		case w.flow.Source[i]:
			source[1] = true
		case here:
			on += w.flow.Amps[i]
		default:
			off += w.flow.Amps[i]
		}
	}
	switch {
	case source[0] && !source[1]:
		return off
	case source[1] && !source[0]:
		return on
	case source[0]:
		return max(on, off)
	}
	return min(on, off)
}

// overfull reports a join that can't take what must cross it.
func (w *work) overfull(j *plan.Join, edge int, users []int) finding.Verdict {
	at := finding.Place{Kind: "join", ID: j.Name, Field: "part", Cell: j.Part.At}
	list := []string{}
	for _, c := range users {
		list = append(list, w.t.Circuits[c].Name)
	}
	if j.Kind == "stud" {
		return finding.Say(RuleCavities, at, fmt.Sprintf("%s: a through-stud carries one circuit, %d cross: %s", j.Name, len(users), names(list)), "add a stud for each circuit", "use a connector")
	}
	needed, missing := flow.Fill(j.Connector, w.ampsOf(users, edge))
	have := float64(len(j.Connector.Cavities))
	v := finding.Judge(RuleCavities, at, float64(needed), finding.Limit{AtMost: true, Value: have, Unit: "contacts"},
		fmt.Sprintf("%s: %d circuits take %d contacts, %s has %d cavities; %d more needed", j.Name, len(users), needed, j.Connector.ID, len(j.Connector.Cavities), missing))
	v.OK = false
	for _, t := range []string{"give a larger connector", "leave the part blank to have it worked out", "add a second join"} {
		v.Fixes = append(v.Fixes, finding.Fix{Text: t})
	}
	return v
}
