package desk

import (
	"slices"
	"strconv"
	"strings"

	"keyon/model/buy"
	"keyon/model/design"
	"keyon/model/plan"
	"keyon/model/settle"
	"keyon/num/quantity"
)

// worked is what the plan says at the cells of one table.
type worked struct {
	cells map[settle.Cell]said
	rows  []string // UIDs of rows that only the plan has
}

// said is a settled value at a cell.
type said struct {
	shown  string // in the car's units
	give   string // what to write so that it is given, blank where it can't be
	origin settle.Origin
	reason func() string
	alias  bool           // shown in place of a typed name that nobody reads
	kept   design.KeptKey // where it is kept, once it is
	thing  string         // with field: what report.WhyOf explains further
	field  string
}

// settled is a plan value as text.
func settled(x settle.Value[string]) said {
	return said{shown: x.Value, give: x.Value, origin: x.Origin, reason: x.Reason.String}
}

// of says where the value is kept and what explains it further.
func (s said) of(kind, id, name, field string) said {
	s.kept = design.KeptKey{Kind: kind, Thing: id, Field: field}
	s.thing, s.field = kind+" "+name, field
	return s
}

func (v *View) length(x settle.Value[quantity.Length]) said {
	s := said{origin: x.Origin, reason: x.Reason.String}
	if x.Settled() {
		s.shown = v.Design.Car.Units.Length(x.Value)
		s.give = quantity.Text(x.Value.MM(), 6) + " mm"
		if v.Design.Car.Units.Decimal == quantity.Comma {
			s.shown, s.give = strings.Replace(s.shown, ".", ",", 1), strings.Replace(s.give, ".", ",", 1)
		}
	}
	return s
}

// worked is what the plan says at a table's cells.
func (v *View) worked(table string) worked {
	if v.Plan == nil {
		return v.past().worked(table)
	}
	return v.saids.get(table, func() worked { return v.gather(table) })
}

func (v *View) gather(table string) worked {
	w := worked{cells: map[settle.Cell]said{}}
	put := func(row, column string, s said) {
		if s.shown != "" || s.origin == settle.Open {
			w.cells[settle.Cell{Table: table, Row: row, Column: column}] = s
		}
	}
	p, t := v.Plan, &v.Plan.Things
	switch table {
	case "Circuits":
		v.circuitCells(put)
	case "Legs":
		for i := range t.Legs {
			put(string(t.Legs[i].ID), "length", v.length(t.Legs[i].Length).of("leg", string(t.Legs[i].ID), t.Legs[i].Name, "length"))
			if i < len(p.Bundles.Legs) {
				put(string(t.Legs[i].ID), "sleeve", settled(p.Bundles.Legs[i].Sleeve).of("leg", string(t.Legs[i].ID), t.Legs[i].Name, "sleeve"))
			}
		}
	case "Looms":
		for i := range t.Looms {
			put(t.Looms[i].ID, "letter", said{shown: t.Looms[i].Letter, give: t.Looms[i].Letter, origin: settle.Worked, reason: func() string { return "first letter that no other loom has" }})
		}
	case "Joins":
		for i := range t.Joins {
			if i < len(p.Cavities.Joins) {
				j := &p.Cavities.Joins[i]
				id, name := string(t.Joins[i].ID), t.Joins[i].Name
				put(id, "part", settled(j.Part).of("join", id, name, "part"))
				put(id, "key", settled(j.Key).of("join", id, name, "key"))
				put(id, "sockets", settled(j.Sockets).of("join", id, name, "sockets"))
			}
		}
	case "Feeds":
		for i := range t.Feeds {
			if i < len(p.Sizes.Feeds) {
				put(string(t.Feeds[i].ID), "setting", settled(p.Sizes.Feeds[i].Setting).of("feed", string(t.Feeds[i].ID), t.Feeds[i].Name, "setting"))
			}
		}
	case "Cables":
		for i := range t.Cables {
			var names []string
			for _, c := range t.Cables[i].Circuits {
				names = append(names, t.Circuits[c].Name)
			}
			text := strings.Join(names, ", ")
			put(string(t.Cables[i].ID), "cores", said{shown: text, give: text, origin: settle.Worked, reason: func() string { return "the circuits whose column cable names it" }})
		}
	case "Wires":
		v.wireCells(&w, put)
	case "Cavities":
		v.cavityCells(&w, put)
	case "Splices":
		v.spliceCells(&w, put)
	}
	return w
}

