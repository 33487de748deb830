package packing

import "math"

// Around is the smallest circle that holds the given ones; the zero Circle
// where there are none. They may overlap.
func Around(circles []Circle) Circle {
	if len(circles) == 0 {
		return Circle{}
	}
	// At most three of the circles touch the answer. The one that sticks out
	// furthest joins those that do, until none sticks out; the answer grows at
	// each turn, so no three come up twice.
	around := circles[0]
	touching := circles[:1]
	for {
		worst, out := -1, around.D*(1+1e-13)
		for i, c := range circles {
			if w := 2*math.Hypot(c.X-around.X, c.Y-around.Y) + c.D; w > out {
				worst, out = i, w
			}
		}
		if worst < 0 {
			return around
		}
		wider, by := aroundWith(circles[worst], touching)
		if !(wider.D > around.D) {
			// No progress beyond rounding: widen to what sticks out.
			around.D = out
			return around
		}
		around, touching = wider, by
	}
}

// aroundWith is the smallest circle that holds c and at most three others and
// touches c, and those of them that it touches.
func aroundWith(c Circle, others []Circle) (around Circle, touching []Circle) {
	around.D = math.Inf(1)
	try := func(candidate Circle, by ...Circle) {
		for _, o := range append(others[:len(others):len(others)], c) {
			if 2*math.Hypot(o.X-candidate.X, o.Y-candidate.Y)+o.D > candidate.D*(1+1e-12) {
				return
			}
		}
		if candidate.D < around.D {
			around, touching = candidate, by
		}
	}
	try(c, c)
	for i, a := range others {
		if d := math.Hypot(a.X-c.X, a.Y-c.Y); d > 0 {
			// The span of the two, centred in its middle.
			wide := d + a.D/2 + c.D/2
			k := (wide - c.D) / 2 / d
			try(Circle{c.X + k*(a.X-c.X), c.Y + k*(a.Y-c.Y), wide}, c, a)
		}
		for _, b := range others[:i] {
			for _, touch := range touchingAll(c, a, b) {
				try(touch, c, a, b)
			}
		}
	}
	return around, touching
}

// touchingAll are the circles that three circles touch from inside, at most
// two (the problem of Apollonius). From |x - xi| = R - ri for i = 0, 1, 2, the
// difference of the squares is linear in the centre x and R; with x = u + v·R
// from that, |x - x0|² = (R - r0)² is a quadratic in R.
func touchingAll(c, a, b Circle) (found []Circle) {
	r := c.D / 2
	ax, ay, bx, by := a.X-c.X, a.Y-c.Y, b.X-c.X, b.Y-c.Y
	det := ax*by - ay*bx
	if det == 0 {
		return nil
	}
	solve := func(p, q float64) (x, y float64) { return (p*by - q*ay) / det, (q*ax - p*bx) / det }
	ux, uy := solve((ax*ax+ay*ay+r*r-a.D*a.D/4)/2, (bx*bx+by*by+r*r-b.D*b.D/4)/2)
	vx, vy := solve(a.D/2-r, b.D/2-r)
	// k2·R² + 2·k1·R + k0 = 0
	k2, k1, k0 := vx*vx+vy*vy-1, ux*vx+uy*vy+r, ux*ux+uy*uy-r*r
	root := k1*k1 - k2*k0
	if root < 0 {
		return nil
	}
	q := -k1 - math.Copysign(math.Sqrt(root), k1)
	for _, R := range [2]float64{q / k2, k0 / q} {
		if R >= r && !math.IsInf(R, 1) {
			found = append(found, Circle{c.X + ux + vx*R, c.Y + uy + vy*R, 2 * R})
		}
	}
	return found
}
