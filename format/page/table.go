package page

import (
	"math"
	"strconv"
	"strings"
)

// Column of a table.
//
// A column with a Width has just that, mm. The others take what their text
// needs and a little air; what remains is shared by Weight. Without weights the
// table stays narrow. Where there is too little, columns shrink towards their
// longest word and wrap.
type Column struct {
	Head   string
	Unit   string // in the head, under it
	Width  float64
	Weight float64
	Align  Align
	Face   Face
}

// Align says where the text of a column stands.
type Align int

// The alignments. Decimal lines numbers up on their decimal points; a cell
// that is no number stands to the right.
const (
	ToLeft Align = iota
	ToCentre
	ToRight
	Decimal
)

// RowKind says what a row is.
type RowKind int

// The kinds. A GroupHead shows its first cell over the whole width and never
// ends a page; a Total is bold under a rule.
const (
	Body RowKind = iota
	GroupHead
	Total
)

// Row of a table. Missing cells are empty, surplus ones are not drawn.
type Row struct {
	ID    string
	Kind  RowKind
	Class Class // of the writing
	Cells []string
}

// Table flows over pages: rows stay whole, the head is repeated and says
// "continued". A row higher than a page is cut between its lines.
type Table struct {
	ID      string
	Columns []Column
	Rows    []Row
	Size    float64 // of the writing, mm of em; TableSize where zero
	Zebra   bool    // shade every second row instead of ruling each
	Grid    bool    // rules between columns, for cells to be filled in by hand
	Tall    float64 // least height of a row, mm, for writing by hand
}

// TableSize is the em of table text, mm: 9 points.
const TableSize = 3.2

// TickBox is a cell to tick by hand; it is drawn larger than text.
const TickBox = "☐"

const (
	padX, padY = 1.3, 0.8 // mm, within a cell
	air        = 4        // mm, the most that a column gets beyond its text before weights share the rest
)

func (t Table) pieces(c column) []piece {
	if len(t.Columns) == 0 || len(t.Rows) == 0 {
		return nil
	}
	if t.Size <= 0 {
		t.Size = TableSize
	}
	l := layout{Table: t, c: c, pad: padY * c.tight, padX: padX}
	l.widths()
	head, again := l.head(""), l.head("continued")
	head.before = 3 * c.tight
	head.stick = true
	out := []piece{head}
	zebra := false
	for i, r := range t.Rows {
		if r.Kind == GroupHead {
			zebra = true
			again = l.head("continued")
		}
		for _, p := range l.row(r, zebra, c.h-again.h) {
			top := again // a copy: again changes with the group
			p.head = &top
			p.marks = grouped(r.ID, p.marks)
			// No row is left alone at either end of a page.
			p.stick = r.Kind == GroupHead || i == len(t.Rows)-2 || (i == 0 && len(t.Rows) > 1) || (i+1 < len(t.Rows) && t.Rows[i+1].Kind == Total)
			out = append(out, p)
		}
		zebra = !zebra
		if r.Kind == GroupHead { // rows that start a page say which group they are of
			group := out[len(out)-1]
			group.stick, group.head = true, nil
			again = merged([]piece{again, group})
		}
	}
	out[len(out)-1].stick = false
	if t.ID != "" {
		for i := range out {
			out[i].marks = grouped(t.ID, out[i].marks)
		}
	}
	return out
}

// layout is a table with its columns measured.
type layout struct {
	Table
	c     column
	pad   float64   // above and below the text of a cell
	padX  float64   // left and right of it
	x, w  []float64 // left edge and width of each column
	frac  []float64 // widest part behind the decimal point of each column
	full  float64   // width of all columns
	inset float64   // what numbers keep from the right edge beyond padX, so that they don't lean on the next column
}

func (l *layout) widths() {
	n := len(l.Columns)
	need, least := make([]float64, n), make([]float64, n)
	l.w, l.x, l.frac = make([]float64, n), make([]float64, n), make([]float64, n)
	room, weights := l.c.w, 0.0
	for i, col := range l.Columns {
		need[i], least[i] = l.measure(i)
		if col.Width > 0 {
			l.w[i] = col.Width
			room -= col.Width
			continue
		}
		weights += col.Weight
	}
	sumNeed, sumLeast, free := 0.0, 0.0, 0.0
	for i, col := range l.Columns {
		if col.Width <= 0 {
			free++
			sumNeed += need[i]
			sumLeast += least[i]
		}
	}
	spare, each := room-sumNeed, 0.0
	if free > 0 && spare > 0 {
		each = math.Min(air, spare/free)
		spare -= each * free
		l.inset = each / 2
	}
	for i, col := range l.Columns {
		if col.Width > 0 {
			continue
		}
		switch {
		case sumNeed <= room:
			l.w[i] = need[i] + each
			if weights > 0 {
				l.w[i] += spare * col.Weight / weights
			}
		case sumLeast <= room:
			l.w[i] = least[i] + (room-sumLeast)*(need[i]-least[i])/(sumNeed-sumLeast)
		default:
			l.w[i] = room * least[i] / sumLeast
		}
	}
	l.squeeze()
	for i := 1; i < n; i++ {
		l.x[i] = l.x[i-1] + l.w[i-1]
	}
}

