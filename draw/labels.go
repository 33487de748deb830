package draw

import (
	"strings"

	"keyon/format/code"
	"keyon/format/page"
	"keyon/format/sheet"
	"keyon/model/buy"
	"keyon/num/quantity"
)

// labels is the label sheet: what is printed on which sleeve, where it goes,
// and the connectors' labels with their codes to cut out.
func (k *Car) labels(loom int) Paper {
	p := Paper{Title: "Label sheet", For: "what to print on which sleeve, and where it goes"}
	x := &k.looms[loom]
	t := table{id: "labels", name: "Label sheet", tick: true, cols: []page.Column{{Head: "Text", Weight: 2}, {Head: "Sleeve", Width: 34}, {Head: "Where", Weight: 3}, {Head: "Count", Align: page.ToRight}}}
	var plugs []page.Block
	for i := range x.Labels {
		l := &x.Labels[i]
		t.add("", txt(l.Text), txt(k.sleeveOf(l)), txt(k.where(l)), count(l.Count()))
		if l.Plug >= 0 {
			plugs = append(plugs, plugLabel(l.Text))
		}
	}
	p.table(&t, page.Paragraph{Text: "Slip label sleeves on before the contact is crimped. Bench flags on wire ends come off when the connector is done."})
	if len(plugs) > 0 {
		p.Blocks = append(p.Blocks, page.Heading{Text: "Connector labels to cut out"})
		for i := 0; i < len(plugs); i += 2 {
			b := page.Beside{Left: plugs[i : i+1]}
			if i+1 < len(plugs) {
				b.Right = plugs[i+1 : i+2]
			}
			p.Blocks = append(p.Blocks, b)
		}
	}
	return p
}

func (k *Car) sleeveOf(l *buy.Label) string {
	switch {
	case l.Plug >= 0:
		return "connector label"
	case l.Sleeve == "":
		return "none fits"
	}
	return l.Sleeve
}

// where says where a label's prints go, in the car's unit.
func (k *Car) where(l *buy.Label) string {
	var out []string
	for _, s := range l.Where {
		text := s.Where
		if k.d.Car.Units.Inches {
			text = strings.ReplaceAll(text, "75 mm", k.length(75*quantity.MM).print+" in")
		}
		out = append(out, text)
	}
	return strings.Join(out, "; ")
}

// plugLabel is a connector's label: its name, and the code a phone reads.
func plugLabel(name string) page.Block {
	const w, h, qr = 82, 24, 22 // mm; the code's module is then 0.6 mm or more for names up to 40 letters
	d := page.Drawing{W: w, H: h, Marks: []page.Mark{page.Rect{Class: page.Fine, Box: page.Box{X: 0.2, Y: 0.2, W: w - 0.4, H: h - 0.4}}}}
	if g, err := code.QR("qr "+name, plugCode(name), qr); err == nil {
		d.Marks = append(d.Marks, page.Moved([]page.Mark{g}, 1, 1, 1)...)
	}
	d.Marks = append(d.Marks, page.In(page.Box{X: qr + 2, Y: 4, W: w - qr - 3, H: h - 8}, name, page.Bold, 5, 2.3, page.Left, page.Plain))
	return d
}

// labelFile is for a label printer: text, sleeve, place, count, code.
func (k *Car) labelFile(loom int) sheet.Tab {
	tab := sheet.Tab{Name: "Labels", Columns: []sheet.Column{{Head: "text"}, {Head: "sleeve"}, {Head: "place"}, {Head: "count"}, {Head: "code"}}}
	for i := range k.looms[loom].Labels {
		l := &k.looms[loom].Labels[i]
		qr := ""
		if l.Plug >= 0 {
			qr = plugCode(l.Text)
		}
		tab.Rows = append(tab.Rows, []sheet.Cell{sheet.Text(l.Text), sheet.Text(k.sleeveOf(l)), sheet.Text(k.where(l)), sheet.Number(float64(l.Count())), sheet.Text(qr)})
	}
	return tab
}
