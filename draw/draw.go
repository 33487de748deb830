// Package draw decides what our papers look like and what stands on them: it
// turns a plan into blocks of format/page and tabs of format/sheet.
//
// It takes the plan as it is and works nothing out but wording and order;
// counts come from model/buy, what a meter should read from model/ring. It
// touches no disk: app/papers writes the files.
package draw

import (
	"fmt"
	"slices"
	"strings"

	"keyon/format/page"
	"keyon/format/sheet"
	"keyon/model/buy"
	"keyon/model/design"
	"keyon/model/finding"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/model/source"
	"keyon/num/quantity"
)

// Car is what all papers of a car are drawn from.
type Car struct {
	d       *design.Design
	c       part.Catalogue
	p       *plan.Plan
	t       *plan.Things
	o       Options
	looms   []buy.Loom
	circuit [][]int // wires by circuit, in order
	stacks  []post
}

// Options come from outside: no clock is read here.
type Options struct {
	Size   page.Size // of the paper
	Date   string    // as printed
	Origin string    // program and version
}

// New prepares a car's papers.
func New(d *design.Design, c part.Catalogue, p *plan.Plan, o Options) *Car {
	k := &Car{d: d, c: c, p: p, t: &p.Things, o: o, looms: buy.Of(d, c, p), circuit: make([][]int, len(p.Things.Circuits))}
	for i := range p.Wires.List {
		k.circuit[p.Wires.List[i].Circuit] = append(k.circuit[p.Wires.List[i].Circuit], i)
	}
	k.stacks = k.stack()
	return k
}

// Paper is one paper: its blocks for print, its tables for a workbook.
type Paper struct {
	Number, Title string
	Blocks        []page.Block
	Tabs          []sheet.Tab
	Wide          bool // lies on its side
	For           string

	several bool // papers on one page
}

// table adds a table to print and workbook; an empty one is left out.
func (p *Paper) table(t *table, before ...page.Block) {
	if t.empty() {
		return
	}
	p.Blocks = append(append(p.Blocks, before...), t.block())
	p.Tabs = append(p.Tabs, t.tab())
}

// Pack is the papers of one loom, or of the tuner.
type Pack struct {
	Name     string // loom
	Stopped  bool   // a stop finding touches it
	Document page.Document
	Book     sheet.Book
	Labels   []byte // CSV for a label printer
}

// Looms lists the looms that have something to build.
func (k *Car) Looms() []int {
	var out []int
	for l := range k.looms {
		if len(k.looms[l].Wires) > 0 {
			out = append(out, l)
		}
	}
	return out
}

// Loom draws the pack of a loom. It is usable alone.
func (k *Car) Loom(loom int) Pack {
	l := &k.t.Looms[loom]
	open := k.open(l.Name)
	stopped := slices.ContainsFunc(open, func(v finding.Verdict) bool { return v.Severity() == finding.Stop })
	frame := page.Frame{Loom: l.Name, Revision: k.revision(l), Status: "design " + k.d.Hash[:min(8, len(k.d.Hash))] + "; " + items(len(open)) + ", see the cover"}
	if stopped {
		frame.Banner = "NOT FOR BUILDING"
	}
	papers := []Paper{k.buyingList(loom), k.tools(loom), k.cutList(loom), k.labels(loom), k.breakout(loom), k.threadOn(loom), k.joining(loom)}
	papers = append(papers, k.pinSheets(loom, frame)...)
	papers = k.joined(append(papers, k.ringOut(loom), k.feeds(loom), k.traces(loom)), frame)
	number(papers, l.Letter)
	var flows []*page.Flow
	for i := range papers {
		flows = append(flows, k.flow(&papers[i], frame))
	}
	cover := k.cover(loom, papers, flows, open, frame)
	title := k.d.Car.Name + ", " + l.Name
	pack := Pack{Name: l.Name, Stopped: stopped, Document: page.Bind(title, page.Meta{Subject: "loom pack", Date: k.o.Date}, append([]*page.Flow{k.flow(&cover, frame)}, flows...)...)}
	pack.Book = sheet.Book{Title: title, Date: k.o.Date, Paper: k.o.Size, Tabs: cover.Tabs}
	for _, p := range papers {
		pack.Book.Tabs = collected(pack.Book.Tabs, p.Tabs)
	}
	pack.Labels = sheet.CSV(k.labelFile(loom))
	return pack
}

// joined leaves empty papers out and puts short ones that follow each other
// on one page, so that a small loom has no near-empty pages.
func (k *Car) joined(papers []Paper, f page.Frame) []Paper {
	var out []Paper
	section := func(p *Paper) []page.Block { return append([]page.Block{page.Heading{Text: p.Title}}, p.Blocks...) }
	for _, p := range papers {
		if len(p.Blocks) == 0 {
			continue
		}
		if n := len(out); n > 0 && out[n-1].Wide == p.Wide && out[n-1].For != forPins && p.For != forPins {
			both := out[n-1]
			if !both.several {
				both.Blocks, both.several = section(&both), true
			}
			both.Title += " · " + p.Title
			both.For += "; " + p.For
			both.Blocks = append(slices.Clip(both.Blocks), section(&p)...)
			both.Tabs = append(slices.Clip(both.Tabs), p.Tabs...)
			if k.flow(&both, f).Count() == 1 {
				out[n-1] = both
				continue
			}
		}
		out = append(out, p)
	}
	return out
}

