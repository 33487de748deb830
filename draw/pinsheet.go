package draw

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"keyon/format/code"
	"keyon/format/page"
	"keyon/model/buy"
	"keyon/model/plan"
	"keyon/model/ring"
)

// forPins says what pin sheets are for; it marks them among papers.
const forPins = "fill a connector: face, wires, far ends, what a meter reads, parts and tools"

// pinSheets draws one page per connector of a loom.
func (k *Car) pinSheets(loom int, f page.Frame) []Paper {
	x := &k.looms[loom]
	reads := k.reads(loom)
	var out []Paper
	for i := range x.Connectors {
		out = append(out, k.pinSheet(loom, &x.Connectors[i], reads, f))
	}
	return out
}

// reads is what a meter should read from each end of a loom's wires: to the
// far end of the wire, unless another is named.
func (k *Car) reads(loom int) map[buy.End]string {
	reads := map[buy.End]string{}
	paths := ring.Paths(k.c, k.p, k.looms[loom].Wires)
	for i := range paths {
		p := &paths[i]
		for _, e := range []buy.End{p.From, p.To} {
			if reads[e] == "" {
				far := p.To
				if e == far {
					far = p.From
				}
				reads[e] = p.Reads()
				if far != e.Far() {
					reads[e] += " to " + k.endName(far)
				}
			}
		}
	}
	return reads
}

// pinSheet is the page of one connector: as roomy as one page allows. Where
// all of it doesn't fit, face and cavities stay together; they part only where
// a page doesn't hold the cavities.
func (k *Car) pinSheet(loom int, c *buy.Connector, reads map[buy.End]string, f page.Frame) Paper {
	p := Paper{Title: c.Name, For: forPins}
	pins, fit := k.pinTable(c, reads), k.fitTable(c)
	p.Tabs = append(p.Tabs, pins.tab(), fit.tab())
	pages := func(blocks []page.Block) int {
		q := p
		q.Blocks = blocks
		return k.flow(&q, f).Count()
	}
	var parted []page.Block // face and cavities on one page, the rest behind
	for _, share := range []float64{1, 0.85, 0.7, 0.6} {
		head, rest := k.faceAndPins(loom, c, pins, share), k.fitAndSign(loom, c, fit, share < 1)
		whole := append(slices.Clip(head), rest...)
		if pages(whole) == 1 {
			p.Blocks = whole
			return p
		}
		if p.Blocks == nil {
			p.Blocks = whole
		}
		if two := append([]page.Block{page.Keep{Blocks: head}, page.Break{}}, rest...); parted == nil && pages(two) == 1+pages(rest) {
			parted = two
		}
	}
	if parted != nil {
		p.Blocks = parted
	}
	return p
}

// faceAndPins is the upper part of a pin sheet; a share under 1 is drawn
// tighter, the face that much smaller.
func (k *Car) faceAndPins(loom int, c *buy.Connector, pins table, share float64) []page.Block {
	size := share * faceSize(c)
	face, side := Face(c, size)
	facts := []page.Block{k.facts(loom, c, side)}
	if share < 1 {
		pins.size, pins.tall = 0, 0
		if share <= 0.6 {
			pins.size = 2.9
		}
	} else {
		facts = append(facts, plugPicture(c.Name))
	}
	return []page.Block{page.Beside{Share: size / (k.o.Size.W - 33), Left: []page.Block{face}, Right: facts}, pins.block()}
}

// fitAndSign is the lower part of a pin sheet: parts and tools, what goes on
// first, and who did it.
func (k *Car) fitAndSign(loom int, c *buy.Connector, fit table, tight bool) []page.Block {
	sign := page.Table{ID: "sign " + c.Name, Grid: true, Tall: 11, Columns: []page.Column{{Head: "Crimped"}, {Head: "Seated"}, {Head: "Tugged"}, {Head: "Plugs in"}, {Head: "Photo"}, {Head: "By", Weight: 1}, {Head: "Date", Weight: 1}},
		Rows: []page.Row{{Cells: []string{page.TickBox, page.TickBox, page.TickBox, page.TickBox, page.TickBox, "", ""}}}}
	out := []page.Block{
		page.Keep{Blocks: append([]page.Block{page.Heading{Text: "Fit on this connector"}, fit.block()}, k.plugNote(c)...)},
		k.onFirst(loom, c, tight),
	}
	if tight {
		return append(out, page.Beside{Share: 0.83, Left: []page.Block{sign}, Right: []page.Block{plugPicture(c.Name)}})
	}
	return append(out, sign)
}

