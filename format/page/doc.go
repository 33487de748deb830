// Package page holds a drawing as data: pages of lines, arcs and texts in
// millimetres, x to the right and y down from the top left corner.
//
// It decides what a mark is, how wide a text runs (from the embedded font, so
// that every encoder agrees), how text is cut, shrunk or wrapped, how tables
// and blocks flow over framed pages, and what our sheets look like: a clear
// shop drawing in black and greys that survives any printer.
// It takes for granted that the encoders (format/pdf, format/svg) draw each
// class as StyleOf says and use the faces of this package.
// It leaves the wording and the choice of papers to draw. It knows no car.
//
// A paper is made of blocks; a document binds papers:
//
//	f := page.NewFlow(page.Frame{Size: page.A4, Number: "F1-P03", Title: "Pin sheet", Car: "Tern", Date: "2026-11-25"})
//	f.Add(page.Heading{Text: "Cavities"}, page.Table{Columns: ..., Rows: ...})
//	doc := page.Bind("Tern, loom F1", page.Meta{}, f)
//	problems := page.Check(doc) // empty, or the paper is wrong
//	bytes, err := pdf.Encode(doc)
package page
