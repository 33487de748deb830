// Package svg writes a page.Page as an SVG drawing.
//
// It decides how marks become SVG elements: lengths in millimetres, roles as
// CSS classes whose style follows page.StyleOf, IDs as data-id so that a web
// page links drawing, table row and finding. Colours come from the reader's
// surroundings (currentColor and the variables --paper, --stop, --look), so one
// drawing serves dark and light. It takes for granted that page measured the
// texts: each is held to its measured length, whatever font a viewer has.
// It leaves scripts and links to the page around it.
package svg

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"math"
	"strconv"
	"strings"

	"keyon/format/page"
)

// Options for Encode.
type Options struct {
	Title  string // read out by screen readers; blank: none
	Inline bool   // to be put into HTML, whose style sheet holds Style(): no XML head, no style of its own
}

// Encode returns the page as SVG. A page without size, or with a mark at no
// number, is refused.
func Encode(p page.Page, o Options) ([]byte, error) {
	if !(p.W > 0 && p.H > 0 && p.W < 1e6 && p.H < 1e6) {
		return nil, fmt.Errorf("write svg %q: the page is %v by %v mm", o.Title, p.W, p.H)
	}
	w := writer{}
	if !o.Inline {
		w.WriteString(xml.Header)
	}
	fmt.Fprintf(&w, `<svg xmlns="http://www.w3.org/2000/svg" class="drawing" role="img" viewBox="0 0 %s %s" width="%smm" height="%smm" xml:space="preserve">`,
		num(p.W), num(p.H), num(p.W), num(p.H))
	if o.Title != "" {
		fmt.Fprintf(&w, "<title>%s</title>", escape(page.Clean(o.Title)))
	}
	if !o.Inline {
		fmt.Fprintf(&w, "\n<style>\n%s%s</style>", scheme, Style())
	}
	w.WriteString("\n")
	if err := w.marks(p.Marks); err != nil {
		return nil, fmt.Errorf("write svg %q: %w", o.Title, err)
	}
	w.WriteString("</svg>\n")
	return w.Bytes(), nil
}

// scheme makes a drawing that stands alone follow the viewer's dark or light.
const scheme = `.drawing{color:#111;background:#fff;--paper:#fff;--stop:#b3261e;--look:#8a5a00}
@media (prefers-color-scheme:dark){.drawing{color:#e6e6e6;background:#16181b;--paper:#16181b;--stop:#ff8a80;--look:#ffc36b}}
@media print{.drawing{color:#000;background:#fff;--paper:#fff;--stop:#000;--look:#000}}
`

type writer struct{ bytes.Buffer }

func (w *writer) marks(marks []page.Mark) error {
	for _, m := range marks {
		if g, ok := m.(page.Group); ok {
			fmt.Fprintf(w, "<g%s>\n", attrs("g", g.ID, g.Class, ""))
			if err := w.marks(g.Marks); err != nil {
				return err
			}
			w.WriteString("</g>\n")
			continue
		}
		if !page.Finite(m) {
			return fmt.Errorf("%T at no number: %+v", m, m)
		}
		w.mark(m)
	}
	return nil
}

func (w *writer) mark(m page.Mark) {
	switch m := m.(type) {
	case page.Line:
		fmt.Fprintf(w, `<line%s x1="%s" y1="%s" x2="%s" y2="%s"/>`, attrs("l", m.ID, m.Class, ""), num(m.A.X), num(m.A.Y), num(m.B.X), num(m.B.Y))
	case page.Polyline:
		fmt.Fprintf(w, `<polyline%s points="%s"/>`, attrs("l", m.ID, m.Class, ""), points(m.Points))
	case page.Polygon:
		w.hatch(m, m.Class)
		fmt.Fprintf(w, `<polygon%s points="%s"/>`, attrs("s", m.ID, m.Class, ""), points(m.Points))
	case page.Rect:
		w.hatch(m, m.Class)
		b := m.Box
		x, y := math.Min(b.X, b.X+b.W), math.Min(b.Y, b.Y+b.H)
		fmt.Fprintf(w, `<rect%s x="%s" y="%s" width="%s" height="%s"/>`, attrs("s", m.ID, m.Class, ""), num(x), num(y), num(math.Abs(b.W)), num(math.Abs(b.H)))
	case page.Circle:
		w.hatch(m, m.Class)
		fmt.Fprintf(w, `<circle%s cx="%s" cy="%s" r="%s"/>`, attrs("s", m.ID, m.Class, ""), num(m.Centre.X), num(m.Centre.Y), num(math.Abs(m.R)))
	case page.Arc:
		w.arc(m)
	case page.Text:
		w.text(m)
	}
	w.WriteByte('\n')
}

