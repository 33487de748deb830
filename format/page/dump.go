package page

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Dump returns the document as text, a mark a line, for comparing and for
// golden files. Lengths are rounded to 0.01 mm.
func Dump(doc Document) string {
	var b strings.Builder
	fmt.Fprintf(&b, "document %q\n", doc.Title)
	if doc.Meta != (Meta{}) {
		fmt.Fprintf(&b, "meta subject %q author %q date %q\n", doc.Meta.Subject, doc.Meta.Author, doc.Meta.Date)
	}
	for i, p := range doc.Pages {
		fmt.Fprintf(&b, "page %d %s", i+1, nums(p.W, p.H))
		if p.Bookmark != "" {
			fmt.Fprintf(&b, " bookmark %q", p.Bookmark)
		}
		b.WriteByte('\n')
		dump(&b, p.Marks, "  ")
	}
	return b.String()
}

func dump(b *strings.Builder, marks []Mark, in string) {
	for _, m := range marks {
		b.WriteString(in)
		switch m := m.(type) {
		case Line:
			fmt.Fprintf(b, "line%s %s %s", tags(m.ID, m.Class), m.A, m.B)
		case Polyline:
			fmt.Fprintf(b, "polyline%s%s", tags(m.ID, m.Class), dumpPoints(m.Points))
		case Polygon:
			fmt.Fprintf(b, "polygon%s%s", tags(m.ID, m.Class), dumpPoints(m.Points))
		case Rect:
			fmt.Fprintf(b, "rect%s %s", tags(m.ID, m.Class), m.Box)
		case Circle:
			fmt.Fprintf(b, "circle%s %s r %s", tags(m.ID, m.Class), m.Centre, nums(m.R))
		case Arc:
			fmt.Fprintf(b, "arc%s %s r %s from %s to %s", tags(m.ID, m.Class), m.Centre, nums(m.R), nums(m.From), nums(m.To))
		case Text:
			fmt.Fprintf(b, "text%s %s %s %s %s", tags(m.ID, m.Class), m.At, m.Face, nums(m.Size), [...]string{"left", "centre", "right"}[min(max(m.Anchor, 0), 2)])
			if m.Turn != 0 {
				fmt.Fprintf(b, " turn %s", nums(m.Turn))
			}
			if !m.Box.None() {
				fmt.Fprintf(b, " in %s", m.Box)
			}
			fmt.Fprintf(b, " %q", Clean(m.Text))
		case Group:
			fmt.Fprintf(b, "group%s\n", tags(m.ID, m.Class))
			dump(b, m.Marks, in+"  ")
			continue
		}
		b.WriteByte('\n')
	}
}

func tags(id string, c Class) string {
	s := ""
	if id != "" {
		s += fmt.Sprintf(" #%s", strconv.Quote(id))
	}
	if c != "" {
		s += fmt.Sprintf(" .%s", strconv.Quote(string(c)))
	}
	return s
}

func (p Point) String() string { return nums(p.X, p.Y) }
func (b Box) String() string   { return nums(b.X, b.Y, b.W, b.H) }

func dumpPoints(ps []Point) string {
	s := ""
	for _, p := range ps {
		s += " " + p.String()
	}
	return s
}

// nums writes lengths with two decimals at most, joined by commas.
func nums(vs ...float64) string {
	parts := make([]string, len(vs))
	for i, v := range vs {
		r := math.Round(v*100) / 100
		if r == 0 {
			r = 0 // no "-0"
		}
		parts[i] = strconv.FormatFloat(r, 'f', -1, 64)
	}
	return strings.Join(parts, ",")
}
