package desk

import (
	"fmt"
	"slices"
	"strconv"

	"keyon/app/open"
	"keyon/app/papers"
	"keyon/draw"
	"keyon/format/page"
	"keyon/format/pdf"
	"keyon/format/sheet"
	"keyon/format/svg"
	"keyon/model/fault"
	"keyon/model/part"
)

// Pack is the papers of a loom, or of the tuner, ready to show.
type Pack struct {
	Name    string
	Stopped bool // "not for building"
	Papers  []Paper
	Sheets  int // pages
	Labels  bool
	Book    bool

	pack draw.Pack
	err  error
}

// Paper is one paper of a pack: pages First to First+Pages-1.
type Paper struct {
	Title string
	First int
	Pages int
}

// Tuner is the pack that belongs to no loom.
const Tuner = "tuner"

// PackNames lists the packs there are.
func (v *View) PackNames() []string {
	if !v.Whole() {
		return nil
	}
	var out []string
	for _, l := range v.car().Looms() {
		out = append(out, v.Plan.Things.Looms[l].Name)
	}
	return append(out, Tuner)
}

// Pack draws the papers of a loom, or the tuner's. date is printed on them.
func (v *View) Pack(name, date string) (*Pack, error) {
	if !slices.Contains(v.PackNames(), name) {
		if !v.Whole() {
			return nil, fault.New(fault.Conflict, "try again in a moment", errEarly)
		}
		return nil, fault.New(fault.NotFound, "the list of papers names the packs", fmt.Errorf("there are no papers of %q", name))
	}
	p := v.packs.get(name+"\x1f"+date, func() *Pack { return v.draw(name, date) })
	return p, p.err
}

func (v *View) draw(name, date string) *Pack {
	p := &Pack{Name: name}
	o := papers.Options{Looms: []string{name}, Date: date}
	if name == Tuner {
		o.Looms = nil
	}
	car := &open.Car{Path: v.Path, Book: v.Book, Design: v.Design, Catalogue: part.Embedded(), Cell: v.CellName()}
	packs, err := papers.Set(car, v.Plan, o)
	if err != nil {
		p.err = err
		return p
	}
	p.pack = packs[len(packs)-1] // the tuner's comes last
	p.Stopped, p.Sheets, p.Labels, p.Book = p.pack.Stopped, len(p.pack.Document.Pages), len(p.pack.Labels) > 0, len(p.pack.Book.Tabs) > 0
	for i, x := range p.pack.Document.Pages {
		if x.Bookmark != "" || i == 0 {
			p.Papers = append(p.Papers, Paper{Title: x.Bookmark, First: i})
		}
		p.Papers[len(p.Papers)-1].Pages++
	}
	return p
}

// Page is a page as SVG to be put into HTML.
func (p *Pack) Page(n int) ([]byte, error) {
	if n < 0 || n >= len(p.pack.Document.Pages) {
		return nil, fault.New(fault.NotFound, "", fmt.Errorf("the papers of %s have no page %d", p.Name, n+1))
	}
	return svg.Encode(p.pack.Document.Pages[n], svg.Options{Title: p.Name + ", page " + strconv.Itoa(n+1), Inline: true})
}

// PDF is the whole pack, or with paper not negative that paper alone.
func (p *Pack) PDF(paper int) ([]byte, error) {
	d := p.pack.Document
	if paper >= len(p.Papers) {
		return nil, fault.New(fault.NotFound, "", fmt.Errorf("the papers of %s have no paper %d", p.Name, paper+1))
	}
	if paper >= 0 {
		x := p.Papers[paper]
		d = page.Document{Title: d.Title + ", " + x.Title, Meta: d.Meta, Pages: d.Pages[x.First : x.First+x.Pages]}
	}
	return pdf.Encode(d)
}

// Workbook is the pack's tables as XLSX.
func (p *Pack) Workbook() ([]byte, error) { return sheet.Write(p.pack.Book) }

// LabelFile is the CSV for a label printer.
func (p *Pack) LabelFile() []byte { return p.pack.Labels }

// Sheet finds the paper of that title, such as a connector's pin sheet.
func (p *Pack) Sheet(title string) (int, bool) {
	i := slices.IndexFunc(p.Papers, func(x Paper) bool { return x.Title == title })
	return i, i >= 0
}
