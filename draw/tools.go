package draw

import (
	"cmp"
	"slices"

	"keyon/format/page"
	"keyon/model/buy"
)

// contactTool is how a contact is crimped and seated; strip is a range in the
// car's unit. Figures from memory say so.
func (k *Car) contactTool(id string) (tool, strip, insert string) {
	c := k.c.Contacts[id]
	if c == nil {
		return "", "", ""
	}
	if c.StripMost > 0 {
		strip = k.length(c.StripMost).print
		if c.StripLeast > 0 && c.StripLeast < c.StripMost {
			strip = k.length(c.StripLeast).print + "–" + strip
		}
	}
	return check(c.Tool, memory(c.From("tool"))), check(strip, memory(c.From("strip"))), check(c.Insert, memory(c.From("insert")))
}

// tools lists, for each contact and gauge of a loom, how it is crimped.
func (k *Car) tools(loom int) Paper {
	p := Paper{Title: "Tool sheet", For: "contact and gauge: crimp tool, setting, strip, insert, pull of a trial crimp", Wide: true}
	type use struct{ id, gauge, family string }
	ends := map[use]int{}
	add := func(id string, i int) {
		if s := &k.p.Sizes.Wires[i]; id != "" && s.Wire != nil {
			ends[use{id, s.Wire.Gauge, s.Wire.Family}]++
		}
	}
	for _, i := range k.looms[loom].Wires {
		s := &k.p.Sizes.Wires[i]
		add(s.From.Lug, i)
		add(s.To.Lug, i)
		add(s.From.Contact, i)
		add(s.To.Contact, i)
	}
	keys := make([]use, 0, len(ends))
	for u := range ends {
		keys = append(keys, u)
	}
	slices.SortFunc(keys, func(a, b use) int {
		return cmp.Or(buy.Natural(a.id, b.id), buy.Natural(a.gauge, b.gauge), cmp.Compare(a.family, b.family))
	})
	t := table{id: "tools", name: "Tools", cols: []page.Column{{Head: "Contact or lug"}, {Head: "Wire", Weight: 1}, {Head: "Size", Unit: k.gaugeHead()}, {Head: "Ends", Align: page.ToRight}, {Head: "Crimp tool, positioner, setting", Weight: 4}, {Head: "Strip", Unit: k.lengthUnit()}, {Head: "Insert, extract", Weight: 1}, {Head: "Pull at least", Unit: "N"}}}
	for _, u := range keys {
		tool, strip, insert := k.contactTool(u.id)
		pull := ""
		if c := k.c.Contacts[u.id]; c != nil {
			if n, ok := c.Pull[u.gauge]; ok {
				pull = check(num(n, 1).print, memory(c.From("pull")))
			}
		} else if l := k.c.Lugs[u.id]; l != nil {
			tool = check(l.Tool, memory(l.Source))
			if l.Strip > 0 {
				strip = check(k.length(l.Strip).print, memory(l.Source))
			}
		}
		t.add(u.id, txt(u.id), txt(u.family), txt(k.gaugeOf(u.family, u.gauge)), count(ends[u]), dash(tool), dash(strip), dash(insert), dash(pull))
	}
	p.table(&t, page.Paragraph{Text: "Make three trial crimps for each line before the first wire of the loom, and pull them: the figure belongs to the tool's setting, never to a wire in the loom. A dash: the catalogue has no figure, look at the part's sheet."})
	return p
}
