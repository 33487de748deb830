package page

import (
	"fmt"
	"math"
)

// Size of a sheet, mm.
type Size struct{ W, H float64 }

// Sheet sizes, upright. ISO 216 for A4 and A3; US letter is 8.5 by 11 inches.
var (
	A4     = Size{210, 297}
	A3     = Size{297, 420}
	Letter = Size{215.9, 279.4}
)

// Landscape returns the size turned on its side.
func (s Size) Landscape() Size { return Size{s.H, s.W} }

// Frame is what stands around the content on each page of a paper: a tab with
// the paper's number and its title above, the title block below. Blank fields
// are left out; a blank Size is A4.
type Frame struct {
	Size     Size
	Number   string // of the paper, "F1-P03"
	Title    string
	Car      string
	Loom     string
	Revision string
	Units    string // "mm", "in"
	Date     string // given from outside; no clock is read
	Origin   string // what made the paper: program and version
	Banner   string // "NOT FOR BUILDING", or blank
	Status   string // one line: open items, what it was made from
}

// Margins, mm: the left one is wide enough for the holes of a binder.
const (
	marginLeft = 17
	margin     = 10
	tabHeight  = 9
	barHeight  = 7
	footHeight = 12
	clear      = 3 // between frame and content
)

func (f Frame) filled() Frame {
	if f.Size.W <= 0 || f.Size.H <= 0 {
		f.Size = A4
	}
	return f
}

// body returns the area left for content.
func (f Frame) body() Box {
	top := float64(margin + tabHeight + clear)
	if f.Banner != "" {
		top += barHeight + 1
	}
	bottom := float64(margin + footHeight + clear)
	if f.Status != "" {
		bottom += LineHeight*statusSize + 1
	}
	return Box{marginLeft, top, f.Size.W - marginLeft - margin, f.Size.H - top - bottom}
}

// marks draws the frame of page n of the paper's total.
func (f Frame) marks(n, total int) []Mark {
	left, right := float64(marginLeft), f.Size.W-margin
	var out []Mark

	y := float64(margin)
	tab := 0.0
	if f.Number != "" {
		num, size := Fit(Bold, 5.2, 2.6, f.Number, 0.4*(right-left))
		tab = Width(Bold, size, num) + 6
		box := Box{left, y, tab, tabHeight}
		out = append(out, Rect{Class: Solid, Box: box}, inBox(box, num, Bold, size, Centre, Reverse))
	}
	sheet := fmt.Sprintf("page %d of %d", n, total)
	sheetW := Width(Bold, 3.6, sheet) + 3
	out = append(out,
		In(Box{left + tab + 3, y, right - left - tab - 3 - sheetW, tabHeight}, f.Title, Bold, 5.2, 3.2, Left, Plain),
		inBox(Box{right - sheetW, y, sheetW, tabHeight}, sheet, Bold, 3.6, Right, Plain),
		Line{Class: Heavy, A: Point{left, y + tabHeight}, B: Point{right, y + tabHeight}})
	if f.Banner != "" {
		out = append(out, f.banner(Box{left, y + tabHeight + 1, right - left, barHeight})...)
	}
	return append(out, f.foot(Box{left, f.Size.H - margin - footHeight, right - left, footHeight})...)
}

// banner draws the warning bar: slanted lines at both ends, the words between.
func (f Frame) banner(b Box) []Mark {
	text, size := Fit(Bold, 5, 3, f.Banner, b.W-24)
	w := Width(Bold, size, text) + 8
	mid := Box{b.X + (b.W-w)/2, b.Y, w, b.H}
	return []Mark{
		Rect{Class: Hatch, Box: Box{b.X, b.Y, mid.X - b.X, b.H}},
		Rect{Class: Hatch, Box: Box{mid.X + w, b.Y, b.X + b.W - mid.X - w, b.H}},
		Rect{Class: Stop, Box: b},
		inBox(mid, text, Bold, size, Centre, Stop),
	}
}

// foot draws the title block and the status line above it.
func (f Frame) foot(b Box) []Mark {
	var out []Mark
	if f.Status != "" {
		h := LineHeight * statusSize
		out = append(out, In(Box{b.X, b.Y - h - 0.5, b.W, h}, f.Status, Regular, statusSize, CaptionSize, Left, Fine))
	}
	out = append(out, Line{Class: Heavy, A: Point{b.X, b.Y}, B: Point{b.X + b.W, b.Y}})
	type field struct{ caption, value string }
	var fields []field
	var needs []float64
	total := 0.0
	for _, v := range []field{{"car", f.Car}, {"loom", f.Loom}, {"revision", f.Revision}, {"units", f.Units}, {"date", f.Date}, {"made by", f.Origin}} {
		if v.value == "" {
			continue
		}
		need := math.Max(Width(Bold, entrySize, Clean(v.value))+2*entryInset, 15)
		fields, needs = append(fields, v), append(needs, need)
		total += need
	}
	x := b.X
	for i, v := range fields {
		w := (b.W - packWidth) * needs[i] / total
		if i > 0 {
			out = append(out, Line{Class: Fine, A: Point{x, b.Y + 1}, B: Point{x, b.Y + 10}})
		}
		out = append(out, entry(Box{x, b.Y, w, b.H}, v.caption, v.value)...)
		x += w
	}
	return out
}

const (
	entrySize  = 3.6 // mm of em
	entryInset = 1.3 // mm, on either side
	statusSize = 2.8 // mm of em
)

// entry draws one field of the title block: what it is, and below it what it says.
func entry(b Box, caption, value string) []Mark {
	return []Mark{
		In(Box{b.X + entryInset, b.Y + 0.9, b.W - 2*entryInset, 3}, caption, Regular, 2.2, 2.2, Left, Muted),
		In(Box{b.X + entryInset, b.Y + 4.2, b.W - 2*entryInset, 6}, value, Bold, entrySize, 2.2, Left, Plain),
	}
}

// packWidth is kept free at the right of the title block for the number of the
// sheet within the whole document.
const packWidth = 24

// packNumber writes which sheet of the document this is.
func packNumber(w, h float64, n, total int) []Mark {
	b := Box{w - margin - packWidth, h - margin - footHeight, packWidth, footHeight}
	rule := Line{Class: Fine, A: Point{b.X, b.Y + 1}, B: Point{b.X, b.Y + 10}}
	return append(entry(b, "sheet of pack", fmt.Sprintf("%d / %d", n, total)), rule)
}

// In sets a text on one line in the middle of a box: at size where it fits,
// smaller down to least, else cut with Dots. The box is the text's own.
func In(b Box, s string, f Face, size, least float64, a Anchor, class Class) Text {
	s, size = Fit(f, size, least, s, b.W)
	return inBox(b, s, f, size, a, class)
}

// inBox sets one line of text in the middle of a box's height.
func inBox(b Box, s string, f Face, size float64, a Anchor, class Class) Text {
	y := math.Min(b.H/2+0.36*size, b.H-(LineHeight-baseline)*size) // capitals in the middle, tails inside
	t := Text{Class: class, At: Point{b.X, b.Y + y}, Text: s, Face: f, Size: size, Anchor: a, Box: b}
	switch a {
	case Centre:
		t.At.X += b.W / 2
	case Right:
		t.At.X += b.W
	}
	return t
}
