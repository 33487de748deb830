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
	"keyon/model/plan"
	"keyon/num/quantity"
)

// pinRow is one cavity with a wire in it.
type pinRow struct {
	cavity, pin, number, circuit, colour, gauge, far, reads, contact string
}

// pins draws one page per connector of a loom.
func (k *Car) pins(loom int) Paper {
	p := Paper{Title: "Pin sheets", For: "fill each connector: face, wires, far ends, what a meter reads"}
	tab := sheet.Tab{Name: "Pins", Columns: []sheet.Column{{Head: "Connector"}, {Head: "Cavity"}, {Head: "Pin"}, {Head: "Wire"}, {Head: "Circuit"}, {Head: "Colour"}, {Head: "Size", Unit: k.gaugeHead()}, {Head: "Far end"}, {Head: "Contact"}, {Head: "Should read"}}}
	for n, c := range buy.Connectors(k.p, loom) {
		at := buy.At(k.p, &c, loom)
		if len(at) == 0 {
			continue
		}
		rows := k.pinRows(&c, at)
		for _, r := range rows {
			tab.Rows = append(tab.Rows, sheet.Texts(c.Name, r.cavity, r.pin, r.number, r.circuit, r.colour, r.gauge, r.far, r.contact, r.reads))
		}
		if n > 0 && len(p.Blocks) > 0 {
			p.Blocks = append(p.Blocks, page.Break{})
		}
		p.Blocks = append(p.Blocks, k.connectorPage(&c, at, rows)...)
	}
	if len(p.Blocks) > 0 {
		p.Tabs = []sheet.Tab{tab}
	}
	return p
}

func (k *Car) pinRows(c *buy.Connector, at map[string][]int) []pinRow {
	var out []pinRow
	for h := range c.Part.Cavities {
		cav := c.Part.Cavities[h].Name
		for _, i := range at[cav] {
			w, s, cut := k.wire(i)
			end, parts, far := &w.From, &s.From, &w.To
			if !k.isAt(c, &w.From, cav) {
				end, parts, far = &w.To, &s.To, &w.From
			}
			r := pinRow{cavity: cav, number: cut.Number.Value, circuit: k.circuit(i), colour: s.Colour.Value, gauge: k.gauge(s.Wire), far: k.p.EndName(far), contact: parts.Contact}
			if end.End >= 0 {
				q := &k.p.Ends.List[end.End]
				r.pin = q.Pin.Value
				if q.Device >= 0 && q.PinIndex >= 0 {
					r.reads = k.t.Devices[q.Device].Part.Pins[q.PinIndex].Reads
				}
			}
			if r.reads == "" {
				r.reads = k.expected(i)
			}
			out = append(out, r)
		}
	}
	return out
}

func (k *Car) isAt(c *buy.Connector, e *plan.WireEnd, cavity string) bool {
	if c.Join >= 0 {
		return e.Kind == plan.AtCavity && e.Half == c.Half && k.p.Cavities.Crossings[e.Crossing].Join == c.Join && k.p.Cavities.Crossings[e.Crossing].Cavity.Value == cavity
	}
	if e.Kind != plan.AtPin || e.End < 0 {
		return false
	}
	q := &k.p.Ends.List[e.End]
	return q.Device == c.Device && q.Connector == c.Index && q.Cavity == cavity
}

