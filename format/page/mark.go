package page

import "math"

// Point is a place on the page, mm.
type Point struct{ X, Y float64 }

// Box is an area with its top left corner at X, Y, mm.
// A Box without width and height stands for "none".
type Box struct{ X, Y, W, H float64 }

// None reports whether the box is absent.
func (b Box) None() bool { return b.W == 0 && b.H == 0 }

// Holds reports whether o lies within b, give or take slack mm.
func (b Box) Holds(o Box, slack float64) bool {
	return o.X >= b.X-slack && o.Y >= b.Y-slack &&
		o.X+o.W <= b.X+b.W+slack && o.Y+o.H <= b.Y+b.H+slack
}

// Mark is one of Line, Polyline, Polygon, Rect, Circle, Arc, Text and Group.
type Mark interface {
	// moved returns the mark scaled by k about the origin, then shifted by d.
	moved(k float64, d Point) Mark
	// bounds returns the area of the mark without its line width.
	bounds() Box
}

// Line is a straight stroke from A to B.
type Line struct {
	ID    string
	Class Class
	A, B  Point
}

// Polyline is an open run of strokes.
type Polyline struct {
	ID     string
	Class  Class
	Points []Point
}

// Polygon is a closed outline; the class says whether it is filled.
type Polygon struct {
	ID     string
	Class  Class
	Points []Point
}

// Rect is an upright rectangle.
type Rect struct {
	ID    string
	Class Class
	Box   Box
}

// Circle has its centre at Centre and the radius R, mm.
type Circle struct {
	ID     string
	Class  Class
	Centre Point
	R      float64
}

// Arc runs anticlockwise, as seen on the paper, from the angle From to the
// angle To; degrees, zero points to the right. It is a stroke, never filled.
// From 0 to 360 is a full turn.
type Arc struct {
	ID       string
	Class    Class
	Centre   Point
	R        float64
	From, To float64
}

// Anchor says which point of a text lies at its At.
type Anchor int

// The anchors, along the baseline.
const (
	Left Anchor = iota
	Centre
	Right
)

// Text is one line of writing with its baseline at At.
//
// Size is the em of the font, mm: capitals are 0.73 of it. Turn rotates the
// text anticlockwise about At, degrees. Box is the area that the text must
// stay in; Check compares. What is drawn is Clean(Text).
type Text struct {
	ID     string
	Class  Class
	At     Point
	Text   string
	Face   Face
	Size   float64
	Anchor Anchor
	Turn   float64
	Box    Box
}

// Group holds marks that belong to one thing; its ID becomes data-id in SVG.
type Group struct {
	ID    string
	Class Class
	Marks []Mark
}

// Drawing is a picture with its own origin, to be placed on a page.
// All marks lie within 0..W and 0..H.
type Drawing struct {
	W, H  float64
	Marks []Mark
}

// Page is one sheet, W by H mm. A page with a Bookmark starts a paper of that
// name; the pages after it belong to it.
type Page struct {
	W, H     float64
	Bookmark string
	Marks    []Mark
}

// Meta is what a file says about itself. Date is given from outside as
// 2006-01-02 and may be blank; no encoder reads a clock.
type Meta struct {
	Subject, Author, Date string
}

// Document is a set of pages under one title.
type Document struct {
	Title string
	Meta  Meta
	Pages []Page
}

// Moved returns the marks scaled by k about the origin, then shifted by dx and
// dy mm. Text sizes and boxes follow; line widths stay.
func Moved(marks []Mark, k, dx, dy float64) []Mark {
	out := make([]Mark, len(marks))
	for i, m := range marks {
		out[i] = m.moved(k, Point{dx, dy})
	}
	return out
}

func (p Point) moved(k float64, d Point) Point { return Point{p.X*k + d.X, p.Y*k + d.Y} }

func (b Box) moved(k float64, d Point) Box {
	if b.None() {
		return b
	}
	return Box{b.X*k + d.X, b.Y*k + d.Y, b.W * k, b.H * k}
}

func movedPoints(ps []Point, k float64, d Point) []Point {
	out := make([]Point, len(ps))
	for i, p := range ps {
		out[i] = p.moved(k, d)
	}
	return out
}

func (m Line) moved(k float64, d Point) Mark {
	m.A, m.B = m.A.moved(k, d), m.B.moved(k, d)
	return m
}

func (m Polyline) moved(k float64, d Point) Mark {
	m.Points = movedPoints(m.Points, k, d)
	return m
}

func (m Polygon) moved(k float64, d Point) Mark {
	m.Points = movedPoints(m.Points, k, d)
	return m
}

