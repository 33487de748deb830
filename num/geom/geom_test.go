package geom

import (
	"math"
	"testing"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) && got != want {
		t.Errorf("%s = %.15g, want %.15g within %g", what, got, want, tolerance)
	}
}

// turned is b turned by angle about the z axis through its centre.
func turned(b Box, angle float64) Box {
	s, c := math.Sincos(angle)
	b.Axes[0], b.Axes[1] = Point{c, s, 0}, Point{-s, c, 0}
	return b
}

// The values were computed with two independent collision libraries (FCL,
// CGAL) and follow from the formulas beside them.
func TestClearance(t *testing.T) {
	tube := Capsule{Segment{Point{Z: -5}, Point{Z: 5}}, 2}
	box := Upright(Point{X: 9}, 4, 6, 8)
	near(t, "capsule to box", BoxCapsule(box, tube), 5, 1e-14)

	// The box turned about the origin, so that its centre moves too.
	s, c := math.Sincos(0.3)
	about := turned(Upright(Point{9 * c, 9 * s, 0}, 4, 6, 8), 0.3)
	near(t, "capsule to box, both turned", BoxCapsule(about, tube), 5, 1e-14)
	near(t, "capsule to turned box", BoxCapsule(turned(box, 0.3), tube), 9*math.Cos(0.3)-4, 1e-13)

	cube := Upright(Point{}, 2, 2, 2)
	prism := turned(Upright(Point{5, 3, 1.875}, 1.4*math.Sqrt2, 1.4*math.Sqrt2, 1.25), math.Pi/4)
	near(t, "cube to prism", BoxBox(cube, prism), math.Sqrt(2.6*2.6+2*2+0.25*0.25), 1e-12)
	near(t, "cube to prism", BoxBox(prism, cube), 3.289756829919, 1e-12)
}

// A search over points of both bodies never finds a nearer pair, and comes
// close to the distance given.
func TestDistanceAgainstSearch(t *testing.T) {
	seed := uint64(1)
	next := func() float64 { // -1 .. 1
		seed = seed*6364136223846793005 + 1442695040888963407
		return float64(seed>>11)/(1<<52) - 1
	}
	point := func() Point { return Point{next(), next(), next()}.Scale(3) }
	nearest := func(f func(u, v float64) float64) float64 {
		// A coarse grid, then finer ones round its best: the distance is convex.
		bu, bv, width := 0.5, 0.5, 0.5
		least := math.Inf(1)
		for range 60 {
			cu, cv := bu, bv
			for i := -4; i <= 4; i++ {
				for j := -4; j <= 4; j++ {
					u := min(max(cu+width*float64(i)/4, 0), 1)
					v := min(max(cv+width*float64(j)/4, 0), 1)
					if d := f(u, v); d < least {
						least, bu, bv = d, u, v
					}
				}
			}
			width *= 0.7
		}
		return least
	}
	for range 300 {
		s, q := Segment{point(), point()}, Segment{point(), point()}
		near(t, "SegmentSegment", SegmentSegment(s, q), nearest(func(u, v float64) float64 {
			return s.At(u).Distance(q.At(v))
		}), 1e-6)
		near(t, "PointSegment", PointSegment(q.A, s), nearest(func(u, _ float64) float64 {
			return s.At(u).Distance(q.A)
		}), 1e-6)

		b := turned(Upright(point(), 1+next(), 1+next(), 1+next()), 3*next())
		near(t, "BoxSegment", BoxSegment(b, s), nearest(func(u, _ float64) float64 {
			p := s.At(u).Sub(b.Centre)
			square := 0.0
			for k, axis := range b.Axes {
				over := max(0, math.Abs(p.Dot(axis))-b.Half[k])
				square += over * over
			}
			return math.Sqrt(square)
		}), 1e-6)
	}
}

func TestTouching(t *testing.T) {
	long := Segment{Point{X: -1}, Point{X: 1}}
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"crossing segments", SegmentSegment(long, Segment{Point{Y: -1}, Point{Y: 1}}), 0},
		{"parallel segments", SegmentSegment(long, Segment{Point{0, 2, 0}, Point{5, 2, 0}}), 2},
		{"segment on itself", SegmentSegment(long, long), 0},
		{"two points", SegmentSegment(Segment{}, Segment{Point{X: 3}, Point{X: 3}}), 3},
		{"overlapping capsules", CapsuleCapsule(Capsule{long, 1}, Capsule{Segment{Point{Y: 1}, Point{Y: 1}}, 0.5}), -0.5},
		{"segment through box", BoxSegment(Upright(Point{}, 1, 1, 1), long), 0},
		{"segment inside box", BoxSegment(Upright(Point{}, 4, 4, 4), long), 0},
		{"point over a corner", BoxSegment(Upright(Point{}, 2, 2, 2), Segment{Point{2, 2, 2}, Point{2, 2, 2}}), math.Sqrt(3)},
		{"boxes crossing like a plus", BoxBox(Upright(Point{}, 4, 1, 1), Upright(Point{}, 1, 4, 1)), 0},
		{"box in a box", BoxBox(Upright(Point{}, 4, 4, 4), Upright(Point{}, 1, 1, 1)), 0},
	} {
		near(t, c.name, c.got, c.want, 1e-15)
	}
}

func TestLength(t *testing.T) {
	near(t, "Length", Length([]Point{{}, {3, 4, 0}, {3, 4, 12}}), 17, 0)
	near(t, "Length of one", Length([]Point{{1, 2, 3}}), 0, 0)
}

func TestBendRadius(t *testing.T) {
	for _, c := range []struct {
		name   string
		path   []Point
		radius float64
		at     int
	}{
		{"straight", []Point{{}, {X: 1}, {X: 2}}, math.Inf(1), -1},
		{"nothing", nil, math.Inf(1), -1},
		// A right angle takes as much of a leg as its radius.
		{"right angle", []Point{{}, {X: 3}, {3, 2, 0}}, 2, 1},
		{"two right angles share the middle", []Point{{}, {X: 9}, {9, 3, 0}, {9, 3, 9}}, 1.5, 2},
		// Turned by 60°: tan 30° = 1/√3.
		{"sixty degrees", []Point{{}, {X: 1}, {1.5, math.Sqrt(3) / 2, 0}}, math.Sqrt(3), 1},
		{"back on itself", []Point{{}, {X: 1}, {}}, 0, 1},
		{"repeated points", []Point{{}, {}, {X: 3}, {X: 3}, {3, 2, 0}}, 2, 2},
	} {
		r, at := BendRadius(c.path)
		near(t, c.name, r, c.radius, 1e-12)
		if at != c.at {
			t.Errorf("%s: at point %d, want %d", c.name, at, c.at)
		}
	}
}
