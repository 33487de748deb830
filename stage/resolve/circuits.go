package resolve

import (
	"slices"
	"strings"

	"keyon/model/design"
	"keyon/model/finding"
	"keyon/model/plan"
	"keyon/model/settle"
)

// theCircuits gathers the rows of one name into a circuit. Rows stand in the
// order of their UIDs: giving a blank pin does not change it.
func (r *resolver) theCircuits() {
	rows := make([][]int, len(r.circuits.of))
	for i := range r.d.Circuits {
		k := r.circuits.of[r.d.Circuits[i].Name]
		rows[k] = append(rows[k], i)
	}
	for k, of := range rows {
		slices.SortFunc(of, func(x, y int) int { return strings.Compare(string(r.d.Circuits[x].ID), string(r.d.Circuits[y].ID)) })
		c := r.oneCircuit(of)
		r.t.CircuitOf[c.Name] = k
		r.t.Circuits = append(r.t.Circuits, c)
	}
}

func (r *resolver) oneCircuit(rows []int) plan.Circuit {
	c := plan.Circuit{Name: r.d.Circuits[rows[0]].Name, Cable: -1}
	ends := &endReader{r: r, c: &c, shared: map[[4]any]int{}, given: map[int][]string{}}
	for _, i := range rows {
		row := &r.d.Circuits[i]
		for _, side := range []struct{ device, pin design.TextEntry }{{row.FromDevice, row.FromPin}, {row.ToDevice, row.ToPin}} {
			if d, ok := r.devices.of[side.device.Value]; ok && side.device.Is() && side.pin.Is() && !slices.Contains(ends.given[d], side.pin.Value) {
				ends.given[d] = append(ends.given[d], side.pin.Value)
			}
		}
	}
	for n, i := range rows {
		row := &r.d.Circuits[i]
		c.IDs = append(c.IDs, row.ID)
		q := plan.Row{Design: i}
		q.From = ends.side(n, row, "from", row.FromDevice, row.FromPin)
		q.To = ends.side(n, row, "to", row.ToDevice, row.ToPin)
		c.Rows = append(c.Rows, q)
		r.feeds.look(row.Feed, r.circuitPlace(row, "feed"))
	}
	class := r.agreed(rows, "class", func(c *design.Circuit) design.TextEntry { return c.Class })
	c.Class = settle.Choose(class, func() (string, settle.Reason, bool) { return "", settle.Reason{}, false })
	c.Twist = r.agreed(rows, "twist", func(c *design.Circuit) design.TextEntry { return c.Twist }).Value
	cable := r.agreed(rows, "cable", func(c *design.Circuit) design.TextEntry { return c.Cable })
	c.Cable = r.cables.look(cable, finding.Place{Kind: "circuit", ID: c.Name, Field: "cable"})
	r.families(rows)
	return c
}

func (r *resolver) circuitPlace(row *design.Circuit, field string) finding.Place {
	return finding.Place{Kind: "circuit", ID: row.Name, Field: field}
}

// agreed is what the rows of a circuit say about the whole of it: the first
// that says anything. Rows that say otherwise are reported.
func (r *resolver) agreed(rows []int, column string, of func(*design.Circuit) design.TextEntry) design.TextEntry {
	var first design.TextEntry
	for _, i := range rows {
		row := &r.d.Circuits[i]
		e := of(row)
		switch {
		case e.State == settle.Blank:
		case first.State == settle.Blank:
			first = e
		case first.State == settle.Given && e.State == settle.Given && e.Value != first.Value:
			p := r.circuitPlace(row, column)
			p.Cell = e.At
			r.say(finding.Say(RuleConflict, p, "the "+column+" of "+row.Name+" is "+quote(e.Value)+" here and "+quote(first.Value)+" in another row", "write it once, or the same in all its rows"))
		}
	}
	return first
}

