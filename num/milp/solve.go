package milp

import (
	"cmp"
	"math"
	"slices"
)

// Solve looks for the cheapest answer. It stops when the answer is proven or
// when budget units of work are spent; a pivot of the simplex method is one, a
// node of the tree another. The result depends on the problem and the budget
// alone. Sums of costs must stay below 2⁵³.
func Solve(p *Problem, budget int) Result {
	m := newModel(p)
	if m == nil || !m.presolve() {
		return Result{Status: Infeasible}
	}
	res := Result{X: make([]int64, p.Vars())}
	for v := range res.X {
		res.X[v] = int64(m.lo[v])
		if m.lo[v] == m.hi[v] {
			res.Cost += m.cost[v] * res.X[v]
		}
	}
	res.Bound = res.Cost
	parts := m.split()
	// Small parts first, so that one hard part doesn't eat the budget of all.
	slices.SortStableFunc(parts, func(a, b *part) int { return cmp.Compare(len(a.of), len(b.of)) })
	for _, q := range parts {
		r := q.solve(budget - res.Work)
		res.Work += r.Work
		res.Bound += r.Bound
		res.Cost += r.Cost
		switch {
		case r.Status == Infeasible:
			return Result{Status: Infeasible, Work: res.Work}
		case r.Status == Unknown:
			res.Status = Unknown
		case r.Status == Feasible && res.Status == Optimal:
			res.Status = Feasible
		}
		for i, x := range r.X {
			res.X[q.of[i]] = x
		}
	}
	if res.Status == Unknown {
		res.X, res.Cost = nil, 0
		return res
	}
	return res
}

var inf = math.Inf(1)

// node is a part of the search space: its parent's, narrowed.
type node struct {
	parent *node
	narrow []change
	bound  int64   // whole, of all answers in it
	value  float64 // of the parent's relaxation
	depth  int
	id     int

	// How it was branched from its parent, for the pseudo-costs.
	branch int
	up     bool
	frac   float64
}

type change struct {
	v      int
	lo, hi float64
}

// tree is the state of one search.
type tree struct {
	*part
	l      *lp
	budget int
	step   int64 // every cost is a multiple of it

	best     []float64 // best answer, nil before the first
	bestCost int64
	open     []*node // a heap
	nodes    int
	nextDive int // at which node the next dive is due

	meanCost float64 // in size

	// Pseudo-costs: how much a relaxation rose for a unit of rounding, summed,
	// and how often, by direction.
	rise  [2][]float64
	count [2][]float64
}

func (q *part) solve(budget int) Result {
	cost := make([]float64, len(q.cost))
	step := int64(0)
	for v, c := range q.cost {
		cost[v] = float64(c)
		step = gcd(step, c)
	}
	t := &tree{part: q, l: newLP(q.rows, cost, q.lo, q.hi), budget: budget, step: max(step, 1)}
	for k := range t.rise {
		t.rise[k] = make([]float64, len(cost))
		t.count[k] = make([]float64, len(cost))
	}
	for _, c := range cost {
		t.meanCost += math.Abs(c) / float64(len(cost))
	}
	least := t.round(t.l.bound())
	t.push(&node{bound: least, value: float64(least), branch: -1})
	done := t.search()

	r := Result{Work: t.work()}
	switch {
	case t.best == nil && done:
		return Result{Status: Infeasible, Work: t.work()}
	case t.best == nil:
		r.Status, r.Bound = Unknown, t.open[0].bound
		return r
	case done:
		r.Bound = t.bestCost
	default:
		r.Status, r.Bound = Feasible, min(t.open[0].bound, t.bestCost)
	}
	r.Cost = t.bestCost
	for _, x := range t.best {
		r.X = append(r.X, int64(x))
	}
	return r
}

func gcd(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return max(a, -a)
}

// round lifts a bound to the next cost that an answer can have.
func (t *tree) round(bound float64) int64 {
	// All variables stand at whole values, so costs are whole multiples.
	k := math.Ceil(bound / float64(t.step))
	return int64(k) * t.step
}

func (t *tree) work() int { return t.l.work + t.nodes }

// search works off the tree: down from the open node with the lowest bound to an
// answer or a dead end, then from the next. It returns false where the budget
// ended first.
func (t *tree) search() bool {
	for {
		n := t.pop()
		if n == nil {
			return true
		}
		for n != nil {
			if t.best != nil && n.bound >= t.bestCost {
				break
			}
			if t.work() >= t.budget {
				t.push(n)
				return false
			}
			n = t.visit(n)
		}
	}
}

