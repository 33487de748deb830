// Package draw decides what our papers look like and what stands on them: it
// turns a plan into blocks of format/page and tabs of format/sheet.
//
// It takes the plan as it is and works nothing out but counts and wording;
// counts come from model/buy. It touches no disk: app/papers writes the files.
package draw

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"keyon/format/page"
	"keyon/format/sheet"
	"keyon/model/buy"
	"keyon/model/design"
	"keyon/model/finding"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/num/quantity"
)

// Car is what all papers of a car are drawn from.
type Car struct {
	d      *design.Design
	c      part.Catalogue
	p      *plan.Plan
	t      *plan.Things
	o      Options
	buying [][]buy.Line
}

// Options come from outside: no clock is read here.
type Options struct {
	Size   page.Size // of the paper
	Date   string    // as printed
	Origin string    // program and version
}

// New prepares a car's papers.
func New(d *design.Design, c part.Catalogue, p *plan.Plan, o Options) *Car {
	return &Car{d: d, c: c, p: p, t: &p.Things, o: o, buying: buy.All(d, c, p)}
}

// Paper is one paper: its blocks for print, its tables for a workbook.
type Paper struct {
	Number, Title string
	Blocks        []page.Block
	Tabs          []sheet.Tab
	Wide          bool // lies on its side
	For           string
}

// Pack is the papers of one loom, or of the tuner.
type Pack struct {
	Name     string // loom
	Stopped  bool   // a stop finding touches it
	Document page.Document
	Book     sheet.Book
	Labels   []byte // CSV for a label printer
}

// Looms is how many looms have packs.
func (k *Car) Looms() int { return len(k.t.Looms) }

// Loom draws the pack of a loom. It is usable alone.
func (k *Car) Loom(loom int) Pack {
	l := &k.t.Looms[loom]
	open := k.open(l.Name)
	stopped := slices.ContainsFunc(open, func(v finding.Verdict) bool { return v.Rule.Severity == finding.Stop })
	papers := []Paper{k.pins(loom), k.cutList(loom), k.threadOn(loom), k.breakout(loom), k.joining(loom), k.tools(loom), k.labels(loom), k.buyingList(loom), k.feeds(loom), k.ringOut(loom), k.traces(loom)}
	var all []Paper
	for _, p := range papers {
		if len(p.Blocks) > 0 {
			all = append(all, p)
		}
	}
	pack := Pack{Name: l.Name, Stopped: stopped}
	var flows []*page.Flow
	for i := range all {
		all[i].Number = fmt.Sprintf("%s-P%02d", l.Letter, i+1)
		flows = append(flows, k.flow(&all[i], l.Name, k.revision(l), stopped, len(open)))
	}
	cover := k.cover(loom, all, flows, open, stopped)
	cover.Number = l.Letter + "-P00"
	flows = append([]*page.Flow{k.flow(&cover, l.Name, k.revision(l), stopped, len(open))}, flows...)
	title := k.d.Car.Name + ", " + l.Name
	pack.Document = page.Bind(title, page.Meta{Subject: "loom pack", Date: k.o.Date}, flows...)
	pack.Book = sheet.Book{Title: title, Date: k.o.Date, Paper: k.o.Size}
	for _, p := range append([]Paper{cover}, all...) {
		pack.Book.Tabs = append(pack.Book.Tabs, p.Tabs...)
	}
	pack.Labels = sheet.CSV(k.labelTab(loom))
	return pack
}

// Tuner draws the tuner's pack: a page for each device with many pins, and
// the feed settings.
func (k *Car) Tuner() Pack {
	var flows []*page.Flow
	var book sheet.Book
	n := 0
	for d := range k.t.Devices {
		p, ok := k.devicePage(d)
		if !ok {
			continue
		}
		n++
		p.Number = fmt.Sprintf("T-P%02d", n)
		flows = append(flows, k.flow(&p, "", "", false, 0))
		book.Tabs = append(book.Tabs, p.Tabs...)
	}
	if all := k.feeds(-1); len(all.Blocks) > 0 {
		all.Number = fmt.Sprintf("T-P%02d", n+1)
		flows = append(flows, k.flow(&all, "", "", false, 0))
		book.Tabs = append(book.Tabs, all.Tabs...)
	}
	title := k.d.Car.Name + ", tuner's pack"
	book.Title, book.Date, book.Paper = title, k.o.Date, k.o.Size
	return Pack{Name: "tuner", Document: page.Bind(title, page.Meta{Subject: "tuner's pack", Date: k.o.Date}, flows...), Book: book}
}

