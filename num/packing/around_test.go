package packing

import (
	"math"
	"testing"
)

func TestAround(t *testing.T) {
	for _, c := range []struct {
		name    string
		circles []Circle
		want    Circle
	}{
		{"none", nil, Circle{}},
		{"one", []Circle{{1, 2, 3}}, Circle{1, 2, 3}},
		{"two apart", []Circle{{-3, 0, 2}, {4, 0, 4}}, Circle{1, 0, 10}},
		{"one in the other", []Circle{{0.5, 0, 1}, {0, 0, 4}}, Circle{0, 0, 4}},
		{"the same twice", []Circle{{1, 1, 2}, {1, 1, 2}}, Circle{1, 1, 2}},
		{"in a row", []Circle{{0, 0, 2}, {2, 0, 2}, {4, 0, 2}, {6, 0, 2}}, Circle{3, 0, 8}},
		// Two independent geometry libraries agree to 1e-13.
		{"three", []Circle{{0, 0, 6}, {5, 0, 4}, {2.5, 4, 3}}, Circle{1.990184620449, 0.487730775562, 2 * 5.049076897753}},
	} {
		got := Around(c.circles)
		near(t, c.name+": x", got.X, c.want.X, 1e-12)
		near(t, c.name+": y", got.Y, c.want.Y, 1e-12)
		near(t, c.name+": diameter", got.D, c.want.D, 1e-11)
	}
}

// Going downhill from the answer in any direction finds no narrower circle:
// the width seen from a centre is convex in it.
func TestAroundIsSmallest(t *testing.T) {
	seed := uint64(3)
	next := func() float64 {
		seed = seed*6364136223846793005 + 1442695040888963407
		return float64(seed>>11) / (1 << 53)
	}
	for range 2000 {
		circles := make([]Circle, 1+int(next()*30))
		for i := range circles {
			circles[i] = Circle{next(), next(), next() * next()}
		}
		width := func(x, y float64) (w float64) {
			for _, c := range circles {
				w = max(w, 2*math.Hypot(c.X-x, c.Y-y)+c.D)
			}
			return w
		}
		got := Around(circles)
		if w := width(got.X, got.Y); w > got.D*(1+1e-12) {
			t.Fatalf("Around(%v) = %v, but they reach out to %.17g", circles, got, w)
		}
		for k := range 24 {
			turn := 2 * math.Pi * float64(k) / 24
			if w := width(got.X+1e-4*math.Cos(turn), got.Y+1e-4*math.Sin(turn)); w < got.D*(1-1e-12) {
				t.Fatalf("Around(%v) = %v, but a centre nearby needs only %.17g", circles, got, w)
			}
		}
	}
}
