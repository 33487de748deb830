package draw

import (
	"slices"

	"keyon/format/page"
	"keyon/model/buy"
)

// traces follow each circuit of a loom end to end, through other looms too.
func (k *Car) traces(loom int) Paper {
	p := Paper{Title: "Circuit traces", For: "each circuit end to end, through other looms too", Wide: true}
	t := table{id: "traces", name: "Traces", group: "Circuit", plain: true, cols: []page.Column{{Head: "Wire", Face: page.Mono}, {Head: "From", Weight: 2}, {Head: "To", Weight: 2}, {Head: "Size", Unit: k.gaugeHead()}, {Head: "Colour"}, {Head: "Cut", Unit: k.lengthUnit(), Align: page.Decimal}, {Head: "Over places", Weight: 4}, {Head: "Loom", Weight: 1}}}
	seen := map[int]bool{}
	var order []int
	for _, i := range k.looms[loom].Wires {
		if c := k.p.Wires.List[i].Circuit; !seen[c] {
			seen[c] = true
			order = append(order, c)
		}
	}
	slices.SortFunc(order, func(a, b int) int { return buy.Natural(k.t.Circuits[a].Name, k.t.Circuits[b].Name) })
	for _, c := range order {
		q := &k.t.Circuits[c]
		t.head(q.Name + ", " + q.Class.Value)
		for _, i := range k.circuit[c] {
			w, s, cut := k.wire(i)
			name := ""
			if w.Loom >= 0 {
				name = k.t.Looms[w.Loom].Name
			}
			length := txt("open")
			if cut.Cut.Settled() {
				length = k.length(cut.Cut.Value)
			}
			t.add(w.ID, txt(cut.Number.Value), txt(k.p.EndName(&w.From)), txt(k.p.EndName(&w.To)), txt(k.gauge(s.Wire)), dash(s.Colour.Value), length, dash(joined(k.over(i))), dash(name))
		}
	}
	p.table(&t)
	return p
}

// over lists the places that a wire passes on its way.
func (k *Car) over(i int) []string {
	w := &k.p.Wires.List[i]
	at := w.From.Place
	var out []string
	for n, l := range w.Legs {
		at = k.otherEnd(l, at)
		if n+1 < len(w.Legs) {
			out = append(out, k.place(at))
		}
	}
	return out
}
