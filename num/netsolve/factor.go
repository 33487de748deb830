package netsolve

import "slices"

// pattern is the symbolic part of a factor: which pairs of nodes are coupled
// after each elimination. It depends on the wiring only, so it is kept while
// values change.
type pattern struct {
	order []int32 // node eliminated at each step
	step  []int32 // step at which a node is eliminated

	// The matrix: coupled pairs by the earlier step of the two. The pair at
	// position p joins its column's step and pairRow[p].
	pairStart []int32
	pairRow   []int32

	// The factor, the same way, rows ascending.
	start []int32
	row   []int32
}

// newPattern orders the nodes and works out the fill.
func newPattern(g graph) *pattern {
	n := g.size()
	p := &pattern{order: order(g), step: make([]int32, n), pairStart: make([]int32, n+1), start: make([]int32, n+1)}
	for k, i := range p.order {
		p.step[i] = int32(k)
	}
	p.pairRow = make([]int32, 0, len(g.adj)/2)
	for k, i := range p.order {
		from := len(p.pairRow)
		for _, j := range g.of(i) {
			if s := p.step[j]; s > int32(k) {
				p.pairRow = append(p.pairRow, s)
			}
		}
		slices.Sort(p.pairRow[from:])
		p.pairStart[k+1] = int32(len(p.pairRow))
	}

	// The rows of column k are those of its own pairs and those of the columns
	// whose first row is k.
	mark := make([]int32, n)
	child := make([]int32, n) // first column whose first row is k, and its sisters
	sister := make([]int32, n)
	for k := range mark {
		mark[k], child[k], sister[k] = -1, -1, -1
	}
	p.row = make([]int32, 0, 2*len(p.pairRow))
	for k := range int32(n) {
		from := len(p.row)
		mark[k] = k
		take := func(rows []int32) {
			for _, r := range rows {
				if mark[r] != k {
					mark[r] = k
					p.row = append(p.row, r)
				}
			}
		}
		take(p.pairRow[p.pairStart[k]:p.pairStart[k+1]])
		for c := child[k]; c >= 0; c = sister[c] {
			take(p.row[p.start[c]+1 : p.start[c+1]])
		}
		rows := p.row[from:]
		slices.Sort(rows)
		p.start[k+1] = int32(len(p.row))
		if len(rows) > 0 {
			child[rows[0]], sister[k] = k, child[rows[0]]
		}
	}
	return p
}

// pair returns the position in pairRow of the pair that stands at two steps.
func (p *pattern) pair(k, r int32) (at int32, ok bool) {
	if k > r {
		k, r = r, k
	}
	rows := p.pairRow[p.pairStart[k]:p.pairStart[k+1]]
	i, ok := slices.BinarySearch(rows, r)
	return p.pairStart[k] + int32(i), ok
}

// factor is an LDLᵀ factor of a conductance matrix.
//
// Column k holds the conductances from step k to later steps after the nodes
// before it are gone; L is column k over -1/inverse[k]. Eliminating a node is
// the star-mesh transform: with s the sum of its conductances, including that
// to the reference, each pair of neighbours gains g_i·g_j/s and each
// neighbour's conductance to the reference gains g_i·g_0/s. Pivots are made
// from sums of what is left, never from a diagonal by subtraction, so with
// positive conductances nothing cancels and every digit of a milliohm beside a
// megohm survives (Alfa, Xue, Ye, Math. Comp. 71 (2002) 217-236).
type factor struct {
	*pattern
	pairs   []float64 // conductance of each coupled pair
	leak    []float64 // conductance of each step to the reference
	value   []float64
	inverse []float64 // 1/pivot; 0 pins an island's last node at 0 V

	work        []float64
	first, link []int32
	column      []int32
}

func newFactor(p *pattern) *factor {
	n := len(p.order)
	return &factor{
		pattern: p,
		pairs:   make([]float64, len(p.pairRow)), leak: make([]float64, n),
		value: make([]float64, len(p.row)), inverse: make([]float64, n),
		work: make([]float64, n), first: make([]int32, n), link: make([]int32, n), column: make([]int32, n),
	}
}

// compute factors the matrix of pairs and leak. It returns false where a pivot
// is negative, which only negative conductances can bring about.
//
// A pivot of exactly zero belongs to the last node of a group with no way to
// the reference: sums of zeros are zero, so this needs no tolerance.
func (f *factor) compute() bool {
	n := len(f.order)
	for k := range f.column {
		f.column[k] = -1 // columns that reach step k, as a list over link
	}
	for k := range n {
		from, to := f.start[k], f.start[k+1]
		rows := f.row[from:to]
		for _, r := range rows {
			f.work[r] = 0
		}
		for p := f.pairStart[k]; p < f.pairStart[k+1]; p++ {
			f.work[f.pairRow[p]] = f.pairs[p]
		}
		leak := f.leak[k]
		for c := f.column[k]; c >= 0; {
			next := f.link[c]
			at := f.first[c]
			share := f.value[at] * f.inverse[c]
			leak += share * f.work[c]
			end := f.start[c+1]
			for p := at + 1; p < end; p++ {
				f.work[f.row[p]] += share * f.value[p]
			}
			f.pass(c, at+1)
			c = next
		}
		pivot := leak
		for i, r := range rows {
			f.value[int(from)+i] = f.work[r]
			pivot += f.work[r]
		}
		switch {
		case pivot < 0:
			return false
		case pivot == 0:
			f.inverse[k] = 0
			for _, r := range rows {
				if f.work[r] != 0 {
					return false
				}
			}
		default:
			f.inverse[k] = 1 / pivot
		}
		f.work[k] = leak // step k is no row of a later column, so the place is free
		f.pass(int32(k), from)
	}
	return true
}

// pass hands column c on to the step of the row at position at.
func (f *factor) pass(c, at int32) {
	if at < f.start[c+1] {
		f.first[c] = at
		r := f.row[at]
		f.link[c] = f.column[r]
		f.column[r] = c
	}
}

// solve turns currents into the nodes, by step, into voltages in place.
func (f *factor) solve(x []float64) {
	n := len(f.order)
	for k := range n {
		t := x[k] * f.inverse[k]
		if t == 0 {
			continue
		}
		for p := f.start[k]; p < f.start[k+1]; p++ {
			x[f.row[p]] += f.value[p] * t
		}
	}
	for k := n - 1; k >= 0; k-- {
		s := x[k]
		for p := f.start[k]; p < f.start[k+1]; p++ {
			s += f.value[p] * x[f.row[p]]
		}
		x[k] = s * f.inverse[k]
	}
}
