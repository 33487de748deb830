package graph

import "math"

// wagnerWork is what Dreyfus and Wagner would take on the problem, in edges and
// joins looked at; far more than any budget when it won't fit the memory either.
func (s *solver) wagnerWork(p *problem) int {
	n, k := len(p.around), p.left-1
	if k >= s.few || n<<k > 1<<22 {
		return math.MaxInt
	}
	three := 1
	for range k {
		three *= 3
	}
	return three/2*n + 8*len(p.edges)<<k
}

// wagner solves the problem: for each set of terminals (but for the last, the
// root) and each node, the cheapest tree that joins the set to the node, out of
// smaller sets that meet at a node and of ways from there. S. E. Dreyfus and
// R. A. Wagner, Networks 1 (1972) 195-207, with Dijkstra for the ways.
func (s *solver) wagner(p *problem) int64 {
	s.work += s.wagnerWork(p)
	n := len(p.around)
	var terms []int32
	for v, t := range p.terminal {
		if t {
			terms = append(terms, int32(v))
		}
	}
	k := len(terms) - 1
	root := terms[k]
	full := 1<<k - 1
	cost := make([]int64, n<<k)
	from := make([]int32, n<<k) // edge + 1, or -(subset), or 0 at a lone terminal
	for i := range cost {
		cost[i] = hopeless
	}
	var h heap
	for set := 1; set <= full; set++ {
		row, back := cost[set*n:(set+1)*n], from[set*n:(set+1)*n]
		if set&(set-1) == 0 {
			row[terms[bit(set)]] = 0
		}
		low := set & -set
		for sub := (set - 1) & set; sub > 0; sub = (sub - 1) & set {
			if sub&low == 0 {
				continue
			}
			x, y := cost[sub*n:(sub+1)*n], cost[(set^sub)*n:(set^sub+1)*n]
			for v := range row {
				if c := x[v] + y[v]; c < row[v] {
					row[v], back[v] = c, -int32(sub)
				}
			}
		}
		h = h[:0]
		for v, c := range row {
			if c < hopeless {
				h.push(item{c, int32(v)})
			}
		}
		for len(h) > 0 {
			it := h.pop()
			v := it.node
			if it.cost > row[v] {
				continue
			}
			for _, i := range p.around[v] {
				w := p.edges[i].far(v)
				if d := it.cost + p.edges[i].cost; d < row[w] {
					row[w], back[w] = d, i+1
					h.push(item{d, w})
				}
			}
		}
	}

	if cost[full*n+int(root)] >= hopeless {
		return hopeless
	}
	var tree []int32
	var trace func(set int, v int32)
	trace = func(set int, v int32) {
		for {
			f := from[set*n+int(v)]
			switch {
			case f > 0:
				tree = append(tree, f-1)
				v = p.edges[f-1].far(v)
			case f < 0:
				trace(int(-f), v)
				set ^= int(-f)
			default:
				return
			}
		}
	}
	trace(full, root)
	s.offer(p, tree)
	return p.base + cost[full*n+int(root)]
}

// bit is the place of the lowest bit.
func bit(set int) int {
	i := 0
	for set>>i&1 == 0 {
		i++
	}
	return i
}
