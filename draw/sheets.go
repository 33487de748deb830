package draw

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"keyon/format/code"
	"keyon/format/page"
	"keyon/format/sheet"
	"keyon/model/buy"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/model/source"
	"keyon/num/quantity"
)

// joining is the splice, stud and ground sheets of a loom.
func (k *Car) joining(loom int) Paper {
	p := Paper{Title: "Splices, studs and grounds", For: "where wires join, and what goes on which post"}
	splices := page.Table{ID: "splices", Columns: []page.Column{{Head: "Wire", Face: page.Mono}, {Head: "Comes from", Weight: 1}, {Head: "Size", Unit: k.gaugeHead()}, {Head: "Cut", Unit: k.lengthUnit(), Align: page.Decimal}, {Head: "Done", Width: 11}}}
	tab := sheet.Tab{Name: "Splices", Columns: []sheet.Column{{Head: "Splice of"}, {Head: "At"}, {Head: "Part"}, {Head: "Wire"}, {Head: "Comes from"}, {Head: "Size", Unit: k.gaugeHead()}}}
	for n := range k.p.Wires.Splices {
		s := &k.p.Wires.Splices[n]
		if s.Loom != loom {
			continue
		}
		name, id := k.t.Circuits[s.Circuit].Name, orDash(k.p.Sizes.Splices[n].Value)
		splices.Rows = append(splices.Rows, page.Row{Kind: page.GroupHead, Cells: []string{name + " at " + k.place(s.Place) + ", splice " + id}})
		for _, i := range s.Wires {
			w, z, cut := k.wire(i)
			far := &w.From
			if w.From.Kind == plan.AtSplice && w.From.Splice == n {
				far = &w.To
			}
			splices.Rows = append(splices.Rows, page.Row{ID: w.ID, Cells: []string{cut.Number.Value, k.p.EndName(far), k.gauge(z.Wire), k.length(cut.Cut.Value), page.TickBox}})
			tab.Rows = append(tab.Rows, sheet.Texts(name, k.place(s.Place), id, cut.Number.Value, k.p.EndName(far), k.gauge(z.Wire)))
		}
	}
	studs := page.Table{ID: "studs", Columns: []page.Column{{Head: "Order", Align: page.ToRight}, {Head: "Wire", Face: page.Mono}, {Head: "Circuit", Weight: 1}, {Head: "Lug", Weight: 1}, {Head: "Size", Unit: k.gaugeHead()}, {Head: "Done", Width: 11}}}
	lugs := sheet.Tab{Name: "Studs", Columns: []sheet.Column{{Head: "Stud"}, {Head: "At"}, {Head: "Order"}, {Head: "Wire"}, {Head: "Circuit"}, {Head: "Lug"}, {Head: "Size", Unit: k.gaugeHead()}}}
	for s := range k.t.Studs {
		q := &k.t.Studs[s]
		var on []int
		for _, i := range k.ofLoom(loom) {
			w := &k.p.Wires.List[i]
			for _, e := range []*plan.WireEnd{&w.From, &w.To} {
				if e.Kind == plan.AtStud && e.End >= 0 && k.p.Ends.List[e.End].Stud == s {
					on = append(on, i)
				}
			}
		}
		if len(on) == 0 {
			continue
		}
		// The thickest lies lowest: the least resistance where most current flows.
		slices.SortStableFunc(on, func(a, b int) int { return cmp.Compare(k.area(b), k.area(a)) })
		studs.Rows = append(studs.Rows, page.Row{Kind: page.GroupHead, Cells: []string{fmt.Sprintf("Stud %s, %s, at %s%s", q.Name, q.Thread, k.place(q.Place), k.torque(q.Thread))}})
		for n, i := range on {
			w, z, cut := k.wire(i)
			lug := z.From.Lug
			if lug == "" || w.To.Kind == plan.AtStud && w.To.End >= 0 && k.p.Ends.List[w.To.End].Stud == s {
				lug = z.To.Lug
			}
			studs.Rows = append(studs.Rows, page.Row{ID: w.ID, Cells: []string{fmt.Sprint(n + 1), cut.Number.Value, k.circuit(i), orDash(lug), k.gauge(z.Wire), page.TickBox}})
			lugs.Rows = append(lugs.Rows, []sheet.Cell{sheet.Text(q.Name), sheet.Text(k.place(q.Place)), num(float64(n + 1)), sheet.Text(cut.Number.Value), sheet.Text(k.circuit(i)), sheet.Text(lug), sheet.Text(k.gauge(z.Wire))})
		}
	}
	if len(splices.Rows) > 0 {
		p.Blocks = append(p.Blocks, page.Heading{Text: "Splices"}, page.Paragraph{Text: "Spread splices along the leg so that its diameter doesn't jump. Slip the sleeve on before you crimp."}, splices)
		p.Tabs = append(p.Tabs, tab)
	}
	if len(studs.Rows) > 0 {
		p.Blocks = append(p.Blocks, page.Heading{Text: "Studs and grounds"}, page.Paragraph{Text: "Bare, bright metal under the lowest lug; seal it afterwards. Order 1 lies lowest. Mark the nut after it is tightened."}, studs)
		p.Tabs = append(p.Tabs, lugs)
	}
	return p
}

