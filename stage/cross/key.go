package cross

import (
	"math"
	"slices"

	"keyon/model/finding"
	"keyon/model/plan"
	"keyon/model/settle"
	"keyon/model/source"
)

// keys gives equal connectors that can reach each other different keying
// positions, in the order of joins: given, then kept, then the first free one.
func (w *work) keys() {
	mm, _ := w.d.Number("plug reach", 300) // mm; judgement: how far a plug strays from its place
	reach := mm / 1e3
	byPart := map[string][]int{}
	var parts []string
	for j := range w.t.Joins {
		c := w.out.Joins[j].Connector
		if c == nil {
			continue
		}
		if len(byPart[c.ID]) == 0 {
			parts = append(parts, c.ID)
		}
		byPart[c.ID] = append(byPart[c.ID], j)
	}
	for _, id := range parts {
		w.keysOf(byPart[id], reach)
	}
}

func (w *work) keysOf(joins []int, reach float64) {
	fixed := map[int]bool{}
	for _, j := range joins {
		k := &w.t.Joins[j]
		e := w.d.Keep(k.Key, "join", string(k.ID), "key")
		keys := w.out.Joins[j].Connector.Keys
		if e.State == settle.Kept && !slices.Contains(keys, e.Value) {
			w.verdicts = append(w.verdicts, finding.Say(RuleKept, w.at(j, "key"), k.Name+": the kept key "+e.Value+" is left, "+w.out.Joins[j].Connector.ID+" is not made with it", "look at the new key"))
			continue
		}
		if e.State != settle.Blank {
			w.out.Joins[j].Key = settle.Choose(e, nil)
			fixed[j] = true
		}
	}
	cells := newCells(reach)
	for _, j := range joins {
		cells.add(w, j)
	}
	for _, j := range joins {
		if fixed[j] {
			continue
		}
		keys := w.out.Joins[j].Connector.Keys
		if len(keys) == 0 {
			continue
		}
		used := map[string]int{} // a join that has the key
		near := 0
		for _, o := range cells.near(w, j) {
			near++
			if v := w.out.Joins[o].Key; v.Settled() {
				used[v.Value] = o + 1
			}
		}
		v := settle.Value[string]{Value: keys[0], Origin: settle.Worked, Reason: settle.Reason{Text: "the usual key", Source: source.Ref{Kind: source.Practice, Doc: "house-rules", Where: "cross-plugging"}}}
		at := slices.IndexFunc(keys, func(k string) bool { return used[k] == 0 })
		switch {
		case at > 0:
			v.Value, v.Reason.Text = keys[at], "first key that no equal connector within reach has"
			v.Reason.Because = []settle.Term{settle.Num("equal connectors within reach", float64(near), ""), settle.Num("reach", reach*1e3, "mm")}
		case at < 0:
			v.Reason.Text = "every key is used by an equal connector within reach"
			x := finding.Say(RuleKey, w.at(j, "key"), w.t.Joins[j].Name+": all keys of "+w.out.Joins[j].Connector.ID+" are used by equal connectors within reach", "use another arrangement", "make the legs too short to reach, or mark them by colour")
			x.Related = []finding.Place{w.at(used[keys[0]]-1, "key")}
			w.verdicts = append(w.verdicts, x)
		}
		w.out.Joins[j].Key = v
	}
}

// cells find joins near each other without comparing all pairs: a join is
// kept in the cube of space that each of its halves lies in. Joins at places
// without coordinates are near to all.
type cells struct {
	side float64
	at   map[[3]int][]int
	lost []int
}

func newCells(reach float64) *cells { return &cells{max(reach, 1e-3), map[[3]int][]int{}, nil} }

func (c *cells) cell(p *plan.Place) [3]int {
	f := func(x float64) int { return int(math.Floor(x / c.side)) }
	return [3]int{f(p.At.X), f(p.At.Y), f(p.At.Z)}
}

func (c *cells) add(w *work, j int) {
	for _, p := range []int{w.t.Joins[j].A, w.t.Joins[j].B} {
		if p < 0 || !w.t.Places[p].Known {
			c.lost = append(c.lost, j)
			continue
		}
		k := c.cell(&w.t.Places[p])
		c.at[k] = append(c.at[k], j)
	}
}

// near are the joins with a half within reach of one of j's, in order.
func (c *cells) near(w *work, j int) []int {
	out := slices.Clone(c.lost)
	for _, p := range []int{w.t.Joins[j].A, w.t.Joins[j].B} {
		if p < 0 || !w.t.Places[p].Known {
			out = out[:0]
			for _, list := range c.at {
				out = append(out, list...)
			}
			out = append(out, c.lost...)
			break
		}
		k := c.cell(&w.t.Places[p])
		for dx := -1; dx <= 1; dx++ {
			for dy := -1; dy <= 1; dy++ {
				for dz := -1; dz <= 1; dz++ {
					for _, o := range c.at[[3]int{k[0] + dx, k[1] + dy, k[2] + dz}] {
						if w.within(p, o, c.side) {
							out = append(out, o)
						}
					}
				}
			}
		}
	}
	slices.Sort(out)
	out = slices.Compact(out)
	return slices.DeleteFunc(out, func(o int) bool { return o == j })
}

func (w *work) within(place, join int, reach float64) bool {
	a := &w.t.Places[place]
	for _, p := range []int{w.t.Joins[join].A, w.t.Joins[join].B} {
		if p < 0 || !w.t.Places[p].Known {
			return true
		}
		if b := &w.t.Places[p]; math.Sqrt(sq(a.At.X-b.At.X)+sq(a.At.Y-b.At.Y)+sq(a.At.Z-b.At.Z)) <= reach {
			return true
		}
	}
	return false
}

func sq(x float64) float64 { return x * x }
