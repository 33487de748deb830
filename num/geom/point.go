// Package geom holds points and simple bodies in space: lengths and bends of
// a path, distances between bodies.
//
// It decides nothing about a car. Coordinates and lengths are metres in a
// right-handed system; bodies are solid and rigid. What clearance is enough,
// and which bodies belong together, is left to the caller.
package geom

import "math"

// Point is a place, or the step from one place to another, in metres.
type Point struct{ X, Y, Z float64 }

func (p Point) Add(q Point) Point        { return Point{p.X + q.X, p.Y + q.Y, p.Z + q.Z} }
func (p Point) Sub(q Point) Point        { return Point{p.X - q.X, p.Y - q.Y, p.Z - q.Z} }
func (p Point) Scale(k float64) Point    { return Point{p.X * k, p.Y * k, p.Z * k} }
func (p Point) Dot(q Point) float64      { return p.X*q.X + p.Y*q.Y + p.Z*q.Z }
func (p Point) Norm() float64            { return math.Sqrt(p.Dot(p)) }
func (p Point) Distance(q Point) float64 { return p.Sub(q).Norm() }

// Cross is the vector product: square to p and q, as long as the area between them.
func (p Point) Cross(q Point) Point {
	return Point{p.Y*q.Z - p.Z*q.Y, p.Z*q.X - p.X*q.Z, p.X*q.Y - p.Y*q.X}
}
