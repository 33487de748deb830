package draw

import (
	"fmt"
	"strconv"

	"keyon/format/page"
	"keyon/model/finding"
)

// cautions stand on every cover. Common practice.
var cautions = []string{
	"Isolate the battery before work on the car: minus off first, on last.",
	"A fuse or breaker close to the battery; the starter cable short, on its own way, double sleeved.",
	"No sparks, heat guns or soldering near fuel. Extinguisher within reach.",
	"Hot and turning parts: keep wiring, hands and clothes away. Wheels chocked, or the car on rated stands, never on a jack alone.",
	"Engines run outdoors, or with the exhaust led outdoors: carbon monoxide kills indoors, with open doors too.",
}

// cover opens a pack: what it is, what is open, how to read it, what is in it.
// Sheet numbers depend on how long the cover itself is, so it is laid out
// until they agree.
func (k *Car) cover(loom int, papers []Paper, flows []*page.Flow, open []finding.Verdict, f page.Frame) Paper {
	pages := make([]int, len(flows))
	for i, flow := range flows {
		pages[i] = flow.Count()
	}
	own := 1
	for range 4 {
		p := k.coverOf(loom, papers, pages, own+1, open, f.Banner != "")
		n := k.flow(&p, f).Count()
		if n == own {
			return p
		}
		own = n
	}
	return k.coverOf(loom, papers, pages, own+1, open, f.Banner != "")
}

func (k *Car) coverOf(loom int, papers []Paper, pages []int, first int, open []finding.Verdict, stopped bool) Paper {
	l := &k.t.Looms[loom]
	x := &k.looms[loom]
	p := Paper{Number: l.Letter + "-P00", Title: "Loom pack: " + l.Name}
	if stopped {
		p.Blocks = append(p.Blocks, page.Note{Kind: page.Halt, Title: "Not for building", Text: "A stop finding touches this loom. Don't cut wire by these papers: mend the items marked stop below and print the pack anew."})
	}
	p.Blocks = append(p.Blocks,
		page.Note{Kind: page.Caution, Title: "Caution", Text: "Work on car electrics can start fires, and a first start can hurt people. Sporting rules, local codes and licensed practice come before these papers."},
		page.List{Sign: page.Bullet, Items: cautions})
	metres, splices := 0.0, 0
	for _, i := range x.Wires {
		if k.p.Wires.List[i].Cable < 0 {
			metres += float64(k.p.Cuts.Wires[i].Cut.Value)
		}
	}
	for i := range k.p.Wires.Splices {
		if k.p.Wires.Splices[i].Loom == loom {
			splices++
		}
	}
	facts := [][2]string{
		{"loom, serial, revision", l.Name + ", " + orDash(l.Serial) + ", " + k.revision(l)},
		{"wires", fmt.Sprintf("%d, %s to cut; %s", len(x.Wires), k.metres(metres), plural(len(x.Cables), "piece")+" of cable")},
		{"connectors, splices, legs", fmt.Sprintf("%d, %d, %d", len(x.Connectors), splices, len(l.Legs))},
	}
	if l.TwinOf >= 0 {
		facts = append(facts, [2]string{"twin of", k.t.Looms[l.TwinOf].Name + ": mark the hand on both"})
	}
	about := page.Table{ID: "about", Columns: []page.Column{{Head: "This pack"}, {Head: k.d.Car.Name, Weight: 1}}}
	for _, r := range facts {
		about.Rows = append(about.Rows, page.Row{Cells: r[:]})
	}
	p.Blocks = append(p.Blocks, about)
	list := table{id: "open", name: "Open items", cols: []page.Column{{Head: "Say"}, {Head: "Where", Width: 44}, {Head: "What", Weight: 1}}}
	for _, v := range open {
		list.add(v.Rule.ID, txt(v.Severity().String()), txt(k.whereOf(v.Place)), txt(v.Rule.Title+": "+v.What))
	}
	if list.empty() {
		p.Blocks = append(p.Blocks, page.Heading{Text: "Open items"}, page.Paragraph{Text: "None."})
	}
	p.table(&list, page.Heading{Text: "Open items"}, page.Paragraph{Text: "Stop: don't build it so. Look: a person decides before this part is built."})
	p.Blocks = append(p.Blocks, page.Heading{Text: "In this pack, in the order of work"}, k.contents(papers, pages, first))
	p.Blocks = append(p.Blocks, page.Heading{Text: "How to read it"}, page.List{Sign: page.Bullet, Items: []string{
		"Lengths are " + map[bool]string{false: "millimetres", true: "inches"}[k.d.Car.Units.Inches] + ", conductor sizes " + k.gaugeHead() + ". Cut lengths include lay, end allowances and tails; a tail is cut off on the car.",
		"Wire numbers are the loom's letter and a count. They are on the labels and are never used again.",
		"controller/A:12 is pin 12 at plug A of the controller; B1/a:12 is cavity 12 in half a of join B1.",
		"Connector faces are drawn from the wiring side, the side that is crimped and filled.",
		"Colours by IEC 60757: BK black, BN brown, RD red, OG orange, YE yellow, GN green, BU blue, VT violet, GY grey, WH white, PK pink; WH/BU is white with a blue stripe.",
		"(check) behind a figure: it is known from memory only. Look it up on the part's sheet before you rely on it.",
		"The boxes are for ticking as you go; a code on a sheet leads a phone to that connector.",
	}})
	return p
}

// contents lists the papers with the sheet of the pack they begin at.
func (k *Car) contents(papers []Paper, pages []int, first int) page.Block {
	t := page.Table{ID: "contents", Columns: []page.Column{{Head: "Paper", Face: page.Mono}, {Head: "Title", Weight: 1}, {Head: "What for", Weight: 2}, {Head: "Pages", Width: 16, Align: page.ToRight}, {Head: "Sheet", Width: 16, Align: page.ToRight}}}
	said := false
	for i := range papers {
		what := papers[i].For
		title := papers[i].Title
		if what == forPins {
			title = "Pin sheet: " + title
			if said {
				what = ""
			}
			said = true
		}
		t.Rows = append(t.Rows, page.Row{Cells: []string{papers[i].Number, title, what, strconv.Itoa(pages[i]), strconv.Itoa(first)}})
		first += pages[i]
	}
	return t
}

// whereOf names the thing a finding is about as papers do.
func (k *Car) whereOf(p finding.Place) string {
	if p.Kind == "wire" {
		for i := range k.p.Wires.List {
			if k.p.Wires.List[i].ID == p.ID {
				return "wire " + k.wireNumber(i) + " " + k.circuitOf(i)
			}
		}
	}
	return p.Kind + " " + p.ID
}