// plugPicture is the connector's QR code, which leads a phone to its page.
func plugPicture(name string) page.Block {
	qr, err := code.QR("qr "+name, plugCode(name), 24)
	if err != nil { // a name longer than a code holds
		return page.Gap{}
	}
	return page.Drawing{W: 24, H: 24, Marks: []page.Mark{qr}}
}

// plugCode is what the code of a connector says.
func plugCode(name string) string { return "keyon plug " + name }

// facts says what the connector is and where.
func (k *Car) facts(loom int, c *buy.Connector, side string) page.Block {
	t := page.Table{Columns: []page.Column{{Head: "Connector"}, {Head: c.Name, Weight: 1}}}
	add := func(name, value string) {
		if value != "" {
			t.Rows = append(t.Rows, page.Row{Cells: []string{name, value}})
		}
	}
	add("face", side)
	if c.Join >= 0 {
		join := &k.t.Joins[c.Join]
		other := "b"
		if c.Half == "b" {
			other = "a"
		}
		half := "half " + c.Half
		switch {
		case c.Fixed:
			half = "mounted half"
		case c.Free:
			half = "plug half"
		}
		add("is", half+" of "+join.Kind+" join "+join.Name+"; mates with "+join.Name+"/"+other)
	} else if q := k.t.Devices[c.Device].Part; q != nil {
		add("plugs into", q.Title)
	}
	add("place", k.place(c.Place))
	id := c.Part.ID
	if n := c.Number(); n != "" {
		id += ", " + n
	}
	add("part", id)
	add("contacts here", map[string]string{"pin": "pins", "socket": "sockets"}[c.Gender])
	add("key", c.Key)
	if c.Device >= 0 {
		if q := &k.t.Devices[c.Device].Connectors[c.Index]; q.Exit != "" {
			add("wires leave", q.Exit)
		}
	}
	add("torque", c.Part.Torque)
	add("wires here", strconv.Itoa(len(c.Fills))+" of "+strconv.Itoa(len(c.Part.Cavities))+" cavities")
	return t
}

// pinTable lists the cavities in the part's order.
func (k *Car) pinTable(c *buy.Connector, reads map[buy.End]string) table {
	t := table{id: "pins " + c.Name, name: "Pins", group: "Connector", of: c.Name, tick: true, cols: []page.Column{
		{Head: "Cavity", Face: page.Mono}, {Head: "Pin", Face: page.Mono}, {Head: "Wire", Face: page.Mono}, {Head: "Circuit", Weight: 2}, {Head: "Colour"}, {Head: "Size", Unit: k.gaugeHead()}, {Head: "Far end", Weight: 2}, {Head: "Should read", Weight: 3}}}
	if len(c.Fills) <= 8 {
		t.size, t.tall = 3.5, 8.5
	}
	for _, f := range c.Fills {
		for _, e := range f.Ends {
			_, s, cut := k.wire(e.Wire)
			pin, should := k.pinAt(e, reads)
			t.add(c.Name+"."+f.Cavity, txt(f.Cavity), txt(pin), txt(cut.Number.Value), txt(k.circuitOf(e.Wire)), dash(s.Colour.Value), txt(k.gauge(s.Wire)), txt(k.farEnd(e)), txt(should))
		}
	}
	return t
}

// pinAt is the device's pin at an end, and what it should read: what the part
// says, else what the loom does.
func (k *Car) pinAt(e buy.End, reads map[buy.End]string) (pin, should string) {
	should = reads[e]
	at, _ := e.At(k.p)
	if at.End < 0 {
		return "", should
	}
	q := &k.p.Ends.List[at.End]
	if q.Device >= 0 && q.PinIndex >= 0 {
		if r := k.t.Devices[q.Device].Part.Pins[q.PinIndex].Reads; r != "" {
			should = r
		}
	}
	return q.Pin.Value, should
}

// farEnd is where a wire goes, and behind a splice or join where the circuit
// goes on to.
func (k *Car) farEnd(e buy.End) string {
	far := e.Far()
	at, _ := far.At(k.p)
	s := k.endName(far)
	if at.Kind != plan.AtSplice && at.Kind != plan.AtCavity {
		return s
	}
	then := k.beyond(e)
	switch {
	case len(then) == 0:
		return s
	case len(then) > 2:
		return fmt.Sprintf("%s, then %d ends", s, len(then))
	}
	return s + ", then " + joined(then)
}

