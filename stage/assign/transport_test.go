package assign

import (
	"fmt"
	"testing"

	solver "keyon/num/assign"
)

// numbers is a small generator, so that a failure can be repeated.
type numbers uint64

func (n *numbers) below(m int) int {
	*n = *n*6364136223846793005 + 1442695040888963407
	return int(uint64(*n) >> 33 % uint64(m))
}

// TestTransport compares with the dense solver of num/assign, which knows no
// room: a sink with room for three is three columns there.
func TestTransport(t *testing.T) {
	for seed := range 400 {
		n := numbers(seed)
		rows, sinks := make([][]arc, 1+n.below(12)), 1+n.below(8)
		room := make([]int, sinks)
		var column []int // sink of each column
		for s := range room {
			room[s] = n.below(4)
			for range room[s] {
				column = append(column, s)
			}
		}
		cost := make([][]int64, len(rows))
		for r := range rows {
			price := make([]int64, sinks)
			for s := range price {
				if price[s] = solver.Forbidden; n.below(3) > 0 {
					price[s] = int64(n.below(30))
					rows[r] = append(rows[r], arc{s, price[s]})
				}
			}
			for _, s := range column {
				cost[r] = append(cost[r], price[s])
			}
		}
		t.Run(fmt.Sprint("seed ", seed), func(t *testing.T) {
			col, want, err := solver.Solve(cost)
			if err != nil {
				t.Fatal(err)
			}
			served := 0
			for _, c := range col {
				if c != solver.None {
					served++
				}
			}
			of, u := transport(rows, room)
			var got int64
			mine, used := 0, make([]int, sinks)
			for r, s := range of {
				if s < 0 {
					continue
				}
				mine++
				used[s]++
				ok := false
				for _, a := range rows[r] {
					if a.sink == s {
						got, ok = got+a.cost, true
						if u[r] < a.cost {
							t.Errorf("row %d pays %d, more than its price %d", r, a.cost, u[r])
						}
					}
				}
				if !ok {
					t.Errorf("row %d got sink %d, which it does not list", r, s)
				}
			}
			for s := range used {
				if used[s] > room[s] {
					t.Errorf("sink %d serves %d, room for %d", s, used[s], room[s])
				}
			}
			if mine != served || got != want {
				t.Errorf("%d rows for %d, the dense solver %d for %d", mine, got, served, want)
			}
		})
	}
}
