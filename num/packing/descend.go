package packing

import "math"

const memory = 5 // gradient pairs kept by descend

// descender finds local minima of a field by the limited-memory BFGS method
// (Liu and Nocedal 1989) with a backtracking line search.
type descender struct {
	g, trial, gTrial, dir []float64
	s, y                  [memory][]float64
	rho                   [memory]float64
}

func newDescender(n int) *descender {
	d := &descender{}
	room := make([]float64, (4+2*memory)*n)
	cut := func() []float64 { v := room[:n:n]; room = room[n:]; return v }
	d.g, d.trial, d.gTrial, d.dir = cut(), cut(), cut(), cut()
	for k := range memory {
		d.s[k], d.y[k] = cut(), cut()
	}
	return d
}

// run moves f.x downhill for at most steps evaluations, or until the gradient
// is below small, and returns the energy reached. With skin > 0 the near pairs
// are collected anew whenever they may have gone stale.
func (d *descender) run(f *field, steps int, small, skin float64) float64 {
	x := f.x
	if skin > 0 && (len(f.pairs) == 0 || f.moved(x) || f.skin != skin) {
		f.collect(x, skin)
	}
	e := f.energy(x, d.g)
	kept, last := 0, 0
	limit := f.r[0] / 2
	for ; steps > 0; steps-- {
		gg := dot(d.g, d.g)
		if gg <= small*small {
			break
		}
		copy(d.dir, d.g)
		var alpha [memory]float64
		for k := range kept {
			m := (last - 1 - k + memory) % memory
			alpha[m] = d.rho[m] * dot(d.s[m], d.dir)
			axpy(d.dir, -alpha[m], d.y[m])
		}
		if kept > 0 {
			m := (last - 1 + memory) % memory
			scale(d.dir, 1/(d.rho[m]*dot(d.y[m], d.y[m])))
		} else {
			scale(d.dir, 0.25)
		}
		for k := kept - 1; k >= 0; k-- {
			m := (last - 1 - k + memory) % memory
			axpy(d.dir, alpha[m]-d.rho[m]*dot(d.y[m], d.dir), d.s[m])
		}
		slope := -dot(d.dir, d.g)
		if slope >= 0 {
			kept = 0
			copy(d.dir, d.g)
			scale(d.dir, 0.25)
			slope = -0.25 * gg
		}
		// A step as long as a disc would jump over its neighbours.
		step := 1.0
		longest := 0.0
		for _, v := range d.dir {
			longest = max(longest, math.Abs(v))
		}
		if longest > limit {
			step = limit / longest
		}
		var eTrial float64
		for {
			for i, v := range d.dir {
				d.trial[i] = x[i] - step*v
			}
			if skin > 0 && f.moved(d.trial) {
				f.collect(d.trial, skin)
			}
			eTrial = f.energy(d.trial, d.gTrial)
			if eTrial <= e+1e-4*step*slope || steps <= 1 {
				break
			}
			steps--
			step *= 0.4
		}
		if eTrial >= e {
			break
		}
		s, y := d.s[last], d.y[last]
		for i := range s {
			s[i] = d.trial[i] - x[i]
			y[i] = d.gTrial[i] - d.g[i]
		}
		copy(x, d.trial)
		d.g, d.gTrial = d.gTrial, d.g
		e = eTrial
		if sy := dot(s, y); sy > 1e-12*dot(y, y) {
			d.rho[last] = 1 / sy
			last = (last + 1) % memory
			kept = min(kept+1, memory)
		}
	}
	return e
}

func dot(a, b []float64) float64 {
	b = b[:len(a)]
	var s, t float64
	i := 0
	for ; i+1 < len(a); i += 2 {
		s += a[i] * b[i]
		t += a[i+1] * b[i+1]
	}
	if i < len(a) {
		s += a[i] * b[i]
	}
	return s + t
}

func axpy(a []float64, k float64, b []float64) {
	b = b[:len(a)]
	for i := range a {
		a[i] += k * b[i]
	}
}

func scale(a []float64, k float64) {
	for i := range a {
		a[i] *= k
	}
}