func (k *Car) area(i int) float64 {
	if w := k.p.Sizes.Wires[i].Wire; w != nil {
		return float64(w.Area)
	}
	return 0
}

// torque is the nut torque of a thread, with its range, where known.
func (k *Car) torque(thread string) string {
	ids := make([]string, 0, len(k.c.Studs))
	for id := range k.c.Studs {
		ids = append(ids, id)
	}
	slices.Sort(ids)
	for _, id := range ids {
		if s := k.c.Studs[id]; s.Thread == thread && s.TorqueMost > 0 {
			t := fmt.Sprintf(", nut %s to %s N·m", quantity.Text(s.TorqueLeast, 1), quantity.Text(s.TorqueMost, 1))
			if s.Source.Status != source.Seen {
				t += " (check)"
			}
			return t
		}
	}
	return ", nut torque: the stud maker's figure"
}

// tools lists, for each contact and gauge of a loom, how it is crimped.
func (k *Car) tools(loom int) Paper {
	p := Paper{Title: "Tool sheet", For: "contact and gauge: tool, setting, strip, pull test of the set-up"}
	type use struct{ id, gauge string }
	count := map[use]int{}
	for _, i := range k.ofLoom(loom) {
		_, s, _ := k.wire(i)
		if s.Wire == nil {
			continue
		}
		for _, e := range []*plan.EndParts{&s.From, &s.To} {
			if e.Contact+e.Lug != "" {
				count[use{e.Contact + e.Lug, s.Wire.Gauge}]++
			}
		}
	}
	keys := make([]use, 0, len(count))
	for u := range count {
		keys = append(keys, u)
	}
	slices.SortFunc(keys, func(a, b use) int { return cmp.Or(cmp.Compare(a.id, b.id), natural(a.gauge, b.gauge)) })
	t := page.Table{ID: "tools", Zebra: true, Columns: []page.Column{{Head: "Contact or lug", Weight: 1}, {Head: "Wire", Unit: k.gaugeHead()}, {Head: "Ends", Align: page.ToRight}, {Head: "Crimp tool, positioner, setting", Weight: 3}, {Head: "Strip", Unit: k.lengthUnit()}, {Head: "Insert, extract", Weight: 1}, {Head: "Pull", Unit: "N", Align: page.Decimal}}}
	tab := sheet.Tab{Name: "Tools", Columns: []sheet.Column{{Head: "Contact or lug"}, {Head: "Wire", Unit: k.gaugeHead()}, {Head: "Ends"}, {Head: "Crimp tool, positioner, setting"}, {Head: "Strip", Unit: k.lengthUnit()}, {Head: "Insert, extract"}, {Head: "Pull", Unit: "N"}}}
	for _, u := range keys {
		tool, strip, insert, pull := "", "", "", ""
		if c := k.c.Contacts[u.id]; c != nil {
			tool, insert = c.Tool, c.Insert
			if c.StripMost > 0 {
				strip = k.length(c.StripLeast) + "–" + k.length(c.StripMost)
			}
			if n, ok := c.Pull[u.gauge]; ok {
				pull = quantity.Text(n, 1)
			}
			if c.From("strip").Status == source.Memory {
				strip += " (check)"
			}
		} else if l := k.c.Lugs[u.id]; l != nil {
			tool = l.Tool
			if l.Strip > 0 {
				strip = k.length(l.Strip)
			}
			if l.Source.Status == source.Memory {
				strip += " (check)"
			}
		}
		gauge := u.gauge
		t.Rows = append(t.Rows, page.Row{Cells: []string{u.id, gauge, fmt.Sprint(count[u]), orDash(tool), orDash(strip), orDash(insert), pull}})
		tab.Rows = append(tab.Rows, []sheet.Cell{sheet.Text(u.id), sheet.Text(gauge), num(float64(count[u])), sheet.Text(tool), sheet.Text(strip), sheet.Text(insert), sheet.Text(pull)})
	}
	if len(t.Rows) > 0 {
		p.Blocks = []page.Block{page.Paragraph{Text: "Pull is the least tensile force of a crimp made to prove the tool's setting. It belongs to the set-up, never to a wire in the loom."}, t}
		p.Tabs = []sheet.Tab{tab}
	}
	return p
}

