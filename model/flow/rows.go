package flow

import (
	"strings"

	"keyon/model/plan"
)

// Rows tells for each row of a circuit between which of its ends it runs, as
// indexes into Ends.List. A blank side is the end that assign added for it, or
// for another row of the circuit; -1 where there is none.
func Rows(t *plan.Things, e *plan.Ends, circuit int) [][2]int {
	k := &t.Circuits[circuit]
	declared := make([]int, len(k.Ends))
	known := make(map[string]int, len(e.Of[circuit]))
	added := [2]int{-1, -1} // first end assign added, by side
	for _, i := range e.Of[circuit] {
		known[e.List[i].ID] = i
	}
	for i := range k.Ends {
		declared[i] = -1
		if j, ok := known[k.Ends[i].ID]; ok {
			declared[i] = j
			delete(known, k.Ends[i].ID)
		}
	}
	sides := [2]string{"/from", "/to"}
	for _, i := range e.Of[circuit] {
		id := e.List[i].ID
		if _, extra := known[id]; !extra {
			continue
		}
		for s, side := range sides {
			if added[s] < 0 && strings.HasSuffix(id, side) {
				added[s] = i
			}
		}
	}
	out := make([][2]int, len(k.Rows))
	for r := range k.Rows {
		for s, i := range [2]int{k.Rows[r].From, k.Rows[r].To} {
			out[r][s] = added[s]
			if i >= 0 {
				out[r][s] = declared[i]
			}
		}
	}
	return out
}

// Over lists, by step of a walk, the rows whose way runs over it.
func (w *Walk) Over(rows [][2]int) [][]int {
	at := make(map[int]int, len(w.Ends))
	for i, end := range w.Ends {
		at[end] = i
	}
	out := make([][]int, len(w.Steps))
	for r, ends := range rows {
		a, okA := at[ends[0]]
		b, okB := at[ends[1]]
		if !okA || !okB {
			continue
		}
		for i := range w.Steps {
			s := &w.Steps[i]
			if (a >= s.Lo && a < s.Hi) != (b >= s.Lo && b < s.Hi) {
				out[i] = append(out[i], r)
			}
		}
	}
	return out
}
