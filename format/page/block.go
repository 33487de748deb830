package page

import "math"

// Sizes of writing, mm of em. Table text is 9 points, which reads at arm's
// length in this font; common practice is not to go under 2.2 mm on a bench.
const (
	BodySize    = 3.3
	HeadingSize = 4.4
	CaptionSize = 2.3
)

// Heading names what follows and stays with it; after four lines it is cut.
type Heading struct {
	ID   string
	Text string
}

// Paragraph is running text. Size is BodySize where it is zero.
type Paragraph struct {
	ID    string
	Class Class
	Text  string
	Face  Face
	Size  float64
}

// List sets items under each other, each behind its sign: a tick box, a bullet
// or a number, as Sign says.
type List struct {
	ID    string
	Items []string
	Sign  Sign
}

// Sign is what stands before an item of a list.
type Sign int

// The signs.
const (
	Bullet Sign = iota
	Tick        // an empty box to tick by hand
	Number
)

// NoteKind says how loud a note is.
type NoteKind int

// The kinds, told apart in black and white by rule, hatch and word.
const (
	Info    NoteKind = iota
	Caution          // harm to car or people is possible
	Halt             // don't go on
)

// Note is a box with a title and text.
type Note struct {
	ID    string
	Kind  NoteKind
	Title string // "Note", "Caution" or "Stop" where it is blank
	Text  string
}

func (h Heading) pieces(c column) []piece {
	lines := WrapTo(Bold, HeadingSize, h.Text, c.w, 4)
	marks := Lines(Bold, HeadingSize, lines, 0, 0, Plain)
	return []piece{{
		h:      float64(len(lines))*LineHeight*HeadingSize + 1*c.tight,
		before: 5 * c.tight,
		marks:  grouped(h.ID, within(marks, c.w)),
		stick:  true,
	}}
}

func (p Paragraph) pieces(c column) []piece {
	size := p.Size
	if size <= 0 {
		size = BodySize
	}
	return textPieces(p.ID, p.Class, p.Face, size, Wrap(p.Face, size, p.Text, c.w), 0, c, 2*c.tight)
}

// textPieces makes a piece of each line; two lines stay together at either end.
func textPieces(id string, class Class, f Face, size float64, lines []string, x float64, c column, before float64) []piece {
	out := make([]piece, len(lines))
	for i, l := range lines {
		out[i] = piece{
			h:     LineHeight * size,
			marks: grouped(id, within(Lines(f, size, []string{l}, x, 0, class), c.w)),
			stick: i+1 < len(lines) && (i == 0 || i+2 == len(lines)),
		}
	}
	out[0].before = before
	return out
}

func (l List) pieces(c column) []piece {
	const indent = 6.5 // mm, for the sign
	var out []piece
	for i, item := range l.Items {
		ps := textPieces("", Plain, Regular, BodySize, Wrap(Regular, BodySize, item, c.w-indent), indent, column{c.w, c.h, c.tight}, 1*c.tight)
		ps[0].marks = append(ps[0].marks, l.sign(i)...)
		out = append(out, ps...)
	}
	if len(out) > 0 {
		out[0].before = 2 * c.tight
	}
	for i := range out {
		out[i].marks = grouped(l.ID, out[i].marks)
	}
	return out
}

func (l List) sign(i int) []Mark {
	switch l.Sign {
	case Tick:
		return []Mark{Rect{Box: Box{0.5, 0.6, 3, 3}}}
	case Number:
		return []Mark{Text{At: Point{5, baseline * BodySize}, Text: itoa(i+1) + ".", Face: Bold, Size: BodySize, Anchor: Right}}
	}
	return []Mark{Circle{Class: Solid, Centre: Point{2.6, 0.6 * BodySize}, R: 0.6}}
}

func (n Note) pieces(c column) []piece {
	const pad, band = 2.2, 7.0
	title, class := n.Title, Plain
	switch n.Kind {
	case Caution:
		title, class = or(title, "Caution"), Look
	case Halt:
		title, class = or(title, "Stop"), Stop
	default:
		title = or(title, "Note")
	}
	w := c.w - band - 2*pad
	heads := WrapTo(Bold, BodySize, title, w, 3)
	var lines []string
	if n.Text != "" {
		lines = Wrap(Regular, BodySize, n.Text, w)
	}
	most := int((c.h-2*pad)/(LineHeight*BodySize)) - len(heads)
	var out []piece
	for first := true; first || len(lines) > 0; first = false {
		part := lines[:min(most, len(lines))]
		lines = lines[len(part):]
		h := float64(len(heads)+len(part))*LineHeight*BodySize + 2*pad
		area := Box{0, 0, c.w, h}
		marks := []Mark{n.band(Box{0, 0, band, h}), Rect{Class: class, Box: area}}
		marks = append(marks, n.sign(Point{band / 2, pad + LineHeight*BodySize/2})...)
		marks = append(marks, within(Lines(Bold, BodySize, heads, band+pad, pad, Plain), c.w)...)
		marks = append(marks, within(Lines(Regular, BodySize, part, band+pad, pad+float64(len(heads))*LineHeight*BodySize, Plain), c.w)...)
		out = append(out, piece{h: h, before: 3 * c.tight, marks: []Mark{Group{ID: n.ID, Class: class, Marks: marks}}})
	}
	return out
}

// band fills the strip at the left of a note.
func (n Note) band(b Box) Mark {
	switch n.Kind {
	case Caution:
		return Rect{Class: Tint, Box: b}
	case Halt:
		return Rect{Class: Solid, Box: b}
	}
	return Rect{Class: Shade, Box: b}
}

// sign draws the letter of the note in its band.
func (n Note) sign(at Point) []Mark {
	letter, class := "i", Plain
	switch n.Kind {
	case Caution:
		letter = "!"
	case Halt:
		letter, class = "×", Reverse
	}
	return []Mark{Text{Class: class, At: Point{at.X, at.Y + 0.36*4.4}, Text: letter, Face: Bold, Size: 4.4, Anchor: Centre}}
}

// pieces scales the drawing down to the column where it is too large; it
// never grows.
func (d Drawing) pieces(c column) []piece {
	k := math.Min(1, math.Min(c.w/d.W, c.h/d.H))
	if !(k > 0) || math.IsInf(k, 0) {
		return nil
	}
	return []piece{{h: d.H * k, before: 3 * c.tight, marks: Moved(d.Marks, k, (c.w-d.W*k)/2, 0)}}
}

// within gives each text a box from its left end to the right edge w.
func within(marks []Mark, w float64) []Mark {
	for i, m := range marks {
		if t, ok := m.(Text); ok {
			t.Box = Box{t.At.X, t.At.Y - baseline*t.Size, w - t.At.X, LineHeight * t.Size}
			marks[i] = t
		}
	}
	return marks
}

func grouped(id string, marks []Mark) []Mark {
	if id == "" || len(marks) == 0 {
		return marks
	}
	return []Mark{Group{ID: id, Marks: marks}}
}

func or(s, fallback string) string {
	if s == "" {
		return fallback
	}
	return s
}
