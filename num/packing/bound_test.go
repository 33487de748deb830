package packing

import (
	"math"
	"testing"
)

func equal(n int, d float64) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = d
	}
	return out
}

// The rule of thumb 1.2·sqrt(N)·d is too narrow for these numbers of wires, and
// the bound proves it.
func TestBoundAgainstRuleOfThumb(t *testing.T) {
	for n := 2; n <= 30; n++ {
		thumb := 1.2 * math.Sqrt(float64(n))
		low := lowerBound(equal(n, 1))
		switch n {
		case 2, 3, 4, 5, 6, 9, 10:
			if low <= thumb {
				t.Errorf("%d wires: bound %.4f, want above the rule's %.4f", n, low, thumb)
			}
		default:
			if low > thumb {
				t.Errorf("%d wires: bound %.4f, want below the rule's %.4f", n, low, thumb)
			}
		}
	}
}

func TestAroundThree(t *testing.T) {
	for _, c := range []struct {
		r    [3]float64
		want float64
	}{
		{[3]float64{1, 1, 1}, 2.154700538379}, // 1 + 2/√3
		{[3]float64{3, 2, 1.8}, 5.048077732226},
		{[3]float64{3, 2, 1}, 5},
		{[3]float64{3, 2, 30.0 / 19}, 5}, // the third just fits beside the two
	} {
		near(t, "around3", around3(c.r[0], c.r[1], c.r[2]), c.want, 1e-12)
	}
}

// Fillers in the holes of an optimal packing leave the container as it is, so
// bound and packing meet.
func TestFillers(t *testing.T) {
	for _, d := range [][]float64{
		append(equal(3, 1), 0.4826, 0.4826, 0.4826, 0.1547), // wall gaps and middle of three
		append(equal(5, 1), 0.7013),                         // middle of five
		append(equal(2, 1), 2.0/3, 2.0/3),                   // beside two
		append(equal(6, 1), 1),
	} {
		r := judge(t, "with fillers", d, Calc)
		near(t, "packing over bound", r.Diameter/r.LowerBound, 1, 1e-8)
	}
}
