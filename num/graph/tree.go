package graph

import "slices"

// prune sorts the edges and leaves out any that close a ring or lead to no
// terminal, as edges that cost nothing may.
func (g *Graph) prune(edges []int, terms []int) []int {
	slices.Sort(edges)
	joined := union{}
	degree := map[int32]int{}
	for _, t := range terms {
		degree[int32(t)]++
	}
	edges = slices.DeleteFunc(edges, func(i int) bool {
		e := g.edges[i]
		if !joined.join(e.a, e.b) {
			return true
		}
		degree[e.a]++
		degree[e.b]++
		return false
	})
	for n := -1; n != len(edges); {
		n = len(edges)
		edges = slices.DeleteFunc(edges, func(i int) bool {
			e := g.edges[i]
			if degree[e.a] > 1 && degree[e.b] > 1 {
				return false
			}
			degree[e.a]--
			degree[e.b]--
			return true
		})
	}
	return edges
}

// Beyond parts the terminals by an edge of a tree: those on the side of its
// first end, and those on the side of its second. Terminals off the tree are on
// neither.
func (g *Graph) Beyond(tree []int, edge int, terminals []int) (first, second []int) {
	joined := union{}
	for _, i := range tree {
		if i != edge {
			joined.join(g.edges[i].a, g.edges[i].b)
		}
	}
	e := g.edges[edge]
	for _, t := range terminals {
		switch joined.find(int32(t)) {
		case joined.find(e.a):
			first = append(first, t)
		case joined.find(e.b):
			second = append(second, t)
		}
	}
	return first, second
}

// Components numbers the connected parts of the graph, 0 for the part of node 0
// and on by lowest node; the answer is by node. cost closes edges as in Path.
func (g *Graph) Components(cost func(edge int) int64) []int {
	g.index()
	part := make([]int, g.nodes)
	for v := range part {
		part[v] = -1
	}
	n := 0
	var todo []int32
	for v := range part {
		if part[v] >= 0 {
			continue
		}
		part[v] = n
		todo = append(todo[:0], int32(v))
		for len(todo) > 0 {
			u := todo[len(todo)-1]
			todo = todo[:len(todo)-1]
			for _, a := range g.around(u) {
				if _, open := g.price(a.edge, cost); open && part[a.to] < 0 {
					part[a.to] = n
					todo = append(todo, a.to)
				}
			}
		}
		n++
	}
	return part
}

// Bridges are the open edges without which the graph falls into more parts, in
// rising order. cost closes edges as in Path. R. E. Tarjan, Information Processing
// Letters 2 (1974) 160-161.
func (g *Graph) Bridges(cost func(edge int) int64) []int {
	g.index()
	seen := make([]int32, g.nodes) // order of the walk, from 1
	low := make([]int32, g.nodes)  // earliest node that a way around reaches
	type step struct{ node, via, arc int32 }
	var bridges []int
	var walk []step
	clock := int32(0)
	visit := func(v, via int32) {
		clock++
		seen[v], low[v] = clock, clock
		walk = append(walk, step{v, via, g.start[v]})
	}
	for v := range seen {
		if seen[v] == 0 {
			visit(int32(v), -1)
		}
		for len(walk) > 0 {
			top := &walk[len(walk)-1]
			if top.arc < g.start[top.node+1] {
				a := g.arcs[top.arc]
				top.arc++
				if _, open := g.price(a.edge, cost); !open || a.edge == top.via {
					continue
				}
				if seen[a.to] == 0 {
					visit(a.to, a.edge)
				} else {
					low[top.node] = min(low[top.node], seen[a.to])
				}
				continue
			}
			done := *top
			walk = walk[:len(walk)-1]
			if done.via < 0 {
				continue
			}
			up := walk[len(walk)-1].node
			low[up] = min(low[up], low[done.node])
			if low[done.node] == seen[done.node] {
				bridges = append(bridges, int(done.via))
			}
		}
	}
	slices.Sort(bridges)
	return bridges
}
