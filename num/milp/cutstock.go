package milp

import (
	"fmt"
	"math"
	"slices"
)

// Piece is a length wanted a number of times.
type Piece struct {
	Length int64
	Count  int
}

// Pattern is a way to cut one bar, used a number of times.
type Pattern struct {
	Count []int // of each piece
	Times int
}

// Cutting is a plan of which pieces come from which bar.
type Cutting struct {
	Patterns []Pattern // most pieces of the first kind first
	Bars     int
	Bound    int // no plan needs fewer
	Work     int // steps of pricing and pivots
}

// CutStock cuts all pieces from as few bars of one length as it can. Each cut
// loses loss; the last piece of a bar needs no cut behind it where it ends the
// bar. It stops at a plan that meets the bound, or when budget units of work are
// spent, of which it overruns the last by at most one round. A piece that no bar
// can give, or a length or count that is none, is an error.
//
// The bound is that of Gilmore and Gomory (Oper. Res. 9 (1961) 849-859): the
// cutting in fractions, for which patterns are found one by one by a knapsack
// problem. The plan comes from rounding that cutting down, again and again, and
// from the best choice among the patterns found.
func CutStock(bar, loss int64, pieces []Piece, budget int) (Cutting, error) {
	if bar <= 0 || loss < 0 || bar > longest || loss > longest {
		return Cutting{}, fmt.Errorf("milp: bar of %d with %d lost a cut", bar, loss)
	}
	c := &cutter{room: bar + loss, budget: budget, known: map[string]bool{}}
	demand := make([]int, len(pieces))
	for i, p := range pieces {
		if p.Length <= 0 || p.Length > bar || p.Count < 0 || p.Count > mostPieces {
			return Cutting{}, fmt.Errorf("milp: piece %d of length %d, %d times, from bars of %d", i+1, p.Length, p.Count, bar)
		}
		c.length = append(c.length, p.Length+loss)
		demand[i] = p.Count
	}
	if n := sum(demand); n > mostPieces {
		return Cutting{}, fmt.Errorf("milp: %d pieces, at most %d", n, mostPieces)
	}
	plan := c.plan(demand)
	return c.cutting(plan), nil
}

const (
	longest    = 1 << 40 // so that sums of lengths stay whole
	mostPieces = 1 << 20
)

// cutter is the state of one CutStock. Lengths include the loss of a cut, as does
// the room on a bar.
type cutter struct {
	room   int64
	length []int64
	budget int
	work   int
	bound  int

	found [][]int         // every pattern met, each once
	known map[string]bool // looked up only
}

// plan returns one pattern per bar.
func (c *cutter) plan(demand []int) [][]int {
	best := c.fill(demand)
	c.bound = c.least(demand)
	if len(best) <= c.bound {
		return best
	}

	// Rounding down: whole parts of the fractional cutting are taken as they
	// are; where there is none, the largest fraction is taken whole. What is
	// left is cut in fractions afresh, and filled up greedily for comparison.
	left := slices.Clone(demand)
	var taken [][]int
	for round := 0; sum(left) > 0 && c.work < c.budget; round++ {
		patterns, times, bound := c.fractions(left)
		if round == 0 {
			c.bound = max(c.bound, bound)
			if len(best) <= c.bound {
				return best
			}
		}
		whole, largest := false, 0
		for k := range patterns {
			if times[k] > times[largest]+1e-9 {
				largest = k
			}
			for n := int(times[k] + 1e-9); n > 0; n-- {
				if p := trim(patterns[k], left); sum(p) > 0 {
					taken = append(taken, p)
					whole = true
				}
			}
		}
		if !whole {
			p := trim(patterns[largest], left)
			if sum(p) == 0 {
				break
			}
			taken = append(taken, p)
		}
		if rest := c.fill(left); len(taken)+len(rest) < len(best) {
			best = append(slices.Clone(taken), rest...)
			if len(best) <= c.bound {
				return best
			}
		}
		if len(taken) >= len(best) {
			break
		}
	}
	return c.choose(demand, best)
}

// trim takes a pattern off the demand, no more of a piece than is left, and
// returns what was taken.
func trim(pattern, left []int) []int {
	p := make([]int, len(pattern))
	for i, n := range pattern {
		p[i] = min(n, left[i])
		left[i] -= p[i]
	}
	return p
}