// label is one label to print.
type label struct {
	text, sleeve, place string
	count               int
}

// labelList is every label of a loom: wires first, then connectors.
func (k *Car) labelList(loom int) []label {
	var out []label
	for _, i := range k.ofLoom(loom) {
		_, s, cut := k.wire(i)
		n := 0
		for _, at := range cut.LabelAt {
			if !strings.HasPrefix(at, "none") {
				n++
			}
		}
		place := cut.LabelAt[0]
		if cut.LabelAt[1] != place {
			place += "; " + cut.LabelAt[1]
		}
		if strings.HasPrefix(place, "at the middle") && n == 2 {
			n, place = 1, "at the middle"
		}
		if n > 0 {
			out = append(out, label{cut.Label.Value, k.markSleeve(s.Wire), place, n})
		}
	}
	for _, c := range buy.Connectors(k.p, loom) {
		if len(buy.At(k.p, &c, loom)) > 0 {
			out = append(out, label{c.Name, "connector label", "on the leg, within 75 mm of " + c.Name, 1})
		}
	}
	return out
}

// markSleeve is the smallest heat-shrink that slips over a wire and grips it.
func (k *Car) markSleeve(w *part.Wire) string {
	if w == nil {
		return "open"
	}
	for _, s := range k.c.SleevesOf("heat-shrink") {
		if s.Expanded.MM() >= 1.2*w.Outside.MM() && s.Recovered.MM() <= 0.9*w.Outside.MM() {
			return s.ID
		}
	}
	return "none of the catalogue fits"
}

func (k *Car) labelTab(loom int) sheet.Tab {
	tab := sheet.Tab{Name: "Labels", Columns: []sheet.Column{{Head: "text"}, {Head: "sleeve"}, {Head: "place"}, {Head: "count"}, {Head: "code"}}}
	for _, l := range k.labelList(loom) {
		qr := ""
		if l.sleeve == "connector label" {
			qr = "keyon plug " + l.text
		}
		tab.Rows = append(tab.Rows, []sheet.Cell{sheet.Text(l.text), sheet.Text(l.sleeve), sheet.Text(l.place), num(float64(l.count)), sheet.Text(qr)})
	}
	return tab
}

