// Package pdf writes a page.Document as a PDF file.
//
// It decides how a mark becomes PDF: the same greys, widths and dashes as
// page.StyleOf, fonts embedded as subsets, a bookmark for each paper. It takes
// for granted that page measured the texts; nothing is laid out here. It
// leaves dates to the document, so the same document makes the same bytes.
package pdf

import (
	"bytes"
	"fmt"
	"time"

	"codeberg.org/go-pdf/fpdf"

	"keyon/format/page"
)

// pt is the number of points in a millimetre.
const pt = 72 / 25.4

// fixed is the date of a document that names none: PDF readers expect one, and
// a clock would change the bytes.
var fixed = time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)

// Encode returns the document as PDF. A document without pages, with a page
// outside 1 to 5000 mm, or with a mark at no number is refused.
func Encode(doc page.Document) ([]byte, error) {
	if len(doc.Pages) == 0 {
		return nil, fmt.Errorf("write pdf %q: no pages", doc.Title)
	}
	f := fpdf.NewCustom(&fpdf.InitType{UnitStr: "mm", Size: fpdf.SizeType{Wd: doc.Pages[0].W, Ht: doc.Pages[0].H}})
	f.SetCatalogSort(true)
	f.SetAutoPageBreak(false, 0)
	f.SetMargins(0, 0, 0)
	f.AliasNbPages("") // no placeholder: a text with its letters stays as it is
	date := fixed
	if d, err := time.Parse(time.DateOnly, doc.Meta.Date); err == nil {
		date = d
	}
	f.SetCreationDate(date)
	f.SetModificationDate(date)
	f.SetProducer("keyon", true)
	f.SetLang("en")
	f.SetTitle(page.Clean(doc.Title), true)
	if doc.Meta.Subject != "" {
		f.SetSubject(page.Clean(doc.Meta.Subject), true)
	}
	if doc.Meta.Author != "" {
		f.SetAuthor(page.Clean(doc.Meta.Author), true)
	}
	for _, face := range []page.Face{page.Regular, page.Bold, page.Mono} {
		f.AddUTF8FontFromBytes(face.String(), "", bytes.Clone(face.TTF())) // fpdf writes into the bytes while it cuts the font
	}
	e := encoder{f: f}
	for i, p := range doc.Pages {
		if !(p.W >= 1 && p.W <= 5000 && p.H >= 1 && p.H <= 5000) {
			return nil, fmt.Errorf("write pdf %q: page %d is %v by %v mm", doc.Title, i+1, p.W, p.H)
		}
		f.AddPageFormat("P", fpdf.SizeType{Wd: p.W, Ht: p.H})
		e.reset()
		if p.Bookmark != "" {
			e.font(page.Regular, page.BodySize) // the encoding of a bookmark is that of the font in force
			f.Bookmark(page.Clean(p.Bookmark), 0, 0)
		}
		if err := e.marks(p.Marks); err != nil {
			return nil, fmt.Errorf("write pdf %q: page %d: %w", doc.Title, i+1, err)
		}
	}
	var out bytes.Buffer
	if err := f.Output(&out); err != nil {
		return nil, fmt.Errorf("write pdf %q: %w", doc.Title, err)
	}
	return out.Bytes(), nil
}

// encoder remembers what the page's state is, to write only changes.
type encoder struct {
	f               *fpdf.Fpdf
	width, line     float64
	fill, ink, size float64
	dashed          bool
	face            page.Face
}

func (e *encoder) reset() {
	e.width, e.line, e.fill, e.ink, e.size = -2, -2, -2, -2, -2
	e.dashed = true
	e.f.SetLineCapStyle("round")
	e.f.SetLineJoinStyle("round")
}
