package packing

// descender finds local minima of a field by the BFGS method with a memory of
// one step (Shanno 1978; Nocedal 1980) and a backtracking line search. More
// memory costs more per step than it saves: which discs touch changes all the
// time.
type descender struct {
	g, trial, gTrial, dir, s, y []float64
}

func newDescender(n int) *descender {
	room := make([]float64, 6*n)
	cut := func() []float64 { v := room[:n:n]; room = room[n:]; return v }
	return &descender{cut(), cut(), cut(), cut(), cut(), cut()}
}

// run moves f.x downhill for at most steps evaluations, or until the gradient
// is no longer than small, and returns the energy reached. With skin > 0 the
// near pairs are collected anew whenever they may have gone stale; with zero
// they stay as they are.
func (d *descender) run(f *field, steps int, small, skin float64) float64 {
	x := f.x
	if skin > 0 && (len(f.pairs) == 0 || f.skin != skin || f.moved(x)) {
		f.collect(x, skin)
	}
	e := f.energy(x, d.g)
	const first = 0.25 // most discs are held by a few contacts of stiffness 2
	curved := false    // s, y and sy describe the last step
	length := first
	var sy float64
	for ; steps > 0; steps-- {
		gg := dot(d.g, d.g)
		if gg <= small*small {
			break
		}
		var slope float64
		if curved {
			yy := dot(d.y, d.y)
			a, scale := dot(d.s, d.g)/sy, sy/yy
			b := a - scale*(dot(d.y, d.g)-a*yy)/sy
			for i, g := range d.g {
				v := scale*(g-a*d.y[i]) + b*d.s[i]
				d.dir[i] = v
				slope -= v * g
			}
		}
		if !(slope < 0) {
			for i, g := range d.g {
				d.dir[i] = length * g
			}
			slope = -length * gg
		}
		step, eTrial := 1.0, 0.0
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
		if !(eTrial < e) {
			break
		}
		sy = 0
		ss := 0.0
		for i, v := range d.trial {
			s, y := v-x[i], d.gTrial[i]-d.g[i]
			d.s[i], d.y[i] = s, y
			sy += s * y
			ss += s * s
		}
		// Where only the container moves there is no curvature to go by, and
		// each step is twice as long.
		if curved = sy > 1e-6*ss; curved {
			length = first
		} else {
			length *= 2
		}
		copy(x, d.trial)
		d.g, d.gTrial = d.gTrial, d.g
		e = eTrial
	}
	return e
}

func dot(a, b []float64) float64 {
	b = b[:len(a)]
	var s, t, u, v float64
	i := 0
	for ; i+3 < len(a); i += 4 {
		s += a[i] * b[i]
		t += a[i+1] * b[i+1]
		u += a[i+2] * b[i+2]
		v += a[i+3] * b[i+3]
	}
	for ; i < len(a); i++ {
		s += a[i] * b[i]
	}
	return s + t + u + v
}