// number numbers papers: the loom's letter, P, and a count; pin sheets share
// a number and count behind a point.
func number(papers []Paper, letter string) {
	n, sheet := 0, 0
	for i := range papers {
		p := &papers[i]
		if p.For != forPins {
			n++
			p.Number = fmt.Sprintf("%s-P%02d", letter, n)
			sheet = 0
			continue
		}
		if sheet++; sheet == 1 {
			n++
		}
		p.Number = fmt.Sprintf("%s-P%02d.%02d", letter, n, sheet)
	}
}

// Tuner draws the tuner's pack: a page for each device that the tuner sets
// up, the sensors and loads behind them, and the feed settings.
func (k *Car) Tuner() Pack {
	var flows []*page.Flow
	var tabs []sheet.Tab
	papers := append(k.devicePages(), k.smallDevices(), k.feeds(-1))
	frame := page.Frame{Status: "design " + k.d.Hash[:min(8, len(k.d.Hash))]}
	papers = k.joined(papers, frame)
	number(papers, "T")
	for i := range papers {
		flows = append(flows, k.flow(&papers[i], frame))
		tabs = append(tabs, papers[i].Tabs...)
	}
	title := k.d.Car.Name + ", tuner's pack"
	pack := Pack{Name: "tuner", Book: sheet.Book{Title: title, Date: k.o.Date, Paper: k.o.Size, Tabs: tabs}}
	if len(flows) > 0 {
		pack.Document = page.Bind(title, page.Meta{Subject: "tuner's pack", Date: k.o.Date}, flows...)
	}
	return pack
}

func (k *Car) revision(l *plan.Loom) string {
	if l.Release != "" {
		return l.Release
	}
	return "draft"
}

// flow lays a paper into the frame of its pack.
func (k *Car) flow(p *Paper, f page.Frame) *page.Flow {
	f.Size, f.Number, f.Title, f.Car, f.Units, f.Date, f.Origin = k.o.Size, p.Number, p.Title, k.d.Car.Name, k.lengthUnit()+", "+k.gaugeHead(), k.o.Date, k.o.Origin
	if p.Wide {
		f.Size = k.o.Size.Landscape()
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

func plural(n int, word string) string {
	if n == 1 {
		return "1 " + word
	}
	return fmt.Sprintf("%d %ss", n, word)
}

// open lists the open findings that ask somebody for something: stops and
// looks of a loom, and those that belong to no loom.
func (k *Car) open(loom string) []finding.Verdict {
	var out []finding.Verdict
	for i := range k.p.Verdicts {
		v := k.p.Verdicts[i]
		if v.Open() && v.Severity() >= finding.Look && (len(v.Looms) == 0 || slices.Contains(v.Looms, loom)) {
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

// length is a length in the car's unit: 0.1 mm or 0.01 in.
func (k *Car) length(l quantity.Length) cell {
	if k.d.Car.Units.Inches {
		return num(float64(l/quantity.In), 2)
	}
	return num(l.MM(), 1)
}

// lengthOrBlank leaves a length that is zero out.
func (k *Car) lengthOrBlank(l quantity.Length) cell {
	if l <= 0 {
		return cell{}
	}
	return k.length(l)
}

// metres is a long length in the car's unit, m or ft, with the unit.
func (k *Car) metres(m float64) string {
	v, u := k.long(m)
	return quantity.Text(v, 3) + " " + u
}

func (k *Car) long(m float64) (value float64, unit string) {
	if k.d.Car.Units.Inches {
		return m / (12 * float64(quantity.In)), "ft"
	}
	return m, "m"
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

// gaugeOf is the printed size of a gauge of a family.
func (k *Car) gaugeOf(family, gauge string) string {
	if w := k.c.WireOf(family, gauge); w != nil {
		return k.gauge(w)
	}
	return gauge
}

// wire gives a wire with its size and cut.
func (k *Car) wire(i int) (*plan.Wire, *plan.WireSize, *plan.Cut) {
	return &k.p.Wires.List[i], &k.p.Sizes.Wires[i], &k.p.Cuts.Wires[i]
}

// wireNumber is what people call a wire.
func (k *Car) wireNumber(i int) string { return k.p.Cuts.Wires[i].Number.Value }

func (k *Car) circuitOf(i int) string { return k.t.Circuits[k.p.Wires.List[i].Circuit].Name }

// endName is how a wire's end is written.
func (k *Car) endName(e buy.End) string {
	at, _ := e.At(k.p)
	return k.p.EndName(at)
}

func (k *Car) place(i int) string {
	if i < 0 {
		return ""
	}
	return k.t.Places[i].Name
}

// check marks a figure that is known from memory only.
func check(s string, memory bool) string {
	if memory && s != "" {
		return s + " (check)"
	}
	return s
}

func memory(r source.Ref) bool { return r.Status == source.Memory }

// sorted lists the keys of a set in natural order.
func sorted[V any](m map[string]V) []string {
	out := make([]string, 0, len(m))
	for s := range m {
		out = append(out, s)
	}
	slices.SortFunc(out, buy.Natural)
	return out
}

func joined(list []string) string { return strings.Join(list, ", ") }
