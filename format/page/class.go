package page

import "strings"

// Class is the role of a mark. Its first word is one of the roles below and
// settles how the mark is drawn; further words are passed on to SVG, where a
// page may style them. An unknown role is drawn as Plain.
type Class string

// The roles. Print is black and grey only, so that no copier loses a meaning.
const (
	Plain   Class = ""        // outline or writing of ordinary weight
	Heavy   Class = "heavy"   // what the eye should find first
	Fine    Class = "fine"    // rules, grids
	Muted   Class = "muted"   // present but not pressing
	Hidden  Class = "hidden"  // dashed: behind or optional
	Middle  Class = "middle"  // chain line: centre lines, axes
	Solid   Class = "solid"   // filled black
	Tint    Class = "tint"    // filled mid grey, outlined
	Shade   Class = "shade"   // filled light grey, no outline
	Hatch   Class = "hatch"   // outlined, with slanted lines
	Blank   Class = "blank"   // filled with the paper's white, outlined
	Cover   Class = "cover"   // filled with the paper's white, no outline
	Reverse Class = "reverse" // white writing, for use on Solid
	Black   Class = "black"   // filled black on every screen: codes for a camera
	White   Class = "white"   // filled white on every screen: the ground of a code
	Stop    Class = "stop"    // don't build it so: heavy in print, coloured on screen
	Look    Class = "look"    // a person decides: plain in print, coloured on screen
)

// Role returns the first word of the class.
func (c Class) Role() Class {
	role, _, _ := strings.Cut(string(c), " ")
	return Class(role)
}

// Words returns the class as names that are safe in a style sheet: the role,
// "plain" where it is blank or unknown, then the further words, with
// everything but letters, digits and hyphens of ASCII left out.
func (c Class) Words() string {
	role := c.Role()
	if _, ok := styles[role]; !ok || role == Plain {
		role = "plain"
	}
	words := []string{string(role)}
	_, rest, _ := strings.Cut(string(c), " ")
	for _, w := range strings.Fields(rest) {
		w = strings.Map(func(r rune) rune {
			if r == '-' || r >= '0' && r <= '9' || r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' {
				return r
			}
			return -1
		}, w)
		if w != "" {
			words = append(words, w)
		}
	}
	return strings.Join(words, " ")
}

// None in a Style stands for "not drawn".
const None = -1

// Style says how a class is drawn. Greys run from 0, black, to 1, white.
type Style struct {
	Width float64   // of the line, mm
	Line  float64   // grey of the line, or None
	Fill  float64   // grey of the area, or None
	Ink   float64   // grey of writing
	Dash  []float64 // mm on, off, …; empty: unbroken
	Hatch bool      // slanted lines within the area
}

// Roles lists the roles in a fixed order, for encoders that write a style sheet.
var Roles = []Class{Plain, Heavy, Fine, Muted, Hidden, Middle, Solid, Tint, Shade, Hatch, Blank, Cover, Reverse, Black, White, Stop, Look}

// Line widths step by about 1.4, common practice in technical drawing.
var styles = map[Class]Style{
	Plain:   {Width: 0.25, Fill: None},
	Heavy:   {Width: 0.5, Fill: None},
	Fine:    {Width: 0.13, Line: 0.35, Fill: None, Ink: 0.15},
	Muted:   {Width: 0.18, Line: 0.5, Fill: None, Ink: 0.4},
	Hidden:  {Width: 0.18, Fill: None, Dash: []float64{1.6, 0.8}},
	Middle:  {Width: 0.13, Fill: None, Dash: []float64{4, 0.8, 0.6, 0.8}},
	Solid:   {Width: 0.25, Line: None, Fill: 0},
	Tint:    {Width: 0.18, Fill: 0.78},
	Shade:   {Width: 0.13, Line: None, Fill: 0.93},
	Hatch:   {Width: 0.18, Fill: None, Hatch: true},
	Blank:   {Width: 0.25, Fill: 1},
	Cover:   {Width: 0.13, Line: None, Fill: 1},
	Reverse: {Width: 0.25, Line: 1, Fill: None, Ink: 1},
	Black:   {Width: 0.25, Line: None, Fill: 0},
	White:   {Width: 0.25, Line: None, Fill: 1, Ink: 1},
	Stop:    {Width: 0.5, Fill: None},
	Look:    {Width: 0.35, Fill: None},
}

// Stroke returns the grey of an open stroke: that of the line, or that of the
// area for classes that have no outline.
func (s Style) Stroke() float64 {
	if s.Line == None {
		return s.Fill
	}
	return s.Line
}

// StyleOf returns the style of a class.
func StyleOf(c Class) Style {
	if s, ok := styles[c.Role()]; ok {
		return s
	}
	return styles[Plain]
}