// beyond lists the circuit's ends on the far side of a wire.
func (k *Car) beyond(e buy.End) []string {
	w := &k.p.Wires.List[e.Wire]
	type node struct{ splice, join, n int }
	of := func(at *plan.WireEnd) (node, bool) {
		switch {
		case at.Kind == plan.AtSplice && at.Splice >= 0:
			return node{at.Splice, -1, 0}, true
		case at.Kind == plan.AtCavity && at.Crossing >= 0: // both halves of a contact are one node
			x := &k.p.Cavities.Crossings[at.Crossing]
			return node{-1, x.Join, x.N}, true
		}
		return node{}, false
	}
	at := map[node][]buy.End{}
	for _, i := range k.circuit[w.Circuit] {
		for _, x := range []buy.End{{Wire: i}, {Wire: i, To: true}} {
			q, _ := x.At(k.p)
			if n, ok := of(q); ok {
				at[n] = append(at[n], x)
			}
		}
	}
	seen := map[int]bool{e.Wire: true}
	var out []string
	var walk func(far buy.End)
	walk = func(far buy.End) {
		q, _ := far.At(k.p)
		n, ok := of(q)
		if !ok {
			if q.Kind != plan.AtFree {
				out = append(out, k.endName(far))
			}
			return
		}
		for _, x := range at[n] {
			if !seen[x.Wire] {
				seen[x.Wire] = true
				walk(x.Far())
			}
		}
	}
	walk(e.Far())
	return out
}

// fitTable lists contacts, seals and plugs of a connector with their tools.
func (k *Car) fitTable(c *buy.Connector) table {
	t := table{id: "fit " + c.Name, name: "Fit", group: "Connector", of: c.Name, tick: true, plain: true, cols: []page.Column{
		{Head: "Part", Width: 37}, {Head: "Count", Align: page.ToRight}, {Head: "Crimp tool, positioner, setting", Weight: 3}, {Head: "Strip", Unit: k.lengthUnit()}, {Head: "Insert, extract", Weight: 1}}}
	for _, n := range buy.Tally(c.Fills, func(f buy.Fill) string { return f.Contact }) {
		tool, strip, insert := k.contactTool(n.Part)
		t.add(n.Part, txt(n.Part), count(n.Count), dash(tool), dash(strip), dash(insert))
	}
	if n := len(c.Fills) - sum(buy.Tally(c.Fills, func(f buy.Fill) string { return f.Contact })); n > 0 {
		t.add("", txt("contact not in the catalogue"), count(n), dash(""), dash(""), dash(""))
	}
	for _, n := range buy.Tally(c.Fills, func(f buy.Fill) string { return f.Seal }) {
		t.add(n.Part, txt(n.Part+", seal"), count(n.Count), dash(""), dash(""), dash(""))
	}
	for _, n := range buy.Tally(c.Plugs, func(q buy.Plug) string { return q.Part }) {
		t.add(n.Part, txt(n.Part+", plug"), count(n.Count), dash(""), dash(""), dash(""))
	}
	if n := len(c.Plugs) - sum(buy.Tally(c.Plugs, func(q buy.Plug) string { return q.Part })); n > 0 {
		t.add("", txt("plug not in the catalogue"), count(n), dash(""), dash(""), dash(""))
	}
	return t
}

func sum(list []buy.Number) int {
	n := 0
	for _, x := range list {
		n += x.Count
	}
	return n
}

// plugNote names the cavities to plug.
func (k *Car) plugNote(c *buy.Connector) []page.Block {
	if len(c.Plugs) == 0 {
		return nil
	}
	var names []string
	for _, q := range c.Plugs {
		names = append(names, q.Cavity)
	}
	return []page.Block{page.Paragraph{Text: "Plug these cavities: " + strings.Join(names, "  ")}}
}

// onFirst lists what goes on the legs before this connector, side by side
// where room is tight.
func (k *Car) onFirst(loom int, c *buy.Connector, tight bool) page.Block {
	var list []string
	for _, e := range k.threads(loom) {
		if e.place != c.Place {
			continue
		}
		for _, x := range e.items {
			if x.connector == "" || x.connector == c.Name {
				list = append(list, x.text)
			}
		}
	}
	if len(list) == 0 {
		return page.Gap{}
	}
	ticks := func(items []string) page.Block { return page.List{Sign: page.Tick, Items: items} }
	body := ticks(list)
	if half := (len(list) + 1) / 2; tight && len(list) > 2 {
		body = page.Beside{Left: []page.Block{ticks(list[:half])}, Right: []page.Block{ticks(list[half:])}}
	}
	return page.Keep{Blocks: []page.Block{page.Heading{Text: "On the leg before the contacts"}, body}}
}
