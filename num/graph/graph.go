// Package graph finds cheapest ways and cheapest trees in an undirected graph.
//
// It decides which edges join some nodes at the least cost: one path by
// Graph.Path, a tree over many by Graph.Steiner, with a proven lower bound. Costs
// are whole numbers (micrometres, say), so equal ways are exactly equal and the
// choice among them is the same on every machine.
//
// It takes for granted that nodes are numbered from 0, and that the caller adds
// edges in an order of its own that doesn't depend on the order of rows: ties go
// to the lower edge, then to the lower node.
//
// What a node or an edge stands for, and why one edge costs more for this query
// than for the next, is left to the caller, who prices every query.
package graph

import "fmt"

// Closed is what a price may return for an edge that can't be used; any negative
// number does.
const Closed int64 = -1

// dearest is the most an edge may cost. Above it an edge counts as closed, so that
// sums over a million edges fit an int64.
const dearest = 1 << 42

// A Graph is an undirected graph with a cost on each edge. Between two nodes
// there may be several edges.
//
// One goroutine may use a Graph at a time, since queries share its scratch; Fork
// gives another one the same edges.
type Graph struct {
	nodes int
	edges []edge
	start []int32 // arcs of node v are arcs[start[v]:start[v+1]], by edge number
	arcs  []arc
	only  []bool // by edge: it is the only way between its ends
	scratch
}

type edge struct {
	a, b int32
	cost int64
}

type arc struct{ edge, to int32 }

// New makes a graph of the nodes 0 to nodes-1, without edges.
func New(nodes int) *Graph {
	return &Graph{nodes: nodes}
}

// AddEdge joins a and b at a cost and returns the number of the edge: 0 for the
// first, then 1, 2 and so on. A negative cost, or one above 2^42, closes the edge
// to queries without prices. It panics if a or b isn't a node.
func (g *Graph) AddEdge(a, b int, cost int64) int {
	if a < 0 || a >= g.nodes || b < 0 || b >= g.nodes {
		panic(fmt.Sprintf("graph: edge %d-%d in a graph of %d nodes", a, b, g.nodes))
	}
	g.edges = append(g.edges, edge{int32(a), int32(b), cost})
	g.start = nil
	return len(g.edges) - 1
}

// Nodes is the number of nodes.
func (g *Graph) Nodes() int { return g.nodes }

// Edges is the number of edges.
func (g *Graph) Edges() int { return len(g.edges) }

// Ends are the two nodes of an edge, as they were added.
func (g *Graph) Ends(edge int) (a, b int) {
	e := g.edges[edge]
	return int(e.a), int(e.b)
}

// Cost is the edge's own cost.
func (g *Graph) Cost(edge int) int64 { return g.edges[edge].cost }

// Fork is the same graph for use by another goroutine. Edges added to one later
// aren't in the other.
func (g *Graph) Fork() *Graph {
	g.index()
	return &Graph{nodes: g.nodes, edges: g.edges[:len(g.edges):len(g.edges)], start: g.start, arcs: g.arcs, only: g.only}
}

// index sorts the edges by node, once after the last edge was added.
func (g *Graph) index() {
	if g.start != nil {
		return
	}
	g.start = make([]int32, g.nodes+1)
	for _, e := range g.edges {
		g.start[e.a]++
		if e.a != e.b {
			g.start[e.b]++
		}
	}
	sum := int32(0)
	for v, n := range g.start {
		g.start[v] = sum
		sum += n
	}
	g.arcs = make([]arc, sum)
	fill := append([]int32(nil), g.start...)
	for i, e := range g.edges {
		g.arcs[fill[e.a]] = arc{int32(i), e.b}
		fill[e.a]++
		if e.a != e.b {
			g.arcs[fill[e.b]] = arc{int32(i), e.a}
			fill[e.b]++
		}
	}
	g.only = make([]bool, len(g.edges))
	for _, i := range g.Bridges(func(int) int64 { return 0 }) {
		g.only[i] = true
	}
}

// around are the arcs that leave v, by edge number.
func (g *Graph) around(v int32) []arc {
	return g.arcs[g.start[v]:g.start[v+1]]
}

// price is what an edge costs this query; not ok if closed.
func (g *Graph) price(edge int32, cost func(edge int) int64) (int64, bool) {
	c := g.edges[edge].cost
	if cost != nil {
		c = cost(int(edge))
	}
	return c, c >= 0 && c <= dearest
}
