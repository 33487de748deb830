package draw

import (
	"cmp"
	"fmt"
	"slices"

	"keyon/format/page"
	"keyon/format/sheet"
	"keyon/model/plan"
	"keyon/num/quantity"
)

// reel is what wires are cut from.
type reel struct{ family, gauge, colour string }

// cutList lists the wires by reel, longest first: short ones come from what
// is left of a reel.
func (k *Car) cutList(loom int) Paper {
	p := Paper{Title: "Cut list", Wide: true, For: "cut, strip, label: by reel, longest first"}
	wires := k.ofLoom(loom)
	of := map[reel][]int{}
	var reels []reel
	cables := map[int][]int{}
	var cableOrder []int
	var open []int
	for _, i := range wires {
		w, s, cut := k.wire(i)
		switch {
		case w.Cable >= 0:
			if cables[w.Cable] == nil {
				cableOrder = append(cableOrder, w.Cable)
			}
			cables[w.Cable] = append(cables[w.Cable], i)
		case s.Wire == nil || !cut.Cut.Settled():
			open = append(open, i)
		default:
			r := reel{s.Wire.Family, s.Wire.Gauge, s.Colour.Value}
			if of[r] == nil {
				reels = append(reels, r)
			}
			of[r] = append(of[r], i)
		}
	}
	if len(wires) == 0 {
		return p
	}
	slices.SortFunc(reels, func(a, b reel) int {
		return cmp.Or(cmp.Compare(a.family, b.family), natural(a.gauge, b.gauge), cmp.Compare(a.colour, b.colour))
	})
	t := page.Table{ID: "cut", Columns: []page.Column{{Head: "Wire", Face: page.Mono}, {Head: "Circuit", Weight: 2}, {Head: "Cut", Unit: k.lengthUnit(), Align: page.Decimal}, {Head: "of it tail", Unit: k.lengthUnit(), Align: page.Decimal},
		{Head: "From", Weight: 2}, {Head: "Strip", Unit: k.lengthUnit(), Align: page.Decimal}, {Head: "Contact or lug", Weight: 1}, {Head: "To", Weight: 2}, {Head: "Strip", Unit: k.lengthUnit(), Align: page.Decimal}, {Head: "Contact or lug", Weight: 1}, {Head: "Label", Weight: 2}, {Head: "Done", Width: 11}}}
	tab := sheet.Tab{Name: "Cut list", Columns: []sheet.Column{{Head: "Reel"}, {Head: "Wire"}, {Head: "Circuit"}, {Head: "Cut", Unit: k.lengthUnit()}, {Head: "Tail", Unit: k.lengthUnit()}, {Head: "From"}, {Head: "Strip from", Unit: k.lengthUnit()}, {Head: "Contact from"}, {Head: "To"}, {Head: "Strip to", Unit: k.lengthUnit()}, {Head: "Contact to"}, {Head: "Label"}}}
	add := func(title string, list []int) {
		slices.SortStableFunc(list, func(a, b int) int {
			return cmp.Compare(k.p.Cuts.Wires[b].Cut.Value, k.p.Cuts.Wires[a].Cut.Value)
		})
		sum := 0.0
		for _, i := range list {
			sum += float64(k.p.Cuts.Wires[i].Cut.Value)
		}
		t.Rows = append(t.Rows, page.Row{Kind: page.GroupHead, Cells: []string{fmt.Sprintf("%s: %d wires, %.2f m", title, len(list), sum)}})
		for _, i := range list {
			w, s, cut := k.wire(i)
			tail := ""
			if cut.Tail > 0 {
				tail = k.length(cut.Tail)
			}
			t.Rows = append(t.Rows, page.Row{ID: w.ID, Cells: []string{cut.Number.Value, k.circuit(i), k.length(cut.Cut.Value), tail, k.p.EndName(&w.From), k.strip(&s.From), onEnd(&s.From), k.p.EndName(&w.To), k.strip(&s.To), onEnd(&s.To), cut.Label.Value, page.TickBox}})
			tab.Rows = append(tab.Rows, []sheet.Cell{sheet.Text(title), sheet.Text(cut.Number.Value), sheet.Text(k.circuit(i)), num(k.inUnit(cut.Cut.Value)), num(k.inUnit(cut.Tail)), sheet.Text(k.p.EndName(&w.From)), num(k.inUnit(s.From.Strip)), sheet.Text(onEnd(&s.From)), sheet.Text(k.p.EndName(&w.To)), num(k.inUnit(s.To.Strip)), sheet.Text(onEnd(&s.To)), sheet.Text(cut.Label.Value)})
		}
	}
	for _, r := range reels {
		size := r.gauge
		if w := k.c.WireOf(r.family, r.gauge); w != nil {
			size = k.gauge(w)
		}
		add(fmt.Sprintf("%s, %s %s, %s", r.family, size, k.gaugeHead(), r.colour), of[r])
	}
	for _, c := range cableOrder {
		name := k.t.Cables[c].Name
		if q := k.t.Cables[c].Part; q != nil {
			name += ", " + q.ID + ", cut once"
		}
		add("Cable "+name, cables[c])
	}
	p.Blocks = []page.Block{page.Paragraph{Text: "Strip lengths are the contact's longest; \"check\" says that a figure of the end is from memory. Twist groups are laid together before they go into the loom."}, t}
	if len(open) > 0 {
		names := ""
		for n, i := range open {
			if n > 0 {
				names += ", "
			}
			names += k.p.Cuts.Wires[i].Number.Value + " " + k.circuit(i)
		}
		p.Blocks = append(p.Blocks, page.Note{Kind: page.Halt, Title: "Not to be cut yet", Text: "No size or length: " + names})
	}
	p.Tabs = []sheet.Tab{tab}
	return p
}

