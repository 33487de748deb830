package geom

import (
	"math"
	"slices"
)

// Segment is the straight line from A to B; the two may coincide.
type Segment struct{ A, B Point }

// At is the point at share t of the way from A to B.
func (s Segment) At(t float64) Point { return s.A.Add(s.B.Sub(s.A).Scale(t)) }

// Capsule is everything within R of a segment: a tube with round ends, or a
// ball where the ends coincide.
type Capsule struct {
	Segment
	R float64
}

// Box is a solid box: Half is half its size along each of Axes, which are
// square to one another and one long.
type Box struct {
	Centre Point
	Axes   [3]Point
	Half   [3]float64
}

// Upright is the box of the given size along the axes of the car.
func Upright(centre Point, x, y, z float64) Box {
	return Box{centre, [3]Point{{X: 1}, {Y: 1}, {Z: 1}}, [3]float64{x / 2, y / 2, z / 2}}
}

// PointSegment is the distance of p from s.
func PointSegment(p Point, s Segment) float64 {
	d := s.B.Sub(s.A)
	return p.Distance(s.At(clamp(ratio(p.Sub(s.A).Dot(d), d.Dot(d)))))
}

// SegmentSegment is the distance between two segments.
func SegmentSegment(s, q Segment) float64 {
	// Where neither segment ends at the nearest points, those are where both
	// are square to the line between; else an end is nearest to the other.
	u, v, w := s.B.Sub(s.A), q.B.Sub(q.A), s.A.Sub(q.A)
	least := min(PointSegment(s.A, q), PointSegment(s.B, q), PointSegment(q.A, s), PointSegment(q.B, s))
	a, b, c, d, e := u.Dot(u), u.Dot(v), v.Dot(v), u.Dot(w), v.Dot(w)
	if det := a*c - b*b; det > 0 {
		ts, tq := (b*e-c*d)/det, (a*e-b*d)/det
		if ts > 0 && ts < 1 && tq > 0 && tq < 1 {
			least = min(least, s.At(ts).Distance(q.At(tq)))
		}
	}
	return least
}

// CapsuleCapsule is the gap between two capsules; below zero they overlap by
// that much.
func CapsuleCapsule(a, b Capsule) float64 {
	return SegmentSegment(a.Segment, b.Segment) - a.R - b.R
}

// BoxSegment is the distance of s from b; zero where s enters it.
func BoxSegment(b Box, s Segment) float64 {
	// The square of the distance of the point at t is the sum over the axes of
	// the squared excess of one coordinate, |from + t·by| - half, where it is
	// above zero. Its slope in t rises and is straight between the t at which a
	// coordinate passes a face, so its zero follows from the slopes there.
	var from, by [3]float64
	stops := []float64{0, 1}
	for k, axis := range b.Axes {
		from[k], by[k] = s.A.Sub(b.Centre).Dot(axis), s.B.Sub(s.A).Dot(axis)
		for _, face := range []float64{-b.Half[k], b.Half[k]} {
			if t := ratio(face-from[k], by[k]); t > 0 && t < 1 {
				stops = append(stops, t)
			}
		}
	}
	slices.Sort(stops)
	at := func(t float64) (distance, slope float64) {
		square := 0.0
		for k := range from {
			v := from[k] + t*by[k]
			over := max(math.Abs(v)-b.Half[k], 0)
			square += over * over
			slope += math.Copysign(over, v) * by[k]
		}
		return math.Sqrt(square), slope
	}
	least, before := at(0)
	for i := 1; i < len(stops); i++ {
		d, after := at(stops[i])
		least = min(least, d)
		if before < 0 && after > 0 {
			d, _ = at(stops[i-1] + (stops[i]-stops[i-1])*before/(before-after))
			least = min(least, d)
		}
		before = after
	}
	return least
}

// BoxCapsule is the gap between a box and a capsule. Below zero they overlap;
// once the axis of the capsule enters the box it stays at minus the radius.
func BoxCapsule(b Box, c Capsule) float64 { return BoxSegment(b, c.Segment) - c.R }

// BoxBox is the distance between two boxes; zero where they overlap.
func BoxBox(a, b Box) float64 {
	// Two convex bodies with flat faces are nearest where an edge of one meets
	// the other, and if they overlap an edge of one enters the other.
	least := math.Inf(1)
	for _, pair := range [2][2]Box{{a, b}, {b, a}} {
		for _, e := range pair[0].edges() {
			least = min(least, BoxSegment(pair[1], e))
		}
	}
	return least
}

func (b Box) edges() (out [12]Segment) {
	corner := func(signs int) Point {
		p := b.Centre
		for k, axis := range b.Axes {
			half := b.Half[k]
			if signs&(1<<k) == 0 {
				half = -half
			}
			p = p.Add(axis.Scale(half))
		}
		return p
	}
	n := 0
	for from := range 8 {
		for k := range 3 {
			if to := from | 1<<k; to != from {
				out[n] = Segment{corner(from), corner(to)}
				n++
			}
		}
	}
	return out
}

func clamp(t float64) float64 { return min(max(t, 0), 1) }

// ratio is a/b, and zero where b is zero.
func ratio(a, b float64) float64 {
	if b == 0 {
		return 0
	}
	return a / b
}
