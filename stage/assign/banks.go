package assign

import (
	"fmt"
	"slices"

	"keyon/model/part"
	"keyon/num/assign"
	"keyon/num/milp"
)

// mostBankWork bounds the search for a pairing within a device's bank limits.
const mostBankWork = 20_000

// withinBanks keeps the sums of a device's banks within their limits. The
// cheapest pairing without limits is a bound; where it breaks one, the exact
// model with the limits is solved, and the gap that is left is told.
func (w *work) withinBanks(d int, wants []want, free []seat, cost [][]int64, col []int, bound int64) ([]int, string) {
	p := w.t.Devices[d].Part
	if len(p.GroupAmps) == 0 {
		return col, ""
	}
	room := map[string]float64{} // amps left by bank
	for g, most := range p.GroupAmps {
		room[g] = float64(most)
	}
	for k := range p.Pins {
		if c := w.taken[d][k]; c >= 0 && loads(p.Pins[k].Role) {
			for _, i := range w.out.Of[c] {
				if x := &w.out.List[i]; x.Device == d && x.PinIndex == k {
					room[p.Pins[k].Group] -= w.load(x)
				}
			}
		}
	}
	banks := make([]string, 0, len(room))
	for g := range p.GroupAmps {
		banks = append(banks, g)
	}
	slices.Sort(banks)
	in := func(g string, pin int) bool { return p.Pins[pin].Group == g && loads(p.Pins[pin].Role) }
	over := func(col []int) bool {
		for _, g := range banks {
			sum := 0.0
			for i, c := range col {
				if c != assign.None && in(g, free[c].pin) {
					sum += wants[i].amps
				}
			}
			if sum > 0 && sum > room[g]+1e-9 {
				return true
			}
		}
		return false
	}
	if !over(col) {
		return col, ""
	}

	m := &milp.Problem{}
	type pair struct{ want, col int }
	var pairs []pair
	byWant, byCol := make([][]milp.Term, len(wants)), make([][]milp.Term, len(free))
	byBank := make([][]milp.Term, len(banks))
	for i := range wants {
		// Leaving an end out costs more than any pairing could save.
		byWant[i] = append(byWant[i], milp.Term{Var: m.Var("", 100*pricePost), Coef: 1})
		pairs = append(pairs, pair{i, assign.None})
		for c, price := range cost[i] {
			if price == assign.Forbidden {
				continue
			}
			t := milp.Term{Var: m.Var("", price), Coef: 1}
			pairs = append(pairs, pair{i, c})
			byWant[i], byCol[c] = append(byWant[i], t), append(byCol[c], t)
			for b, g := range banks {
				if in(g, free[c].pin) && wants[i].amps > 0 {
					byBank[b] = append(byBank[b], milp.Term{Var: t.Var, Coef: wants[i].amps})
				}
			}
		}
	}
	for _, terms := range byWant {
		m.Row(milp.Equal, 1, terms...)
	}
	for _, terms := range byCol {
		m.Row(milp.AtMost, 1, terms...)
	}
	for b, terms := range byBank {
		if len(terms) > 0 {
			m.Row(milp.AtMost, max(0, room[banks[b]]), terms...)
		}
	}
	res := milp.Solve(m, mostBankWork)
	if res.X == nil {
		return col, "; the limits of its banks could not be kept"
	}
	out := make([]int, len(wants))
	for v, x := range res.X {
		if x == 1 {
			out[pairs[v].want] = pairs[v].col
		}
	}
	if gap := res.Cost - max(res.Bound, bound); res.Status != milp.Optimal && gap > 0 {
		return out, fmt.Sprintf(", within the limits of its banks (not proven: at most %d mm of wire from the best)", gap)
	}
	return out, ", within the limits of its banks"
}

// loads says that what a pin carries counts towards its bank: what comes back
// doesn't load it a second time.
func loads(r part.Role) bool { return gives(r) || r == part.SensorSupply }
