package split_test

import (
	"fmt"
	"testing"

	"keyon/model/plan"
	"keyon/stage/cross"
	"keyon/stage/route"
	"keyon/stage/split"
	"keyon/testkit/small"
)

func BenchmarkGrowth(b *testing.B) {
	for _, sections := range []int{5, 10, 100, 1000} {
		c := small.Text(b, small.Long(sections))
		r, vs := route.Run(c.D, c.T, c.E, plan.Guess{})
		x, more := cross.Run(c.D, c.C, c.T, c.E, r)
		w, _ := split.Run(c.D, c.T, c.E, r, x)
		if sections == 10 {
			for _, v := range append(vs, more...) {
				b.Log(v.What)
			}
		}
		b.Run(fmt.Sprintf("route/%d", len(w.List)), func(b *testing.B) {
			for b.Loop() {
				route.Run(c.D, c.T, c.E, plan.Guess{})
			}
		})
		b.Run(fmt.Sprintf("cross/%d", len(w.List)), func(b *testing.B) {
			for b.Loop() {
				cross.Run(c.D, c.C, c.T, c.E, r)
			}
		})
		b.Run(fmt.Sprintf("split/%d", len(w.List)), func(b *testing.B) {
			for b.Loop() {
				split.Run(c.D, c.T, c.E, r, x)
			}
		})
	}
}