// labels is the label sheet.
func (k *Car) labels(loom int) Paper {
	p := Paper{Title: "Label sheet", For: "what to print on which sleeve, and where it goes"}
	list := k.labelList(loom)
	if len(list) == 0 {
		return p
	}
	t := page.Table{ID: "labels", Zebra: true, Columns: []page.Column{{Head: "Text", Weight: 2}, {Head: "Sleeve", Weight: 2}, {Head: "Where", Weight: 2}, {Head: "Count", Align: page.ToRight}, {Head: "Done", Width: 11}}}
	var codes []page.Block
	for _, l := range list {
		t.Rows = append(t.Rows, page.Row{Cells: []string{l.text, l.sleeve, l.place, fmt.Sprint(l.count), page.TickBox}})
		if l.sleeve == "connector label" {
			if g, err := code.QR("qr "+l.text, "keyon plug "+l.text, 20); err == nil {
				text, em := page.Fit(page.Bold, 4.2, 2.3, l.text, 56)
				codes = append(codes, page.Drawing{W: 82, H: 22, Marks: []page.Mark{page.Rect{Class: page.Fine, Box: page.Box{X: 0.2, Y: 0.2, W: 81.6, H: 21.6}}, page.Group{Marks: page.Moved([]page.Mark{g}, 1, 1, 1)},
					page.Text{At: page.Point{X: 24, Y: 12.5}, Text: text, Face: page.Bold, Size: em, Box: page.Box{X: 23, Y: 4, W: 58, H: 14}}}})
			}
		}
	}
	p.Blocks = []page.Block{page.Paragraph{Text: "Permanent labels sit at the connector; bench flags on wire ends come off when the connector is done."}, t}
	if len(codes) > 0 {
		p.Blocks = append(p.Blocks, page.Heading{Text: "Connector labels to cut out"})
		for i := 0; i < len(codes); i += 2 {
			b := page.Beside{Left: codes[i : i+1]}
			if i+1 < len(codes) {
				b.Right = codes[i+1 : i+2]
			}
			p.Blocks = append(p.Blocks, b)
		}
	}
	p.Tabs = []sheet.Tab{k.labelTab(loom)}
	return p
}

// buyingList is what a loom takes, less stock, with spares.
func (k *Car) buyingList(loom int) Paper {
	p := Paper{Title: "Buying list", For: "what the loom takes, less what is on the shelf, with spares"}
	t := page.Table{ID: "buying", Zebra: true, Columns: []page.Column{{Head: "Kind"}, {Head: "Part", Weight: 3}, {Head: "Size", Unit: k.gaugeHead()}, {Head: "Colour"}, {Head: "Needs", Align: page.Decimal}, {Head: "Spare", Align: page.Decimal}, {Head: "Shelf", Align: page.Decimal}, {Head: "Buy", Align: page.Decimal}, {Head: "Unit"}}}
	tab := sheet.Tab{Name: "Buying", Columns: []sheet.Column{{Head: "Kind"}, {Head: "Part"}, {Head: "Size"}, {Head: "Colour"}, {Head: "Needs"}, {Head: "Spare"}, {Head: "Shelf"}, {Head: "Buy"}, {Head: "Unit"}, {Head: "Spares by"}}}
	for _, l := range k.buying[loom] {
		unit, need := "pcs", float64(l.Pieces)
		if l.Pieces == 0 {
			unit, need = "m", l.Metres
		}
		title := l.Part
		if name := k.c.Title(l.Part); name != "" && l.Kind != "wire" {
			title += ", " + name
		}
		t.Rows = append(t.Rows, page.Row{Cells: []string{l.Kind, title, l.Gauge, l.Colour, amount(need), amount(l.Spare), amount(l.Stock), amount(l.Buy), unit}})
		tab.Rows = append(tab.Rows, []sheet.Cell{sheet.Text(l.Kind), sheet.Text(l.Part), sheet.Text(l.Gauge), sheet.Text(l.Colour), num(need), num(l.Spare), num(l.Stock), num(l.Buy), sheet.Text(unit), sheet.Text(l.Why)})
	}
	if len(t.Rows) > 0 {
		p.Blocks = []page.Block{page.Paragraph{Text: "Sleeves are bought 15 % longer than their legs: they lose length when they shrink. The shelf is given to looms in their order. Boots, backshells and label sleeves are chosen at the bench."}, t}
		p.Tabs = []sheet.Tab{tab}
	}
	return p
}

