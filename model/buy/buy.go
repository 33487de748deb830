// Package buy counts what a loom takes: wire, cable, contacts, seals, plugs,
// connectors, lugs, splices, sleeves, less what is in stock, with spares.
//
// Every paper, page and test that speaks of such counts asks here. It takes
// the plan as it is; what is open is not counted.
package buy

import (
	"cmp"
	"math"
	"slices"

	"keyon/model/design"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/model/settle"
)

// Line is one thing to have on the bench.
type Line struct {
	Kind   string  // wire, cable, contact, seal, plug, connector, lug, splice, sleeve
	Part   string  // wire family, or part
	Gauge  string  // of wire
	Colour string  // of wire
	Metres float64 // of wire, cable and sleeve
	Pieces int     // of the rest
	Spare  float64 // metres or pieces on top
	Stock  float64 // metres or pieces on the shelf
	Buy    float64 // metres or pieces to buy, rounded up to 0.1 m
	Why    string  // where the spares come from
}

// Plug is an unused cavity that gets a sealing plug, or none the catalogue has.
type Plug struct {
	Where, Cavity, Size, Part string
}

// Connector is a loom plug or join half of a loom.
type Connector struct {
	Name   string // device, device/connector, or join/half
	Device int    // -1 for a join
	Index  int    // connector of the device
	Join   int    // -1 for a device
	Half   string
	Place  int
	Part   *part.Connector
	Key    string
	Gender string // of the contacts on this loom
}

// Connectors lists the connectors of a loom, devices first.
func Connectors(p *plan.Plan, loom int) []Connector {
	t := &p.Things
	var out []Connector
	here := func(place int) bool { return place >= 0 && t.Places[place].Loom == loom }
	for d := range t.Devices {
		for k := range t.Devices[d].Connectors {
			c := &t.Devices[d].Connectors[k]
			if c.Part == nil || !here(c.Place) {
				continue
			}
			x := Connector{Name: p.ConnectorName(d, k), Device: d, Index: k, Join: -1, Place: c.Place, Part: c.Part, Gender: c.Part.Gender}
			if x.Gender == "" {
				x.Gender = "socket"
			}
			if len(c.Part.Keys) > 0 {
				x.Key = c.Part.Keys[0]
			}
			out = append(out, x)
		}
	}
	for j := range t.Joins {
		if j >= len(p.Cavities.Joins) || p.Cavities.Joins[j].Connector == nil {
			continue
		}
		q := &p.Cavities.Joins[j]
		for half, place := range map[string]int{"a": t.Joins[j].A, "b": t.Joins[j].B} {
			if !here(place) {
				continue
			}
			x := Connector{Name: t.Joins[j].Name + "/" + half, Device: -1, Index: -1, Join: j, Half: half, Place: place, Part: q.Connector, Key: q.Key.Value, Gender: "pin"}
			if q.Sockets.Value == half {
				x.Gender = "socket"
			}
			out = append(out, x)
		}
	}
	slices.SortStableFunc(out, func(a, b Connector) int {
		return cmp.Or(cmp.Compare(min(a.Join, 0), min(b.Join, 0)), cmp.Compare(a.Name, b.Name))
	})
	return out
}

// At lists the wires that end in a connector's cavity, by cavity.
func At(p *plan.Plan, c *Connector, loom int) map[string][]int {
	out := map[string][]int{}
	for i := range p.Wires.List {
		w := &p.Wires.List[i]
		if w.Loom != loom {
			continue
		}
		for _, e := range []*plan.WireEnd{&w.From, &w.To} {
			switch {
			case c.Join >= 0 && e.Kind == plan.AtCavity && e.Crossing >= 0 && e.Half == c.Half && p.Cavities.Crossings[e.Crossing].Join == c.Join:
				out[p.Cavities.Crossings[e.Crossing].Cavity.Value] = append(out[p.Cavities.Crossings[e.Crossing].Cavity.Value], i)
			case c.Join < 0 && e.Kind == plan.AtPin && e.End >= 0:
				if q := &p.Ends.List[e.End]; q.Device == c.Device && q.Connector == c.Index {
					out[q.Cavity] = append(out[q.Cavity], i)
				}
			}
		}
	}
	return out
}

// Plugs lists the unused cavities of a loom's sealed connectors.
func Plugs(c part.Catalogue, p *plan.Plan, loom int) []Plug {
	var out []Plug
	for _, k := range Connectors(p, loom) {
		if !k.Part.Sealed {
			continue
		}
		used := At(p, &k, loom)
		for i := range k.Part.Cavities {
			hole := &k.Part.Cavities[i]
			if len(used[hole.Name]) > 0 {
				continue
			}
			x := Plug{Where: k.Name, Cavity: hole.Name, Size: hole.Size}
			if s := c.PlugFor(hole.Size); s != nil {
				x.Part = s.ID
			}
			out = append(out, x)
		}
	}
	return out
}

// key tells lines apart.
type key struct{ kind, part, gauge, colour string }

// shrinkLoss is the length a sleeve loses when it shrinks: 5 to 15 % by a
// maker's page (seen second-hand); the larger is bought.
const shrinkLoss = 0.15

