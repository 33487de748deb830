package graph

// scratch is what searches keep between queries, so that a query touches only
// the nodes it reaches: a node's entries hold while its stamp is the current one.
type scratch struct {
	now     uint32
	stamp   []uint32 // reached in this search
	settled []uint32 // its distance is final in this search
	wanted  []uint32 // a target of this search
	dist    []int64
	via     []int32 // edge it was reached by, -1 at a source
	source  []int32 // the source it was reached from
	order   []int32 // nodes in the order they were settled
	heap    heap
}

// begin makes ready for a search of the graph.
func (g *Graph) begin() {
	g.index()
	if len(g.stamp) != g.nodes || g.now == 1<<32-1 {
		g.scratch = scratch{
			stamp: make([]uint32, g.nodes), settled: make([]uint32, g.nodes), wanted: make([]uint32, g.nodes),
			dist: make([]int64, g.nodes), via: make([]int32, g.nodes), source: make([]int32, g.nodes),
		}
	}
	g.now++
	g.heap, g.order = g.heap[:0], g.order[:0]
}

// reach offers node v a way of length d. The shorter way stands, of equal ways
// the one by the lower edge.
func (g *Graph) reach(v int32, d int64, via, source int32) {
	if g.stamp[v] == g.now && (d > g.dist[v] || d == g.dist[v] && via >= g.via[v]) {
		return
	}
	if g.settled[v] == g.now {
		return
	}
	if g.stamp[v] != g.now || d < g.dist[v] {
		g.heap.push(item{d, v})
	}
	g.stamp[v], g.dist[v], g.via[v], g.source[v] = g.now, d, via, source
}

// next settles the nearest node reached so far; not ok when none is left.
func (g *Graph) next() (v int32, ok bool) {
	for len(g.heap) > 0 {
		it := g.heap.pop()
		if g.settled[it.node] != g.now {
			g.settled[it.node] = g.now
			g.order = append(g.order, it.node)
			return it.node, true
		}
	}
	return 0, false
}

// spread reaches on from v, which was just settled.
func (g *Graph) spread(v int32, cost func(edge int) int64) {
	for _, a := range g.around(v) {
		if g.settled[a.to] == g.now {
			continue
		}
		if c, open := g.price(a.edge, cost); open {
			g.reach(a.to, g.dist[v]+c, a.edge, g.source[v])
		}
	}
}

// Path is the cheapest way from a node to the nearest of the targets: its edges
// in order, and its cost. Of equally near targets the lowest node is taken, of
// equal ways the one that enters each node by the lower edge (edges that cost
// nothing aside). cost prices an edge for this query (nil: the edges' own cost,
// negative: closed). Not ok if no target can be reached, or from isn't a node.
//
// Dijkstra, "A note on two problems in connexion with graphs" (1959); it stops
// at the first target and looks at nothing farther away.
func (g *Graph) Path(from int, to []int, cost func(edge int) int64) (edges []int, total int64, ok bool) {
	if from < 0 || from >= g.nodes {
		return nil, 0, false
	}
	g.begin()
	left := 0
	for _, t := range to {
		if t >= 0 && t < g.nodes {
			g.wanted[t] = g.now
			left++
		}
	}
	if left == 0 {
		return nil, 0, false
	}
	g.reach(int32(from), 0, -1, int32(from))
	best := int32(-1)
	for {
		v, more := g.next()
		if !more || best >= 0 && g.dist[v] > g.dist[best] {
			break
		}
		if g.wanted[v] == g.now && (best < 0 || v < best) {
			best = v
		}
		g.spread(v, cost)
	}
	if best < 0 {
		return nil, 0, false
	}
	return g.wayTo(best), g.dist[best], true
}

// wayTo is the way by which v was reached, from its source on.
func (g *Graph) wayTo(v int32) []int {
	n := 0
	for u := v; g.via[u] >= 0; u = g.far(g.via[u], u) {
		n++
	}
	way := make([]int, n)
	for u := v; g.via[u] >= 0; u = g.far(g.via[u], u) {
		n--
		way[n] = int(g.via[u])
	}
	return way
}

// far is the end of an edge that isn't v.
func (g *Graph) far(edge, v int32) int32 {
	e := g.edges[edge]
	return e.a ^ e.b ^ v
}