func (w *writer) hatch(m page.Mark, c page.Class) {
	if !page.StyleOf(c).Hatch {
		return
	}
	var d strings.Builder
	for _, l := range page.HatchLines(m) {
		fmt.Fprintf(&d, "M%s %sL%s %s", num(l.A.X), num(l.A.Y), num(l.B.X), num(l.B.Y))
	}
	fmt.Fprintf(w, "<path%s d=\"%s\"/>\n", attrs("l", "", page.Fine, ""), d.String())
}

func (w *writer) arc(m page.Arc) {
	_, sweep := m.Span()
	if sweep == 360 { // a path whose ends meet would draw nothing
		fmt.Fprintf(w, `<circle%s cx="%s" cy="%s" r="%s"/>`, attrs("l", m.ID, m.Class, ""), num(m.Centre.X), num(m.Centre.Y), num(math.Abs(m.R)))
		return
	}
	a, b := m.Ends()
	large := 0
	if sweep > 180 {
		large = 1
	}
	fmt.Fprintf(w, `<path%s d="M%s %sA%s %s 0 %d 0 %s %s"/>`, attrs("l", m.ID, m.Class, ""), num(a.X), num(a.Y), num(math.Abs(m.R)), num(math.Abs(m.R)), large, num(b.X), num(b.Y))
}

func (w *writer) text(t page.Text) {
	s := page.Clean(t.Text)
	if s == "" || t.Size <= 0 {
		return
	}
	face := "f-" + t.Face.String()
	fmt.Fprintf(w, `<text%s x="%s" y="%s" font-size="%s"`, attrs("t", t.ID, t.Class, face), num(t.At.X), num(t.At.Y), num(t.Size))
	switch t.Anchor {
	case page.Centre:
		w.WriteString(` text-anchor="middle"`)
	case page.Right:
		w.WriteString(` text-anchor="end"`)
	}
	if length := page.Width(t.Face, t.Size, s); length > 0 {
		fmt.Fprintf(w, ` textLength="%s" lengthAdjust="spacingAndGlyphs"`, num(length))
	}
	if t.Turn != 0 {
		fmt.Fprintf(w, ` transform="rotate(%s %s %s)"`, num(-t.Turn), num(t.At.X), num(t.At.Y))
	}
	fmt.Fprintf(w, ">%s</text>", escape(s))
}

// attrs writes class and data-id. kind is g, l, s or t for group, line, shape
// and text: one role looks different on each.
func attrs(kind, id string, c page.Class, face string) string {
	var names []string
	for i, word := range strings.Fields(c.Words()) {
		if i == 0 {
			word = kind + "-" + word
		}
		names = append(names, word)
	}
	if face != "" {
		names = append(names, face)
	}
	s := ` class="` + escape(strings.Join(names, " ")) + `"`
	if id != "" {
		s += ` data-id="` + escape(page.Clean(id)) + `"`
	}
	return s
}

func points(ps []page.Point) string {
	var b strings.Builder
	for i, p := range ps {
		if i > 0 {
			b.WriteByte(' ')
		}
		b.WriteString(num(p.X) + "," + num(p.Y))
	}
	return b.String()
}

// num writes a length to a micrometre.
func num(v float64) string {
	r := math.Round(v*1000) / 1000
	if r == 0 {
		r = 0 // no "-0"
	}
	return strconv.FormatFloat(r, 'f', -1, 64)
}

func escape(s string) string {
	var b bytes.Buffer
	xml.EscapeText(&b, []byte(s)) // a bytes.Buffer never fails
	return b.String()
}