func sum(n []int) int {
	s := 0
	for _, k := range n {
		s += k
	}
	return s
}

// least is the bound by length alone.
func (c *cutter) least(demand []int) int {
	total := int64(0)
	for i, n := range demand {
		total += int64(n) * c.length[i]
	}
	return int((total + c.room - 1) / c.room)
}

// fill cuts greedily: each bar takes the subset of what is left that fills it
// best among those that begin with the longest piece.
func (c *cutter) fill(demand []int) [][]int {
	left := slices.Clone(demand)
	var bars [][]int
	order := c.byLength()
	for sum(left) > 0 {
		value := make([]float64, len(left))
		for i := range value {
			value[i] = float64(c.length[i])
		}
		first := order[slices.IndexFunc(order, func(i int) bool { return left[i] > 0 })]
		left[first]--
		p, _ := c.knapsack(value, left, c.room-c.length[first], 2000)
		for i, n := range p {
			left[i] -= n
		}
		p[first]++
		bars = append(bars, p)
		c.note(p)
	}
	return bars
}

func (c *cutter) byLength() []int {
	order := make([]int, len(c.length))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		if c.length[a] != c.length[b] {
			return int(max(min(c.length[b]-c.length[a], 1), -1))
		}
		return a - b
	})
	return order
}

func (c *cutter) note(p []int) {
	key := fmt.Sprint(p)
	if !c.known[key] {
		c.known[key] = true
		c.found = append(c.found, slices.Clone(p))
	}
}

// knapsack returns the counts, each at most its limit, that fit the room at the
// highest value, and a value that none exceeds. It tries combinations depth
// first, dearest per length first, and stops after so many steps.
func (c *cutter) knapsack(value []float64, limit []int, room int64, steps int) (best []int, most float64) {
	var order []int
	for i := range value {
		if value[i] > 0 && limit[i] > 0 && c.length[i] <= room {
			order = append(order, i)
		}
	}
	density := func(i int) float64 { return value[i] / float64(c.length[i]) }
	slices.SortStableFunc(order, func(a, b int) int {
		switch {
		case density(a) > density(b):
			return -1
		case density(a) < density(b):
			return 1
		case c.length[a] != c.length[b]:
			return int(max(min(c.length[b]-c.length[a], 1), -1))
		}
		return a - b
	})
	// above bounds the value of filling room from place k on: whole pieces in
	// order of density, the last one in part.
	above := func(k int, room int64) float64 {
		v := 0.0
		for ; k < len(order) && room > 0; k++ {
			i := order[k]
			n := min(int64(limit[i]), room/c.length[i])
			v += float64(n) * value[i]
			room -= n * c.length[i]
			if n < int64(limit[i]) {
				return v + density(i)*float64(room)
			}
		}
		return v
	}
	count := make([]int, len(value))
	best = make([]int, len(value))
	top := 0.0
	cut := false
	var try func(k int, room int64, v float64)
	try = func(k int, room int64, v float64) {
		if v > top*(1+1e-12) {
			top = v
			copy(best, count)
		}
		if k == len(order) || v+above(k, room) <= top*(1+1e-12) {
			return
		}
		if steps--; steps < 0 {
			cut = true
			return
		}
		c.work++
		i := order[k]
		for n := int(min(int64(limit[i]), room/c.length[i])); n >= 0 && !cut; n-- {
			count[i] = n
			try(k+1, room-int64(n)*c.length[i], v+float64(n)*value[i])
		}
		count[i] = 0
	}
	most = above(0, room)
	try(0, room, 0)
	if !cut {
		most = top
	}
	return best, most
}

