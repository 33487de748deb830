package graph

import (
	"cmp"
	"fmt"
	"slices"
)

// A Tree joins terminals.
type Tree struct {
	Edges []int // in rising order
	Cost  int64
	Bound int64 // no tree costs less: equal to Cost when the tree is proven cheapest
	Work  int   // what the proof took, in edges looked at
}

// An IslandError says that no open edges join the terminals.
type IslandError struct {
	Islands [][]int // terminals that are joined to each other, by lowest node; at least two groups
}

func (e *IslandError) Error() string {
	return fmt.Sprintf("no way from node %d to node %d: the %d terminals lie on %d islands",
		e.Islands[0][0], e.Islands[1][0], len(slices.Concat(e.Islands...)), len(e.Islands))
}

// ordinary is the budget of a query that names none: a second or two.
const ordinary = 50_000_000

// Steiner is a cheapest tree over the terminals, which may pass through any other
// node; cost prices an edge as in Path. Terminals given twice count once, one
// terminal or none makes an empty tree.
//
// It stops looking when budget edges were looked at (0: an ordinary budget) and
// then returns the best tree found, with the bound proven by then.
// If the terminals can't be joined the error is an *IslandError; a terminal that
// isn't a node is an error too.
//
// First Voronoi regions of the terminals give a tree that is at most twice too
// dear (Mehlhorn 1988) and with it the part of the graph that a cheaper one could
// use. There forced edges are taken and hopeless ones dropped, which settles a
// graph that is a tree at once; few terminals are solved by Dreyfus and Wagner
// (1971), more by branch and bound on the dual ascent of Wong (1984).
func (g *Graph) Steiner(terminals []int, cost func(edge int) int64, budget int) (Tree, error) {
	terms := slices.Compact(slices.Sorted(slices.Values(terminals)))
	for _, t := range terms {
		if t < 0 || t >= g.nodes {
			return Tree{}, fmt.Errorf("terminal %d is not one of the nodes 0 to %d", t, g.nodes-1)
		}
	}
	if len(terms) < 2 {
		return Tree{Edges: []int{}}, nil
	}
	if len(terms) == 2 {
		way, total, ok := g.Path(terms[0], terms[1:], cost)
		if !ok {
			return Tree{}, &IslandError{[][]int{terms[:1], terms[1:]}}
		}
		return Tree{Edges: g.prune(way, terms), Cost: total, Bound: total}, nil
	}
	if budget <= 0 {
		budget = ordinary
	}
	return g.steiner(terms, cost, &solver{budget: budget, few: 15})
}

// steiner is Steiner for three terminals or more.
func (g *Graph) steiner(terms []int, cost func(edge int) int64, s *solver) (Tree, error) {
	tree, err := g.first(terms, cost)
	if err != nil {
		return Tree{}, err
	}
	onlyWay := true
	for _, e := range tree {
		c, _ := g.price(int32(e), cost)
		s.upper += c
		s.best = append(s.best, s.make(int32(e), -1))
		onlyWay = onlyWay && g.only[e]
	}
	bound := s.upper
	if !onlyWay {
		bound = s.solve(g.region(terms, cost, s))
	}
	edges := make([]int, 0, len(s.best))
	for _, m := range s.best {
		edges = s.expand(edges, m)
	}
	return Tree{g.prune(edges, terms), s.upper, min(bound, s.upper), s.work}, nil
}

// first is a tree that is at most twice too dear, as its edges: the terminals'
// regions, joined where they meet. It leaves the search standing for region.
func (g *Graph) first(terms []int, cost func(edge int) int64) ([]int, error) {
	g.begin()
	for _, t := range terms {
		g.reach(int32(t), 0, -1, int32(t))
	}
	type border struct {
		cost int64
		edge int32
	}
	var borders []border
	joined := union{}
	for apart := len(terms) - 1; apart > 0; {
		v, more := g.next()
		if !more {
			return nil, islands(terms, joined)
		}
		for _, a := range g.around(v) {
			if g.settled[a.to] != g.now || g.source[a.to] == g.source[v] {
				continue
			}
			if c, open := g.price(a.edge, cost); open {
				borders = append(borders, border{g.dist[v] + c + g.dist[a.to], a.edge})
				if joined.join(g.source[v], g.source[a.to]) {
					apart--
				}
			}
		}
		g.spread(v, cost)
	}
	slices.SortFunc(borders, func(x, y border) int {
		return cmp.Or(cmp.Compare(x.cost, y.cost), cmp.Compare(x.edge, y.edge))
	})
	joined = union{}
	var tree []int
	for _, b := range borders {
		e := g.edges[b.edge]
		if joined.join(g.source[e.a], g.source[e.b]) {
			tree = append(tree, int(b.edge))
			tree = append(tree, g.wayTo(e.a)...)
			tree = append(tree, g.wayTo(e.b)...)
		}
	}
	slices.Sort(tree)
	return slices.Compact(tree), nil
}

// region is the part of the graph in which a tree cheaper than the first must lie.
//
// With U the cost of the first and d the distance to the nearest terminal, such a
// tree uses an edge a-b only if d(a) + cost + d(b) ≤ U: without the edge it falls
// apart into two, each with a terminal. So no node in it is farther than U/2.
func (g *Graph) region(terms []int, cost func(edge int) int64, s *solver) *problem {
	for len(g.heap) > 0 && g.heap[0].cost <= s.upper/2 {
		if v, more := g.next(); more {
			g.spread(v, cost)
		}
	}
	// The sources have done their work: from here on source is the number of a
	// node within the region.
	for i, v := range g.order {
		g.source[v] = int32(i)
	}
	p := newProblem(len(g.order))
	p.left = len(terms)
	for _, t := range terms {
		p.terminal[g.source[t]] = true
	}
	var inside []int32
	for _, v := range g.order {
		for _, a := range g.around(v) {
			if g.settled[a.to] == g.now && g.edges[a.edge].a == v && a.to != v {
				inside = append(inside, a.edge)
			}
		}
	}
	slices.Sort(inside)
	for _, i := range inside {
		e := g.edges[i]
		if c, open := g.price(i, cost); open && g.dist[e.a]+c+g.dist[e.b] <= s.upper {
			p.add(g.source[e.a], g.source[e.b], c, s.make(i, -1))
		}
	}
	return p
}

// islands groups terminals that can't be joined.
func islands(terms []int, joined union) error {
	var groups [][]int
	place := map[int32]int{}
	for _, t := range terms {
		root := joined.find(int32(t))
		i, known := place[root]
		if !known {
			i = len(groups)
			place[root] = i
			groups = append(groups, nil)
		}
		groups[i] = append(groups[i], t)
	}
	return &IslandError{groups}
}

// union keeps which nodes are joined. A node that was never named is alone.
type union map[int32]int32

func (u union) find(v int32) int32 {
	for {
		up, known := u[v]
		if !known {
			return v
		}
		if upper, known := u[up]; known {
			u[v] = upper
		}
		v = up
	}
}

// join joins a and b, and reports whether they were apart.
func (u union) join(a, b int32) bool {
	a, b = u.find(a), u.find(b)
	if a == b {
		return false
	}
	u[max(a, b)] = min(a, b)
	return true
}
