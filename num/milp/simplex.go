package milp

import (
	"math"
	"slices"
)

// lp is the relaxation of a problem: whole values may be fractions. Rows read
// a·x + s = b, with a slack s ≥ 0, or s = 0 for an equation. Variable n+i is the
// slack of row i.
//
// It is solved by the dual simplex method with bounded variables: a basis of m
// variables takes up the rows, all others stand at one of their bounds, each at
// the one that its reduced cost d prefers. Such a basis stays dual feasible
// whatever becomes of the bounds of the problem's variables, which are all
// finite. So one lp serves all nodes of a tree, each starting where the last one
// ended. (Koberstein, "The dual simplex method", Paderborn 2005, for steepest
// edge weights and for the ratio test that flips bounds.)
type lp struct {
	m, n   int
	start  []int32 // columns of the problem's variables
	row    []int32
	coef   []float64
	b      []float64
	cost   []float64 // true costs
	lo, hi []float64 // of variables and slacks

	price []float64 // costs, perturbed where the method stalls
	true  []float64 // reduced costs of the problem's variables by bound
	head  []int     // basic variable by place
	place []int     // place of a variable, -1 where not basic
	atHi  []bool
	inv   []float64 // inverse of the basis, by rows of m
	x     []float64 // values of basic variables by place
	d     []float64 // reduced costs
	edge  []float64 // squared norms of the rows of inv, roughly

	alpha, col, tau []float64
	support         []int32
	cand            []candidate
	since           int // pivots since inv was made afresh
	work            int
}

type candidate struct {
	v     int
	ratio float64
	alpha float64
}

const (
	feasTol  = 1e-9 // by which a bound may be passed
	pivotTol = 1e-7 // smallest pivot
	dualTol  = 1e-9 // of a reduced cost
	renew    = 64   // pivots between fresh inverses
)

func newLP(rows []row, cost []float64, lo, hi []float64) *lp {
	m, n := len(rows), len(cost)
	l := &lp{
		m: m, n: n, cost: cost, b: make([]float64, m), start: make([]int32, n+1),
		lo: append(slices.Clone(lo), make([]float64, m)...), hi: append(slices.Clone(hi), make([]float64, m)...),
		price: make([]float64, n+m), true: make([]float64, n), head: make([]int, m), place: make([]int, n+m), atHi: make([]bool, n+m),
		inv: make([]float64, m*m), x: make([]float64, m), d: make([]float64, n+m), edge: make([]float64, m),
		alpha: make([]float64, n+m), col: make([]float64, m), tau: make([]float64, m),
	}
	for _, r := range rows {
		for _, t := range r.terms {
			l.start[t.Var+1]++
		}
	}
	for j := range n {
		l.start[j+1] += l.start[j]
	}
	l.row = make([]int32, l.start[n])
	l.coef = make([]float64, l.start[n])
	fill := slices.Clone(l.start[:n])
	for i, r := range rows {
		sign := 1.0
		if r.kind == AtLeast {
			sign = -1
		}
		l.b[i] = sign * r.rhs
		if r.kind != Equal {
			l.hi[n+i] = math.Inf(1)
		}
		for _, t := range r.terms {
			l.row[fill[t.Var]] = int32(i)
			l.coef[fill[t.Var]] = sign * t.Coef
			fill[t.Var]++
		}
	}
	copy(l.price, cost)
	l.slacks()
	return l
}

// perturb changes the prices by a counted bit of noise. Ties between equal
// reduced costs can make the method stall; noise breaks them.
func (l *lp) perturb() {
	most := 1.0
	for _, c := range l.cost {
		most = max(most, math.Abs(c))
	}
	for j, c := range l.cost {
		l.price[j] = c + 1e-6*most*(1+noise(uint64(j)))
	}
	l.prices()
	l.settle()
}

// noise is a fixed number from 0 to 1 for each index (splitmix64).
func noise(i uint64) float64 {
	z := (i + 1) * 0x9e3779b97f4a7c15
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return float64((z^z>>31)>>11) / (1 << 53)
}