func (k *Car) strip(e *plan.EndParts) string {
	if e.Strip <= 0 {
		return ""
	}
	return k.length(e.Strip)
}

// inUnit is a length in the unit of the car's papers, for number cells.
func (k *Car) inUnit(l quantity.Length) float64 {
	if k.d.Car.Units.Inches {
		return quantity.RoundTo(float64(l/quantity.In), 0.01)
	}
	return quantity.RoundTo(l.MM(), 0.1)
}

// onEnd is what is crimped on an end.
func onEnd(e *plan.EndParts) string {
	s := e.Contact + e.Lug
	if e.Check && s != "" {
		s += " (check)"
	}
	return s
}

// threadOn lists what goes on each leg's end before its connector.
func (k *Car) threadOn(loom int) Paper {
	p := Paper{Title: "Thread-on list", For: "what goes on a leg before its connector closes the way"}
	t := page.Table{ID: "thread", Columns: []page.Column{{Head: "No.", Align: page.ToRight}, {Head: "Goes on", Weight: 1}, {Head: "Done", Width: 11}}}
	tab := sheet.Tab{Name: "Thread-on", Columns: []sheet.Column{{Head: "Leg"}, {Head: "End"}, {Head: "No."}, {Head: "Goes on"}}}
	for _, th := range k.p.Cuts.Thread {
		leg := &k.t.Legs[th.Leg]
		if leg.Loom != loom {
			continue
		}
		t.Rows = append(t.Rows, page.Row{Kind: page.GroupHead, Cells: []string{"Leg " + leg.Name + ", end at " + k.place(th.Place)}})
		for n, item := range th.Items {
			t.Rows = append(t.Rows, page.Row{Cells: []string{fmt.Sprint(n + 1), item, page.TickBox}})
			tab.Rows = append(tab.Rows, []sheet.Cell{sheet.Text(leg.Name), sheet.Text(k.place(th.Place)), num(float64(n + 1)), sheet.Text(item)})
		}
	}
	if len(t.Rows) > 0 {
		p.Blocks = []page.Block{page.Paragraph{Text: "In this order, from the loom outward. What is forgotten here is cut open later."}, t}
		p.Tabs = []sheet.Tab{tab}
	}
	return p
}

// breakout gives running dimensions from one datum, for a tape measure laid
// along the loom: the datum is the place with the most legs.
func (k *Car) breakout(loom int) Paper {
	p := Paper{Title: "Breakout list", For: "running dimensions from one datum, for a tape measure"}
	l := &k.t.Looms[loom]
	at := map[int][]int{}
	for _, i := range l.Legs {
		g := &k.t.Legs[i]
		at[g.From] = append(at[g.From], i)
		at[g.To] = append(at[g.To], i)
	}
	datum := -1
	for _, place := range l.Places {
		if datum < 0 || len(at[place]) > len(at[datum]) {
			datum = place
		}
	}
	if datum < 0 || len(l.Legs) == 0 {
		return p
	}
	t := page.Table{ID: "breakout", Zebra: true, Columns: []page.Column{{Head: "Place", Weight: 2}, {Head: "On leg", Weight: 2}, {Head: "Leg", Unit: k.lengthUnit(), Align: page.Decimal}, {Head: "From datum", Unit: k.lengthUnit(), Align: page.Decimal}, {Head: "Wires", Align: page.ToRight}, {Head: "Diameter", Unit: k.lengthUnit(), Align: page.Decimal}, {Head: "Covering", Weight: 1}, {Head: "Finish", Width: 14}}}
	tab := sheet.Tab{Name: "Breakouts", Columns: []sheet.Column{{Head: "Place"}, {Head: "On leg"}, {Head: "Leg", Unit: k.lengthUnit()}, {Head: "From datum", Unit: k.lengthUnit()}, {Head: "Wires"}, {Head: "Diameter", Unit: k.lengthUnit()}, {Head: "Covering"}, {Head: "Finish"}}}
	seen := map[int]bool{datum: true}
	loops := []int{}
	var walk func(place int, far quantity.Length)
	walk = func(place int, far quantity.Length) {
		legs := slices.Clone(at[place])
		slices.SortStableFunc(legs, func(a, b int) int { return cmp.Compare(k.t.Legs[a].Length.Value, k.t.Legs[b].Length.Value) })
		for _, i := range legs {
			g := &k.t.Legs[i]
			other := g.From
			if other == place {
				other = g.To
			}
			if seen[other] {
				if !slices.Contains(loops, i) {
					loops = append(loops, i)
				}
				continue
			}
			seen[other] = true
			loops = append(loops, i) // walked: not a loop when it is met from its far end
			b := &k.p.Bundles.Legs[i]
			finish := "bench"
			if g.OnCar {
				finish = "car"
			}
			run := far + g.Length.Value
			t.Rows = append(t.Rows, page.Row{ID: string(g.ID), Cells: []string{k.place(other), g.Name, k.length(g.Length.Value), k.length(run), fmt.Sprint(len(b.Wires)), k.length(b.Covered), b.Sleeve.Value, finish}})
			tab.Rows = append(tab.Rows, []sheet.Cell{sheet.Text(k.place(other)), sheet.Text(g.Name), num(k.inUnit(g.Length.Value)), num(k.inUnit(run)), num(float64(len(b.Wires))), num(k.inUnit(b.Covered)), sheet.Text(b.Sleeve.Value), sheet.Text(finish)})
			walk(other, run)
		}
	}
	walk(datum, 0)
	p.Blocks = []page.Block{page.Paragraph{Text: "Datum: " + k.place(datum) + ". Lay the tape along the legs; the last column says where the end is finished. Diameters are with covering."}, t}
	p.Tabs = []sheet.Tab{tab}
	return p
}
