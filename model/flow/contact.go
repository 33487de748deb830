package flow

import "math"

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
