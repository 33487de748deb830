package pdf

import (
	"fmt"
	"math"

	"codeberg.org/go-pdf/fpdf"

	"keyon/format/page"
)

func (e *encoder) marks(marks []page.Mark) error {
	for _, m := range marks {
		if g, ok := m.(page.Group); ok {
			if err := e.marks(g.Marks); err != nil {
				return err
			}
			continue
		}
		if !page.Finite(m) {
			return fmt.Errorf("%T at no number: %+v", m, m)
		}
		e.mark(m)
	}
	return nil
}

func (e *encoder) mark(m page.Mark) {
	switch m := m.(type) {
	case page.Line:
		e.stroke(m.Class)
		e.f.Line(m.A.X, m.A.Y, m.B.X, m.B.Y)
	case page.Polyline:
		if len(m.Points) > 1 {
			e.stroke(m.Class)
			e.f.MoveTo(m.Points[0].X, m.Points[0].Y)
			for _, p := range m.Points[1:] {
				e.f.LineTo(p.X, p.Y)
			}
			e.f.DrawPath("D")
		}
	case page.Polygon:
		e.hatch(m, m.Class)
		if how := e.area(m.Class); len(m.Points) > 2 && how != "" {
			ps := make([]fpdf.PointType, len(m.Points))
			for i, p := range m.Points {
				ps[i] = fpdf.PointType{X: p.X, Y: p.Y}
			}
			e.f.Polygon(ps, how)
		}
	case page.Rect:
		e.hatch(m, m.Class)
		if how := e.area(m.Class); how != "" {
			e.f.Rect(m.Box.X, m.Box.Y, m.Box.W, m.Box.H, how)
		}
	case page.Circle:
		e.hatch(m, m.Class)
		if how := e.area(m.Class); how != "" {
			e.f.Circle(m.Centre.X, m.Centre.Y, m.R, how)
		}
	case page.Arc:
		e.stroke(m.Class)
		from, sweep := m.Span()
		e.f.Arc(m.Centre.X, m.Centre.Y, m.R, m.R, 0, from, from+sweep, "D")
	case page.Text:
		e.text(m)
	}
}

func (e *encoder) hatch(m page.Mark, c page.Class) {
	if page.StyleOf(c).Hatch {
		for _, l := range page.HatchLines(m) {
			e.mark(l)
		}
	}
}

// area sets fill and outline for a class and returns how fpdf shall paint:
// "D", "F", "FD", or "" for not at all.
func (e *encoder) area(c page.Class) string {
	s := page.StyleOf(c)
	how := ""
	if s.Fill != page.None {
		how = "F"
		if s.Fill != e.fill {
			e.fill = s.Fill
			g := level(s.Fill)
			e.f.SetFillColor(g, g, g)
		}
	}
	if s.Line != page.None {
		e.stroke(c)
		how += "D"
	}
	return how
}

// stroke sets the pen for a class.
func (e *encoder) stroke(c page.Class) {
	s := page.StyleOf(c)
	if grey := s.Stroke(); grey != e.line {
		e.line = grey
		g := level(grey)
		e.f.SetDrawColor(g, g, g)
	}
	if s.Width != e.width {
		e.width = s.Width
		e.f.SetLineWidth(s.Width)
	}
	if len(s.Dash) > 0 || e.dashed {
		e.dashed = len(s.Dash) > 0
		e.f.SetDashPattern(s.Dash, 0)
	}
}

func level(grey float64) int { return int(math.Round(grey * 255)) }

func (e *encoder) font(face page.Face, size float64) {
	if face < page.Regular || face > page.Mono {
		face = page.Regular
	}
	if face != e.face || size != e.size {
		e.face, e.size = face, size
		e.f.SetFont(face.String(), "", size*pt)
	}
}

func (e *encoder) text(t page.Text) {
	s := page.Clean(t.Text)
	if s == "" || t.Size <= 0 {
		return
	}
	if ink := page.StyleOf(t.Class).Ink; ink != e.ink {
		e.ink = ink
		g := level(ink)
		e.f.SetTextColor(g, g, g)
	}
	e.font(t.Face, t.Size)
	x := t.At.X
	switch t.Anchor {
	case page.Centre:
		x -= page.Width(t.Face, t.Size, s) / 2
	case page.Right:
		x -= page.Width(t.Face, t.Size, s)
	}
	if t.Turn == 0 {
		e.f.Text(x, t.At.Y, s)
		return
	}
	e.f.TransformBegin()
	e.f.TransformRotate(t.Turn, t.At.X, t.At.Y)
	e.f.Text(x, t.At.Y, s)
	e.f.TransformEnd()
}
