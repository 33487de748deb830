package sums

import (
	"fmt"

	"keyon/format/page"
	"keyon/format/svg"
)

// pictureSide is how wide the picture of a bundle is drawn, mm.
const pictureSide = 80

// Picture draws the wires where they lie, as SVG to be put into a page.
func (x *BundleAnswer) Picture() ([]byte, error) {
	scale := (pictureSide - 2) / x.DiameterMM
	mid := page.Point{X: pictureSide / 2, Y: pictureSide / 2}
	p := page.Page{W: pictureSide, H: pictureSide, Marks: []page.Mark{page.Circle{Class: page.Heavy, Centre: mid, R: x.DiameterMM * scale / 2}}}
	for _, c := range x.Circles {
		p.Marks = append(p.Marks, page.Circle{Class: page.Tint, Centre: page.Point{X: mid.X + c.X*scale, Y: mid.Y - c.Y*scale}, R: c.D * scale / 2})
	}
	return svg.Encode(p, svg.Options{Title: fmt.Sprintf("%d wires in a circle of %.2f mm", len(x.Circles), x.DiameterMM), Inline: true})
}