// circuitCells are the worked-out cells of Circuits.
func (v *View) circuitCells(put func(row, column string, s said)) {
	p, t := v.Plan, &v.Plan.Things
	ends := make(map[string]int, len(p.Ends.List))
	for i := range p.Ends.List {
		ends[p.Ends.List[i].ID] = i
	}
	wires := make([][][]int, len(t.Circuits)) // by circuit and row
	for i := range t.Circuits {
		wires[i] = make([][]int, len(t.Circuits[i].Rows))
	}
	for i := range p.Wires.List {
		if w := &p.Wires.List[i]; w.Row >= 0 {
			wires[w.Circuit][w.Row] = append(wires[w.Circuit][w.Row], i)
		}
	}
	for i := range t.Circuits {
		c := &t.Circuits[i]
		for r := range c.Rows {
			uid := string(v.Design.Circuits[c.Rows[r].Design].ID)
			put(uid, "class", settled(c.Class))
			for k, side := range []string{"from", "to"} {
				id := uid + "/" + side
				if at := []int{c.Rows[r].From, c.Rows[r].To}[k]; at >= 0 {
					id = c.Ends[at].ID
				}
				if e, ok := ends[id]; ok {
					v.endCells(&p.Ends.List[e], uid, side, put)
				}
			}
			if len(p.Sizes.Wires) == len(p.Wires.List) {
				put(uid, "gauge", v.alike(wires[i][r], func(s *plan.WireSize) settle.Value[string] { return s.Gauge }))
				put(uid, "wire", v.alike(wires[i][r], func(s *plan.WireSize) settle.Value[string] { return s.Family }))
				put(uid, "colour", v.alike(wires[i][r], func(s *plan.WireSize) settle.Value[string] { return s.Colour }))
			}
		}
	}
}

// endCells are the device, pin and feed of one side of a row.
func (v *View) endCells(e *plan.End, uid, side string, put func(row, column string, s said)) {
	t := &v.Plan.Things
	pin := settled(e.Pin).of("end", e.ID, "", "pin")
	pin.thing = "circuit " + t.Circuits[e.Circuit].Name
	switch {
	case e.Stud >= 0:
		pin.shown, pin.give, pin.kept.Field = t.Studs[e.Stud].Name, t.Studs[e.Stud].Name, "stud"
		put(uid, side+" device", pin)
	case e.Device >= 0:
		if e.Feed >= 0 {
			feed := pin
			feed.kept.Field = "feed"
			feed.shown, feed.give = t.Feeds[e.Feed].Name, t.Feeds[e.Feed].Name
			put(uid, "feed", feed)
			pin.give = "" // the feed is what is given
		}
		put(uid, side+" device", said{shown: t.Devices[e.Device].Name, origin: e.Pin.Origin, reason: e.Pin.Reason.String})
		put(uid, side+" pin", pin)
	default:
		put(uid, side+" pin", pin)
	}
}

// alike is one value of a row's wires, or several where they differ; several
// can't be given in one cell.
func (v *View) alike(wires []int, of func(*plan.WireSize) settle.Value[string]) said {
	var out said
	var all []string
	for k, i := range wires {
		x := of(&v.Plan.Sizes.Wires[i])
		if k == 0 {
			out = settled(x)
		}
		if x.Value != "" && !slices.Contains(all, x.Value) {
			all = append(all, x.Value)
		}
	}
	if len(wires) == 0 {
		out.origin = settle.FromUser // nothing to work out and nothing to report
	}
	if len(all) > 1 {
		slices.Sort(all)
		first := out.reason
		out.shown, out.give = strings.Join(all, ", "), ""
		out.reason = func() string { return "its wires differ; the first: " + first() }
	}
	return out
}

