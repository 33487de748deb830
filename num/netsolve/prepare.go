package netsolve

// slot is where an element stands in the matrix: the steps of elimination of
// its ends (-1 for the reference), the place of their pair, and the voltage
// between its ends that comes from rigid elements.
type slot struct {
	p, q int32
	pair int32 // -1 where an end is at the reference
	rise float64
}

// prepare works out all that depends on the wiring only.
func (n *Net) prepare() error {
	if n.err != nil {
		return n.err
	}
	if n.shape != nil {
		return nil
	}
	j, err := join(n)
	if err != nil {
		return err
	}
	n.joined = j
	n.shape = newPattern(n.couplings())
	n.slots = make([]slot, len(n.elems))
	for e := range n.elems {
		n.slots[e], _ = n.slot(Elem(e))
	}
	return nil
}

// slot returns where an element stands, and false where the matrix has no place
// for it.
func (n *Net) slot(e Elem) (s slot, ok bool) {
	el, j := &n.elems[e], n.joined
	s = slot{p: -1, q: -1, pair: -1, rise: j.offset[el.a] - j.offset[el.b]}
	if g := j.group[el.a]; g >= 0 {
		s.p = n.shape.step[g]
	}
	if g := j.group[el.b]; g >= 0 {
		s.q = n.shape.step[g]
	}
	if s.p >= 0 && s.q >= 0 && s.p != s.q {
		s.pair, ok = n.shape.pair(s.p, s.q)
		return s, ok
	}
	return s, true
}

// couplings is the graph of groups that have an element between them, open
// contacts included, so that a contact may close without a new order.
func (n *Net) couplings() graph {
	j := n.joined
	start := make([]int32, j.groups+1)
	each := func(do func(a, b int32)) {
		for e := range n.elems {
			a, b := j.group[n.elems[e].a], j.group[n.elems[e].b]
			if a >= 0 && b >= 0 && a != b {
				do(a, b)
			}
		}
	}
	each(func(a, b int32) { start[a+1]++; start[b+1]++ })
	for i := range j.groups {
		start[i+1] += start[i]
	}
	adj := make([]int32, start[j.groups])
	fill := append([]int32(nil), start...)
	each(func(a, b int32) {
		adj[fill[a]], adj[fill[b]] = b, a
		fill[a]++
		fill[b]++
	})

	// Elements in parallel make one coupling.
	mark := make([]int32, j.groups)
	kept := int32(0)
	g := graph{start: make([]int32, j.groups+1), adj: adj}
	for i := range int32(j.groups) {
		for _, k := range adj[start[i]:start[i+1]] {
			if mark[k] != i+1 {
				mark[k] = i + 1
				adj[kept] = k
				kept++
			}
		}
		g.start[i+1] = kept
	}
	g.adj = adj[:kept]
	return g
}