// visit solves a node's relaxation and returns the child to go on with, having
// put the other aside; nil where the node is done with.
func (t *tree) visit(n *node) *node {
	t.nodes++
	l := t.l
	lo, hi := slices.Clone(t.lo), slices.Clone(t.hi)
	var touched []int
	for a := n; a != nil; a = a.parent {
		for _, c := range a.narrow {
			lo[c.v], hi[c.v] = max(lo[c.v], c.lo), min(hi[c.v], c.hi)
			if lo[c.v] > hi[c.v] {
				return nil
			}
			touched = append(touched, t.in[c.v]...)
		}
	}
	slices.Sort(touched)
	if !t.propagate(lo, hi, slices.Compact(touched)) {
		return nil
	}
	copy(l.lo, lo)
	copy(l.hi, hi)
	limit := inf
	if t.best != nil {
		limit = float64(t.bestCost - t.step)
	}
	end := l.run(limit, max(t.budget-t.work(), 1))
	if end == empty {
		return nil
	}
	value := l.bound()
	n.bound = max(n.bound, t.round(value))
	t.learn(n, value)
	if t.best != nil && n.bound >= t.bestCost {
		return nil
	}
	if end == stopped {
		t.push(n)
		return nil
	}

	x := make([]float64, len(t.cost))
	l.values(x)
	v := t.choose(x)
	whole := make([]float64, len(x))
	for j := range x {
		whole[j] = min(max(math.Round(x[j]), lo[j]), hi[j])
	}
	if hold(t.given, whole) {
		t.offer(whole)
		if v < 0 || n.bound >= t.bestCost {
			return nil
		}
	}
	if t.nodes >= t.nextDive {
		t.nextDive = 4 * t.nodes
		t.dive(lo, hi, x)
		if t.best != nil && n.bound >= t.bestCost {
			return nil
		}
	}
	if v < 0 {
		// Whole within the tolerance of the relaxation, yet a row is broken by
		// rounding: decide something that is still open.
		for j := range x {
			if lo[j] < hi[j] {
				v = j
				break
			}
		}
		if v < 0 {
			return nil
		}
	}
	return t.split(n, v, x[v], value, lo, hi)
}

// dive looks for an answer below a node whose relaxation is x: it fixes what is
// whole away from its lower bound and lifts the fraction nearest to its next
// whole value, again and again. The relaxation of the node is lost.
func (t *tree) dive(lo, hi, x []float64) {
	lo, hi = slices.Clone(lo), slices.Clone(hi)
	x = slices.Clone(x)
	kept := slices.Clone(t.l.true)
	defer func() { t.l.true = kept }()
	for t.work() < t.budget {
		var touched []int
		lift, gap := -1, 2.0
		for v := range x {
			if lo[v] == hi[v] {
				continue
			}
			up := math.Ceil(x[v]-1e-6) - x[v]
			switch {
			case up > 1e-6 && up < gap:
				lift, gap = v, up
			case up <= 1e-6 && x[v] > lo[v]+0.5:
				lo[v] = math.Round(x[v])
				hi[v] = lo[v]
				touched = append(touched, t.in[v]...)
			}
		}
		if lift >= 0 {
			lo[lift] = math.Ceil(x[lift])
			touched = append(touched, t.in[lift]...)
		}
		slices.Sort(touched)
		if !t.propagate(lo, hi, slices.Compact(touched)) {
			return
		}
		copy(t.l.lo, lo)
		copy(t.l.hi, hi)
		limit := inf
		if t.best != nil {
			limit = float64(t.bestCost - t.step)
		}
		if t.l.run(limit, max(t.budget-t.work(), 1)) != solved {
			return
		}
		t.l.values(x)
		if t.choose(x) < 0 {
			for v := range x {
				x[v] = min(max(math.Round(x[v]), lo[v]), hi[v])
			}
			if hold(t.given, x) {
				t.offer(x)
			}
			return
		}
	}
}

