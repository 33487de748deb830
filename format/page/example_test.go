package page_test

import (
	"fmt"

	"keyon/format/page"
	"keyon/format/pdf"
)

func Example() {
	f := page.NewFlow(page.Frame{
		Size: page.A4, Number: "F1-P03", Title: "Pin sheet: fuel pump relay",
		Car: "Tern", Loom: "F1 front", Revision: "3", Units: "mm", Date: "2026-11-25",
		Banner: "NOT FOR BUILDING", Status: "2 open items, see the cover of this pack",
	})
	face := page.Drawing{W: 40, H: 20, Marks: []page.Mark{
		page.Rect{ID: "K4", Class: page.Heavy, Box: page.Box{X: 1, Y: 1, W: 38, H: 18}},
		page.Text{At: page.Point{X: 20, Y: 12}, Text: "30", Face: page.Mono, Size: 4, Anchor: page.Centre},
	}}
	f.Add(
		page.Note{Kind: page.Caution, Text: "Battery isolated first."},
		page.Keep{Blocks: []page.Block{ // a connector stays on one page
			page.Heading{Text: "Cavities"},
			page.Beside{Share: 0.3, Left: []page.Block{face}, Right: []page.Block{page.Table{
				Columns: []page.Column{
					{Head: "Pin", Face: page.Mono},
					{Head: "Circuit", Weight: 1},
					{Head: "Area", Unit: "mm²", Align: page.Decimal},
				},
				Rows: []page.Row{
					{ID: "K4.30", Cells: []string{"30", "fuel pump feed", "2.5"}},
					{ID: "K4.86", Cells: []string{"86", "pump request", "0.35"}},
				},
			}}},
		}},
	)
	doc := page.Bind("Tern, loom F1", page.Meta{Date: "2026-11-25"}, f)
	b, err := pdf.Encode(doc)
	fmt.Println(len(doc.Pages), "page,", len(page.Check(doc)), "problems,", len(b) > 10_000, err)
	// Output: 1 page, 0 problems, true <nil>
}
