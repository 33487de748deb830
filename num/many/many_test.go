package many_test

import (
	"testing"

	"keyon/num/many"
)

func TestDo(t *testing.T) {
	for _, n := range []int{0, 1, 2, 1000} {
		seen := make([]int, n)
		many.Do(n, func(i int) { seen[i] += i + 1 })
		for i, s := range seen {
			if s != i+1 {
				t.Errorf("Do(%d): piece %d gave %d, want %d", n, i, s, i+1)
			}
		}
	}
}

// TestPanic: what breaks in a piece breaks in the caller, the lowest first.
func TestPanic(t *testing.T) {
	done := make([]bool, 100)
	defer func() {
		if r := recover(); r != 30 {
			t.Errorf("recovered %v, want 30", r)
		}
		for i, d := range done {
			if !d && i != 30 && i != 70 {
				t.Errorf("piece %d was not done", i)
			}
		}
	}()
	many.Do(100, func(i int) {
		if i == 30 || i == 70 {
			panic(i)
		}
		done[i] = true
	})
}