// wireCells list the plan's wires behind those of the table.
func (v *View) wireCells(w *worked, put func(row, column string, s said)) {
	p, t := v.Plan, &v.Plan.Things
	if len(p.Cuts.Wires) != len(p.Wires.List) || len(p.Sizes.Wires) != len(p.Wires.List) {
		return
	}
	row := make([]string, len(p.Wires.List))
	for i := range v.Design.Wires {
		if k, ok := v.index().wire[v.Design.Wires[i].Name]; ok {
			row[k] = string(v.Design.Wires[i].ID)
		}
	}
	order := make([]int, len(row))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return buy.Natural(v.wireName(a), v.wireName(b)) })
	for _, i := range order {
		x, s, c := &p.Wires.List[i], &p.Sizes.Wires[i], &p.Cuts.Wires[i]
		uid := row[i]
		if uid == "" {
			uid = planned + x.ID
			w.rows = append(w.rows, uid)
		}
		put(uid, "wire", said{shown: v.wireName(i), origin: settle.Worked, alias: true, reason: func() string { return "its ID is " + x.ID + ": it lasts whatever the number" }})
		put(uid, "circuit", said{shown: t.Circuits[x.Circuit].Name, origin: settle.Worked, reason: func() string { return p.EndName(&x.From) + " to " + p.EndName(&x.To) }})
		for column, value := range map[string]settle.Value[string]{"gauge": s.Gauge, "family": s.Family, "colour": s.Colour, "label": c.Label, "number": c.Number} {
			put(uid, column, settled(value).of("wire", x.ID, x.ID, column))
		}
		put(uid, "length", v.length(c.Cut).of("wire", x.ID, x.ID, "cut"))
	}
}

// cavityCells list the crossings of the plan behind those of the table.
func (v *View) cavityCells(w *worked, put func(row, column string, s said)) {
	p, t := v.Plan, &v.Plan.Things
	type key struct {
		join, circuit string
		n             int
	}
	row := map[key]string{}
	for i := range v.Design.Cavities {
		x := &v.Design.Cavities[i]
		row[key{x.Join.Value, x.Circuit.Value, x.N.Or(1)}] = string(x.ID)
	}
	for i := range p.Cavities.Crossings {
		x := &p.Cavities.Crossings[i]
		k := key{t.Joins[x.Join].Name, t.Circuits[x.Circuit].Name, x.N}
		uid := row[k]
		if uid == "" {
			uid = planned + k.join + "\x1f" + k.circuit + "\x1f" + strconv.Itoa(k.n)
			w.rows = append(w.rows, uid)
			why := func() string { return "the circuit crosses here" }
			put(uid, "join", said{shown: k.join, origin: settle.Worked, reason: why})
			put(uid, "circuit", said{shown: k.circuit, origin: settle.Worked, reason: why})
			put(uid, "n", said{shown: strconv.Itoa(k.n), origin: settle.Worked, reason: why})
		}
		put(uid, "cavity", settled(x.Cavity).of("crossing", string(t.Joins[x.Join].ID)+"/"+string(t.Circuits[x.Circuit].Key())+"/"+strconv.Itoa(x.N), "", "cavity"))
	}
}

// spliceCells list the splices of the plan behind those of the table.
func (v *View) spliceCells(w *worked, put func(row, column string, s said)) {
	p, t := v.Plan, &v.Plan.Things
	row := map[[2]string]string{}
	for i := range v.Design.Splices {
		x := &v.Design.Splices[i]
		row[[2]string{x.Circuit.Value, x.Place.Value}] = string(x.ID)
	}
	for i := range p.Wires.Splices {
		s := &p.Wires.Splices[i]
		k := [2]string{t.Circuits[s.Circuit].Name, t.Places[s.Place].Name}
		uid := row[k]
		if uid == "" {
			uid = planned + k[0] + "\x1f" + k[1]
			if slices.Contains(w.rows, uid) { // two splices of a circuit at one place
				continue
			}
			w.rows = append(w.rows, uid)
			why := func() string { return strconv.Itoa(len(s.Wires)) + " wires join here" }
			put(uid, "circuit", said{shown: k[0], origin: settle.Worked, reason: why})
			put(uid, "place", said{shown: k[1], origin: settle.Worked, reason: why})
		}
		if i < len(p.Sizes.Splices) {
			put(uid, "part", settled(p.Sizes.Splices[i]))
		}
	}
}

// planRow are the cells that name a row that only the plan has, so that it
// can be added to its table.
func planRow(table, uid string) map[string]string {
	parts := strings.Split(strings.TrimPrefix(uid, planned), "\x1f")
	columns := map[string][]string{"Wires": {"wire"}, "Cavities": {"join", "circuit", "n"}, "Splices": {"circuit", "place"}}[table]
	if len(parts) != len(columns) {
		return nil
	}
	out := map[string]string{}
	for i, c := range columns {
		out[c] = parts[i]
	}
	return out
}