// squeeze makes the columns fit where widths ask for too much: each keeps room
// for one letter, and where there is none even for that, the writing shrinks.
func (l *layout) squeeze() {
	n := float64(len(l.w))
	if k := l.c.w / (n * l.floor()); k < 1 {
		l.Size *= k
		l.padX *= k
		l.inset = 0
	}
	extra := 0.0 // beyond the floor, over all columns
	for i := range l.w {
		l.w[i] = math.Max(l.w[i], l.floor())
		extra += l.w[i] - l.floor()
	}
	if over := extra + n*l.floor() - l.c.w; over > 1e-6 && extra > 0 {
		k := math.Max(0, 1-over/extra)
		for i := range l.w {
			l.w[i] = l.floor() + (l.w[i]-l.floor())*k
		}
		l.inset = 0
	}
	l.full = 0
	for _, w := range l.w {
		l.full += w
	}
}

// floor is the least width of a column: the widest Latin letter, bold, with
// its padding.
func (l *layout) floor() float64 { return 2*l.padX + 1.1*l.Size }

// measure returns the width that column i needs for one-line cells and the
// least at which no word is broken.
func (l *layout) measure(i int) (need, least float64) {
	col := l.Columns[i]
	grow := func(f Face, size float64, s string) {
		for _, line := range strings.Split(s, "\n") {
			need = math.Max(need, Width(f, size, Clean(line)))
			for _, word := range Wrap(f, size, line, 0.7*l.c.w) {
				for _, part := range strings.Fields(word) {
					least = math.Max(least, Width(f, size, part))
				}
			}
		}
	}
	grow(Bold, l.headSize(), col.Head)
	grow(Regular, CaptionSize, col.Unit)
	whole := 0.0
	for _, r := range l.Rows {
		if r.Kind == GroupHead || i >= len(r.Cells) {
			continue
		}
		f := l.face(i, r.Kind)
		grow(f, l.Size, r.Cells[i])
		if col.Align == Decimal {
			before, behind, ok := number(r.Cells[i])
			if ok {
				whole = math.Max(whole, Width(f, l.Size, before))
				l.frac[i] = math.Max(l.frac[i], Width(f, l.Size, behind))
			}
		}
	}
	need = math.Max(need, whole+l.frac[i])
	least = math.Max(least, whole+l.frac[i])
	return need + 2*l.padX + 0.05, least + 2*l.padX + 0.05
}

func (l *layout) headSize() float64 { return l.Size * 0.88 }

func (l *layout) face(i int, k RowKind) Face {
	f := l.Columns[i].Face
	if k == Total && f == Regular {
		return Bold
	}
	return f
}

// number splits a plain number before its decimal point.
func number(s string) (before, behind string, ok bool) {
	s = Clean(s)
	if _, err := strconv.ParseFloat(strings.Replace(s, "−", "-", 1), 64); err != nil {
		return "", "", false
	}
	if i := strings.IndexByte(s, '.'); i >= 0 {
		return s[:i], s[i:], true
	}
	return s, "", true
}

// head draws the head of the table; a remark stands at the right above it.
func (l *layout) head(remark string) piece {
	size := l.headSize()
	texts := make([][]string, len(l.Columns))
	most, units := 1, false
	for i, col := range l.Columns {
		texts[i] = WrapTo(Bold, size, col.Head, l.w[i]-2*l.padX, 3)
		most = max(most, len(texts[i]))
		units = units || col.Unit != ""
	}
	top := 0.0
	var marks []Mark
	if remark != "" {
		marks = append(marks, Text{Class: Muted, At: Point{l.full, baseline * CaptionSize}, Text: remark, Face: Regular, Size: CaptionSize, Anchor: Right})
		top = LineHeight * CaptionSize
	}
	h := float64(most)*LineHeight*size + 2*l.pad
	if units {
		h += LineHeight * CaptionSize
	}
	marks = append(marks, Rect{Class: Shade, Box: Box{0, top, l.full, h}},
		Line{Class: Heavy, A: Point{0, top}, B: Point{l.full, top}},
		Line{A: Point{0, top + h}, B: Point{l.full, top + h}})
	for i, col := range l.Columns {
		y := top + l.pad + float64(most-len(texts[i]))*LineHeight*size
		align := col.Align
		if align == Decimal {
			align = ToRight
		}
		marks = append(marks, l.set(i, align, Bold, size, texts[i], y, Plain)...)
		if col.Unit != "" {
			unit := Ellipsis(Regular, CaptionSize, col.Unit, l.w[i]-2*l.padX)
			marks = append(marks, l.set(i, align, Regular, CaptionSize, []string{unit}, top+h-l.pad-LineHeight*CaptionSize, Fine)...)
		}
	}
	return piece{h: top + h, marks: append(marks, l.bars(top, h)...)}
}