func (k *Car) revision(l *plan.Loom) string {
	if l.Release != "" {
		return l.Release
	}
	return "draft"
}

func (k *Car) flow(p *Paper, loom, revision string, stopped bool, open int) *page.Flow {
	f := page.Frame{Size: k.o.Size, Number: p.Number, Title: p.Title, Car: k.d.Car.Name, Loom: loom, Revision: revision, Units: k.lengthUnit(), Date: k.o.Date, Origin: k.o.Origin}
	if p.Wide {
		f.Size = k.o.Size.Landscape()
	}
	if stopped {
		f.Banner = "NOT FOR BUILDING"
	}
	if loom != "" {
		f.Status = "design " + k.d.Hash[:8] + "; " + items(open) + ", see the cover"
	}
	flow := page.NewFlow(f)
	flow.Add(p.Blocks...)
	return flow
}

func items(n int) string {
	switch n {
	case 0:
		return "no open item"
	case 1:
		return "1 open item"
	}
	return fmt.Sprintf("%d open items", n)
}

// open lists the open findings that ask somebody for something: stops and
// looks of a loom, and those that belong to no loom.
func (k *Car) open(loom string) []finding.Verdict {
	var out []finding.Verdict
	for i := range k.p.Verdicts {
		v := k.p.Verdicts[i]
		if v.Open() && v.Rule.Severity >= finding.Look && (len(v.Looms) == 0 || slices.Contains(v.Looms, loom)) {
			out = append(out, v)
		}
	}
	return out
}

// lengthUnit heads columns of lengths.
func (k *Car) lengthUnit() string {
	if k.d.Car.Units.Inches {
		return "in"
	}
	return "mm"
}

// length prints a length in the car's unit, without the unit.
func (k *Car) length(l quantity.Length) string {
	if k.d.Car.Units.Inches {
		return quantity.Text(float64(l/quantity.In), 2)
	}
	return quantity.Text(l.MM(), 1)
}

// gaugeHead and gauge print conductor sizes as the car says.
func (k *Car) gaugeHead() string {
	if k.d.Car.Units.Metric {
		return "mm²"
	}
	return "AWG"
}

func (k *Car) gauge(w *part.Wire) string {
	if w == nil {
		return "open"
	}
	if k.d.Car.Units.Metric {
		return quantity.Text(w.Area.MM2(), 2)
	}
	return w.Gauge
}

// wire gives a wire with its size and cut.
func (k *Car) wire(i int) (*plan.Wire, *plan.WireSize, *plan.Cut) {
	return &k.p.Wires.List[i], &k.p.Sizes.Wires[i], &k.p.Cuts.Wires[i]
}

// ofLoom lists a loom's wires in the order of their numbers.
func (k *Car) ofLoom(loom int) []int {
	var out []int
	for i := range k.p.Wires.List {
		if k.p.Wires.List[i].Loom == loom {
			out = append(out, i)
		}
	}
	slices.SortStableFunc(out, func(a, b int) int {
		return strings.Compare(k.p.Cuts.Wires[a].Number.Value, k.p.Cuts.Wires[b].Number.Value)
	})
	return out
}

func (k *Car) circuit(i int) string { return k.t.Circuits[k.p.Wires.List[i].Circuit].Name }

func (k *Car) place(i int) string {
	if i < 0 {
		return ""
	}
	return k.t.Places[i].Name
}

// amount prints metres or pieces to buy.
func amount(x float64) string { return quantity.Text(x, 3) }

// num is a number cell, blank for NaN.
func num(x float64) sheet.Cell {
	if math.IsNaN(x) {
		return sheet.Text("")
	}
	return sheet.Number(x)
}