// slacks makes the slacks the basis.
func (l *lp) slacks() {
	for v := range l.place {
		l.place[v] = -1
	}
	clear(l.inv)
	for i := range l.m {
		l.head[i], l.place[l.n+i] = l.n+i, i
		l.inv[i*l.m+i] = 1
		l.edge[i] = 1
	}
	l.since = 0
	l.prices()
}

// prices works out the reduced costs.
func (l *lp) prices() {
	y := l.duals(l.price)
	for j := range l.n {
		l.d[j] = l.price[j] - l.dot(y, j)
	}
	for i := range l.m {
		l.d[l.n+i] = -y[i]
	}
	for _, v := range l.head {
		l.d[v] = 0
	}
}

// duals returns the rows' prices for costs c of the basis.
func (l *lp) duals(c []float64) []float64 {
	y := make([]float64, l.m)
	for i, v := range l.head {
		if v < l.n && c[v] != 0 {
			for k, a := range l.inv[i*l.m : (i+1)*l.m] {
				y[k] += c[v] * a
			}
		}
	}
	return y
}

// dot is the product of a row vector with column j.
func (l *lp) dot(y []float64, j int) float64 {
	sum := 0.0
	for p := l.start[j]; p < l.start[j+1]; p++ {
		sum += y[l.row[p]] * l.coef[p]
	}
	return sum
}

// value returns where a variable stands that is not basic.
func (l *lp) value(v int) float64 {
	if l.atHi[v] {
		return l.hi[v]
	}
	return l.lo[v]
}

// settle puts each variable outside the basis at the bound that its reduced cost
// prefers and works out the basic ones.
func (l *lp) settle() {
	rest := slices.Clone(l.b)
	for j := range l.n {
		if l.place[j] >= 0 {
			continue
		}
		l.atHi[j] = l.d[j] < 0
		if v := l.value(j); v != 0 {
			for p := l.start[j]; p < l.start[j+1]; p++ {
				rest[l.row[p]] -= l.coef[p] * v
			}
		}
	}
	for i := range l.x {
		sum := 0.0
		for k, a := range l.inv[i*l.m : (i+1)*l.m] {
			sum += a * rest[k]
		}
		l.x[i] = sum
	}
}

// outcome of a run of the simplex method.
type outcome uint8

const (
	solved outcome = iota
	empty          // no values satisfy all rows and bounds
	above          // the value is above the limit
	stopped
)

// run solves the relaxation for the bounds at hand. It stops early where the
// value passes the limit or the budget of pivots is spent.
func (l *lp) run(limit float64, budget int) outcome {
	l.settle()
	stall := 2*l.m + 200
	for spent := 0; ; spent++ {
		r, by := l.leaving()
		if r < 0 && spent > stall {
			copy(l.price, l.cost)
			l.prices()
			l.settle()
			stall = math.MaxInt
			continue
		}
		if r < 0 {
			return solved
		}
		if spent >= budget {
			return stopped
		}
		if spent == stall {
			l.perturb()
			continue
		}
		if spent%16 == 15 && l.bound() > limit {
			return above
		}
		l.work++
		q, ok := l.entering(r, by)
		if !ok {
			if l.since > 0 {
				// Make sure that it isn't the inverse that has drifted.
				l.invert()
				l.settle()
				continue
			}
			return empty
		}
		l.pivot(r, q, by > 0)
		if l.since >= renew {
			l.invert()
			l.settle()
		}
	}
}

// leaving returns the basic place that most violates a bound, by how much it is
// above it (or below, negative), and -1 where none does.
func (l *lp) leaving() (r int, by float64) {
	r = -1
	best := 0.0
	for i, x := range l.x {
		v := l.head[i]
		tol := feasTol * max(1, math.Abs(x))
		off := 0.0
		if x < l.lo[v]-tol {
			off = x - l.lo[v]
		} else if x > l.hi[v]+tol {
			off = x - l.hi[v]
		}
		if score := off * off / l.edge[i]; score > best {
			r, by, best = i, off, score
		}
	}
	return r, by
}