// bars draws the rules between columns where the table has a grid.
func (l *layout) bars(y, h float64) []Mark {
	if !l.Grid {
		return nil
	}
	var out []Mark
	for i := 0; i <= len(l.x); i++ {
		x := l.full
		if i < len(l.x) {
			x = l.x[i]
		}
		out = append(out, Line{Class: Fine, A: Point{x, y}, B: Point{x, y + h}})
	}
	return out
}

// row cuts a row into pieces of at most most mm; nearly always one.
func (l *layout) row(r Row, shaded bool, most float64) []piece {
	if r.Kind == GroupHead {
		return l.group(r, most)
	}
	cells := make([][]string, len(l.Columns))
	lines := 1
	for i := range l.Columns {
		if i < len(r.Cells) && r.Cells[i] != "" {
			cells[i] = Wrap(l.face(i, r.Kind), l.Size, r.Cells[i], l.w[i]-2*l.padX)
			lines = max(lines, len(cells[i]))
		}
	}
	step := max(1, int((most-2*l.pad)/(LineHeight*l.Size)))
	var out []piece
	for from := 0; from < lines; from += step {
		n := min(step, lines-from)
		h := math.Max(float64(n)*LineHeight*l.Size+2*l.pad, l.Tall)
		var marks []Mark
		if l.Zebra && shaded {
			marks = append(marks, Rect{Class: Shade, Box: Box{0, 0, l.full, h}})
		}
		if r.Kind == Total {
			marks = append(marks, Line{A: Point{0, 0}, B: Point{l.full, 0}})
		}
		for i := range cells {
			if from >= len(cells[i]) {
				continue
			}
			part := cells[i][from:min(from+n, len(cells[i]))]
			marks = append(marks, l.set(i, l.Columns[i].Align, l.face(i, r.Kind), l.Size, part, (h-float64(n)*LineHeight*l.Size)/2, r.Class)...)
		}
		if !l.Zebra || r.Kind == Total {
			marks = append(marks, Line{Class: Fine, A: Point{0, h}, B: Point{l.full, h}})
		}
		out = append(out, piece{h: h, marks: append(marks, l.bars(0, h)...)})
	}
	return out
}

func (l *layout) group(r Row, most float64) []piece {
	text := ""
	if len(r.Cells) > 0 {
		text = r.Cells[0]
	}
	fit := max(1, int((most-3*l.pad)/(LineHeight*l.Size)))
	lines := WrapTo(Bold, l.Size, text, l.full-2*l.padX, min(fit, 4))
	above := 1.6 * l.pad
	h := above + float64(len(lines))*LineHeight*l.Size + l.pad
	marks := Lines(Bold, l.Size, lines, l.padX, above, r.Class)
	rule := h - 0.15 // clear of the shade of the row below
	marks = append(within(marks, l.full), Line{A: Point{0, rule}, B: Point{l.full, rule}})
	return []piece{{h: h, marks: marks}}
}

// set places lines in column i from the height y on.
func (l *layout) set(i int, a Align, f Face, size float64, lines []string, y float64, class Class) []Mark {
	box := Box{l.x[i], y, l.w[i], LineHeight * size}
	var out []Mark
	for _, line := range lines {
		if line != "" {
			t := Text{Class: class, At: Point{box.X + l.padX, box.Y + baseline*size}, Text: line, Face: f, Size: size, Box: box}
			if line == TickBox {
				t.Size, t.At.Y = 1.4*size, t.At.Y+0.1*size
				t.Box = Box{box.X, box.Y - 0.3*size, box.W, box.H + 0.6*size}
			}
			switch a {
			case ToCentre:
				t.At.X, t.Anchor = box.X+box.W/2, Centre
			case ToRight, Decimal:
				t.At.X, t.Anchor = box.X+box.W-l.padX, Right
				if l.Columns[i].Width <= 0 {
					t.At.X -= l.inset
				}
				if _, behind, ok := number(line); a == Decimal && ok {
					t.At.X += Width(f, size, behind) - l.frac[i]
				}
			}
			out = append(out, t)
		}
		box.Y += LineHeight * size
	}
	return out
}

func itoa(n int) string { return strconv.Itoa(n) }
