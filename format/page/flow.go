package page

import (
	"fmt"
	"math"
)

// Block is a piece of content that a Flow places: Heading, Paragraph, List,
// Note, Table, Drawing, Keep, Beside, Gap or Break.
type Block interface {
	// pieces cuts the block into what must not be parted.
	pieces(c column) []piece
}

// column is the room that a block is laid out for.
type column struct {
	w, h  float64 // mm
	tight float64 // 1, or less to save height: factor for gaps and paddings
}

// piece is the smallest part of a block that stays whole.
type piece struct {
	h      float64 // mm
	before float64 // gap above, dropped at the top of a page
	marks  []Mark  // with the origin at the top left of the piece
	stick  bool    // the next piece comes on the same page
	fresh  bool    // starts a page
	head   *piece  // repeated above this piece where it starts a page
}

// Flow places blocks over the pages of one paper.
type Flow struct {
	frame  Frame
	blocks []Block
}

// NewFlow starts a paper with the frame on each of its pages.
func NewFlow(f Frame) *Flow { return &Flow{frame: f.filled()} }

// Add appends blocks.
func (f *Flow) Add(blocks ...Block) { f.blocks = append(f.blocks, blocks...) }

// Room returns the area that blocks are placed in, for drawings made to measure.
func (f *Flow) Room() Box { return f.frame.body() }

// Count returns how many pages the paper takes, for a table of contents. A
// paper that lists such numbers keeps its own count if their columns have a
// fixed width.
func (f *Flow) Count() int { return len(f.pages()) }

// Bind lays out the papers in their order and numbers the pages of each. The
// same frames and blocks make the same document.
func Bind(title string, meta Meta, flows ...*Flow) Document {
	doc := Document{Title: title, Meta: meta}
	for _, f := range flows {
		doc.Pages = append(doc.Pages, f.pages()...)
	}
	for i := range doc.Pages {
		p := &doc.Pages[i]
		p.Marks = append(p.Marks, packNumber(p.W, p.H, i+1, len(doc.Pages))...)
	}
	return doc
}

// few is the share of a page's height under which a last page counts as
// nearly empty; common practice.
const few = 0.25

// pages lays the blocks out: at ordinary spacing; a little tighter where that
// saves a nearly empty last page; else with the last two pages balanced.
func (f *Flow) pages() []Page {
	body := f.frame.body()
	lay := func(tight float64) []piece {
		return stack(f.blocks, column{body.W, body.H, tight})
	}
	ps := lay(1)
	sheets := fill(ps, body.H, nil)
	for _, tight := range []float64{0.8, 0.6} {
		if n := len(sheets); n < 2 || height(sheets[n-1]) >= few*body.H {
			break
		}
		if tighter := fill(lay(tight), body.H, nil); len(tighter) < len(sheets) {
			sheets = tighter
			break
		}
	}
	sheets = balanced(ps, sheets, body.H)
	if len(sheets) == 0 {
		sheets = [][]placed{nil}
	}
	out := make([]Page, len(sheets))
	for i, sheet := range sheets {
		p := Page{W: f.frame.Size.W, H: f.frame.Size.H}
		if i == 0 {
			p.Bookmark = f.frame.bookmark()
		}
		p.Marks = append(p.Marks, f.frame.marks(i+1, len(sheets))...)
		for _, q := range sheet {
			p.Marks = append(p.Marks, Moved(q.marks, 1, body.X, body.Y+q.y)...)
		}
		out[i] = p
	}
	return out
}

// balanced moves content from the last but one page to a nearly empty last one.
func balanced(ps []piece, sheets [][]placed, h float64) [][]placed {
	n := len(sheets)
	if n < 2 || height(sheets[n-1]) >= few*h || sheets[n-1][0].fresh {
		return sheets
	}
	limits := make([]float64, n)
	for i := range limits {
		limits[i] = h
	}
	for share := 0.5; share < 0.85; share += 0.05 {
		limits[n-2] = share * h
		if b := fill(ps, h, limits); len(b) == n && height(b[n-1]) >= few*h {
			return b
		}
	}
	return sheets
}

// placed is a piece on its page.
type placed struct {
	piece
	y float64
}

func height(sheet []placed) float64 {
	if len(sheet) == 0 {
		return 0
	}
	last := sheet[len(sheet)-1]
	return last.y + last.h
}