func (k *Car) connectorPage(c *buy.Connector, at map[string][]int, rows []pinRow) []page.Block {
	used := map[string]bool{}
	for cav := range at {
		used[cav] = true
	}
	size := 62.0
	if len(c.Part.Cavities) > 60 {
		size = 84
	}
	face, side := Face(c, used, size)
	where := "at " + k.place(c.Place)
	if c.Device >= 0 && k.t.Devices[c.Device].Part != nil {
		where += "; " + k.t.Devices[c.Device].Part.Title
	}
	var plugs []string
	for h := range c.Part.Cavities {
		if !used[c.Part.Cavities[h].Name] {
			plugs = append(plugs, c.Part.Cavities[h].Name)
		}
	}
	facts := page.Table{Columns: []page.Column{{Head: "Connector"}, {Head: c.Name, Weight: 1}}}
	add := func(name, value string) {
		if value != "" {
			facts.Rows = append(facts.Rows, page.Row{Cells: []string{name, value}})
		}
	}
	add("where", where)
	add("part", c.Part.ID)
	add("contacts on this side", c.Gender)
	add("key", c.Key)
	add("face", side)
	for _, line := range k.toFit(c, at) {
		add(line[0], line[1])
	}
	if c.Part.Sealed && len(plugs) > 0 {
		add("plug these cavities", fmt.Sprintf("%d: %s", len(plugs), strings.Join(plugs, " ")))
	}
	add("torque", c.Part.Torque)
	left := []page.Block{face}
	if qr, err := code.QR("qr "+c.Name, "keyon plug "+c.Name, 18); err == nil {
		left = append(left, page.Drawing{W: 18, H: 18, Marks: []page.Mark{qr}})
	}
	table := page.Table{ID: "pins " + c.Name, Zebra: true, Columns: []page.Column{
		{Head: "Cavity", Face: page.Mono}, {Head: "Pin", Face: page.Mono}, {Head: "Wire", Face: page.Mono}, {Head: "Circuit", Weight: 2}, {Head: "Colour"}, {Head: "Size", Unit: k.gaugeHead()}, {Head: "Far end", Weight: 2}, {Head: "Should read", Weight: 2}, {Head: "Done", Width: 11}}}
	for _, r := range rows {
		table.Rows = append(table.Rows, page.Row{ID: c.Name + "." + r.cavity, Cells: []string{r.cavity, r.pin, r.number, r.circuit, r.colour, r.gauge, r.far, r.reads, page.TickBox}})
	}
	return []page.Block{page.Keep{Blocks: []page.Block{
		page.Heading{ID: c.Name, Text: c.Name},
		page.Beside{Share: (size + 4) / 180, Left: left, Right: []page.Block{facts}},
		table,
	}}}
}

// toFit lists contacts and seals with counts.
func (k *Car) toFit(c *buy.Connector, at map[string][]int) [][2]string {
	count := map[string]int{}
	seals := map[string]int{}
	for cav, wires := range at {
		for _, i := range wires {
			w, s, _ := k.wire(i)
			parts := &s.From
			if !k.isAt(c, &w.From, cav) {
				parts = &s.To
			}
			if parts.Contact != "" {
				count[parts.Contact]++
			}
			if parts.Seal != "" {
				seals[parts.Seal]++
			}
		}
	}
	var out [][2]string
	list := func(title string, m map[string]int) {
		ids := make([]string, 0, len(m))
		for id := range m {
			ids = append(ids, id)
		}
		slices.Sort(ids)
		for _, id := range ids {
			out = append(out, [2]string{title, fmt.Sprintf("%d × %s", m[id], id)})
		}
	}
	list("contacts", count)
	list("seals", seals)
	return out
}

// methods of ringing out, by what the reading has to tell (common practice):
// a beep tells that there is copper; two wires zeroed tell a tenth of an ohm;
// four wires tell a milliohm, and a lamp load that the strands carry.
const (
	methodBeep = "beep"
	methodTwo  = "two-wire, zeroed"
	methodFour = "four-wire"
)

// method is how a wire is rung out.
func (k *Car) method(i int) string {
	switch a := float64(k.p.Sizes.Wires[i].Amps); {
	case a >= 10:
		return methodFour
	case a >= 1:
		return methodTwo
	}
	return methodBeep
}

// ohms is a wire's resistance end to end at 20 °C with half of each contact.
func (k *Car) ohms(i int) (float64, bool) {
	_, s, cut := k.wire(i)
	if s.Wire == nil || !cut.Cut.Settled() {
		return 0, false
	}
	r := float64(s.Wire.OhmPerM) * float64(cut.Cut.Value)
	for _, id := range []string{s.From.Contact, s.To.Contact} {
		if c := k.c.Contacts[id]; c != nil {
			r += float64(c.Ohm) / 2
		}
	}
	return r, true
}