func (m Rect) moved(k float64, d Point) Mark {
	m.Box = Box{m.Box.X*k + d.X, m.Box.Y*k + d.Y, m.Box.W * k, m.Box.H * k}
	return m
}

func (m Circle) moved(k float64, d Point) Mark {
	m.Centre, m.R = m.Centre.moved(k, d), m.R*k
	return m
}

func (m Arc) moved(k float64, d Point) Mark {
	m.Centre, m.R = m.Centre.moved(k, d), m.R*k
	return m
}

func (m Text) moved(k float64, d Point) Mark {
	m.At, m.Size, m.Box = m.At.moved(k, d), m.Size*k, m.Box.moved(k, d)
	return m
}

func (m Group) moved(k float64, d Point) Mark {
	m.Marks = Moved(m.Marks, k, d.X, d.Y)
	return m
}

func span(ps ...Point) Box {
	if len(ps) == 0 {
		return Box{}
	}
	lo, hi := ps[0], ps[0]
	for _, p := range ps[1:] {
		lo = Point{math.Min(lo.X, p.X), math.Min(lo.Y, p.Y)}
		hi = Point{math.Max(hi.X, p.X), math.Max(hi.Y, p.Y)}
	}
	return Box{lo.X, lo.Y, hi.X - lo.X, hi.Y - lo.Y}
}

func (m Line) bounds() Box     { return span(m.A, m.B) }
func (m Polyline) bounds() Box { return span(m.Points...) }
func (m Polygon) bounds() Box  { return span(m.Points...) }
func (m Rect) bounds() Box {
	return span(Point{m.Box.X, m.Box.Y}, Point{m.Box.X + m.Box.W, m.Box.Y + m.Box.H})
}
func (m Circle) bounds() Box { return Box{m.Centre.X - m.R, m.Centre.Y - m.R, 2 * m.R, 2 * m.R} }

// Span returns the angle that the arc starts at, within ±360, and how far it
// turns anticlockwise, 0 to 360; degrees.
func (m Arc) Span() (from, sweep float64) {
	sweep = math.Mod(m.To-m.From, 360)
	if sweep < 0 || sweep == 0 && m.To != m.From {
		sweep += 360
	}
	return math.Mod(m.From, 360), sweep
}

// Ends returns the points that the arc starts and ends at.
func (m Arc) Ends() (a, b Point) {
	from, sweep := m.Span()
	return on(m.Centre, m.R, from), on(m.Centre, m.R, from+sweep)
}

func (m Arc) bounds() Box {
	from, sweep := m.Span()
	to := from + sweep
	ps := []Point{on(m.Centre, m.R, from), on(m.Centre, m.R, to)}
	for q := math.Ceil(from/90) * 90; q < to; q += 90 {
		ps = append(ps, on(m.Centre, m.R, q))
	}
	return span(ps...)
}

func (m Text) bounds() Box { c := m.corners(); return span(c[:]...) }

func (m Group) bounds() Box {
	var ps []Point
	for _, c := range m.Marks {
		b := c.bounds()
		ps = append(ps, Point{b.X, b.Y}, Point{b.X + b.W, b.Y + b.H})
	}
	return span(ps...)
}

// Finite reports whether every number of a mark is one that a file can hold:
// none is NaN, and all lie within ±1e6 mm.
func Finite(m Mark) bool {
	b := m.bounds()
	for _, v := range []float64{b.X, b.Y, b.X + b.W, b.Y + b.H} {
		if !(math.Abs(v) < 1e6) {
			return false
		}
	}
	return true
}

// on returns the point at r from c in the direction of deg, anticlockwise on
// the paper; y counts down, hence the minus.
func on(c Point, r, deg float64) Point {
	s, co := math.Sincos(deg * math.Pi / 180)
	return Point{c.X + r*co, c.Y - r*s}
}

// corners returns the corners of the inked area of a text, turned with it.
func (m Text) corners() [4]Point {
	s := Clean(m.Text)
	w := Width(m.Face, m.Size, s)
	up, down := Extent(m.Face, m.Size, s)
	x0 := 0.0
	switch m.Anchor {
	case Centre:
		x0 = -w / 2
	case Right:
		x0 = -w
	}
	sin, cos := math.Sincos(m.Turn * math.Pi / 180)
	at := func(x, y float64) Point {
		return Point{m.At.X + x*cos + y*sin, m.At.Y - x*sin + y*cos}
	}
	return [4]Point{at(x0, -up), at(x0+w, -up), at(x0+w, down), at(x0, down)}
}
