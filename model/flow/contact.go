package flow

import (
	"cmp"
	"math"
	"slices"

	"keyon/model/part"
)

// sizes are the contacts of the circular series with their test currents,
// smallest first.
var sizes = []struct {
	name string
	amps float64 // MIL-DTL-38999N, Tables IV and V; seen
}{{"23", 5}, {"22D", 5}, {"20", 7.5}, {"16", 13}, {"12", 23}, {"10", 33}, {"8", 46}, {"4", 80}, {"0", 150}}

// ContactAmps is the current a contact size of the circular series is tested
// with; not ok for other sizes. The catalogue's figure goes before it.
func ContactAmps(size string) (float64, bool) {
	for _, s := range sizes {
		if s.name == size {
			return s.amps, true
		}
	}
	return 0, false
}

// ParallelShare is how much of its rating a contact may be counted on for
// where a circuit runs through several: they never share alike.
const ParallelShare = 0.8 // judgement: house-rules

// Contacts is how many contacts of a rating a current takes. A rating of zero
// is not known and counts as enough.
func Contacts(amps, rating float64) int {
	if rating <= 0 || amps <= rating {
		return 1
	}
	return int(math.Ceil(amps/(rating*ParallelShare) - 1e-9))
}

// Fill counts the contacts that circuits of these currents need in a connector,
// and how many of those find no cavity. Sizes are filled from the largest
// current down: each in the smallest contact that carries it, or else in
// several of the largest left. Sizes outside the circular series count as
// enough for any current.
func Fill(k *part.Connector, amps []float64) (needed, missing int) {
	type stock struct {
		size string
		amps float64
		free int
	}
	var all []stock
	for _, c := range k.Cavities {
		i := slices.IndexFunc(all, func(s stock) bool { return s.size == c.Size })
		if i < 0 {
			i = len(all)
			a, ok := ContactAmps(c.Size)
			if !ok {
				a = math.Inf(1)
			}
			all = append(all, stock{c.Size, a, 0})
		}
		all[i].free++
	}
	slices.SortFunc(all, func(x, y stock) int { return cmp.Or(cmp.Compare(x.amps, y.amps), cmp.Compare(x.size, y.size)) })
	falling := slices.Clone(amps)
	slices.SortFunc(falling, func(x, y float64) int { return cmp.Compare(y, x) })
next:
	for _, a := range falling {
		for i := range all {
			if s := &all[i]; s.free > 0 && s.amps >= a {
				s.free--
				needed++
				continue next
			}
		}
		for i := len(all) - 1; i >= 0; i-- {
			if n := Contacts(a, all[i].amps); all[i].free >= n {
				all[i].free -= n
				needed += n
				continue next
			}
		}
		n := 1
		if len(all) > 0 {
			n = Contacts(a, all[len(all)-1].amps)
		}
		needed += n
		missing += n
	}
	return needed, missing
}