// expected is the reading to pass, no finer than the method.
func (k *Car) expected(i int) string {
	r, ok := k.ohms(i)
	if !ok {
		return ""
	}
	switch k.method(i) {
	case methodFour:
		return "at most " + quantity.Text(quantity.RoundUp(r*1.2, 0.001)*1e3, 0) + " mΩ"
	case methodTwo:
		return "at most " + quantity.Text(quantity.RoundUp(r*1.2, 0.1), 1) + " Ω"
	}
	return "beeps"
}

// devicePage draws a device for the tuner; ok is false for small ones.
func (k *Car) devicePage(d int) (Paper, bool) {
	dev := &k.t.Devices[d]
	if dev.Part == nil || len(dev.Part.Pins) < 8 {
		return Paper{}, false
	}
	type row struct{ connector, cavity, pin, role, circuit, far, reads string }
	var rows []row
	for i := range k.p.Ends.List {
		e := &k.p.Ends.List[i]
		if e.Device != d || e.PinIndex < 0 {
			continue
		}
		var far []string
		for _, j := range k.p.Ends.Of[e.Circuit] {
			if j != i {
				o := &k.p.Ends.List[j]
				if o.Stud >= 0 {
					far = append(far, "stud "+k.t.Studs[o.Stud].Name)
				} else if o.Device >= 0 {
					far = append(far, k.t.Devices[o.Device].Name+":"+o.Pin.Value)
				}
			}
		}
		pin := &dev.Part.Pins[e.PinIndex]
		rows = append(rows, row{pin.Connector, pin.Cavity, pin.Name, string(pin.Role), k.t.Circuits[e.Circuit].Name, strings.Join(far, ", "), pin.Reads})
	}
	if len(rows) == 0 {
		return Paper{}, false
	}
	slices.SortStableFunc(rows, func(a, b row) int { return cmp.Or(cmp.Compare(a.connector, b.connector), natural(a.pin, b.pin)) })
	t := page.Table{ID: "device " + dev.Name, Zebra: true, Columns: []page.Column{{Head: "Plug", Face: page.Mono}, {Head: "Cavity", Face: page.Mono}, {Head: "Pin", Face: page.Mono}, {Head: "Role", Weight: 1}, {Head: "Circuit", Weight: 2}, {Head: "Serves", Weight: 3}, {Head: "Should read", Weight: 2}}}
	tab := sheet.Tab{Name: dev.Name, Columns: []sheet.Column{{Head: "Plug"}, {Head: "Cavity"}, {Head: "Pin"}, {Head: "Role"}, {Head: "Circuit"}, {Head: "Serves"}, {Head: "Should read"}}}
	for _, r := range rows {
		t.Rows = append(t.Rows, page.Row{Cells: []string{r.connector, r.cavity, r.pin, r.role, r.circuit, r.far, r.reads}})
		tab.Rows = append(tab.Rows, sheet.Texts(r.connector, r.cavity, r.pin, r.role, r.circuit, r.far, r.reads))
	}
	free := 0
	for i := range dev.Part.Pins {
		if !slices.ContainsFunc(rows, func(r row) bool { return r.pin == dev.Part.Pins[i].Name }) {
			free++
		}
	}
	return Paper{Title: "Device: " + dev.Name, Blocks: []page.Block{
		page.Paragraph{Text: fmt.Sprintf("%s, part %s, at %s. %d pins used, %d free.", dev.Part.Title, dev.Part.ID, k.place(dev.Place), len(rows), free)}, t}, Tabs: []sheet.Tab{tab}}, true
}

// natural compares names so that 9 comes before 10.
func natural(a, b string) int {
	x, y := strings.TrimRight(a, "0123456789"), strings.TrimRight(b, "0123456789")
	if x != y || len(a) == len(b) {
		return cmp.Compare(a, b)
	}
	return cmp.Compare(len(a), len(b))
}
