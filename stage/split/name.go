package split

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"keyon/model/design"
	"keyon/model/flow"
	"keyon/model/plan"
)

// names gives wires and splices their identity.
//
// A wire is known by how taking it away would part the circuit's ends: the IDs
// of the smaller side. Wires that part the ends alike, one on each side of a
// join for instance, are counted along the way, beginning on the side of the
// circuit's smallest end ID. Cavity, gauge, length and splice place may change
// without a new identity. Letters of an ID: ten, enough for a billion wires
// with one chance in a thousand of two alike.
type names struct {
	w     *work
	r     *plan.Route
	walk  *flow.Walk
	ids   []string // by position in walk.Ends
	least int      // position of the smallest end ID
	whole string   // names the circuit where a side has no end at all
}

const letters = 10

func newNames(w *work, r *plan.Route, walk *flow.Walk) *names {
	n := &names{w: w, r: r, walk: walk, ids: make([]string, len(walk.Ends)), whole: string(w.t.Circuits[r.Circuit].Key())}
	for i, end := range walk.Ends {
		if end >= 0 {
			n.ids[i] = w.e.List[end].ID
		} else {
			n.ids[i] = n.whole + "+" + w.e.List[^end].ID
		}
		if n.ids[i] < n.ids[n.least] {
			n.least = i
		}
	}
	return n
}

// parted is the smaller of the two sides of a step: fewest ends, then first in
// order, as sorted IDs.
func (n *names) parted(step int) string {
	s := &n.walk.Steps[step]
	beyond := slices.Sorted(slices.Values(n.ids[s.Lo:s.Hi]))
	here := append(slices.Clone(n.ids[:s.Lo]), n.ids[s.Hi:]...)
	slices.Sort(here)
	side, other := strings.Join(beyond, ","), strings.Join(here, ",")
	if len(here) < len(beyond) || len(here) == len(beyond) && other < side {
		side = other
	}
	if side == "" {
		return n.whole
	}
	return side
}

// wire makes the IDs of a segment's wires.
func (n *names) wire(segments []segment, i int) func(parallel int) string {
	s := &n.walk.Steps[segments[i].step]
	before, all := 0, 0
	for k := range segments {
		if o := &n.walk.Steps[segments[k].step]; o.Lo == s.Lo && o.Hi == s.Hi {
			if k < i {
				before++
			}
			all++
		}
	}
	if n.least >= s.Lo && n.least < s.Hi {
		before = all - 1 - before // counted from the other side
	}
	key := n.parted(segments[i].step) + "/" + strconv.Itoa(before+1) + "/"
	return func(parallel int) string {
		return design.UID("wire", key+strconv.Itoa(parallel), 0)[:letters]
	}
}

// splices names the splices: each by the smallest end ID in every direction
// that leaves it, and counted where several part the ends alike. Their place
// may change without a new identity.
func (n *names) splices(first int, points []int, fans []fan) {
	type point struct {
		splice int
		key    string
		step   int // that leads to it from the root
	}
	if first == len(n.w.out.Splices) {
		return
	}
	arms := make([][]string, len(n.w.out.Splices)-first)
	into := make([]int, len(arms))
	leaves := func(splice, step int, root bool) {
		splice -= first
		s := &n.walk.Steps[step]
		least := "~" // after every ID: an arm without an end
		for i, id := range n.ids {
			if inside := i >= s.Lo && i < s.Hi; inside != root {
				least = min(least, id)
			}
		}
		arms[splice] = append(arms[splice], least)
		if root {
			into[splice] = step
		}
	}
	for i := range n.walk.Steps {
		s := &n.walk.Steps[i]
		if j := s.Near(n.r); j.Point >= 0 {
			leaves(points[j.Point], i, false)
		}
		if j := s.Far(n.r); j.Point >= 0 {
			leaves(points[j.Point], i, true)
		}
	}
	for _, f := range fans {
		leaves(f.splice, f.step, true)
		leaves(f.splice, f.step, false)
	}
	var list []point
	for i := range arms {
		if len(arms[i]) == 0 {
			continue
		}
		slices.Sort(arms[i])
		list = append(list, point{first + i, n.whole + "|" + strings.Join(arms[i], "|"), into[i]})
	}
	slices.SortStableFunc(list, func(x, y point) int {
		return cmp.Or(cmp.Compare(x.key, y.key), n.along(x.step, y.step), cmp.Compare(x.splice, y.splice))
	})
	count := 0
	for i, p := range list {
		if count++; i == 0 || list[i-1].key != p.key {
			count = 0
		}
		n.w.out.Splices[p.splice].ID = design.UID("splice", p.key, count)[:letters]
	}
}

// along orders two steps on one way: outward, or inward where the smallest end
// ID lies beyond them.
func (n *names) along(x, y int) int {
	if s := &n.walk.Steps[x]; n.least >= s.Lo && n.least < s.Hi {
		return cmp.Compare(y, x)
	}
	return cmp.Compare(x, y)
}
