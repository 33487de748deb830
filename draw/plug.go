package draw

import (
	"keyon/format/page"
	"keyon/model/buy"
)

// PlugName is a line of the list of connectors.
type PlugName struct {
	Name, Loom, Place, Part, Title string // Title is what it plugs into or mates with
	Wires, Cavities                int
	Join                           bool
}

// Plug is a connector with what stands on its pin sheet.
type Plug struct {
	PlugName
	Face  page.Drawing
	Side  string      // what the face shows
	Facts [][2]string // name and value
	Pins  []PlugPin
	Empty []buy.Plug // cavities to close
	Code  string     // what its QR code says
	Mate  string     // the other half of a join
}

// PlugPin is a wire in a cavity.
type PlugPin struct {
	Cavity, Pin, Wire, WireID, Circuit, Colour, Gauge, Far, Reads, Contact, Seal string
	Role                                                                         string
}

// Plugs lists the connectors that have wires, loom by loom as their papers do.
func (k *Car) Plugs() []PlugName {
	var out []PlugName
	for l := range k.looms {
		for i := range k.looms[l].Connectors {
			out = append(out, k.plugName(l, &k.looms[l].Connectors[i]))
		}
	}
	return out
}

func (k *Car) plugName(loom int, c *buy.Connector) PlugName {
	p := PlugName{Name: c.Name, Loom: k.t.Looms[loom].Name, Place: k.place(c.Place), Part: c.Part.ID, Cavities: len(c.Part.Cavities), Join: c.Join >= 0}
	for _, f := range c.Fills {
		p.Wires += len(f.Ends)
	}
	if c.Join >= 0 {
		p.Title = k.t.Joins[c.Join].Kind + " join"
	} else if q := k.t.Devices[c.Device].Part; q != nil {
		p.Title = q.Title
	}
	return p
}

// Plug is the connector of that name; ok is false where none has wires.
func (k *Car) Plug(name string) (p Plug, ok bool) {
	for l := range k.looms {
		for i := range k.looms[l].Connectors {
			if c := &k.looms[l].Connectors[i]; c.Name == name {
				return k.plug(l, c), true
			}
		}
	}
	return p, false
}

func (k *Car) plug(loom int, c *buy.Connector) Plug {
	p := Plug{PlugName: k.plugName(loom, c), Empty: c.Plugs, Code: plugCode(c.Name)}
	p.Face, p.Side = Face(c, faceSize(c))
	if facts, ok := k.facts(loom, c, p.Side).(page.Table); ok {
		for _, r := range facts.Rows {
			p.Facts = append(p.Facts, [2]string{r.Cells[0], r.Cells[1]})
		}
	}
	if c.Join >= 0 {
		p.Mate = k.t.Joins[c.Join].Name + "/" + map[string]string{"a": "b", "b": "a"}[c.Half]
	}
	reads := k.reads(loom)
	for _, f := range c.Fills {
		for _, e := range f.Ends {
			w, s, cut := k.wire(e.Wire)
			x := PlugPin{Cavity: f.Cavity, Wire: cut.Number.Value, WireID: w.ID, Circuit: k.circuitOf(e.Wire), Colour: s.Colour.Value, Gauge: k.gauge(s.Wire), Far: k.farEnd(e), Contact: f.Contact, Seal: f.Seal}
			x.Pin, x.Reads = k.pinAt(e, reads)
			if at, _ := e.At(k.p); at.End >= 0 {
				x.Role = string(k.p.Ends.List[at.End].Role)
			}
			p.Pins = append(p.Pins, x)
		}
	}
	return p
}

// faceSize is how wide a face is drawn, mm, by how much is on it.
func faceSize(c *buy.Connector) float64 {
	switch n := len(c.Part.Cavities); {
	case n > 37:
		return 96
	case n > 13:
		return 82
	}
	return 66
}
