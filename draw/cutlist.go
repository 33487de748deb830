package draw

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"keyon/format/page"
	"keyon/model/buy"
	"keyon/model/plan"
	"keyon/num/quantity"
)

// reel is what wires are cut from.
type reel struct{ family, gauge, colour string }

// cutList lists the wires by reel, the longest first: short ones come from
// what is left of a reel. Cables are cut once for all their cores.
func (k *Car) cutList(loom int) Paper {
	p := Paper{Title: "Cut list", Wide: true, For: "cut, strip, mark: by reel, longest first"}
	x := &k.looms[loom]
	of := map[reel][]int{}
	var reels []reel
	var open []string
	for _, i := range x.Wires {
		w, s, cut := k.wire(i)
		switch {
		case w.Cable >= 0:
		case s.Wire == nil || !cut.Cut.Settled():
			open = append(open, k.wireNumber(i)+" "+k.circuitOf(i))
		default:
			r := reel{s.Wire.Family, s.Wire.Gauge, s.Colour.Value}
			if of[r] == nil {
				reels = append(reels, r)
			}
			of[r] = append(of[r], i)
		}
	}
	slices.SortFunc(reels, func(a, b reel) int {
		return cmp.Or(cmp.Compare(a.family, b.family), buy.Natural(a.gauge, b.gauge), cmp.Compare(a.colour, b.colour))
	})
	strip := func(n int) page.Column {
		return page.Column{Head: fmt.Sprintf("Strip %d", n), Unit: k.lengthUnit(), Align: page.Decimal}
	}
	t := table{id: "cut", name: "Cut list", group: "Reel", tick: true, plain: true, cols: []page.Column{
		{Head: "Wire", Face: page.Mono}, {Head: "Cut", Unit: k.lengthUnit(), Align: page.Decimal}, {Head: "of it tail", Unit: k.lengthUnit(), Align: page.Decimal}, {Head: "at end"}, {Head: "Label", Weight: 2},
		{Head: "End 1", Weight: 2}, strip(1), {Head: "Contact or lug 1", Weight: 1}, {Head: "End 2", Weight: 2}, strip(2), {Head: "Contact or lug 2", Weight: 1}}}
	add := func(list []int) {
		slices.SortStableFunc(list, func(a, b int) int {
			return cmp.Compare(k.p.Cuts.Wires[b].Cut.Value, k.p.Cuts.Wires[a].Cut.Value)
		})
		for _, i := range list {
			w, s, cut := k.wire(i)
			t.add(w.ID, txt(cut.Number.Value), k.length(cut.Cut.Value), k.lengthOrBlank(cut.Tail), txt(k.tailAt(i)), txt(cut.Label.Value),
				txt(k.p.EndName(&w.From)), k.lengthOrBlank(s.From.Strip), txt(onEnd(&w.From, &s.From)), txt(k.p.EndName(&w.To)), k.lengthOrBlank(s.To.Strip), txt(onEnd(&w.To, &s.To)))
		}
	}
	for n, r := range reels {
		sum := 0.0
		for _, i := range of[r] {
			sum += float64(k.p.Cuts.Wires[i].Cut.Value)
		}
		t.head(fmt.Sprintf("Reel %d: %s, %s %s, %s: %s, %s", n+1, r.family, k.gaugeOf(r.family, r.gauge), k.gaugeHead(), orDash(r.colour), plural(len(of[r]), "wire"), k.metres(sum)))
		add(of[r])
	}
	for i := range x.Cables {
		q := &x.Cables[i]
		name := k.t.Cables[q.Cable].Name
		if part := k.t.Cables[q.Cable].Part; part != nil {
			name += ", " + part.ID
		}
		t.head(fmt.Sprintf("Cable %s: cut once at %s %s, cores:", name, k.length(q.Cut).print, k.lengthUnit()))
		add(slices.Clone(q.Wires))
	}
	p.table(&t, page.Paragraph{Text: "Strip figures are the longest the contact takes; (check) says that a figure of that end is known from memory only. Mark each wire before it is cut from the reel."})
	if g := k.twists(loom); !g.empty() {
		p.table(&g, page.Heading{Text: "Lay these together before they go into the loom"})
	}
	if len(open) > 0 {
		p.Blocks = append(p.Blocks, page.Note{Kind: page.Halt, Title: "Not to be cut yet: no size or length", Text: joined(open)})
	}
	return p
}

// tailAt says at which ends a wire has its tail: those that are finished on
// the car.
func (k *Car) tailAt(i int) string {
	w := &k.p.Wires.List[i]
	if k.p.Cuts.Wires[i].Tail <= 0 || len(w.Legs) == 0 {
		return ""
	}
	var out []string
	if w.From.Kind != plan.AtSplice && k.t.Legs[w.Legs[0]].OnCar {
		out = append(out, "1")
	}
	if w.To.Kind != plan.AtSplice && k.t.Legs[w.Legs[len(w.Legs)-1]].OnCar {
		out = append(out, "2")
	}
	return strings.Join(out, ", ")
}

// onEnd is what is crimped on an end, or what becomes of it.
func onEnd(at *plan.WireEnd, e *plan.EndParts) string {
	switch s := e.Contact + e.Lug; {
	case s != "":
		return check(s, e.Check)
	case at.Kind == plan.AtSplice:
		return "splice"
	case at.Kind == plan.AtFree:
		return "cut back, insulate"
	}
	return "–"
}

// layPitch is the lay of a twisted group in diameters of one wire, as the cut
// lengths take it; physics: 16 diameters cost 1.9 % of length.
const layPitch = 16

// twists lists the wires that are twisted together, by group and way.
func (k *Car) twists(loom int) table {
	t := table{id: "twists", name: "Twisted", cols: []page.Column{{Head: "Group", Weight: 1}, {Head: "Wires", Weight: 3}, {Head: "Lay about", Unit: k.lengthUnit(), Align: page.Decimal}}}
	type group struct{ name, legs string }
	of := map[group][]int{}
	var order []group
	for _, i := range k.looms[loom].Wires {
		w := &k.p.Wires.List[i]
		name := k.t.Circuits[w.Circuit].Twist
		if name == "" || w.Cable >= 0 || len(w.Legs) == 0 {
			continue
		}
		legs := slices.Clone(w.Legs)
		slices.Sort(legs)
		g := group{name, fmt.Sprint(legs)}
		if of[g] == nil {
			order = append(order, g)
		}
		of[g] = append(of[g], i)
	}
	slices.SortStableFunc(order, func(a, b group) int { return buy.Natural(a.name, b.name) })
	for _, g := range order {
		if len(of[g]) < 2 {
			continue
		}
		var numbers []string
		widest := quantity.Length(0)
		for _, i := range of[g] {
			numbers = append(numbers, k.wireNumber(i))
			if s := k.p.Sizes.Wires[i].Wire; s != nil {
				widest = max(widest, s.Outside)
			}
		}
		t.add(g.name, txt(g.name), txt(joined(numbers)), k.lengthOrBlank(quantity.Length(quantity.RoundTo(layPitch*widest.MM(), 5))*quantity.MM))
	}
	return t
}