// feeds is the feed and load sheet: of one loom, or of the car for -1.
func (k *Car) feeds(loom int) Paper {
	p := Paper{Title: "Feeds and loads", For: "what each feed gives, its setting, and what it serves"}
	t := page.Table{ID: "feeds", Zebra: true, Columns: []page.Column{{Head: "Feed"}, {Head: "Outlet", Weight: 1}, {Head: "Setting"}, {Head: "Most", Unit: "A", Align: page.Decimal}, {Head: "In state"}, {Head: "Serves", Weight: 2}, {Head: "Weakest wire", Weight: 1}}}
	tab := sheet.Tab{Name: "Feeds", Columns: []sheet.Column{{Head: "Feed"}, {Head: "Outlet"}, {Head: "Setting"}, {Head: "Most", Unit: "A"}, {Head: "In state"}, {Head: "Serves"}, {Head: "Weakest wire"}}}
	for f := range k.t.Feeds {
		q := &k.t.Feeds[f]
		if f >= len(k.p.Sizes.Feeds) {
			break
		}
		z := &k.p.Sizes.Feeds[f]
		var serves []string
		here := loom < 0
		for i := range k.p.Ends.List {
			e := &k.p.Ends.List[i]
			if e.Feed != f {
				continue
			}
			serves = append(serves, k.t.Circuits[e.Circuit].Name)
			for w := range k.p.Wires.List {
				here = here || k.p.Wires.List[w].Circuit == e.Circuit && k.p.Wires.List[w].Loom == loom
			}
		}
		if !here || len(serves) == 0 {
			continue
		}
		outlet := ""
		if q.Device >= 0 && q.Pin >= 0 && k.t.Devices[q.Device].Part != nil {
			outlet = k.t.Devices[q.Device].Name + ":" + k.t.Devices[q.Device].Part.Pins[q.Pin].Name
		}
		weak, state := "", ""
		if z.Weakest >= 0 {
			weak = k.p.Cuts.Wires[z.Weakest].Number.Value + " " + k.circuit(z.Weakest)
		}
		if z.State >= 0 {
			state = k.t.States[z.State].Name
		}
		amps := quantity.Text(float64(z.Amps), 2)
		t.Rows = append(t.Rows, page.Row{ID: q.Name, Cells: []string{q.Name, outlet, orDash(z.Setting.Value), amps, state, strings.Join(serves, ", "), weak}})
		tab.Rows = append(tab.Rows, []sheet.Cell{sheet.Text(q.Name), sheet.Text(outlet), sheet.Text(z.Setting.Value), num(quantity.RoundTo(float64(z.Amps), 0.01)), sheet.Text(state), sheet.Text(strings.Join(serves, ", ")), sheet.Text(weak)})
	}
	if len(t.Rows) > 0 {
		p.Blocks = []page.Block{t}
		p.Tabs = []sheet.Tab{tab}
	}
	return p
}

