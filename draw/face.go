package draw

import (
	"math"

	"keyon/format/page"
	"keyon/model/buy"
)

// Face draws a connector from the wiring side, at most size mm wide, with
// the cavities where they really are. Used cavities are outlined heavily,
// unused ones hatched. What no figure is known for is said.
//
// Catalogue positions look at the front of the pin insert with +y to the main
// key; from behind it is the mirror image, and the rear of a socket insert is
// as given (MIL-STD-1560C 5.1, rear views derived).
func Face(c *buy.Connector, used map[string]bool, size float64) (d page.Drawing, side string) {
	cav := c.Part.Cavities
	flip := 1.0
	if c.Gender == "pin" {
		flip = -1
	}
	var far, gap float64 = 0, math.Inf(1)
	for i := range cav {
		far = max(far, math.Hypot(cav[i].X.MM(), cav[i].Y.MM()))
		for j := range i {
			gap = min(gap, math.Hypot((cav[i].X-cav[j].X).MM(), (cav[i].Y-cav[j].Y).MM()))
		}
	}
	if far == 0 || gap == 0 {
		return grid(c, used, size)
	}
	if math.IsInf(gap, 1) {
		gap = 2 * far
	}
	edge := far + 0.75*gap
	scale := (size/2 - 3) / edge
	mid := page.Point{X: size / 2, Y: size / 2}
	d = page.Drawing{W: size, H: size}
	d.Marks = append(d.Marks, page.Circle{ID: c.Name, Class: page.Heavy, Centre: mid, R: edge * scale})
	// The main key points up: the notch of the insert.
	d.Marks = append(d.Marks, page.Polygon{Class: page.Solid, Points: []page.Point{{X: mid.X - 2, Y: mid.Y - edge*scale}, {X: mid.X + 2, Y: mid.Y - edge*scale}, {X: mid.X, Y: mid.Y - edge*scale - 2.6}}})
	r := min(gap*scale*0.46, 6)
	for i := range cav {
		at := page.Point{X: mid.X + flip*cav[i].X.MM()*scale, Y: mid.Y - cav[i].Y.MM()*scale}
		d.Marks = append(d.Marks, hole(c.Name, cav[i].Name, at, r, used[cav[i].Name]))
	}
	return d, "seen from the wiring side, main key up"
}

func hole(connector, name string, at page.Point, r float64, used bool) page.Group {
	class := page.Class(page.Hatch)
	if used {
		class = page.Blank
	}
	g := page.Group{ID: connector + "." + name, Marks: []page.Mark{page.Circle{Class: class, Centre: at, R: r}}}
	face := page.Regular
	if used {
		face = page.Bold
	}
	text, em := page.Fit(face, min(1.3*r, 3.6), 1.2, name, 1.7*r)
	if !used { // writing stays clear of the hatching
		g.Marks = append(g.Marks, page.Circle{Class: page.Cover, Centre: at, R: 0.8 * r})
	}
	g.Marks = append(g.Marks, page.Text{At: page.Point{X: at.X, Y: at.Y + 0.36*em}, Text: text, Face: face, Size: em, Anchor: page.Centre})
	return g
}

// grid shows cavities whose positions nobody knows, in order, as such.
func grid(c *buy.Connector, used map[string]bool, size float64) (page.Drawing, string) {
	n := len(c.Part.Cavities)
	cols := int(math.Ceil(math.Sqrt(float64(n) * 1.6)))
	rows := (n + cols - 1) / cols
	step := min((size-6)/float64(cols), 12)
	d := page.Drawing{W: step*float64(cols) + 6, H: step*float64(rows) + 6}
	d.Marks = append(d.Marks, page.Rect{ID: c.Name, Class: page.Hidden, Box: page.Box{X: 1, Y: 1, W: d.W - 2, H: d.H - 2}})
	for i := range c.Part.Cavities {
		at := page.Point{X: 3 + step*(float64(i%cols)+0.5), Y: 3 + step*(float64(i/cols)+0.5)}
		d.Marks = append(d.Marks, hole(c.Name, c.Part.Cavities[i].Name, at, step*0.42, used[c.Part.Cavities[i].Name]))
	}
	return d, "cavities in order; the catalogue has no positions: look at the part"
}
