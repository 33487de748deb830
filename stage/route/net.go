package route

import (
	"encoding/binary"
	"errors"
	"math"
	"slices"

	"keyon/model/design"
	"keyon/model/plan"
	"keyon/num/graph"
)

// house holds the limits of the house that price ways, in metres and shares.
type house struct {
	join   float64 // what crossing a join counts as
	hot    float64 // share added on a leg in a hot zone
	hotAt  float64 // °C from which a zone is hot
	wet    float64 // share added on a leg that fuel, oil or water reaches
	splice float64 // what a splice counts as
	reach  float64 // how far a splice keeps from a connector
	link   float64 // what a wire between two splices counts as, besides its length
	stub   float64 // longest stub of a data bus
	most   int     // wires in one splice
	lugs   int     // lugs on one post of a device
}

func readHouse(d *design.Design) house {
	number := func(name string, fallback float64) float64 {
		v, _ := d.Number(name, fallback)
		return v
	}
	return house{
		join:   number("join cost", 500) / 1e3,                   // mm of wire; judgement: two contacts, two crimps, two seals
		hot:    number("hot leg price", 0.5),                     // share; judgement
		hotAt:  number("hot zone", 105),                          // °C; judgement: above it common insulation and sleeves drop out
		wet:    number("wet leg price", 0.1),                     // share; judgement
		splice: number("splice cost", 500) / 1e3,                 // mm of wire; judgement: a splice is rather saved than half a metre of wire
		reach:  number("splice reach", 305) / 1e3,                // mm; NASA and AS50881 practice, 12 in clear of a connector, from memory
		link:   number("splice after splice", 1000) / 1e3,        // mm of wire; judgement: AC 43.13-1B 11-167c allows one splice between two terminations
		stub:   number("bus stub", 300) / 1e3,                    // mm; ISO 11898-2 at 1 Mbit/s
		most:   max(3, int(number("most wires in a splice", 5))), // common practice: two on one side, three on the other
		lugs:   max(1, int(number("most lugs on a stud", 4))),    // AC 43.13-1B 11-174: at most four terminals a stud
	}
}

// kind is what an edge of the net stands for: a leg, or else a join.
type kind struct{ leg, join int } // one of them is -1

// net is the car as a graph: a node a place, an edge a leg or a join.
type net struct {
	g        *graph.Graph
	kinds    []kind
	cost     []int64  // by edge, to the classes it is meant for
	keepOut  []uint32 // by edge: classes
	meant    []uint32 // by edge: classes it is meant for, 0 for all
	legEdge  []int    // by leg, -1
	joinEdge []int    // by join, -1
	memo     map[string]answer
}

type answer struct {
	edges []int
	bound int64
	err   error
}

const unknown = 1_000_000 // µm that a leg without a settled length counts as: the way is found, its length stays open

func newNet(t *plan.Things, h house) *net {
	n := &net{g: graph.New(len(t.Places)), memo: map[string]answer{}, legEdge: make([]int, len(t.Legs)), joinEdge: make([]int, len(t.Joins))}
	add := func(a, b int, cost float64, k kind, keepOut uint32) int {
		c := max(1, int64(math.Round(cost)))
		n.kinds, n.cost, n.keepOut, n.meant = append(n.kinds, k), append(n.cost, c), append(n.keepOut, keepOut), append(n.meant, 0)
		return n.g.AddEdge(a, b, c)
	}
	for i := range t.Legs {
		l := &t.Legs[i]
		n.legEdge[i] = -1
		if l.From < 0 || l.To < 0 || l.From == l.To {
			continue
		}
		cost := float64(unknown)
		if l.Length.Settled() {
			cost = float64(l.Length.Value) * 1e6
		}
		hot, wet := float64(l.Ambient) >= h.hotAt, false
		if l.Zone >= 0 {
			for _, x := range t.Zones[l.Zone].Exposures {
				hot = hot || x == "heat"
				wet = wet || x == "splash" || x == "fuel" || x == "oil"
			}
		}
		share := 1.0
		if hot {
			share += h.hot
		}
		if wet {
			share += h.wet
		}
		var out uint32
		for _, k := range l.KeepOut {
			out |= n.class(k)
		}
		n.legEdge[i] = add(l.From, l.To, cost*share, kind{i, -1}, out)
	}
	for i := range t.Joins {
		j := &t.Joins[i]
		n.joinEdge[i] = -1
		if j.A < 0 || j.B < 0 || j.A == j.B {
			continue
		}
		cost := 0.0
		if parts(j) {
			cost = h.join * 1e6
		}
		n.joinEdge[i] = add(j.A, j.B, cost, kind{-1, i}, 0)
		heavy := n.class("heavy")
		switch j.Kind {
		case "stud":
			n.meant[n.joinEdge[i]] = heavy
		case "bulkhead", "in-line":
			n.meant[n.joinEdge[i]] = ^heavy
		}
	}
	return n
}

