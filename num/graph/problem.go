package graph

import (
	"cmp"
	"slices"
)

// A problem is a Steiner problem on a few nodes that shrinks while it is solved.
// What it has decided is in base and chosen, what is left in the rest.
type problem struct {
	terminal []bool // by node
	left     int    // terminals left
	edges    []link
	around   [][]int32 // edges of each node; dropped ones may still be listed
	base     int64     // cost of what is chosen
	chosen   []int32   // made edges
	mark     []int32   // scratch by node
}

// A link is an edge of a problem.
type link struct {
	a, b    int32
	cost    int64
	made    int32 // what it stands for
	dropped bool
}

func newProblem(nodes int) *problem {
	return &problem{terminal: make([]bool, nodes), around: make([][]int32, nodes), mark: make([]int32, nodes)}
}

func (p *problem) add(a, b int32, cost int64, made int32) {
	i := int32(len(p.edges))
	p.edges = append(p.edges, link{a: a, b: b, cost: cost, made: made})
	p.around[a] = append(p.around[a], i)
	p.around[b] = append(p.around[b], i)
}

// copy is the problem again, without dropped edges and lone nodes.
func (p *problem) copy() *problem {
	number := p.mark
	n := int32(0)
	used := make([]bool, len(p.terminal))
	for _, e := range p.edges {
		if !e.dropped {
			used[e.a], used[e.b] = true, true
		}
	}
	for v := range used {
		if used[v] || p.terminal[v] {
			number[v] = n
			n++
		}
	}
	q := newProblem(int(n))
	q.left, q.base, q.chosen = p.left, p.base, slices.Clone(p.chosen)
	for v := range used {
		if p.terminal[v] {
			q.terminal[number[v]] = true
		}
	}
	for _, e := range p.edges {
		if !e.dropped {
			q.add(number[e.a], number[e.b], e.cost, e.made)
		}
	}
	clear(p.mark)
	return q
}

// far is the end of an edge that isn't v.
func (e *link) far(v int32) int32 { return e.a ^ e.b ^ v }

// tidy forgets dropped edges of v, loops, and all but the cheapest of several
// edges to one neighbour.
func (p *problem) tidy(v int32) []int32 {
	keep := p.around[v][:0]
	for _, i := range p.around[v] {
		e := &p.edges[i]
		if e.dropped {
			continue
		}
		w := e.far(v)
		if w == v {
			e.dropped = true
			continue
		}
		if other := p.mark[w] - 1; other >= 0 {
			o := &p.edges[keep[other]]
			if e.cost < o.cost || e.cost == o.cost && i < keep[other] {
				o.dropped = true
				keep[other] = i
			} else {
				e.dropped = true
			}
			continue
		}
		keep = append(keep, i)
		p.mark[w] = int32(len(keep))
	}
	for _, i := range keep {
		p.mark[p.edges[i].far(v)] = 0
	}
	p.around[v] = keep
	return keep
}

// reduce shrinks the problem as far as looking at one node and its neighbours can:
//
//   - a node that is no terminal and has one edge is dropped, one with two edges
//     becomes a single edge;
//   - the only edge of a terminal is taken, and so is the cheapest edge of a
//     terminal where it ends at another.
//
// What is left of a tree after that is one node.
func (s *solver) reduce(p *problem) {
	queue := make([]int32, 0, len(p.around))
	waiting := make([]bool, len(p.around))
	enter := func(v int32) {
		if !waiting[v] {
			waiting[v] = true
			queue = append(queue, v)
		}
	}
	for v := range p.around {
		enter(int32(v))
	}
	for len(queue) > 0 {
		v := queue[0]
		queue = queue[1:]
		waiting[v] = false
		edges := p.tidy(v)
		s.work += len(edges) + 1
		if !p.terminal[v] {
			switch len(edges) {
			case 1:
				e := &p.edges[edges[0]]
				e.dropped = true
				enter(e.far(v))
			case 2:
				e, f := &p.edges[edges[0]], &p.edges[edges[1]]
				e.dropped, f.dropped = true, true
				a, b := e.far(v), f.far(v)
				p.add(a, b, e.cost+f.cost, s.make(e.made, f.made))
				enter(a)
				enter(b)
			}
			continue
		}
		if p.left == 1 {
			for _, i := range edges {
				p.edges[i].dropped = true
			}
			continue
		}
		if len(edges) == 0 {
			continue
		}
		least := slices.MinFunc(edges, func(i, j int32) int {
			e, f := &p.edges[i], &p.edges[j]
			if e.cost == f.cost && p.terminal[e.far(v)] != p.terminal[f.far(v)] {
				if p.terminal[e.far(v)] {
					return -1
				}
				return 1
			}
			return cmp.Or(cmp.Compare(e.cost, f.cost), cmp.Compare(i, j))
		})
		if len(edges) > 1 && !p.terminal[p.edges[least].far(v)] {
			continue
		}
		w := p.edges[least].far(v)
		p.take(least, v)
		enter(w)
		for _, i := range p.around[w] {
			if !p.edges[i].dropped {
				enter(p.edges[i].far(w))
			}
		}
	}
}

// take chooses the edge and moves everything at its end v to its other end.
func (p *problem) take(edge, v int32) {
	e := &p.edges[edge]
	w := e.far(v)
	p.base += e.cost
	p.chosen = append(p.chosen, e.made)
	e.dropped = true
	if p.terminal[w] {
		p.left--
	}
	p.terminal[w], p.terminal[v] = true, false
	for _, i := range p.around[v] {
		f := &p.edges[i]
		if f.dropped {
			continue
		}
		if f.a == v {
			f.a = w
		}
		if f.b == v {
			f.b = w
		}
		p.around[w] = append(p.around[w], i)
	}
	p.around[v] = nil
}
