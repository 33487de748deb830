package draw

import (
	"fmt"
	"strconv"

	"keyon/format/page"
	"keyon/format/sheet"
	"keyon/model/finding"
)

// cautions stand on every cover. Common practice; sporting rules, local codes
// and licensed practice come first.
var cautions = []string{
	"Isolate the battery before work on the car; disconnect minus first, connect it last.",
	"A fuse or breaker close to the battery; the starter cable short, on its own way, double sleeved.",
	"No sparks, heat guns or soldering near fuel. Extinguisher within reach.",
	"Hot and turning parts: keep wiring, hands and clothes away. Wheels chocked, or the car on rated stands, never on a jack alone.",
	"Engines run outdoors or with the exhaust led outdoors: carbon monoxide kills indoors, with open doors too.",
}

// cover opens a pack: what it is, what is open, how to read it.
func (k *Car) cover(loom int, papers []Paper, flows []*page.Flow, open []finding.Verdict, stopped bool) Paper {
	l := &k.t.Looms[loom]
	wires := k.ofLoom(loom)
	p := Paper{Title: "Loom pack: " + l.Name}
	if stopped {
		p.Blocks = append(p.Blocks, page.Note{Kind: page.Halt, Title: "Not for building", Text: "At least one stop finding touches this loom. Don't cut wire by these papers until the items marked stop below are mended and the pack is printed anew."})
	}
	p.Blocks = append(p.Blocks, page.Note{Kind: page.Caution, Title: "Caution", Text: "Work on car electrics can start fires, and a first start can hurt people. Sporting rules, local codes and licensed practice come before these papers."},
		page.List{Sign: page.Bullet, Items: cautions})
	metres := 0.0
	for _, i := range wires {
		metres += float64(k.p.Cuts.Wires[i].Cut.Value)
	}
	facts := page.Table{Columns: []page.Column{{Head: "Loom"}, {Head: l.Name, Weight: 1}}, Rows: []page.Row{
		{Cells: []string{"letter, serial, revision", l.Letter + ", " + orDash(l.Serial) + ", " + k.revision(l)}},
		{Cells: []string{"wires", strconv.Itoa(len(wires))}},
		{Cells: []string{"wire to cut", fmt.Sprintf("%.1f m", metres)}},
		{Cells: []string{"legs", strconv.Itoa(len(l.Legs))}},
	}}
	if l.TwinOf >= 0 {
		facts.Rows = append(facts.Rows, page.Row{Cells: []string{"twin of", k.t.Looms[l.TwinOf].Name + ": mark the hand on both"}})
	}
	p.Blocks = append(p.Blocks, facts, page.Heading{Text: "Open items"})
	items := page.Table{ID: "open", Zebra: true, Columns: []page.Column{{Head: "What to do", Width: 18}, {Head: "Where", Width: 42}, {Head: "What", Weight: 1}}}
	tab := sheet.Tab{Name: "Open items", Columns: []sheet.Column{{Head: "Severity"}, {Head: "Where"}, {Head: "What"}, {Head: "Rule"}}}
	for _, v := range open {
		where := v.Place.Kind + " " + v.Place.ID
		if v.Place.Kind == "wire" {
			where = k.wireName(v.Place.ID)
		}
		items.Rows = append(items.Rows, page.Row{ID: v.Rule.ID, Cells: []string{v.Rule.Severity.String(), where, v.Rule.Title + ": " + v.What}})
		tab.Rows = append(tab.Rows, sheet.Texts(v.Rule.Severity.String(), where, v.Rule.Title+": "+v.What, v.Rule.ID))
	}
	if len(open) == 0 {
		p.Blocks = append(p.Blocks, page.Paragraph{Text: "None."})
	} else {
		p.Blocks = append(p.Blocks, items)
	}
	contents := page.Table{ID: "contents", Columns: []page.Column{{Head: "Paper", Face: page.Mono}, {Head: "Title"}, {Head: "What for", Weight: 1}, {Head: "Pages", Align: page.ToRight}}}
	for i := range papers {
		contents.Rows = append(contents.Rows, page.Row{Cells: []string{papers[i].Number, papers[i].Title, papers[i].For, strconv.Itoa(flows[i].Count())}})
	}
	p.Blocks = append(p.Blocks, page.Heading{Text: "In this pack"}, contents, page.Heading{Text: "How to read it"}, page.List{Sign: page.Bullet, Items: []string{
		"Lengths are " + k.lengthUnit() + ", conductor sizes " + k.gaugeHead() + ". Cut lengths include lay, end allowances and tails; a tail is cut off on the car.",
		"Wire numbers are the loom's letter and a count; they are on the labels and never used again.",
		"Connector faces are drawn from the wiring side, the side that is crimped and filled.",
		"Colours are letters by IEC 60757: BK black, BN brown, RD red, OG orange, YE yellow, GN green, BU blue, VT violet, GY grey, WH white, PK pink.",
		"\"check\" behind a figure: it is known from memory only; look it up on the part's sheet before you rely on it.",
		"Work in this order: cut list, thread-on list, pin sheets, splice and stud sheets, labels, ring-out sheet.",
	}})
	p.Tabs = []sheet.Tab{tab}
	return p
}

func (k *Car) wireName(id string) string {
	for i := range k.p.Wires.List {
		if k.p.Wires.List[i].ID == id {
			return "wire " + k.p.Cuts.Wires[i].Number.Value + " " + k.circuit(i)
		}
	}
	return "wire " + id
}

func orDash(s string) string {
	if s == "" {
		return "–"
	}
	return s
}
