package page

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// Problem is something on a page that a reader could not read.
type Problem struct {
	Page int    // from 1
	Kind string // "overlap", "outside box", "outside page" or "not a number"
	ID   string // of the mark or its nearest group
	Text string // what is written there, or the kind of mark
	With string // the other text of an overlap
}

func (p Problem) String() string {
	s := fmt.Sprintf("page %d: %s: %q", p.Page, p.Kind, p.Text)
	if p.With != "" {
		s += fmt.Sprintf(" and %q", p.With)
	}
	if p.ID != "" {
		s += " in " + p.ID
	}
	return s
}

// Tolerances of Check, mm: what no eye sees.
const (
	touchSlack = 0.05
	boxSlack   = 0.05
)

// Check returns texts that run over each other, texts outside their box, and
// marks outside the page, in the order of pages and marks. The extent of a
// text is that of its ink.
func Check(doc Document) []Problem {
	var out []Problem
	for i, p := range doc.Pages {
		c := checker{page: i + 1, sheet: Box{0, 0, p.W, p.H}, cells: map[cell][]int{}}
		c.walk(p.Marks, "")
		out = append(out, c.problems...)
	}
	return out
}

// writing is a text as Check sees it.
type writing struct {
	id, text string
	at       [4]Point
	area     Box
}

type cell struct{ x, y int }

// cellSize of the grid that finds neighbours, mm.
const cellSize = 12

type checker struct {
	page     int
	sheet    Box
	texts    []writing
	cells    map[cell][]int
	problems []Problem
}

func (c *checker) tell(kind, id, text, with string) {
	c.problems = append(c.problems, Problem{c.page, kind, id, text, with})
}

func (c *checker) walk(marks []Mark, id string) {
	for _, m := range marks {
		own, name, half := describe(m)
		own = or(own, id)
		if g, ok := m.(Group); ok {
			c.walk(g.Marks, own)
			continue
		}
		if !Finite(m) {
			c.tell("not a number", own, name, "")
			continue
		}
		b := m.bounds()
		b = Box{b.X - half, b.Y - half, b.W + 2*half, b.H + 2*half}
		if !c.sheet.Holds(b, 1e-6) {
			c.tell("outside page", own, name, "")
		}
		if t, ok := m.(Text); ok {
			c.text(t, own)
		}
	}
}

// describe returns a mark's ID, a name for messages and half its line width.
func describe(m Mark) (id, name string, half float64) {
	stroke := func(c Class) float64 {
		s := StyleOf(c)
		if s.Line == None {
			return 0
		}
		return s.Width / 2
	}
	switch m := m.(type) {
	case Line:
		return m.ID, "line", stroke(m.Class)
	case Polyline:
		return m.ID, "polyline", stroke(m.Class)
	case Polygon:
		return m.ID, "polygon", stroke(m.Class)
	case Rect:
		return m.ID, "rectangle", stroke(m.Class)
	case Circle:
		return m.ID, "circle", stroke(m.Class)
	case Arc:
		return m.ID, "arc", stroke(m.Class)
	case Text:
		return m.ID, Clean(m.Text), 0
	case Group:
		return m.ID, "group", 0
	}
	return "", "", 0
}

func (c *checker) text(t Text, id string) {
	s := Clean(t.Text)
	w := writing{id: id, text: s, at: t.corners()}
	w.area = span(w.at[:]...)
	if w.at[0] == w.at[1] || w.at[0] == w.at[3] { // no ink
		return
	}
	if !t.Box.None() && !t.Box.Holds(w.area, boxSlack) {
		c.tell("outside box", id, s, "")
	}
	var near []int
	for _, k := range cellsOf(w.area, c.sheet) {
		near = append(near, c.cells[k]...)
		c.cells[k] = append(c.cells[k], len(c.texts))
	}
	slices.Sort(near)
	for _, i := range slices.Compact(near) {
		if overlap(c.texts[i], w) {
			c.tell("overlap", id, s, c.texts[i].text)
		}
	}
	c.texts = append(c.texts, w)
}

// cellsOf lists the grid cells of an area, clipped to the sheet: what lies
// outside is told anyway, and a hostile text must not fill the memory.
func cellsOf(b, sheet Box) []cell {
	clamp := func(v, most float64) int {
		return int(math.Max(-1, math.Min(v, most+cellSize)) / cellSize)
	}
	var out []cell
	for x := clamp(b.X, sheet.W); x <= clamp(b.X+b.W, sheet.W); x++ {
		for y := clamp(b.Y, sheet.H); y <= clamp(b.Y+b.H, sheet.H); y++ {
			out = append(out, cell{x, y})
		}
	}
	return out
}

// overlap tells whether two turned rectangles share more than a hair: on no
// side of either is there a line that parts them.
func overlap(a, b writing) bool {
	for _, q := range [2][4]Point{a.at, b.at} {
		for i := range 2 {
			n := Point{q[i+1].X - q[i].X, q[i+1].Y - q[i].Y}
			l := math.Hypot(n.X, n.Y)
			if l == 0 {
				continue
			}
			aLo, aHi := along(a.at, n, l)
			bLo, bHi := along(b.at, n, l)
			if aHi-bLo < touchSlack || bHi-aLo < touchSlack {
				return false
			}
		}
	}
	return true
}

func along(q [4]Point, n Point, l float64) (lo, hi float64) {
	var d [4]float64
	for i, p := range q {
		d[i] = (p.X*n.X + p.Y*n.Y) / l
	}
	return slices.MinFunc(d[:], cmp.Compare), slices.MaxFunc(d[:], cmp.Compare)
}
