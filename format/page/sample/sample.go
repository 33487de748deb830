// Package sample holds a pack of papers with every kind of block and mark, and
// texts that a careless encoder breaks on. The encoders' tests draw them; no
// program does.
package sample

import (
	"fmt"
	"strings"

	"keyon/format/page"
)

// Pack is a pack of three papers with every kind of block and mark.
func Pack() page.Document {
	frame := page.Frame{
		Number: "F1-P03", Title: "Pin sheet: engine bulkhead", Car: "Tern", Loom: "F1 front", Revision: "3",
		Units: "mm", Date: "2026-11-25", Origin: "keyon 0.1", Banner: "NOT FOR BUILDING",
		Status: "2 stop findings touch this loom, see the cover. Made from design revision 41.",
	}
	pins := page.NewFlow(frame)
	face := page.Drawing{W: 60, H: 60}
	face.Marks = append(face.Marks,
		page.Circle{ID: "X2", Class: page.Heavy, Centre: page.Point{X: 30, Y: 30}, R: 29},
		page.Line{Class: page.Middle, A: page.Point{X: 0, Y: 30}, B: page.Point{X: 60, Y: 30}},
		page.Arc{Class: page.Plain, Centre: page.Point{X: 30, Y: 30}, R: 26, From: 100, To: 80},
		page.Polygon{Class: page.Hatch, Points: []page.Point{{X: 27, Y: 4}, {X: 33, Y: 4}, {X: 30, Y: 8}}})
	table := page.Table{ID: "pins", Columns: []page.Column{
		{Head: "Cavity", Face: page.Mono}, {Head: "Circuit", Weight: 2}, {Head: "Colour"}, {Head: "Area", Unit: "mm²", Align: page.Decimal},
		{Head: "Goes to", Weight: 2}, {Head: "Should read", Weight: 1}, {Head: "Done", Width: 12}},
		Rows: []page.Row{{Kind: page.GroupHead, Cells: []string{"Contacts of size 20"}}}}
	for i := range 12 {
		row, col := i/4, i%4
		at := page.Point{X: 15 + float64(col)*10, Y: 20 + float64(row)*10}
		name := string(rune('A' + i))
		face.Marks = append(face.Marks, page.Group{ID: "X2." + name, Marks: []page.Mark{
			page.Circle{Class: page.Blank, Centre: at, R: 4},
			page.Text{At: page.Point{X: at.X, Y: at.Y + 1.4}, Text: name, Face: page.Bold, Size: 4, Anchor: page.Centre,
				Box: page.Box{X: at.X - 4, Y: at.Y - 4, W: 8, H: 8}}}})
		table.Rows = append(table.Rows, page.Row{ID: "X2." + name, Cells: []string{name, []string{"injector 1 drive", "fuel pump feed", "water temperature signal, sensor side"}[i%3],
			[]string{"WH/BU", "RD", "BK/YE"}[i%3], []string{"0.35", "2.5", "10"}[i%3], "K4 · 87", "≤ 0.2 Ω ± 10 %", page.TickBox}})
	}
	table.Rows = append(table.Rows, page.Row{Kind: page.Total, Cells: []string{"", "12 contacts", "", "51.4"}})
	pins.Add(
		page.Note{ID: "c", Kind: page.Halt, Title: "Don't crimp this connector yet", Text: "X2 cavity C: wire of 2.5 mm² does not fit the seal (1.2 … 2.1 mm). See finding 14."},
		page.Note{Kind: page.Caution, Text: "Isolate the battery first. Work on car electrics can start fires."},
		page.Keep{Blocks: []page.Block{
			page.Heading{Text: "X2, bulkhead half, sockets"},
			page.Beside{Share: 0.38, Left: []page.Block{face}, Right: []page.Block{
				page.Paragraph{Text: "Seen from the mating face. Key N, main keyway up. The wire side is the mirror image."},
				page.List{Sign: page.Tick, Items: []string{"12 contacts size 20, sockets", "2 blanking plugs in J and K", "boot BT-14, straight, goes on before the backshell"}},
				page.Note{Text: "Torque of the coupling ring: by hand to the stop."},
			}},
			table,
		}})

	frame.Number, frame.Title, frame.Banner, frame.Size = "F1-P04", "Cut list by reel", "", page.Letter.Landscape()
	cut := page.NewFlow(frame)
	cut.Add(page.Paragraph{Text: "Cut in this order. Length runs from contact shoulder to contact shoulder, tail included where the wire is finished on the car."})
	list := page.Table{Zebra: true, Columns: []page.Column{{Head: "Wire", Face: page.Mono}, {Head: "Circuit", Weight: 1}, {Head: "Length", Unit: "mm", Align: page.Decimal},
		{Head: "Strip", Unit: "mm", Align: page.Decimal}, {Head: "From"}, {Head: "To"}, {Head: "Label", Face: page.Mono}}}
	for reel := range 5 {
		list.Rows = append(list.Rows, page.Row{Kind: page.GroupHead, Cells: []string{fmt.Sprintf("Reel %d: 22759/16, gauge %d, white", reel+1, 24-2*reel)}})
		for i := range 17 {
			n := reel*17 + i
			list.Rows = append(list.Rows, page.Row{Cells: []string{fmt.Sprintf("F%03d", n), "water temperature signal", fmt.Sprint(400 + n*37), "4.5", "X2 · B", "ECU-A · 41", fmt.Sprintf("F%03d X2-B", n)}})
		}
	}
	cut.Add(page.Heading{Text: "Wires"}, list)

	frame.Number, frame.Title, frame.Size = "F1-P05", "Ring-out", page.A4
	ring := page.NewFlow(frame)
	r := page.Table{Grid: true, Tall: 8, Columns: []page.Column{{Head: "From", Face: page.Mono}, {Head: "To", Face: page.Mono}, {Head: "Method"}, {Head: "Least", Unit: "Ω", Align: page.Decimal}, {Head: "Most", Unit: "Ω", Align: page.Decimal}, {Head: "Read", Weight: 1}, {Head: "OK"}}}
	for i := range 26 {
		r.Rows = append(r.Rows, page.Row{Cells: []string{fmt.Sprintf("X2·%c", 'A'+i), "ECU-A·41", "zeroed two-wire", "0.05", "0.2", "", page.TickBox}})
	}
	ring.Add(r)
	return page.Bind("Tern, loom F1", page.Meta{Date: "2026-11-25", Author: "Tern shop"}, pins, cut, ring)
}