// entering chooses the variable to take place r. Variables whose reduced cost
// changes sign before it are flipped to their other bound, as long as that leaves
// the row violated. It returns false where the row can't be satisfied.
func (l *lp) entering(r int, by float64) (int, bool) {
	rho := l.inv[r*l.m : (r+1)*l.m]
	// With the dual step t the reduced costs become d - t·sign·alpha.
	sign := 1.0
	if by < 0 {
		sign = -1
	}
	l.cand = l.cand[:0]
	consider := func(v int, alpha float64) {
		l.alpha[v] = alpha
		if l.lo[v] == l.hi[v] {
			return
		}
		a := sign * alpha
		if l.atHi[v] && a < -pivotTol || !l.atHi[v] && a > pivotTol {
			l.cand = append(l.cand, candidate{v, max(l.d[v]/a, 0), math.Abs(a)})
		}
	}
	for j := range l.n {
		if l.place[j] < 0 {
			consider(j, l.dot(rho, j))
		}
	}
	for i := range l.m {
		if l.place[l.n+i] < 0 {
			consider(l.n+i, rho[i])
		}
	}
	if len(l.cand) == 0 {
		return 0, false
	}
	slices.SortFunc(l.cand, func(a, b candidate) int {
		switch {
		case a.ratio != b.ratio:
			if a.ratio < b.ratio {
				return -1
			}
			return 1
		default:
			return a.v - b.v
		}
	})
	slope := math.Abs(by)
	at := 0
	for ; at < len(l.cand); at++ {
		c := l.cand[at]
		// At zero the flip would just do; so would the variable in the basis.
		if slope -= c.alpha * (l.hi[c.v] - l.lo[c.v]); slope <= feasTol*math.Abs(by) {
			break
		}
	}
	if at == len(l.cand) {
		return 0, false
	}
	// Of those with nearly the same ratio the largest pivot is the safest.
	best := at
	for k := at; k < len(l.cand) && l.cand[k].ratio <= l.cand[at].ratio+dualTol; k++ {
		if l.cand[k].alpha > l.cand[best].alpha {
			best = k
		}
	}
	q := l.cand[best].v
	clear(l.tau)
	flipped := false
	for _, c := range l.cand[:at] {
		step := l.hi[c.v] - l.lo[c.v]
		if l.atHi[c.v] {
			step = -step
		}
		l.atHi[c.v] = !l.atHi[c.v]
		flipped = true
		for p := l.start[c.v]; p < l.start[c.v+1]; p++ {
			l.tau[l.row[p]] += l.coef[p] * step
		}
	}
	if flipped {
		for i := range l.x {
			sum := 0.0
			for k, a := range l.inv[i*l.m : (i+1)*l.m] {
				sum += a * l.tau[k]
			}
			l.x[i] -= sum
		}
	}
	return q, true
}

// pivot lets variable q take place r. What stood there goes to its upper bound if
// it was above it, else to its lower one.
func (l *lp) pivot(r, q int, above bool) {
	m := l.m
	l.column(q, l.col)
	out := l.head[r]
	bound := l.lo[out]
	if above {
		bound = l.hi[out]
	}
	pivot := l.col[r]

	// Reduced costs.
	step := l.d[q] / pivot
	for v := range l.d {
		if l.place[v] < 0 {
			l.d[v] -= step * l.alpha[v]
		}
	}
	l.d[q], l.d[out] = 0, -step
	l.atHi[out] = above

	// Values.
	move := (l.x[r] - bound) / pivot
	enter := l.value(q) + move
	for i, c := range l.col {
		if c != 0 {
			l.x[i] -= move * c
		}
	}
	l.x[r] = enter

	// Weights of steepest edge.
	rho := l.inv[r*m : (r+1)*m]
	l.support = l.support[:0]
	weight := 0.0
	for k, a := range rho {
		if a != 0 {
			l.support = append(l.support, int32(k))
			weight += a * a
		}
	}
	for i := range m {
		if i == r || l.col[i] == 0 {
			continue
		}
		t := 0.0
		rowI := l.inv[i*m : (i+1)*m]
		for _, k := range l.support {
			t += rowI[k] * rho[k]
		}
		ratio := l.col[i] / pivot
		l.edge[i] = max(l.edge[i]-2*ratio*t+ratio*ratio*weight, 1e-4)
	}
	l.edge[r] = max(weight/(pivot*pivot), 1e-4)

	// The inverse.
	for _, k := range l.support {
		rho[k] /= pivot
	}
	for i := range m {
		if i == r || l.col[i] == 0 {
			continue
		}
		c := l.col[i]
		rowI := l.inv[i*m : (i+1)*m]
		for _, k := range l.support {
			rowI[k] -= c * rho[k]
		}
	}
	l.head[r], l.place[q], l.place[out] = q, r, -1
	l.since++
}

