package draw

import (
	"fmt"

	"keyon/format/page"
	"keyon/model/buy"
)

// buyingList is what a loom takes, less stock, with spares.
func (k *Car) buyingList(loom int) Paper {
	p := Paper{Title: "Buying list", For: "what the loom takes, less what the shelf gives, with spares"}
	t := table{id: "buying", name: "Buying", group: "Kind", plain: true, tick: true, cols: []page.Column{
		{Head: "Part", Weight: 3}, {Head: "Size", Unit: k.gaugeHead()}, {Head: "Colour"}, {Head: "Needs", Align: page.Decimal}, {Head: "Spare", Align: page.Decimal}, {Head: "Shelf", Align: page.Decimal}, {Head: "Buy", Align: page.Decimal}, {Head: "Unit"}}}
	kind, why := "", map[string]string{}
	for i := range k.looms[loom].Lines {
		l := &k.looms[loom].Lines[i]
		if l.Kind != kind {
			kind = l.Kind
			t.head(kinds[kind])
		}
		unit, factor, places := "pcs", 1.0, 0
		if l.Long() {
			factor, unit = k.long(1)
			places = 2
		}
		amount := func(x float64) cell { return num(x*factor, places) }
		size := ""
		if l.Kind == "wire" {
			size = k.gaugeOf(l.Part, l.Gauge)
		}
		t.add(l.Part, txt(k.buyName(l)), txt(size), txt(l.Colour), amount(l.Need()), amount(l.Spare), amount(l.Stock), amount(l.Buy), txt(unit))
		if l.Why != "" {
			why[kinds[kind]] = l.Why
		}
	}
	if t.empty() {
		return p
	}
	notes := page.List{Sign: page.Bullet, Items: []string{
		"Sleeves that shrink are bought 15 % longer than their legs: they lose length when they shrink.",
		"The shelf serves the looms in their order; what one takes is gone for the next.",
	}}
	for _, kind := range sorted(why) {
		notes.Items = append(notes.Items, fmt.Sprintf("Spares, %s: %s.", kind, why[kind]))
	}
	p.table(&t)
	p.Blocks = append(p.Blocks, notes)
	return p
}

// kinds heads the groups of a buying list.
var kinds = map[string]string{"wire": "Wire by reel", "cable": "Cable", "connector": "Connectors", "contact": "Contacts", "seal": "Seals", "plug": "Sealing plugs", "boot": "Boots and backshells", "lug": "Lugs", "splice": "Splices", "sleeve": "Sleeves", "label": "Label sleeves", "fuse": "Fuses and breakers"}

// buyName is a line's part with its title and order number.
func (k *Car) buyName(l *buy.Line) string {
	s := l.Part
	if s == "" {
		s = "to be chosen"
	}
	if l.Note != "" {
		s += ", " + l.Note
	}
	if title := k.c.Title(l.Part); title != "" && l.Kind != "wire" {
		s += ", " + title
	}
	return check(s, k.fromMemory(l))
}

// fromMemory says that the sizes of a line's part are known from memory only.
func (k *Car) fromMemory(l *buy.Line) bool {
	switch l.Kind {
	case "seal", "plug":
		s := k.c.Seals[l.Part]
		return s != nil && memory(s.Source)
	case "sleeve", "label":
		s := k.c.Sleeves[l.Part]
		return s != nil && memory(s.Source)
	case "lug":
		s := k.c.Lugs[l.Part]
		return s != nil && memory(s.Source)
	case "splice":
		s := k.c.Splices[l.Part]
		return s != nil && memory(s.Source)
	case "contact":
		s := k.c.Contacts[l.Part]
		return s != nil && memory(s.Source)
	case "connector":
		s := k.c.Connectors[l.Part]
		return s != nil && memory(s.Source)
	case "fuse":
		s := k.c.Fuses[l.Part]
		return s != nil && memory(s.Source)
	}
	return false
}