// fill puts pieces on pages of height h, or of limits[i] for page i.
func fill(ps []piece, h float64, limits []float64) [][]placed {
	var sheets [][]placed
	var sheet []placed
	y := 0.0
	turn := func() {
		sheets = append(sheets, sheet)
		sheet, y = nil, 0
	}
	for i := 0; i < len(ps); {
		end := i + 1
		for end < len(ps) && ps[end-1].stick && !ps[end].fresh {
			end++
		}
		room := h
		if len(sheets) < len(limits) {
			room = limits[len(sheets)]
		}
		need := run(ps[i:end], len(sheet) == 0)
		if len(sheet) > 0 && (ps[i].fresh || y+need > room+0.001) {
			turn()
		}
		for ; i < end; i++ {
			p := ps[i]
			gap := p.before
			if len(sheet) > 0 && y+gap+p.h > h+0.001 { // a chain longer than a page
				turn()
			}
			if len(sheet) == 0 {
				gap = 0
				if p.head != nil {
					sheet = append(sheet, placed{*p.head, 0})
					y = p.head.h
				}
			}
			sheet = append(sheet, placed{p, y + gap})
			y += gap + p.h
		}
	}
	if len(sheet) > 0 {
		sheets = append(sheets, sheet)
	}
	return sheets
}

// run returns the height of pieces under each other.
func run(ps []piece, top bool) float64 {
	h := 0.0
	for i, p := range ps {
		switch {
		case i > 0 || !top:
			h += p.before
		case p.head != nil:
			h += p.head.h
		}
		h += p.h
	}
	return h
}

// stack cuts blocks into pieces; a Break or Gap acts on the block after it.
func stack(blocks []Block, c column) []piece {
	var out []piece
	gap, fresh := 0.0, false
	for _, b := range blocks {
		switch b := b.(type) {
		case Break:
			fresh = true
			continue
		case Gap:
			gap += b.H * c.tight
			continue
		}
		ps := b.pieces(c)
		if len(ps) == 0 {
			continue
		}
		ps[0].before += gap
		ps[0].fresh = ps[0].fresh || fresh
		gap, fresh = 0, false
		out = append(out, ps...)
	}
	return out
}

// merged makes one piece of several.
func merged(ps []piece) piece {
	var m piece
	for i, p := range ps {
		if i == 0 {
			m.before, m.fresh = p.before, p.fresh
		} else {
			m.h += p.before
		}
		m.marks = append(m.marks, Moved(p.marks, 1, 0, m.h)...)
		m.h += p.h
		m.stick = p.stick
	}
	return m
}

// Keep holds its blocks on one page; a Break within has no effect. Blocks
// higher than a page start a fresh one and flow on.
type Keep struct{ Blocks []Block }

func (k Keep) pieces(c column) []piece {
	ps := stack(k.Blocks, c)
	if len(ps) == 0 {
		return nil
	}
	if run(ps, true) <= c.h {
		return []piece{merged(ps)}
	}
	ps[0].fresh = true
	return ps
}

// Beside sets two columns of blocks next to each other; Share is the left
// one's part of the width, 0.5 where it is zero. Columns that are higher than
// a page, or narrower than 30 mm, are set one after the other instead.
type Beside struct {
	Left, Right []Block
	Share       float64
}

const (
	gutter = 6  // mm, parts two columns
	narrow = 30 // mm, the least width of a column
)

func (b Beside) pieces(c column) []piece {
	share := b.Share
	if share <= 0 || share >= 1 {
		share = 0.5
	}
	wl := (c.w - gutter) * share
	if wl < narrow || c.w-gutter-wl < narrow {
		return append(stack(b.Left, c), stack(b.Right, c)...)
	}
	left := stack(b.Left, column{wl, c.h, c.tight})
	right := stack(b.Right, column{c.w - gutter - wl, c.h, c.tight})
	if run(left, true) > c.h || run(right, true) > c.h {
		return append(stack(b.Left, c), stack(b.Right, c)...)
	}
	l, r := merged(left), merged(right)
	return []piece{{
		h:      math.Max(l.h, r.h),
		before: math.Max(l.before, r.before),
		marks:  append(l.marks, Moved(r.marks, 1, wl+gutter, 0)...),
	}}
}

// Break starts a new page with the block after it.
type Break struct{}

// Gap leaves more room above the block after it, mm.
type Gap struct{ H float64 }

func (Break) pieces(column) []piece { return nil } // see stack
func (Gap) pieces(column) []piece   { return nil }

func (f Frame) bookmark() string {
	if f.Number == "" {
		return f.Title
	}
	return fmt.Sprintf("%s %s", f.Number, f.Title)
}
