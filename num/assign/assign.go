// Package assign pairs rows with columns at the least total cost, each row and
// each column at most once: pins with wires, cavities with ends, channels with
// loads.
//
// It decides which row takes which column. It takes for granted that costs are
// whole numbers (the caller picks the unit) and that a pair either is forbidden
// or has a finite cost. Side conditions that tie several pairs together, such
// as a shared capacity, belong to package milp.
package assign

import (
	"fmt"
	"math"
)

// Forbidden marks a pair that must not be made, whatever it costs the others.
const Forbidden int64 = math.MaxInt64

// None is the column of a row that got none.
const None = -1

// Solve returns the column of every row (None for a row left out) and the sum
// of the costs of the pairs made.
//
// It makes as many pairs as can be made, and of those pairings it takes the
// cheapest. Of several cheapest ones it takes the one in which row 0 has the
// lowest column, then row 1 and so on, a row left out counting as the highest;
// so the answer depends on the costs alone. Rows and columns may differ in
// number. Costs may be negative.
//
// Work grows with rows² × columns.
//
// The method is that of shortest augmenting paths with row and column prices
// u, v such that cost ≥ u+v everywhere and = on the pairs made (Kuhn 1955 for
// the prices, Tomizawa 1971 for the paths). Leaving a row out is a column of
// its own at a price above any real difference.
func Solve(cost [][]int64) (col []int, total int64, err error) {
	p, err := newProblem(cost)
	if err != nil {
		return nil, 0, err
	}
	for r := range p.rows {
		p.augment(r)
	}
	p.lowest()
	col = make([]int, p.rows)
	for r, c := range p.colOf {
		if c >= p.cols {
			col[r] = None
			continue
		}
		col[r] = c
		total += cost[r][c]
	}
	return col, total, nil
}

// problem is one call's state. Columns 0..cols-1 are the caller's; column
// cols+r means that row r is left out, and only row r may take it.
type problem struct {
	rows, cols int
	cost       [][]int64
	leave      int64   // cost of leaving a row out
	u, v       []int64 // prices of rows and columns; v ≤ 0, and 0 on free columns
	colOf      []int   // by row
	rowOf      []int   // by column, None where free
}

func newProblem(cost [][]int64) (*problem, error) {
	p := &problem{rows: len(cost), cost: cost}
	if p.rows > 0 {
		p.cols = len(cost[0])
	}
	least, most := int64(math.MaxInt64), int64(math.MinInt64)
	for r, row := range cost {
		if len(row) != p.cols {
			return nil, fmt.Errorf("assign: row %d has %d columns, row 0 has %d", r, len(row), p.cols)
		}
		for _, c := range row {
			if c != Forbidden {
				least, most = min(least, c), max(most, c)
			}
		}
	}
	if least > most {
		least, most = 0, 0
	}
	// Making one pair more must pay whatever it does to all other rows, and
	// sums of prices along a path must stay within int64.
	room := math.MaxInt64 / 8 / int64(p.rows+2) / int64(p.rows+2)
	if most > room || least < -room {
		return nil, fmt.Errorf("assign: costs from %d to %d are too large for %d rows, at most ±%d", least, most, p.rows, room)
	}
	p.leave = max(most, 0) + int64(p.rows)*(most-least) + 1
	p.u = make([]int64, p.rows)
	p.v = make([]int64, p.cols+p.rows)
	p.colOf = make([]int, p.rows)
	p.rowOf = make([]int, p.cols+p.rows)
	for r := range p.colOf {
		p.colOf[r] = None
	}
	for c := range p.rowOf {
		p.rowOf[c] = None
	}
	return p, nil
}