// Hostile are texts as they come from foreign files.
var Hostile = []string{
	"",
	" ",
	"\x00\x01\x1f\x7f",
	"line one\r\nline two\ttab\vthird",
	"\xff\xfe broken \xc3",
	"\u202egnp.exe\u202c \u200f\u2067mirror\u2069",
	"zero\u200bwidth\ufeff joiner\u200d soft\u00adhyphen",
	"a\u0301\u0301\u0301\u0301 stacked",
	"\U0001F525 fire \U0010FFFF \uE000 \uFFFE",
	"日本語 العربية עברית ไทย हिन्दी",
	"</text><script>alert(1)</script>&amp;\"'<!-- ]]>",
	") Tj ET Q (\\) \\123 <</JS>>",
	"{nb} {nb}",
	"=1+1", "+1", "-1", "@SUM(A1)", "\t=1+1", "\r=1",
	strings.Repeat("W", 10000),
	strings.Repeat("wide words ", 1000),
	strings.Repeat("\n", 3000),
	"Ω ² ³ ± ° µ μ → ← × – — · ≤ ≥ ≈ √ Ø ø ½ ⌀ ∅ ☐ ☑",
	"ÀÉÎÕÜ ßçñ ĄČĐĘŁŃŐŘŚŤŮŽ αβγδΩ АБВГДЖЯ",
}
