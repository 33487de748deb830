package draw

import (
	"cmp"
	"fmt"
	"slices"

	"keyon/format/page"
	"keyon/model/buy"
	"keyon/model/plan"
)

// ownPage is from how many used pins on a device has a page of its own in the
// tuner's pack; smaller ones share a table. Judgement.
const ownPage = 8

// devicePages draws a page for each device that the tuner sets up.
func (k *Car) devicePages() []Paper {
	var out []Paper
	for d, ends := range k.deviceEnds() {
		dev := &k.t.Devices[d]
		if dev.Part == nil || len(ends) < ownPage {
			continue
		}
		p := Paper{Title: dev.Name, Wide: true, For: "what sits on each pin, what it serves, what it should read"}
		t := k.deviceTable("device "+dev.Name, dev.Name)
		used := map[int]bool{}
		for _, i := range ends {
			k.deviceLine(&t, d, i, false)
			used[k.p.Ends.List[i].PinIndex] = true
		}
		p.table(&t, page.Paragraph{Text: fmt.Sprintf("%s, part %s, at %s: %s of %d used.", dev.Part.Title, dev.Part.ID, k.place(dev.Place), plural(len(used), "pin"), len(dev.Part.Pins))})
		var free []string
		for i := range dev.Part.Pins {
			if q := &dev.Part.Pins[i]; !used[i] {
				name := q.Name
				if q.Connector != "" {
					name = q.Connector + ":" + name
				}
				free = append(free, name)
			}
		}
		if len(free) > 0 {
			p.Blocks = append(p.Blocks, page.Paragraph{Text: "Free: " + joined(free) + "."})
		}
		out = append(out, p)
	}
	return out
}

// smallDevices lists the sensors and loads of the tuner's devices.
func (k *Car) smallDevices() Paper {
	p := Paper{Title: "Sensors, switches and loads", Wide: true, For: "where each of them goes and what it should read"}
	t := k.deviceTable("sensors", "Sensors and loads")
	t.cols = append([]page.Column{{Head: "Device", Weight: 2}}, t.cols...)
	for d, ends := range k.deviceEnds() {
		if len(ends) >= ownPage || k.t.Devices[d].Part == nil {
			continue
		}
		for _, i := range ends {
			k.deviceLine(&t, d, i, true)
		}
	}
	p.table(&t)
	return p
}

// deviceEnds lists the ends with a pin by device, in the order of pins.
func (k *Car) deviceEnds() [][]int {
	out := make([][]int, len(k.t.Devices))
	for i := range k.p.Ends.List {
		if e := &k.p.Ends.List[i]; e.Device >= 0 && e.PinIndex >= 0 {
			out[e.Device] = append(out[e.Device], i)
		}
	}
	for d := range out {
		if len(out[d]) == 0 {
			continue
		}
		pin := func(i int) (string, string) {
			q := &k.t.Devices[d].Part.Pins[k.p.Ends.List[i].PinIndex]
			return q.Connector, q.Name
		}
		slices.SortStableFunc(out[d], func(a, b int) int {
			c1, p1 := pin(a)
			c2, p2 := pin(b)
			return cmp.Or(buy.Natural(c1, c2), buy.Natural(p1, p2))
		})
	}
	return out
}

func (k *Car) deviceTable(id, name string) table {
	return table{id: id, name: name, cols: []page.Column{{Head: "Plug", Face: page.Mono}, {Head: "Cavity", Face: page.Mono}, {Head: "Pin", Face: page.Mono}, {Head: "Role", Weight: 1}, {Head: "Circuit", Weight: 2}, {Head: "Serves", Weight: 3}, {Head: "Should read", Weight: 3}}}
}

func (k *Car) deviceLine(t *table, d, end int, named bool) {
	e := &k.p.Ends.List[end]
	pin := &k.t.Devices[d].Part.Pins[e.PinIndex]
	var far []string
	for _, j := range k.p.Ends.Of[e.Circuit] {
		if j != end {
			far = append(far, k.endOf(&k.p.Ends.List[j]))
		}
	}
	far = slices.DeleteFunc(far, func(s string) bool { return s == "" })
	serves := joined(far)
	if len(far) > 6 {
		serves = joined(far[:5]) + fmt.Sprintf(" and %d more", len(far)-5)
	}
	cells := []cell{txt(pin.Connector), dash(e.Cavity), txt(pin.Name), dash(string(pin.Role)), txt(k.t.Circuits[e.Circuit].Name), dash(serves), dash(k.readsAt(end))}
	if named {
		cells = append([]cell{txt(k.t.Devices[d].Name)}, cells...)
	}
	t.add(e.ID, cells...)
}

// readsAt is what a meter should read at a pin: by its own part, else by the
// one other part of the circuit that says so.
func (k *Car) readsAt(end int) string {
	reads := func(i int) string {
		e := &k.p.Ends.List[i]
		if e.Device < 0 || e.PinIndex < 0 {
			return ""
		}
		return k.t.Devices[e.Device].Part.Pins[e.PinIndex].Reads
	}
	if own := reads(end); own != "" {
		return own
	}
	other := ""
	for _, j := range k.p.Ends.Of[k.p.Ends.List[end].Circuit] {
		if r := reads(j); r != "" && j != end {
			if other != "" {
				return ""
			}
			other = k.endOf(&k.p.Ends.List[j]) + ": " + r
		}
	}
	return other
}

func (k *Car) endOf(e *plan.End) string {
	switch {
	case e.Stud >= 0:
		return "stud " + k.t.Studs[e.Stud].Name
	case e.Device >= 0:
		return k.p.ConnectorName(e.Device, e.Connector) + ":" + e.Pin.Value
	}
	return ""
}