// augment gives row start a column along the shortest path in reduced costs,
// moving other rows on where that is cheaper.
func (p *problem) augment(start int) {
	const far = math.MaxInt64
	all := p.cols + p.rows
	dist := make([]int64, all)
	from := make([]int, all) // the row from which a column was reached
	done := make([]bool, all)
	for c := range dist {
		dist[c] = far
	}
	reach := func(r, c int, d int64) {
		if !done[c] && d < dist[c] {
			dist[c], from[c] = d, r
		}
	}
	open := []int{} // reached columns outside the caller's; few, so a plain list
	at, base := start, int64(0)
	var scanned []int
	var end int
	for {
		row := p.cost[at]
		for c, k := range row {
			if k != Forbidden {
				reach(at, c, base+k-p.u[at]-p.v[c])
			}
		}
		out := p.cols + at
		reach(at, out, base+p.leave-p.u[at]-p.v[out])
		open = append(open, out)

		best, d := None, int64(far)
		for c := range p.cols {
			if !done[c] && dist[c] < d {
				best, d = c, dist[c]
			}
		}
		for _, c := range open {
			if !done[c] && dist[c] < d {
				best, d = c, dist[c]
			}
		}
		done[best] = true
		scanned = append(scanned, best)
		if p.rowOf[best] == None {
			end = best
			break
		}
		at, base = p.rowOf[best], d
	}

	d := dist[end]
	p.u[start] += d
	for _, c := range scanned[:len(scanned)-1] {
		p.u[p.rowOf[c]] += d - dist[c]
		p.v[c] -= d - dist[c]
	}
	for c := end; ; {
		r := from[c]
		next := p.colOf[r]
		p.colOf[r], p.rowOf[c] = c, r
		if r == start {
			return
		}
		c = next
	}
}

// lowest moves from the cheapest pairing found to the first one in the order
// that Solve promises.
//
// The cheapest pairings are exactly those that use tight pairs only (cost =
// u+v) and leave no column free that has a price. So each row in turn takes the
// lowest tight column from which a chain of tight moves leads back to the
// column it gives up; freed and taken free columns close a chain as well.
func (p *problem) lowest() {
	tight := make([][]int, p.rows)         // by row, ascending
	takers := make([][]int, p.cols+p.rows) // by column
	next := make([]int, p.cols+p.rows)     // the column that the occupant moves to
	mark := make([]int, p.cols+p.rows)     // row for whose sake a column was reached
	const toFree = -2                      // in next: no occupant, some other column is freed
	for r, row := range p.cost {
		for c, k := range row {
			if k != Forbidden && k == p.u[r]+p.v[c] {
				tight[r] = append(tight[r], c)
				takers[c] = append(takers[c], r)
			}
		}
		if out := p.cols + r; p.leave == p.u[r]+p.v[out] {
			tight[r] = append(tight[r], out)
			takers[out] = append(takers[out], r)
		}
	}
	for c := range mark {
		mark[c] = None
	}
	var queue []int
	for r := range p.rows {
		given := p.colOf[r]
		if tight[r][0] == given {
			continue
		}
		queue = append(queue[:0], given)
		mark[given] = r
		freed := None // the column that is freed when a chain takes a free one
		for len(queue) > 0 {
			c := queue[0]
			queue = queue[1:]
			for _, taker := range takers[c] {
				// Rows before r keep what they have.
				if taker <= r {
					continue
				}
				if from := p.colOf[taker]; mark[from] != r {
					mark[from], next[from] = r, c
					queue = append(queue, from)
				}
			}
			if p.v[c] == 0 && freed == None {
				freed = c
				for x, occupant := range p.rowOf {
					if occupant == None && mark[x] != r {
						mark[x], next[x] = r, toFree
						queue = append(queue, x)
					}
				}
			}
		}
		for _, c := range tight[r] {
			if c == given {
				break
			}
			if mark[c] == r {
				p.shift(r, c, given, next, freed, toFree)
				break
			}
		}
	}
}

// shift lets row r take column c and sends the others along the chain that
// ends where r left.
func (p *problem) shift(r, c, given int, next []int, freed, toFree int) {
	for {
		occupant := p.rowOf[c]
		p.rowOf[c], p.colOf[r] = r, c
		if c == given {
			return
		}
		if occupant == None {
			// next[c] is toFree: the chain goes on from the freed column.
			c = freed
			if c == given {
				p.rowOf[c] = None
				return
			}
			occupant = p.rowOf[c]
			p.rowOf[c] = None
		}
		r, c = occupant, next[c]
	}
}
