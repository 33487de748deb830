package milp

import (
	"math"
	"slices"
)

// model is a problem in the form that the search works on: rows are AtMost or
// Equal, bounds are whole.
type model struct {
	rows   []row
	given  []row // the same before they were tightened
	cost   []int64
	lo, hi []float64
	in     [][]int // rows of each variable
}

// newModel copies a problem. It returns nil where a variable has no value.
func newModel(p *Problem) *model {
	m := &model{cost: p.cost, lo: make([]float64, len(p.lo)), hi: make([]float64, len(p.hi))}
	for v := range p.lo {
		if p.lo[v] > p.hi[v] {
			return nil
		}
		m.lo[v], m.hi[v] = float64(p.lo[v]), float64(p.hi[v])
	}
	for _, r := range p.rows {
		c := row{kind: r.kind, rhs: r.rhs, terms: slices.Clone(r.terms), tol: r.tol}
		slices.SortFunc(c.terms, func(a, b Term) int { return a.Var - b.Var })
		if c.kind == AtLeast {
			c.kind, c.rhs = AtMost, -c.rhs
			for i := range c.terms {
				c.terms[i].Coef = -c.terms[i].Coef
			}
		}
		m.rows = append(m.rows, c)
		c.terms = slices.Clone(c.terms)
		m.given = append(m.given, c)
	}
	m.index()
	return m
}

func (m *model) index() {
	m.in = make([][]int, len(m.cost))
	for i := range m.rows {
		for _, t := range m.rows[i].terms {
			m.in[t.Var] = append(m.in[t.Var], i)
		}
	}
}

// spread returns the least and the largest sum that the row can have.
func (r *row) spread(lo, hi []float64) (least, most float64) {
	for _, t := range r.terms {
		a, b := t.Coef*lo[t.Var], t.Coef*hi[t.Var]
		least += min(a, b)
		most += max(a, b)
	}
	return least, most
}

// propagate narrows bounds by what the rows leave possible, beginning with the
// rows in queue and going on to those that a change touches. It returns false
// where a row can't hold.
func (m *model) propagate(lo, hi []float64, queue []int) bool {
	waiting := make([]bool, len(m.rows))
	for _, i := range queue {
		waiting[i] = true
	}
	// Bounds of wide variables might creep for long; what is not narrowed here
	// is left to the branching.
	for visits := 20*len(m.rows) + 100; len(queue) > 0 && visits > 0; visits-- {
		i := queue[0]
		queue = queue[1:]
		waiting[i] = false
		r := &m.rows[i]
		least, most := r.spread(lo, hi)
		if least > r.rhs+r.tol || r.kind == Equal && most < r.rhs-r.tol {
			return false
		}
		for _, t := range r.terms {
			v := t.Var
			if lo[v] == hi[v] {
				continue
			}
			// How far the variable may be above its lower and below its upper
			// bound.
			below, above := math.Inf(1), (r.rhs-least+r.tol)/math.Abs(t.Coef)
			if r.kind == Equal {
				below = (most - r.rhs + r.tol) / math.Abs(t.Coef)
			}
			if t.Coef < 0 {
				below, above = above, below
			}
			newHi := min(hi[v], lo[v]+math.Floor(above))
			newLo := max(lo[v], hi[v]-math.Floor(below))
			if newLo > newHi {
				return false
			}
			if newLo > lo[v] || newHi < hi[v] {
				lo[v], hi[v] = newLo, newHi
				least, most = r.spread(lo, hi)
				for _, k := range m.in[v] {
					if !waiting[k] {
						waiting[k] = true
						queue = append(queue, k)
					}
				}
			}
		}
	}
	return true
}

// presolve narrows bounds and tightens rows without losing every best answer. It
// returns false where the problem is infeasible.
func (m *model) presolve() bool {
	all := make([]int, len(m.rows))
	for i := range all {
		all[i] = i
	}
	for range 20 {
		before := m.width()
		m.tighten()
		if !m.propagate(m.lo, m.hi, all) {
			return false
		}
		m.unopposed()
		m.dominated()
		if m.width() == before {
			break
		}
	}
	return m.propagate(m.lo, m.hi, all)
}

func (m *model) width() float64 {
	sum := 0.0
	for v := range m.lo {
		sum += m.hi[v] - m.lo[v]
	}
	return sum
}

// tighten divides rows of whole numbers by their common divisor, rounding what
// is left of an AtMost row down, and lowers coefficients that are larger than
// they need be: 5x ≤ 3 + 9y is no looser, but closer, as 5x ≤ 3 + 2y where x is
// 0 or 1.
func (m *model) tighten() {
	for i := range m.rows {
		r := &m.rows[i]
		if g := divisor(r.terms); g > 0 {
			rhs := r.rhs / g
			if r.kind == AtMost {
				rhs = math.Floor(rhs + Slack*max(1, math.Abs(rhs)))
			}
			r.rhs, r.tol = rhs, r.tol/g
			for k := range r.terms {
				r.terms[k].Coef /= g
			}
		}
		if r.kind != AtMost {
			continue
		}
		_, most := r.spread(m.lo, m.hi)
		for k := range r.terms {
			t := &r.terms[k]
			if m.lo[t.Var] != 0 || m.hi[t.Var] != 1 {
				continue
			}
			if t.Coef > 0 {
				// Without the variable the row can't bind: let it just not bind.
				if rest := most - t.Coef; rest < r.rhs && most > r.rhs {
					t.Coef -= r.rhs - rest
					most -= r.rhs - rest
					r.rhs = rest
				}
			} else if over := most - r.rhs; over > 0 && over < -t.Coef {
				t.Coef = -over
			}
		}
	}
}

