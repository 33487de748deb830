//go:build outside

package papers_test

import (
	"math"
	"slices"
	"strings"

	"keyon/app/report"
	"keyon/model/part"
)

// need is what a loom takes of one thing by the oracle's own count.
type need struct {
	kind, part, gauge, colour, note string
	amount, spare                   float64 // metres or pieces
	long                            bool
}

// needs counts a loom from the plan's JSON, part by part.
func (o *oracle) needs(loom string) []need {
	of := map[[5]string]*need{}
	add := func(kind, id, gauge, colour, note string, amount, spare float64) {
		if id == "" && note == "" {
			return
		}
		k := [5]string{kind, id, gauge, colour, note}
		if of[k] == nil {
			of[k] = &need{kind: kind, part: id, gauge: gauge, colour: colour, note: note, long: kind == "wire" || kind == "cable" || kind == "sleeve"}
		}
		of[k].amount += amount
		of[k].spare += spare
	}
	cables := map[string]float64{}
	for _, w := range o.ofLoom(loom) {
		if w.Cable != "" {
			cables[w.Cable] = max(cables[w.Cable], w.CutMM)
		} else if w.AreaMM2 > 0 {
			add("wire", w.Family, w.Gauge, w.Colour, "", w.CutMM/1e3, 0)
		}
		for _, e := range endsOf(w) {
			add("lug", e.at.Lug, "", "", "", 1, 0)
			if e.at.Kind != "cavity" && (e.at.Kind != "pin" || o.plug(e.at.Device, e.at.Connector) == nil) {
				add("contact", e.at.Contact, "", "", "", 1, 0)
			}
		}
	}
	for _, name := range keys(cables) {
		for i := range o.d.Cables {
			if o.d.Cables[i].Name == name {
				add("cable", o.d.Cables[i].Part.Value, "", "", "", cables[name]/1e3, 0)
			}
		}
	}
	sockets := o.sockets(loom)
	for _, name := range keys(sockets) {
		s := sockets[name]
		id := s.part.ID
		if s.part.Gender == "" {
			if side := id + map[string]string{"pin": "P", "socket": "S", "": "?"}[s.gender()]; o.c.Connectors[side] != nil {
				id = side
			}
		}
		add("connector", id, "", "", o.orderNumber(s), 1, 0)
		if s.part.ShellSize != "" {
			note := "shell size " + s.part.ShellSize
			if s.part.Panel.RearThread != "" {
				note += ", rear thread " + s.part.Panel.RearThread
			}
			add("boot", o.boot(s.part), "", "", note, 1, 0)
		}
		contacts, seals, plugs, _, _, empty := o.fits(s)
		for id, n := range contacts {
			spare := 1.0
			if n > 26 {
				spare = 2
			}
			add("contact", id, "", "", "", float64(n), spare)
		}
		for id, n := range seals {
			add("seal", id, "", "", "", float64(n), 0)
		}
		for id, n := range plugs {
			ways := 0.0
			for _, h := range s.part.Cavities {
				if slices.Contains(o.c.Seals[id].Sizes, h.Size) {
					ways++
				}
			}
			add("plug", id, "", "", "", float64(n), math.Max(1, math.Ceil(ways/10-1e-9)))
		}
		for _, h := range s.part.Cavities {
			if slices.Contains(empty, h.Name) && o.c.PlugFor(h.Size) == nil {
				add("plug", "", "", "", "cavities of size "+h.Size+" of "+s.part.ID, 1, 0)
			}
		}
	}
	for _, s := range o.p.Splices {
		if s.Loom == loom && s.Part != "" {
			add("splice", s.Part, "", "", "", 1, 0)
		}
	}
	for _, l := range o.p.Legs {
		if l.Loom != loom || l.Sleeve == "" || l.Sleeve == "none" || len(l.Wires) == 0 {
			continue
		}
		add("sleeve", l.Sleeve, "", "", "", o.covering(&l)/1e3, 0)
	}
	for _, r := range o.labels(loom).rows {
		if s := r.cells[1].(string); s != "connector label" && s != "none fits" {
			add("label", s, "", "", "", r.cells[3].(number).v, 0)
		}
	}
	for _, f := range o.p.Feeds {
		if o.loomAt(f.Device) != loom || !slices.ContainsFunc(o.p.Ends, func(e report.End) bool { return e.Feed == f.Name }) {
			continue
		}
		if id := o.fuse(&f); id != "" {
			add("fuse", id, "", "", "", 1, 0)
		}
	}
	var out []need
	for _, n := range of {
		if n.long {
			n.amount = math.Ceil(n.amount*1e3-1e-6) / 1e3
		}
		share, given := o.d.Car.Spares.Value, o.d.Car.Spares.Is()
		if !given {
			share = 0.05
		}
		switch {
		case n.kind == "connector" || n.kind == "boot":
		case n.long:
			n.spare = math.Ceil(n.amount*share*100-1e-7) / 100
		case given || n.kind == "label":
			n.spare = math.Ceil(n.amount*share - 1e-9)
		case n.kind == "contact":
			n.spare = math.Max(n.spare, 1)
		case n.kind == "plug":
		default:
			n.spare = 1
		}
		out = append(out, *n)
	}
	return out
}