// column is the inverse of the basis times column v.
func (l *lp) column(v int, to []float64) {
	if v >= l.n {
		for i := range to {
			to[i] = l.inv[i*l.m+v-l.n]
		}
		return
	}
	from, end := l.start[v], l.start[v+1]
	for i := range to {
		rowI := l.inv[i*l.m : (i+1)*l.m]
		sum := 0.0
		for p := from; p < end; p++ {
			sum += rowI[l.row[p]] * l.coef[p]
		}
		to[i] = sum
	}
}

// invert makes the inverse afresh (Gauss-Jordan, largest pivot of each column).
// Should the basis have become singular, the slacks take over.
func (l *lp) invert() {
	m := l.m
	// Slack columns are unit vectors, so only the others need elimination: each
	// in turn takes the row, not yet taken, where it is largest.
	want := slices.Clone(l.head)
	slices.Sort(want)
	for v := range l.place {
		l.place[v] = -1
	}
	clear(l.inv)
	for i := range m {
		l.inv[i*m+i] = 1
		l.head[i] = -1
	}
	for _, v := range want {
		if v >= l.n {
			l.head[v-l.n], l.place[v] = v, v-l.n
		}
	}
	for _, v := range want {
		if v >= l.n {
			continue
		}
		l.column(v, l.col)
		r := -1
		for i, c := range l.col {
			if l.head[i] < 0 && (r < 0 || math.Abs(c) > math.Abs(l.col[r])) {
				r = i
			}
		}
		if math.Abs(l.col[r]) < 1e-11 {
			l.slacks()
			return
		}
		rho := l.inv[r*m : (r+1)*m]
		l.support = l.support[:0]
		for k, a := range rho {
			if a != 0 {
				l.support = append(l.support, int32(k))
				rho[k] = a / l.col[r]
			}
		}
		for i, c := range l.col {
			if i == r || c == 0 {
				continue
			}
			rowI := l.inv[i*m : (i+1)*m]
			for _, k := range l.support {
				rowI[k] -= c * rho[k]
			}
		}
		l.head[r], l.place[v] = v, r
	}
	for i := range m {
		sum := 0.0
		for _, a := range l.inv[i*m : (i+1)*m] {
			sum += a * a
		}
		l.edge[i] = max(sum, 1e-4)
	}
	l.since = 0
	l.prices()
}

// bound returns a value that no solution within the bounds at hand is below,
// whatever the method did: for any prices y of the rows, of the right sign, it
// is y·b plus what the reduced costs make of the bounds. Rounding is covered by
// lowering it a little. It leaves those reduced costs in l.true.
func (l *lp) bound() float64 {
	y := l.duals(l.cost)
	sum, size := 0.0, 0.0
	for i, p := range y {
		if l.hi[l.n+i] > 0 {
			y[i] = min(p, 0)
		}
		sum += y[i] * l.b[i]
		size += math.Abs(y[i] * l.b[i])
	}
	for j := range l.n {
		d := l.cost[j] - l.dot(y, j)
		l.true[j] = d
		t := d * l.lo[j]
		if d < 0 {
			t = d * l.hi[j]
		}
		sum += t
		size += math.Abs(t)
	}
	return sum - 1e-12*size - 1e-7
}

// values writes the values of the problem's variables.
func (l *lp) values(x []float64) {
	for j := range x {
		if i := l.place[j]; i >= 0 {
			x[j] = l.x[i]
		} else {
			x[j] = l.value(j)
		}
	}
}
