package packing

import (
	"math"
	"testing"
)

func TestPackRefuses(t *testing.T) {
	for _, d := range [][]float64{{0}, {-1, 2}, {math.NaN()}, {math.Inf(1)}, {1, 1e-7}, make([]float64, MaxCircles+1)} {
		if _, err := Pack(d, Plan); err == nil {
			t.Errorf("Pack(%.3v): no error", d[:min(len(d), 3)])
		}
	}
	if r, err := Pack(nil, Plan); err != nil || r.Diameter != 0 || len(r.Circles) != 0 {
		t.Errorf("Pack(nil) = %v, %v, want zero", r, err)
	}
}