// orderNumber is the standard's number of a series III connector: plugs for
// devices and for the free half of a join, a wall receptacle for a mounted
// half; none where either half of a join may be the plug.
func (o *oracle) orderNumber(s *socket) string {
	style := "26"
	key := o.keyOf(s)
	if s.join != nil {
		for i := range o.d.Joins {
			if j := &o.d.Joins[i]; j.Name == s.join.Name {
				switch j.FixedHalf.Value {
				case "":
					return ""
				case s.half:
					style = "20"
				}
			}
		}
	}
	_, n, ok := strings.Cut(s.part.Arrangement, "-")
	letter, known := map[string]string{"9": "A", "11": "B", "13": "C", "15": "D", "17": "E", "19": "F", "21": "G", "23": "H", "25": "J"}[s.part.ShellSize]
	if s.part.Standard != "MIL-DTL-38999 III" || !ok || !known {
		return ""
	}
	return "D38999/" + style + "W" + letter + n + map[string]string{"pin": "P", "socket": "S"}[s.gender()] + key
}

func (o *oracle) boot(k *part.Connector) string {
	for _, id := range keys(o.c.Boots) {
		if slices.Contains(o.c.Boots[id].Shells, k.ShellSize) {
			return id
		}
	}
	return ""
}

// loomAt is the loom whose legs end at a device's place.
func (o *oracle) loomAt(device string) string {
	for i := range o.d.Devices {
		d := &o.d.Devices[i]
		if d.Name != device || d.Connector.Is() || !d.Place.Is() {
			continue
		}
		for _, l := range o.p.Legs {
			if l.From == d.Place.Value || l.To == d.Place.Value {
				return l.Loom
			}
		}
	}
	return "\x00"
}

// fuse is the part that a feed's setting names, by its ID or by its family
// and rating.
func (o *oracle) fuse(f *report.Feed) string {
	if o.c.Fuses[f.Setting] != nil {
		return f.Setting
	}
	return ""
}

var kindTitles = map[string]string{"wire": "Wire by reel", "cable": "Cable", "connector": "Connectors", "contact": "Contacts", "seal": "Seals", "plug": "Sealing plugs", "boot": "Boots and backshells", "lug": "Lugs", "splice": "Splices", "sleeve": "Sleeves", "label": "Label sleeves", "fuse": "Fuses and breakers"}

// remembered says whether the sizes of a part that isn't wire or cable are
// from memory.
func (o *oracle) remembered(id string) bool {
	c := &o.c
	switch {
	case c.Seals[id] != nil:
		return c.Seals[id].Source.Status == "memory"
	case c.Sleeves[id] != nil:
		return c.Sleeves[id].Source.Status == "memory"
	case c.Lugs[id] != nil:
		return c.Lugs[id].Source.Status == "memory"
	case c.Splices[id] != nil:
		return c.Splices[id].Source.Status == "memory"
	case c.Contacts[id] != nil:
		return c.Contacts[id].Source.Status == "memory"
	case c.Connectors[id] != nil:
		return c.Connectors[id].Source.Status == "memory"
	case c.Fuses[id] != nil:
		return c.Fuses[id].Source.Status == "memory"
	}
	return false
}

// shelf takes from the car's stock, looms in the plan's order.
type shelf struct {
	o    *oracle
	left []float64
}

func (o *oracle) stock() *shelf {
	s := &shelf{o: o}
	for i := range o.d.Stock {
		q := &o.d.Stock[i]
		s.left = append(s.left, float64(q.Metres.Value)+float64(q.Pieces.Value))
	}
	return s
}

func (s *shelf) take(n *need) float64 {
	sum := 0.0
	for i := range s.o.d.Stock {
		q := &s.o.d.Stock[i]
		fits := n.part != "" && (q.Part.Value == n.part || q.Part.Value == n.note) && q.Metres.Is() == n.long
		fits = fits && (!q.Gauge.Is() || q.Gauge.Value == n.gauge) && (!q.Colour.Is() || q.Colour.Value == n.colour)
		if fits {
			x := math.Min(s.left[i], n.amount+n.spare-sum)
			s.left[i] -= x
			sum += x
		}
	}
	return sum
}

// buying is the buying list of a loom.
func (o *oracle) buying(loom string, s *shelf) want {
	out := want{tab: "Buying", group: "Kind", heads: []string{"Part", "Size", "Colour", "Needs|", "Spare|", "Shelf|", "Buy|", "Unit"}, units: []string{"", o.sizeUnit(), "", "", "", "", "", ""}}
	list := o.needs(loom)
	slices.SortFunc(list, func(a, b need) int { return strings.Compare(a.kind+a.part+a.colour, b.kind+b.part+b.colour) })
	for i := range list {
		n := &list[i]
		name := n.part
		if name == "" {
			name = "to be chosen"
		}
		if n.note != "" {
			name += ", " + n.note
		}
		if title := o.c.Title(n.part); title != "" && n.kind != "wire" {
			name += ", " + title
		}
		name = memory(name, o.remembered(n.part))
		size := ""
		if n.kind == "wire" {
			size = n.gauge
			if q := o.c.WireOf(n.part, n.gauge); q != nil && o.mm2 {
				size = trim(q.Area.MM2(), 2)
			}
		}
		unit, factor, places := "pcs", 1.0, 0
		if n.long {
			unit, factor, places = o.longUnit(), o.long(1), 2
		}
		have := s.take(n)
		buy := math.Max(0, n.amount+n.spare-have)
		if n.long {
			buy = math.Ceil(buy*10-1e-6) / 10
		}
		amount := func(v float64) any { return number{v * factor, places} }
		out.rows = append(out.rows, wantRow{kindTitles[n.kind], "", []any{name, size, n.colour, amount(n.amount), amount(n.spare), amount(have), amount(buy), unit}})
	}
	return out
}