// split makes the two children of a node and returns the one to go on with.
func (t *tree) split(n *node, v int, x, value float64, lo, hi []float64) *node {
	kept := &node{parent: n.parent, narrow: slices.Clone(n.narrow), bound: n.bound, value: n.value, depth: n.depth}
	if t.best != nil {
		kept.narrow = append(kept.narrow, t.reach(value, lo, hi)...)
	}
	cut := math.Floor(x)
	if cut >= hi[v] {
		cut = hi[v] - 1
	}
	cut = max(cut, lo[v])
	frac := min(max(x-cut, 0), 1)
	down := &node{parent: kept, narrow: []change{{v, lo[v], cut}}, bound: n.bound, value: value, depth: n.depth + 1, branch: v, frac: frac}
	up := &node{parent: kept, narrow: []change{{v, cut + 1, hi[v]}}, bound: n.bound, value: value, depth: n.depth + 1, branch: v, up: true, frac: 1 - frac}
	if frac < 0.5 {
		t.push(up)
		return down
	}
	t.push(down)
	return up
}

// reach returns the bounds narrowed to where an answer better than the best may
// lie, by the reduced costs of the relaxation just solved.
func (t *tree) reach(value float64, lo, hi []float64) []change {
	var out []change
	room := float64(t.bestCost-t.step) - value
	for v, d := range t.l.true {
		if lo[v] == hi[v] || d == 0 {
			continue
		}
		k := math.Floor(room/math.Abs(d) + 1e-9)
		if k >= hi[v]-lo[v] {
			continue
		}
		if d > 0 {
			out = append(out, change{v, lo[v], lo[v] + k})
		} else {
			out = append(out, change{v, hi[v] - k, hi[v]})
		}
	}
	return out
}

// offer takes a whole answer that holds, if it is the best so far.
func (t *tree) offer(x []float64) {
	cost := int64(0)
	for v, k := range x {
		cost += t.cost[v] * int64(k)
	}
	if t.best == nil || cost < t.bestCost {
		t.best, t.bestCost = slices.Clone(x), cost
	}
}

// learn notes how much branching raised the relaxation.
func (t *tree) learn(n *node, value float64) {
	if n.branch < 0 || n.frac < 1e-6 {
		return
	}
	k := 0
	if n.up {
		k = 1
	}
	t.rise[k][n.branch] += max(value-n.value, 0) / n.frac
	t.count[k][n.branch]++
}

// choose returns the variable to branch on, -1 where all are whole: the one from
// which both children promise the largest rise.
func (t *tree) choose(x []float64) int {
	average := [2]float64{1, 1}
	for k := range average {
		sum, times := 0.0, 0.0
		for v := range x {
			sum += t.rise[k][v]
			times += t.count[k][v]
		}
		if times > 0 {
			average[k] = max(sum/times, 1e-6)
		}
	}
	best, most := -1, -1.0
	for v, value := range x {
		frac := value - math.Floor(value)
		if frac < 1e-6 || frac > 1-1e-6 {
			continue
		}
		score := 1.0
		for k, part := range [2]float64{frac, 1 - frac} {
			rise := average[k] * t.weight(v)
			if t.count[k][v] > 0 {
				rise = t.rise[k][v] / t.count[k][v]
			}
			score *= max(rise*part, 1e-6)
		}
		if score > most {
			best, most = v, score
		}
	}
	return best
}

// weight is what a variable not branched on yet promises beside the average: a
// dear one more. Measured: about a quarter less work where outputs cost
// something to open, a little more on plain assignments.
func (t *tree) weight(v int) float64 {
	c := math.Abs(float64(t.cost[v]))
	return math.Sqrt((c + 1) / (t.meanCost + 1))
}

// before is the order of open nodes: lowest bound, then deepest, then first.
func before(a, b *node) bool {
	if a.bound != b.bound {
		return a.bound < b.bound
	}
	if a.depth != b.depth {
		return a.depth > b.depth
	}
	return a.id < b.id
}

func (t *tree) push(n *node) {
	if n.id == 0 {
		n.id = t.nodes*2 + 1
		if n.up {
			n.id++
		}
	}
	t.open = append(t.open, n)
	for i := len(t.open) - 1; i > 0; {
		up := (i - 1) / 2
		if !before(t.open[i], t.open[up]) {
			break
		}
		t.open[i], t.open[up] = t.open[up], t.open[i]
		i = up
	}
}

func (t *tree) pop() *node {
	if len(t.open) == 0 {
		return nil
	}
	n := t.open[0]
	last := len(t.open) - 1
	t.open[0] = t.open[last]
	t.open = t.open[:last]
	for i := 0; ; {
		c := 2*i + 1
		if c >= last {
			break
		}
		if c+1 < last && before(t.open[c+1], t.open[c]) {
			c++
		}
		if !before(t.open[c], t.open[i]) {
			break
		}
		t.open[i], t.open[c] = t.open[c], t.open[i]
		i = c
	}
	return n
}