// fractions cuts the demand in fractions of patterns, as few in sum as can be,
// and returns the patterns, how often each is used, and a bound on whole bars.
//
// It is the revised simplex method on columns made as needed: a pattern whose
// pieces are worth more than one bar at the rows' prices y comes in. With U the
// highest worth of any pattern, y·demand/U bounds the sum at any time (Farley,
// Oper. Res. 38 (1990) 922-923).
func (c *cutter) fractions(demand []int) (patterns [][]int, times []float64, bound int) {
	var kinds []int
	for i, n := range demand {
		if n > 0 {
			kinds = append(kinds, i)
		}
	}
	m := len(kinds)
	basis := make([][]int, m) // nil where a row's surplus stands
	inv := make([]float64, m*m)
	x := make([]float64, m)
	for r, i := range kinds {
		p := make([]int, len(demand))
		p[i] = int(min(int64(demand[i]), c.room/c.length[i]))
		basis[r] = p
		inv[r*m+r] = 1 / float64(p[i])
		x[r] = float64(demand[i]) / float64(p[i])
	}
	y := make([]float64, m)
	value := make([]float64, len(demand))
	col := make([]float64, m)
	least := 0.0
	for c.work < c.budget {
		c.work++
		clear(y)
		for r := range basis {
			if basis[r] != nil {
				for k := range y {
					y[k] += inv[r*m+k]
				}
			}
		}
		enter, row := []int(nil), -1
		for k, p := range y {
			if p < -1e-9 && (row < 0 || p < y[row]) {
				row = k
			}
		}
		if row >= 0 {
			for r := range col {
				col[r] = -inv[r*m+row]
			}
		} else {
			clear(value)
			worth := 0.0
			for k, i := range kinds {
				value[i] = max(y[k], 0)
				worth += value[i] * float64(demand[i])
			}
			p, most := c.knapsack(value, demand, c.room, 200_000)
			least = max(least, worth/max(most, 1))
			got := 0.0
			for i, n := range p {
				got += value[i] * float64(n)
			}
			if got <= 1+1e-9 {
				break
			}
			enter = p
			c.note(p)
			for r := range col {
				col[r] = 0
				for k, i := range kinds {
					col[r] += inv[r*m+k] * float64(p[i])
				}
			}
		}
		leave := -1
		for r, a := range col {
			if a > 1e-9 && (leave < 0 || x[r]/a < x[leave]/col[leave]-1e-12) {
				leave = r
			}
		}
		if leave < 0 {
			break
		}
		step := x[leave] / col[leave]
		for r := range x {
			if r != leave {
				x[r] = max(x[r]-step*col[r], 0)
			}
		}
		x[leave] = step
		for k := range m {
			inv[leave*m+k] /= col[leave]
		}
		for r, a := range col {
			if r == leave || a == 0 {
				continue
			}
			for k := range m {
				inv[r*m+k] -= a * inv[leave*m+k]
			}
		}
		basis[leave] = enter
	}
	for r, p := range basis {
		if p != nil && x[r] > 1e-9 {
			patterns = append(patterns, p)
			times = append(times, x[r])
		}
	}
	return patterns, times, int(math.Ceil(least - 1e-7))
}

// choose looks for a better plan made of the patterns met so far.
func (c *cutter) choose(demand []int, best [][]int) [][]int {
	if c.work >= c.budget {
		return best
	}
	p := &Problem{}
	rows := make([][]Term, len(demand))
	for _, pattern := range c.found {
		most := 0
		for i, n := range pattern {
			if n > 0 {
				most = max(most, (demand[i]+n-1)/n)
			}
		}
		v := p.Int("pattern", 1, 0, int64(most))
		for i, n := range pattern {
			if n > 0 {
				rows[i] = append(rows[i], Term{v, float64(n)})
			}
		}
	}
	all := make([]Term, p.Vars())
	for v := range all {
		all[v] = Term{v, 1}
	}
	for i, terms := range rows {
		if demand[i] > 0 {
			p.Row(AtLeast, float64(demand[i]), terms...)
		}
	}
	p.Row(AtMost, float64(len(best)-1), all...)
	p.Row(AtLeast, float64(c.bound), all...)
	r := Solve(p, c.budget-c.work)
	c.work += r.Work
	if r.X == nil {
		return best
	}
	left := slices.Clone(demand)
	var plan [][]int
	for v, n := range r.X {
		for range n {
			if q := trim(c.found[v], left); sum(q) > 0 {
				plan = append(plan, q)
			}
		}
	}
	return plan
}

// cutting writes a plan as patterns.
func (c *cutter) cutting(plan [][]int) Cutting {
	slices.SortFunc(plan, func(a, b []int) int { return slices.Compare(b, a) })
	out := Cutting{Bars: len(plan), Bound: c.bound, Work: c.work}
	for i, p := range plan {
		if i > 0 && slices.Equal(p, plan[i-1]) {
			out.Patterns[len(out.Patterns)-1].Times++
			continue
		}
		out.Patterns = append(out.Patterns, Pattern{Count: p, Times: 1})
	}
	return out
}