// All counts every loom, in order; what one takes from the shelf is gone for
// the next.
func All(d *design.Design, c part.Catalogue, p *plan.Plan) [][]Line {
	left := make([]float64, len(d.Stock))
	for i := range d.Stock {
		s := &d.Stock[i]
		if s.Metres.State == settle.Given {
			left[i] = float64(s.Metres.Value)
		} else if s.Pieces.State == settle.Given {
			left[i] = float64(s.Pieces.Value)
		}
	}
	out := make([][]Line, len(p.Things.Looms))
	for l := range out {
		out[l] = count(c, p, l)
		for i := range out[l] {
			out[l][i].rest(d, left)
		}
	}
	return out
}

// count counts a loom without spares and stock.
func count(c part.Catalogue, p *plan.Plan, loom int) []Line {
	lines := map[key]*Line{}
	at := func(k key) *Line {
		if lines[k] == nil {
			lines[k] = &Line{Kind: k.kind, Part: k.part, Gauge: k.gauge, Colour: k.colour}
		}
		return lines[k]
	}
	cables := map[int]float64{}
	for i := range p.Wires.List {
		w := &p.Wires.List[i]
		if w.Loom != loom {
			continue
		}
		s := &p.Sizes.Wires[i]
		metres := float64(p.Cuts.Wires[i].Cut.Value)
		if w.Cable >= 0 {
			cables[w.Cable] = max(cables[w.Cable], metres)
		} else if s.Wire != nil {
			at(key{"wire", s.Wire.Family, s.Wire.Gauge, s.Colour.Value}).Metres += metres
		}
		for _, e := range []*plan.EndParts{&s.From, &s.To} {
			for kind, id := range map[string]string{"contact": e.Contact, "seal": e.Seal, "lug": e.Lug} {
				if id != "" {
					at(key{kind, id, "", ""}).Pieces++
				}
			}
		}
	}
	for cable, metres := range cables {
		if q := p.Things.Cables[cable].Part; q != nil {
			at(key{"cable", q.ID, "", ""}).Metres += metres
		}
	}
	for i := range p.Wires.Splices {
		if s := &p.Wires.Splices[i]; s.Loom == loom && p.Sizes.Splices[i].Settled() {
			at(key{"splice", p.Sizes.Splices[i].Value, "", ""}).Pieces++
		}
	}
	for _, k := range Connectors(p, loom) {
		at(key{"connector", k.Part.ID, "", ""}).Pieces++
	}
	for _, x := range Plugs(c, p, loom) {
		if x.Part != "" {
			at(key{"plug", x.Part, "", ""}).Pieces++
		}
	}
	for l := range p.Things.Legs {
		b := &p.Bundles.Legs[l]
		if p.Things.Legs[l].Loom == loom && b.Sleeve.Settled() && b.Sleeve.Value != "none" && len(b.Wires) > 0 {
			at(key{"sleeve", b.Sleeve.Value, "", ""}).Metres += float64(p.Things.Legs[l].Length.Value) / (1 - shrinkLoss)
		}
	}
	out := make([]Line, 0, len(lines))
	for _, l := range lines {
		out = append(out, *l)
	}
	order := []string{"wire", "cable", "connector", "contact", "seal", "plug", "lug", "splice", "sleeve"}
	slices.SortFunc(out, func(a, b Line) int {
		return cmp.Or(cmp.Compare(slices.Index(order, a.Kind), slices.Index(order, b.Kind)), cmp.Compare(a.Part, b.Part), cmp.Compare(a.Gauge, b.Gauge), cmp.Compare(a.Colour, b.Colour))
	})
	return out
}

// rest adds spares and takes what is left on the shelf.
func (l *Line) rest(d *design.Design, left []float64) {
	share := d.Car.Spares.Or(0.05)
	need := l.Metres + float64(l.Pieces)
	switch l.Kind {
	case "contact":
		l.Spare, l.Why = 1, "1 a size, 2 above 26 (MIL-DTL-38999N 3.4.3.3)"
		if l.Pieces > 26 {
			l.Spare = 2
		}
	case "plug":
		l.Spare, l.Why = max(1, math.Ceil(need*0.1)), "a tenth, at least 1 (MIL-DTL-38999N 3.4.3.3)"
	case "connector":
	case "wire", "cable", "sleeve":
		l.Metres = math.Ceil(l.Metres*1e3-1e-6) / 1e3
		need = l.Metres
		l.Spare, l.Why = math.Ceil(need*share*1e3)/1e3, "share of spares (Car, spares)"
	default:
		l.Spare, l.Why = max(1, math.Ceil(need*share)), "share of spares, at least 1"
	}
	l.Stock = take(d, left, l, need+l.Spare)
	l.Buy = max(0, need+l.Spare-l.Stock)
	if l.Pieces == 0 {
		l.Buy = math.Ceil(l.Buy*10-1e-9) / 10
	}
}

// take takes up to need of a line's thing from the shelf.
func take(d *design.Design, left []float64, l *Line, need float64) float64 {
	sum := 0.0
	for i := range d.Stock {
		s := &d.Stock[i]
		if s.Part.Value != l.Part || s.Gauge.Is() && s.Gauge.Value != l.Gauge || s.Colour.Is() && s.Colour.Value != l.Colour || (s.Metres.State == settle.Given) != (l.Pieces == 0) {
			continue
		}
		n := min(left[i], need-sum)
		left[i] -= n
		sum += n
	}
	return sum
}
