package draw

import (
	"math"

	"keyon/format/page"
	"keyon/model/buy"
)

// Face draws a connector as the person sees it who fills it: from the wiring
// side, the cavities where they really are, at most size mm wide. Cavities to
// fill are outlined and bold, unused ones hatched. side says what is drawn.
//
// Catalogue positions look at the front of the pin insert, main key up: the
// rear of a pin insert is the mirror image, the rear of a socket insert as
// given (MIL-STD-1560C 5.1, rear views derived). Minor keys run anticlockwise
// from the main key when one looks into the receptacle, so that from behind
// they run anticlockwise on a plug and clockwise on a receptacle
// (MIL-DTL-38999N fig. 6).
func Face(k *buy.Connector, size float64) (d page.Drawing, side string) {
	cavities := k.Part.Cavities
	var far, gap float64 = 0, math.Inf(1)
	for i := range cavities {
		far = max(far, math.Hypot(cavities[i].X.MM(), cavities[i].Y.MM()))
		for j := range i {
			gap = min(gap, math.Hypot((cavities[i].X-cavities[j].X).MM(), (cavities[i].Y-cavities[j].Y).MM()))
		}
	}
	if far == 0 || gap == 0 {
		return grid(k, size)
	}
	if math.IsInf(gap, 1) {
		gap = 2 * far
	}
	edge := far + 0.75*gap
	scale := (size/2 - 4) / edge
	mid := page.Point{X: size / 2, Y: size / 2}
	d = page.Drawing{W: size, H: size}
	d.Marks = append(d.Marks, page.Circle{ID: k.Name, Class: page.Heavy, Centre: mid, R: edge * scale})
	d.Marks = append(d.Marks, keys(k, mid, edge*scale)...)
	used := fills(k)
	r := min(gap*scale*0.46, 6)
	for i := range cavities {
		at := page.Point{X: mid.X + mirror(k.Gender)*cavities[i].X.MM()*scale, Y: mid.Y - cavities[i].Y.MM()*scale}
		d.Marks = append(d.Marks, hole(k.Name, cavities[i].Name, at, r, used[cavities[i].Name]))
	}
	return d, "seen from the wiring side, main key up"
}

// mirror is the sign of x when an insert is seen from behind.
func mirror(gender string) float64 {
	if gender == "pin" {
		return -1
	}
	return 1
}

// keys draws the main key as a large notch at the top and the minor keys as
// small ones. Which way the minor keys run is known for plugs and mounted
// halves only; for others they are left out.
func keys(k *buy.Connector, mid page.Point, r float64) []page.Mark {
	notch := func(deg, wide, high float64, class page.Class) page.Mark {
		s, c := math.Sincos(deg * math.Pi / 180)
		at := func(along, out float64) page.Point { // deg runs anticlockwise from the top
			return page.Point{X: mid.X - s*(r+out) + c*along, Y: mid.Y - c*(r+out) - s*along}
		}
		return page.Polygon{Class: class, Points: []page.Point{at(-wide, 0), at(wide, 0), at(0, high)}}
	}
	out := []page.Mark{notch(0, 2.2, 3.2, page.Solid)}
	turn := 0.0
	switch {
	case k.Free:
		turn = 1
	case k.Fixed:
		turn = -1
	}
	if turn != 0 && k.Part.Outline == "round" {
		for _, a := range k.Part.KeyAngles[k.Key] {
			out = append(out, notch(turn*a, 1, 1.8, page.Solid))
		}
	}
	return out
}

func hole(connector, name string, at page.Point, r float64, used bool) page.Group {
	class := page.Class(page.Hatch)
	face := page.Regular
	if used {
		class, face = page.Blank, page.Bold
	}
	g := page.Group{ID: connector + "." + name, Marks: []page.Mark{page.Circle{Class: class, Centre: at, R: r}}}
	text, em := page.Fit(face, min(1.3*r, 4.2), 1.2, name, 1.7*r)
	if !used { // writing stays clear of the hatching
		g.Marks = append(g.Marks, page.Circle{Class: page.Cover, Centre: at, R: 0.8 * r})
	}
	g.Marks = append(g.Marks, page.Text{At: page.Point{X: at.X, Y: at.Y + 0.36*em}, Text: text, Face: face, Size: em, Anchor: page.Centre})
	return g
}

// grid shows cavities whose positions nobody knows, in order, as such.
func grid(k *buy.Connector, size float64) (page.Drawing, string) {
	n := max(1, len(k.Part.Cavities))
	cols := int(math.Ceil(math.Sqrt(float64(n) * 1.6)))
	rows := (n + cols - 1) / cols
	step := min((size-6)/float64(cols), 16)
	d := page.Drawing{W: step*float64(cols) + 6, H: step*float64(rows) + 6}
	d.Marks = append(d.Marks, page.Rect{ID: k.Name, Class: page.Hidden, Box: page.Box{X: 1, Y: 1, W: d.W - 2, H: d.H - 2}})
	used := fills(k)
	for i := range k.Part.Cavities {
		at := page.Point{X: 3 + step*(float64(i%cols)+0.5), Y: 3 + step*(float64(i/cols)+0.5)}
		d.Marks = append(d.Marks, hole(k.Name, k.Part.Cavities[i].Name, at, step*0.42, used[k.Part.Cavities[i].Name]))
	}
	return d, "cavities in order of their names: no positions are known, look at the part"
}

// fills is the set of cavities that get a wire.
func fills(k *buy.Connector) map[string]bool {
	out := make(map[string]bool, len(k.Fills))
	for i := range k.Fills {
		out[k.Fills[i].Cavity] = true
	}
	return out
}
