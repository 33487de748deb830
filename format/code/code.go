// Package code draws QR codes and bar codes as marks of a page.
//
// It decides size, quiet zone and how modules are merged into rectangles. It
// takes for granted that the encoder library makes the modules by the standard
// (ISO/IEC 18004 for QR, ISO/IEC 15417 for Code 128). It leaves the wording to
// its callers; the text goes in as it is.
package code

import (
	"fmt"
	"image/color"

	"github.com/boombuler/barcode"
	"github.com/boombuler/barcode/code128"
	"github.com/boombuler/barcode/qr"

	"keyon/format/page"
)

// Quiet zones, in modules.
const (
	quietQR  = 4  // on all sides; ISO/IEC 18004, 9.1
	quietBar = 10 // left and right; ISO/IEC 15417, 4.3.2 (from memory)
)

// QR returns a QR code of side mm, quiet zone included, with its top left
// corner at 0, 0. About 15 % of it may be smeared (level M). A text longer than
// a code holds, some 2,300 bytes, is an error. Print a module no smaller than
// 0.35 mm for a phone, common practice: ModuleOf tells.
func QR(id, text string, side float64) (page.Group, error) {
	c, err := qr.Encode(text, qr.M, qr.Auto)
	if err != nil {
		return page.Group{}, fmt.Errorf("draw QR code: %w", err)
	}
	n := c.Bounds().Dx()
	m := side / float64(n+2*quietQR)
	g := page.Group{ID: id, Marks: []page.Mark{page.Rect{Class: page.White, Box: page.Box{W: side, H: side}}}}
	for _, r := range runs(c, n, n) {
		g.Marks = append(g.Marks, page.Rect{Class: page.Black, Box: page.Box{
			X: m * float64(quietQR+r.x), Y: m * float64(quietQR+r.y), W: m * float64(r.w), H: m * float64(r.h)}})
	}
	return g, nil
}

// ModuleOf returns the width of one module, mm, of the QR code of a text drawn
// at side mm; zero where there is no such code.
func ModuleOf(text string, side float64) float64 {
	c, err := qr.Encode(text, qr.M, qr.Auto)
	if err != nil {
		return 0
	}
	return side / float64(c.Bounds().Dx()+2*quietQR)
}

// Code128 returns a bar code, w by h mm, quiet zone included, with its top left
// corner at 0, 0. Texts outside ASCII or longer than 80 characters are an error.
func Code128(id, text string, w, h float64) (page.Group, error) {
	c, err := code128.Encode(text)
	if err != nil {
		return page.Group{}, fmt.Errorf("draw bar code: %w", err)
	}
	n := c.Bounds().Dx()
	m := w / float64(n+2*quietBar)
	g := page.Group{ID: id, Marks: []page.Mark{page.Rect{Class: page.White, Box: page.Box{W: w, H: h}}}}
	for _, r := range runs(c, n, 1) {
		g.Marks = append(g.Marks, page.Rect{Class: page.Black, Box: page.Box{X: m * float64(quietBar+r.x), W: m * float64(r.w), H: h}})
	}
	return g, nil
}

// run is a rectangle of dark modules.
type run struct{ x, y, w, h int }

// runs covers the dark modules with rectangles that don't overlap: runs along a
// row, joined with a run of the same extent right above.
func runs(c barcode.Barcode, w, h int) []run {
	var out []run
	above := map[[2]int]int{} // extent of a run in the row above → its place in out
	for y := range h {
		here := map[[2]int]int{}
		for x := 0; x < w; x++ {
			if !dark(c, x, y) {
				continue
			}
			from := x
			for x < w && dark(c, x, y) {
				x++
			}
			key := [2]int{from, x}
			i, ok := above[key]
			if ok {
				out[i].h++
			} else {
				i = len(out)
				out = append(out, run{from, y, x - from, 1})
			}
			here[key] = i
		}
		above = here
	}
	return out
}

func dark(c barcode.Barcode, x, y int) bool {
	return color.GrayModel.Convert(c.At(x, y)).(color.Gray).Y < 128
}
