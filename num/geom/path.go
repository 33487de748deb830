package geom

import "math"

// Length is the length of the path through the points; fewer than two have none.
func Length(path []Point) float64 {
	sum := 0.0
	for i := 1; i < len(path); i++ {
		sum += path[i].Distance(path[i-1])
	}
	return sum
}

// BendRadius is the largest radius that every corner of the path can be
// rounded with at once, and the point at which the tighter end of the segment
// that limits it lies. An arc of radius r that turns by φ takes r·tan(φ/2) of
// the segments on both sides, and the two arcs of a segment must not take more
// than its length. A straight path gives +Inf and -1; a path that turns back on
// itself gives zero. Repeated points are passed over.
func BendRadius(path []Point) (radius float64, at int) {
	radius, at = math.Inf(1), -1
	var way []int
	for i, p := range path {
		if len(way) == 0 || p != path[way[len(way)-1]] {
			way = append(way, i)
		}
	}
	before := 0.0 // tan(φ/2) at the start of the segment
	for k := 1; k < len(way); k++ {
		a, b := path[way[k-1]], path[way[k]]
		after := 0.0
		if k+1 < len(way) {
			after = halfTurn(b.Sub(a), path[way[k+1]].Sub(b))
		}
		if r := a.Distance(b) / (before + after); r < radius {
			radius, at = r, way[k]
			if before > after {
				at = way[k-1]
			}
		}
		before = after
	}
	return radius, at
}

// halfTurn is tan(φ/2) for the angle φ between directions u and v.
func halfTurn(u, v Point) float64 {
	// tan(φ/2) = sin φ / (1 + cos φ)
	across, along := u.Cross(v).Norm(), u.Dot(v)
	whole := u.Norm() * v.Norm()
	if along <= -whole {
		return math.Inf(1)
	}
	return across / (whole + along)
}