// ringOut is the sheet for measuring every wire of a loom end to end.
func (k *Car) ringOut(loom int) Paper {
	p := Paper{Title: "Ring-out sheet", For: "prove every wire before the loom meets the car", Wide: true}
	wires := k.ofLoom(loom)
	if len(wires) == 0 {
		return p
	}
	t := page.Table{ID: "ring", Zebra: true, Columns: []page.Column{{Head: "Wire", Face: page.Mono}, {Head: "Circuit", Weight: 2}, {Head: "From", Weight: 2}, {Head: "To", Weight: 2}, {Head: "Method", Weight: 1}, {Head: "Should read", Weight: 1}, {Head: "Reads", Width: 22}, {Head: "OK", Width: 11}}}
	tab := sheet.Tab{Name: "Ring-out", Columns: []sheet.Column{{Head: "Wire"}, {Head: "Circuit"}, {Head: "From"}, {Head: "To"}, {Head: "Method"}, {Head: "Should read"}}}
	for _, i := range wires {
		w, _, cut := k.wire(i)
		t.Rows = append(t.Rows, page.Row{ID: w.ID, Cells: []string{cut.Number.Value, k.circuit(i), k.p.EndName(&w.From), k.p.EndName(&w.To), k.method(i), k.expected(i), "", page.TickBox}})
		tab.Rows = append(tab.Rows, sheet.Texts(cut.Number.Value, k.circuit(i), k.p.EndName(&w.From), k.p.EndName(&w.To), k.method(i), k.expected(i)))
	}
	p.Blocks = []page.Block{page.Note{Kind: page.Caution, Text: "Loom off the car, or battery isolated and every device unplugged. Then look for shorts: each wire against all others and against every shield reads open."},
		page.Paragraph{Text: "Beep: there is copper. Two-wire, zeroed: hold the leads together first and take that off. Four-wire: clip current and sense leads to the contact, not to the wire. Limits are a fifth above the sum of wire at 20 °C and half of each contact."}, t}
	p.Tabs = []sheet.Tab{tab}
	return p
}

// traces follow each circuit of a loom end to end, through other looms too.
func (k *Car) traces(loom int) Paper {
	p := Paper{Title: "Circuit traces", For: "each circuit end to end, through other looms too"}
	of := map[int][]int{}
	var order []int
	for i := range k.p.Wires.List {
		c := k.p.Wires.List[i].Circuit
		if of[c] == nil {
			order = append(order, c)
		}
		of[c] = append(of[c], i)
	}
	slices.SortFunc(order, func(a, b int) int { return natural(k.t.Circuits[a].Name, k.t.Circuits[b].Name) })
	t := page.Table{ID: "traces", Columns: []page.Column{{Head: "Wire", Face: page.Mono}, {Head: "From", Weight: 2}, {Head: "To", Weight: 2}, {Head: "Size", Unit: k.gaugeHead()}, {Head: "Colour"}, {Head: "Over", Weight: 3}, {Head: "Loom", Weight: 1}}}
	tab := sheet.Tab{Name: "Traces", Columns: []sheet.Column{{Head: "Circuit"}, {Head: "Class"}, {Head: "Wire"}, {Head: "From"}, {Head: "To"}, {Head: "Size", Unit: k.gaugeHead()}, {Head: "Colour"}, {Head: "Over"}, {Head: "Loom"}}}
	for _, c := range order {
		here := slices.ContainsFunc(of[c], func(i int) bool { return k.p.Wires.List[i].Loom == loom })
		if !here {
			continue
		}
		q := &k.t.Circuits[c]
		t.Rows = append(t.Rows, page.Row{Kind: page.GroupHead, Cells: []string{q.Name + ", " + q.Class.Value}})
		for _, i := range of[c] {
			w, s, cut := k.wire(i)
			var legs []string
			for _, l := range w.Legs {
				legs = append(legs, k.t.Legs[l].Name)
			}
			name := ""
			if w.Loom >= 0 {
				name = k.t.Looms[w.Loom].Name
			}
			t.Rows = append(t.Rows, page.Row{ID: w.ID, Cells: []string{cut.Number.Value, k.p.EndName(&w.From), k.p.EndName(&w.To), k.gauge(s.Wire), s.Colour.Value, strings.Join(legs, ", "), name}})
			tab.Rows = append(tab.Rows, sheet.Texts(q.Name, q.Class.Value, cut.Number.Value, k.p.EndName(&w.From), k.p.EndName(&w.To), k.gauge(s.Wire), s.Colour.Value, strings.Join(legs, ", "), name))
		}
	}
	if len(t.Rows) > 0 {
		p.Blocks = []page.Block{t}
		p.Tabs = []sheet.Tab{tab}
	}
	return p
}
