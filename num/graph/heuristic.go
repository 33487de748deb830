package graph

import (
	"cmp"
	"math"
	"slices"
)

// tryTrees offers trees found along the arcs that dual ascent paid in full, and in
// the whole problem, each bettered if it is to try hard.
func (s *solver) tryTrees(p *problem, slack []int64, root int32, hard bool) {
	paid := func(i int32) bool { return slack[2*i] == 0 || slack[2*i+1] == 0 }
	all := func(int32) bool { return true }
	for _, open := range []func(int32) bool{paid, all} {
		if in := s.nearestFirst(p, root, open); in != nil {
			s.better(p, in, hard)
		}
	}
}

// nearestFirst grows a tree from the root by the nearest terminal, again and
// again, over open edges (Takahashi and Matsuyama 1980), and returns which nodes
// it has; nil if it can't reach them all.
func (s *solver) nearestFirst(p *problem, root int32, open func(edge int32) bool) []bool {
	dist := make([]int64, len(p.around))
	via := make([]int32, len(p.around))
	for v := range dist {
		dist[v] = math.MaxInt64
	}
	in := make([]bool, len(p.around))
	var h heap
	enter := func(v int32) {
		in[v] = true
		dist[v] = 0
		h.push(item{0, v})
	}
	enter(root)
	missing := p.left - 1
	for missing > 0 {
		if len(h) == 0 {
			return nil
		}
		it := h.pop()
		v := it.node
		if it.cost > dist[v] {
			continue
		}
		if p.terminal[v] && !in[v] {
			for u := v; !in[u]; u = p.edges[via[u]].far(u) {
				if p.terminal[u] {
					missing--
				}
				enter(u)
			}
			continue
		}
		s.work += len(p.around[v])
		for _, i := range p.around[v] {
			if !open(i) {
				continue
			}
			w := p.edges[i].far(v)
			if d := it.cost + p.edges[i].cost; d < dist[w] {
				dist[w], via[w] = d, i
				h.push(item{d, w})
			}
		}
	}
	return in
}

// better offers the cheapest tree within the nodes; if it is to try hard, after
// exchanging ways and taking single nodes in and out as long as either makes it
// cheaper, for at most a twentieth of the budget.
func (s *solver) better(p *problem, in []bool, hard bool) {
	order := make([]int32, len(p.edges))
	for i := range order {
		order[i] = int32(i)
	}
	slices.SortFunc(order, func(i, j int32) int {
		return cmp.Or(cmp.Compare(p.edges[i].cost, p.edges[j].cost), cmp.Compare(i, j))
	})
	var tree []int32
	cost := int64(math.MaxInt64)
	try := func() bool {
		t, c := s.within(p, order, in)
		if c >= cost {
			return false
		}
		tree, cost = t, c
		clear(in)
		for _, i := range tree {
			in[p.edges[i].a], in[p.edges[i].b] = true, true
		}
		return true
	}
	enough := s.work + s.budget/20
	for improved := try() && hard; improved && s.work < enough; {
		improved = false
		for s.work < enough && s.exchange(p, tree, in) && try() {
			improved = true
		}
		for v := range in {
			if p.terminal[v] || !in[v] && !p.meets(int32(v), in) || s.work > enough {
				continue
			}
			in[v] = !in[v]
			if try() {
				improved = true
			} else {
				in[v] = !in[v]
			}
		}
	}
	s.offer(p, tree)
}

// meets reports whether two neighbours of v are in.
func (p *problem) meets(v int32, in []bool) bool {
	n := 0
	for _, i := range p.around[v] {
		if in[p.edges[i].far(v)] {
			n++
		}
	}
	return n > 1
}

// within is the cheapest tree that spans the nodes, less its ends that are no
// terminals, and its cost; MaxInt64 where the nodes aren't joined.
func (s *solver) within(p *problem, order []int32, in []bool) (tree []int32, cost int64) {
	s.work += len(order)
	up := make([]int32, len(in))
	nodes := 0
	for v := range up {
		up[v] = int32(v)
		if in[v] {
			nodes++
		}
	}
	find := func(v int32) int32 {
		for up[v] != v {
			up[v] = up[up[v]]
			v = up[v]
		}
		return v
	}
	degree := make([]int32, len(in))
	for _, i := range order {
		e := &p.edges[i]
		if !in[e.a] || !in[e.b] {
			continue
		}
		if a, b := find(e.a), find(e.b); a != b {
			up[a] = b
			tree = append(tree, i)
			degree[e.a]++
			degree[e.b]++
		}
	}
	if len(tree) != nodes-1 {
		return nil, math.MaxInt64
	}
	for pruned := true; pruned; {
		pruned = false
		tree = slices.DeleteFunc(tree, func(i int32) bool {
			e := &p.edges[i]
			if degree[e.a] == 1 && !p.terminal[e.a] || degree[e.b] == 1 && !p.terminal[e.b] {
				degree[e.a]--
				degree[e.b]--
				pruned = true
				return true
			}
			return false
		})
	}
	for _, i := range tree {
		cost += p.edges[i].cost
	}
	return tree, cost
}