// divisor returns the common divisor of whole coefficients, or 0.
func divisor(terms []Term) float64 {
	g := 0.0
	for _, t := range terms {
		c := math.Abs(t.Coef)
		if c != math.Floor(c) || c > 1<<40 {
			return 0
		}
		for c != 0 {
			g, c = c, math.Mod(g, c)
		}
	}
	return g
}

// unopposed fixes variables that cost nothing to have at one bound and help
// every row there.
func (m *model) unopposed() {
	for v := range m.cost {
		down, up := m.cost[v] >= 0, m.cost[v] <= 0
		for _, i := range m.in[v] {
			r := &m.rows[i]
			c := r.coef(v)
			down = down && r.kind == AtMost && c > 0
			up = up && r.kind == AtMost && c < 0
		}
		if down {
			m.hi[v] = m.lo[v]
		} else if up {
			m.lo[v] = m.hi[v]
		}
	}
}

func (r *row) coef(v int) float64 {
	i, ok := slices.BinarySearchFunc(r.terms, v, func(t Term, v int) int { return t.Var - v })
	if !ok {
		return 0
	}
	return r.terms[i].Coef
}

// dominated fixes, in rows that let exactly one of several variables be 1, each
// variable for which another one would do as well at no more cost.
func (m *model) dominated() {
	for i := range m.rows {
		r := &m.rows[i]
		if r.kind != Equal || r.rhs != 1 || len(r.terms) > 300 || slices.ContainsFunc(r.terms, func(t Term) bool { return t.Coef != 1 || m.lo[t.Var] < 0 }) {
			continue
		}
		for _, a := range r.terms {
			if m.hi[a.Var] != 1 || m.lo[a.Var] != 0 {
				continue
			}
			for _, b := range r.terms {
				if a.Var != b.Var && m.hi[b.Var] == 1 && m.lo[b.Var] == 0 && m.better(b.Var, a.Var) {
					m.hi[a.Var] = 0
					break
				}
			}
		}
	}
}

// better says whether b can stand in for a, which share a row: it costs no more
// and makes no row worse. Of equals the one made first is better.
func (m *model) better(b, a int) bool {
	if m.cost[b] > m.cost[a] {
		return false
	}
	equal := m.cost[b] == m.cost[a]
	worse := func(i int) bool {
		r := &m.rows[i]
		cb, ca := r.coef(b), r.coef(a)
		equal = equal && cb == ca
		return cb > ca || r.kind == Equal && cb != ca
	}
	if slices.ContainsFunc(m.in[a], worse) || slices.ContainsFunc(m.in[b], worse) {
		return false
	}
	return !equal || b < a
}

// part is a model of its own within a larger one: variables that share rows.
type part struct {
	model
	of []int // numbers of its variables in the larger model
}

// split returns the parts of a presolved model that have something left to
// decide, by first variable. Fixed variables go into the right-hand sides and
// rows that can't bind go away.
func (m *model) split() []*part {
	group := make([]int, len(m.cost))
	for v := range group {
		group[v] = v
	}
	find := func(v int) int {
		for group[v] != v {
			group[v] = group[group[v]]
			v = group[v]
		}
		return v
	}
	// rest is what fixed variables leave of a row.
	rest := func(r *row) row {
		c := row{kind: r.kind, rhs: r.rhs, tol: r.tol}
		for _, t := range r.terms {
			if m.lo[t.Var] == m.hi[t.Var] {
				c.rhs -= t.Coef * m.lo[t.Var]
			} else {
				c.terms = append(c.terms, t)
			}
		}
		return c
	}
	var left, given []row
	for i := range m.rows {
		c := rest(&m.rows[i])
		if _, most := c.spread(m.lo, m.hi); len(c.terms) == 0 || c.kind == AtMost && most <= c.rhs {
			continue
		}
		for _, t := range c.terms {
			a, b := find(c.terms[0].Var), find(t.Var)
			group[max(a, b)] = min(a, b)
		}
		left = append(left, c)
		given = append(given, rest(&m.given[i]))
	}
	var parts []*part
	at := make([]int, len(m.cost))
	place := make([]int, len(m.cost))
	for v := range m.cost {
		if m.lo[v] == m.hi[v] {
			continue
		}
		g := find(v)
		if g == v {
			at[v] = len(parts)
			parts = append(parts, &part{})
		}
		p := parts[at[g]]
		place[v] = len(p.of)
		p.of = append(p.of, v)
		p.cost = append(p.cost, m.cost[v])
		p.lo = append(p.lo, m.lo[v])
		p.hi = append(p.hi, m.hi[v])
	}
	for i, r := range left {
		p := parts[at[find(r.terms[0].Var)]]
		for _, terms := range [][]Term{r.terms, given[i].terms} {
			for k := range terms {
				terms[k].Var = place[terms[k].Var]
			}
		}
		p.rows = append(p.rows, r)
		p.given = append(p.given, given[i])
	}
	for _, p := range parts {
		p.index()
	}
	return parts
}
