package draw

import (
	"math"
	"slices"

	"keyon/format/page"
	"keyon/model/buy"
	"keyon/num/quantity"
)

// feeds is the feed and load sheet: of one loom, or of the car for -1.
func (k *Car) feeds(loom int) Paper {
	p := Paper{Title: "Feeds and loads", For: "what each feed gives, its setting, what each load gets", Wide: true}
	f := k.feedTable(loom)
	p.table(&f, page.Heading{Text: "Feeds"})
	l := k.loadTable(loom)
	p.table(&l, page.Heading{Text: "Loads: most amps and least volts over all states"})
	return p
}

// serves says whether a circuit has a wire in the loom.
func (k *Car) serves(circuit, loom int) bool {
	return loom < 0 || slices.ContainsFunc(k.circuit[circuit], func(i int) bool { return k.p.Wires.List[i].Loom == loom })
}

func (k *Car) feedTable(loom int) table {
	t := table{id: "feeds", name: "Feeds", cols: []page.Column{{Head: "Feed"}, {Head: "Outlet", Weight: 1}, {Head: "Setting", Weight: 1}, {Head: "Rating", Unit: "A", Align: page.Decimal}, {Head: "Most", Unit: "A", Align: page.Decimal}, {Head: "In state"}, {Head: "Serves", Weight: 2}, {Head: "Weakest wire", Weight: 1}}}
	of := make([][]int, len(k.t.Feeds)) // circuits
	for i := range k.p.Ends.List {
		if e := &k.p.Ends.List[i]; e.Feed >= 0 && !slices.Contains(of[e.Feed], e.Circuit) {
			of[e.Feed] = append(of[e.Feed], e.Circuit)
		}
	}
	order := make([]int, len(of))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int { return buy.Natural(k.t.Feeds[a].Name, k.t.Feeds[b].Name) })
	for _, f := range order {
		q := &k.t.Feeds[f]
		if f >= len(k.p.Sizes.Feeds) || !slices.ContainsFunc(of[f], func(c int) bool { return k.serves(c, loom) }) {
			continue
		}
		z := &k.p.Sizes.Feeds[f]
		var serves []string
		for _, c := range of[f] {
			serves = append(serves, k.t.Circuits[c].Name)
		}
		slices.SortFunc(serves, buy.Natural)
		outlet := ""
		if q.Device >= 0 && q.Pin >= 0 && k.t.Devices[q.Device].Part != nil {
			outlet = k.t.Devices[q.Device].Name + ":" + k.t.Devices[q.Device].Part.Pins[q.Pin].Name
		}
		weak, state, rating := "", "", cell{}
		if z.Weakest >= 0 {
			weak = k.wireNumber(z.Weakest) + " " + k.circuitOf(z.Weakest)
		}
		if z.Rating > 0 {
			rating = num(float64(z.Rating), 2)
		}
		if z.State >= 0 && z.Amps > 0 {
			state = k.t.States[z.State].Name
		}
		setting := z.Setting.Value
		if z.Fuse != nil {
			setting = check(setting, memory(z.Fuse.Source))
		}
		t.add(q.Name, txt(q.Name), dash(outlet), dash(setting), rating, num(float64(z.Amps), 2), txt(state), txt(joined(serves)), dash(weak))
	}
	return t
}

// loadTable lists the loads that the loom serves, or all.
func (k *Car) loadTable(loom int) table {
	t := table{id: "loads", name: "Loads", cols: []page.Column{{Head: "Device", Weight: 1}, {Head: "From pin", Face: page.Mono}, {Head: "To pin", Face: page.Mono}, {Head: "Most", Unit: "A", Align: page.Decimal}, {Head: "In state"}, {Head: "Least", Unit: "V", Align: page.Decimal}, {Head: "In state"}, {Head: "Needs", Unit: "V", Align: page.Decimal}, {Head: "Lost on the way", Unit: "V", Align: page.Decimal}}}
	here := make([]bool, len(k.t.Devices))
	for i := range k.p.Ends.List {
		if e := &k.p.Ends.List[i]; e.Device >= 0 && !here[e.Device] {
			here[e.Device] = k.serves(e.Circuit, loom)
		}
	}
	type key struct{ device, from, to int }
	type worst struct {
		amps, volts, way, needs float64
		most, least             int // states
	}
	of := map[key]*worst{}
	var order []key
	for s := range k.p.Power.States {
		for _, l := range k.p.Power.States[s].Loads {
			q := &k.t.Loads[l.Load]
			if !here[q.Device] {
				continue
			}
			id := key{q.Device, q.From, q.To}
			w := of[id]
			if w == nil {
				w = &worst{amps: -1, volts: math.Inf(1)}
				of[id] = w
				order = append(order, id)
			}
			if a := float64(l.Amps); a > w.amps {
				w.amps, w.most = a, k.p.Power.States[s].State
			}
			if v := float64(l.Volts); v < w.volts {
				w.volts, w.way, w.least, w.needs = v, float64(l.Way), k.p.Power.States[s].State, float64(q.LeastVolts)
			}
		}
	}
	slices.SortStableFunc(order, func(a, b key) int {
		return buy.Natural(k.t.Devices[a.device].Name, k.t.Devices[b.device].Name)
	})
	pin := func(d, i int) string {
		if q := k.t.Devices[d].Part; q != nil && i >= 0 && i < len(q.Pins) {
			return q.Pins[i].Name
		}
		return "–"
	}
	for _, id := range order {
		w := of[id]
		needs := cell{}
		if w.needs > 0 {
			needs = num(w.needs, 2)
		}
		t.add(k.t.Devices[id.device].Name, txt(k.t.Devices[id.device].Name), txt(pin(id.device, id.from)), txt(pin(id.device, id.to)), num(w.amps, 2), txt(k.t.States[w.most].Name), num(quantity.RoundTo(w.volts, 0.01), 2), txt(k.t.States[w.least].Name), needs, num(w.way, 3))
	}
	return t
}