// strange is how many times a join costs for classes it isn't meant for: a
// through-stud is for heavy cable, and heavy cable keeps out of contacts.
const strange = 20 // judgement: house-rules

// price is what an edge costs circuits of these classes.
func (n *net) price(e int, classes uint32) int64 {
	if n.meant[e] != 0 && classes&^n.meant[e] != 0 {
		return strange * n.cost[e]
	}
	return n.cost[e]
}

// parts says that wires end at a join; through a grommet they run on.
func parts(j *plan.Join) bool { return j.Kind != "grommet" }

// class is a class as a bit.
func (n *net) class(name string) uint32 {
	if i := slices.Index(design.Classes, name); i >= 0 {
		return 1 << i
	}
	return 0
}

func (n *net) legCost(l int) int64 {
	if e := n.legEdge[l]; e >= 0 {
		return n.cost[e]
	}
	return 0
}

// query asks for a tree. free and closed are edges; both nil in most queries,
// and only such answers are remembered.
type query struct {
	terminals []int // places, in any order
	classes   uint32
	free      map[int]bool // given and kept: they cost nothing, whatever is kept out of them
	closed    map[int]bool
}

// tree is the cheapest tree over the query's terminals, with its bound.
func (n *net) tree(q *query) (edges []int, bound int64, err error) {
	slices.Sort(q.terminals)
	q.terminals = slices.Compact(q.terminals)
	plain := len(q.free) == 0 && len(q.closed) == 0
	var key []byte
	if plain {
		key = binary.LittleEndian.AppendUint32(make([]byte, 0, 4+4*len(q.terminals)), q.classes)
		for _, p := range q.terminals {
			key = binary.LittleEndian.AppendUint32(key, uint32(p))
		}
		if a, ok := n.memo[string(key)]; ok {
			return a.edges, a.bound, a.err
		}
	}
	price := func(e int) int64 {
		if q.free != nil && q.free[e] {
			return 0
		}
		if q.closed != nil && q.closed[e] || n.keepOut[e]&q.classes != 0 {
			return graph.Closed
		}
		return n.price(e, q.classes)
	}
	var a answer
	if len(q.terminals) == 2 {
		way, cost, ok := n.g.Path(q.terminals[0], q.terminals[1:], price)
		slices.Sort(way)
		a = answer{edges: way, bound: cost}
		if !ok {
			a.err = &graph.IslandError{Islands: [][]int{q.terminals[:1], q.terminals[1:]}}
		}
	} else {
		t, err := n.g.Steiner(q.terminals, price, 0)
		a = answer{edges: t.Edges, bound: t.Bound, err: err}
	}
	if plain {
		n.memo[string(key)] = a
	}
	return a.edges, a.bound, a.err
}

// islands reads two places that lie apart from an error of tree.
func (n *net) islands(err error) ([2]int, bool) {
	var is *graph.IslandError
	if !errors.As(err, &is) {
		return [2]int{}, false
	}
	return [2]int{is.Islands[0][0], is.Islands[1][0]}, true
}

// cutBack drops the branches of a tree that lead to none of the places.
func (n *net) cutBack(edges []int, places []int) []int {
	around, left := map[int][]int{}, map[int]int{}
	for _, e := range edges {
		a, b := n.g.Ends(e)
		around[a], around[b] = append(around[a], e), append(around[b], e)
		left[a]++
		left[b]++
	}
	dropped := map[int]bool{}
	var leaves []int // their order doesn't matter: what is left is the same
	for v, k := range left {
		if k == 1 {
			leaves = append(leaves, v)
		}
	}
	for len(leaves) > 0 {
		v := leaves[len(leaves)-1]
		leaves = leaves[:len(leaves)-1]
		if _, stays := slices.BinarySearch(places, v); stays || left[v] != 1 {
			continue
		}
		for _, e := range around[v] {
			if dropped[e] {
				continue
			}
			dropped[e] = true
			a, b := n.g.Ends(e)
			left[v]--
			o := a ^ b ^ v
			if left[o]--; left[o] == 1 {
				leaves = append(leaves, o)
			}
		}
	}
	out := make([]int, 0, len(edges))
	for _, e := range edges {
		if !dropped[e] {
			out = append(out, e)
		}
	}
	return out
}

// beyond are the places of a tree on a's side of one of its edges.
func (n *net) beyond(edges []int, edge, a int) map[int]bool {
	around := map[int][]int{}
	for _, e := range edges {
		if e == edge {
			continue
		}
		x, y := n.g.Ends(e)
		around[x], around[y] = append(around[x], y), append(around[y], x)
	}
	side := map[int]bool{a: true}
	open := []int{a}
	for len(open) > 0 {
		v := open[len(open)-1]
		open = open[:len(open)-1]
		for _, u := range around[v] {
			if !side[u] {
				side[u] = true
				open = append(open, u)
			}
		}
	}
	return side
}
