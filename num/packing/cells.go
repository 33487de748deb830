package packing

import "math"

// cells sorts discs into squares so that near pairs of a large bundle are
// found without looking at every pair.
type cells struct {
	head []int32
	next []int32
}

func (c *cells) collect(f *field, x []float64, skin float64) {
	widest, far := 0.0, 0.0
	for i, r := range f.r {
		widest = max(widest, r)
		far = max(far, math.Abs(x[2*i]), math.Abs(x[2*i+1]))
	}
	side := 2*widest + skin
	wide := int(min(2*far/side, 200)) + 1
	side = max(side, 2*far/float64(wide)*(1+1e-12))
	if len(c.head) < wide*wide {
		c.head = make([]int32, wide*wide)
	}
	if len(c.next) < f.n {
		c.next = make([]int32, f.n)
	}
	head := c.head[:wide*wide]
	for k := range head {
		head[k] = -1
	}
	at := func(v float64) int { return min(max(int((v+far)/side), 0), wide-1) }
	for i := f.n - 1; i >= 0; i-- {
		k := at(x[2*i+1])*wide + at(x[2*i])
		c.next[i] = head[k]
		head[k] = int32(i)
	}
	for i := range f.n {
		cx, cy := at(x[2*i]), at(x[2*i+1])
		for v := max(cy-1, 0); v <= min(cy+1, wide-1); v++ {
			for u := max(cx-1, 0); u <= min(cx+1, wide-1); u++ {
				for j := head[v*wide+u]; j >= 0; j = c.next[j] {
					f.work++
					if int(j) > i {
						f.add(x, i, int(j), skin)
					}
				}
			}
		}
	}
}