// families looks up the wire families rows ask for.
func (r *resolver) families(rows []int) {
	for _, i := range rows {
		row := &r.d.Circuits[i]
		if row.Wire.Is() && len(r.c.Wires[row.Wire.Value]) == 0 {
			if r.parts.look(row.Wire, r.circuitPlace(row, "wire")) >= 0 && !r.ownFamily(row.Wire.Value) {
				p := r.circuitPlace(row, "wire")
				p.Cell = row.Wire.At
				r.say(finding.Say(RuleName, p, quote(row.Wire.Value)+" is a part, but not a wire family", "name a wire family, or leave it blank"))
			}
		}
	}
}

func (r *resolver) ownFamily(name string) bool {
	return slices.ContainsFunc(r.d.Parts, func(p design.Part) bool { return p.Kind.Value == "wire" && (p.Name == name || p.Family.Value == name) })
}

// endReader reads the sides of one circuit's rows.
type endReader struct {
	r      *resolver
	c      *plan.Circuit
	shared map[[4]any]int   // what a side names → its end
	given  map[int][]string // by device: the pins its sides name
}

// side finds the end that a side names, -1 for a blank one. Sides with the
// same device and pin are one end. A blank pin beside exactly one given pin
// of its device is that pin: a circuit that fans out from one pin names it
// once.
func (e *endReader) side(n int, row *design.Circuit, side string, name, pin design.TextEntry) int {
	r := e.r
	p := r.circuitPlace(row, side+" device")
	if name.State == settle.Blank {
		if pin.Is() {
			p.Field, p.Cell = side+" pin", pin.At
			r.say(finding.Say(RuleSide, p, "pin "+quote(pin.Value)+" stands without a device", "name the device", "delete the pin"))
			return e.add(n, row, side, plan.DeclaredEnd{Device: -1, Stud: -1, Feed: -1, Pin: pin})
		}
		return -1
	}
	end := plan.DeclaredEnd{Pin: pin}
	end.Device, end.Stud, end.Feed = r.end(name, p)
	switch {
	case end.Device >= 0:
		p.Field = side + " pin"
		if pin.State == settle.Blank && len(e.given[end.Device]) == 1 {
			pin.Value = e.given[end.Device][0]
		} else if r.pin(end.Device, pin, p) < 0 && pin.Is() && r.t.Devices[end.Device].Part != nil {
			end.Device = -1
		}
	case end.Feed >= 0:
		end.Device = r.t.Feeds[end.Feed].Device
		if f := &r.t.Feeds[end.Feed]; end.Device >= 0 && f.Pin >= 0 {
			pin.Value = r.t.Devices[f.Device].Part.Pins[f.Pin].Name
		}
	case end.Stud < 0: // reported: stays open, and is nobody else's end
		return e.add(n, row, side, end)
	}
	key := [4]any{end.Device, end.Stud, pin.Value, ""}
	if end.Device < 0 && end.Stud < 0 {
		key[3] = name.Value // a device whose pin leads nowhere
	}
	if i, ok := e.shared[key]; ok {
		if known := &e.c.Ends[i]; known.Pin.State == settle.Blank && end.Pin.State != settle.Blank {
			known.Pin = end.Pin
		}
		if e.c.Ends[i].Feed < 0 {
			e.c.Ends[i].Feed = end.Feed
		}
		return i
	}
	i := e.add(n, row, side, end)
	e.shared[key] = i
	return i
}

func (e *endReader) add(n int, row *design.Circuit, side string, end plan.DeclaredEnd) int {
	end.ID, end.Row, end.Side = string(row.ID)+"/"+side, n, side
	e.c.Ends = append(e.c.Ends, end)
	return len(e.c.Ends) - 1
}

// theKin gathers the circuits that are twisted or cabled together.
func (r *resolver) theKin() {
	twist := map[string][]int{}
	for i := range r.t.Circuits {
		if t := r.t.Circuits[i].Twist; t != "" {
			twist[t] = append(twist[t], i)
		}
	}
	for i := range r.t.Circuits {
		c := &r.t.Circuits[i]
		kin := slices.Clone(twist[c.Twist])
		if c.Cable >= 0 {
			kin = append(kin, r.t.Cables[c.Cable].Circuits...)
		}
		slices.Sort(kin)
		if kin = slices.Compact(kin); len(kin) > 1 {
			c.Kin = kin
		}
	}
}
