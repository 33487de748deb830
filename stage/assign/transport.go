package assign

// arc is a sink that may serve a row, at a price.
type arc struct {
	sink int
	cost int64
}

// transport gives every row one of its sinks, each sink no oftener than it has
// room, as many rows as can be and those at the least sum of prices. It
// returns the sink of every row, -1 for a row left out, and what each row's
// price may rise to before another choice is better.
//
// Successive shortest augmenting paths in reduced costs (Busacker and Gowen
// 1961, Edmonds and Karp 1972): prices u of rows and v of sinks with cost ≥
// u+v on every arc and = on those used, v ≤ 0, and 0 where a sink has room. A
// row only looks at the sinks it lists and at rows that stand in their way, so
// work grows with what is contended, not with the car.
func transport(rows [][]arc, room []int) (of []int, u []int64) {
	leave := int64(1)
	for _, arcs := range rows {
		for _, a := range arcs {
			leave = max(leave, a.cost+1)
		}
	}
	leave *= int64(len(rows) + 1) // leaving a row out pays whatever it does to all others
	t := &carriage{rows: rows, room: room, leave: leave, of: make([]int, len(rows)), u: make([]int64, len(rows)), v: make([]int64, len(room)), at: make([][]int, len(room)),
		dist: make([]int64, len(room)), from: make([]int, len(room)), state: make([]uint8, len(room))}
	for r := range rows {
		t.of[r] = -1
	}
	for r := range rows {
		t.augment(r)
	}
	return t.of, t.u
}

type carriage struct {
	rows  [][]arc
	room  []int
	leave int64
	of    []int   // by row
	u, v  []int64 // prices
	at    [][]int // by sink: the rows it serves
	dist  []int64 // by sink, in one search
	from  []int   // by sink: the row it was reached from
	state []uint8 // by sink: 0 far, 1 reached, 2 done
}

func (t *carriage) augment(start int) {
	var reached []int
	defer func() {
		for _, s := range reached {
			t.state[s] = 0
		}
	}()
	// The search may end at a sink with room, or at a row that is left out.
	out, outAt := t.leave-t.u[start], start
	scan := func(r int, base int64) {
		if d := base + t.leave - t.u[r]; d < out {
			out, outAt = d, r
		}
		for _, a := range t.rows[r] {
			d := base + a.cost - t.u[r] - t.v[a.sink]
			switch t.state[a.sink] {
			case 0:
				reached = append(reached, a.sink)
			case 1:
				if d >= t.dist[a.sink] {
					continue
				}
			default:
				continue
			}
			t.state[a.sink], t.dist[a.sink], t.from[a.sink] = 1, d, r
		}
	}
	scan(start, 0)
	var done []int
	end := -1
	for {
		best := -1
		for _, s := range reached {
			if t.state[s] == 1 && (best < 0 || t.dist[s] < t.dist[best] || t.dist[s] == t.dist[best] && s < best) {
				best = s
			}
		}
		if best < 0 || t.dist[best] >= out {
			break
		}
		if len(t.at[best]) < t.room[best] {
			end, out = best, t.dist[best]
			break
		}
		t.state[best] = 2
		done = append(done, best)
		for _, r := range t.at[best] {
			scan(r, t.dist[best])
		}
	}
	t.u[start] += out
	for _, s := range done {
		for _, r := range t.at[s] {
			t.u[r] += out - t.dist[s]
		}
		t.v[s] -= out - t.dist[s]
	}
	// Move the rows on the way back, each to the sink it was to make free.
	r := outAt
	if end >= 0 {
		r = t.from[end]
	}
	to := end
	for {
		was := t.of[r]
		if was >= 0 {
			for i, x := range t.at[was] {
				if x == r {
					t.at[was] = append(t.at[was][:i], t.at[was][i+1:]...)
					break
				}
			}
		}
		if t.of[r] = to; to >= 0 {
			t.at[to] = append(t.at[to], r)
		}
		if r == start {
			return
		}
		r, to = t.from[was], was
	}
}
