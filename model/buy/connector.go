package buy

import (
	"cmp"
	"slices"

	"keyon/model/part"
	"keyon/model/plan"
)

// Connector is a connector of a loom that has wires: the loom's plug of a
// device, or a half of a join.
type Connector struct {
	Name   string // device, device/connector, or join/half
	Device int    // -1 for a join
	Index  int    // connector of the device
	Join   int    // -1 for a device
	Half   string // a or b, of a join
	Fixed  bool   // this half is mounted: a receptacle
	Free   bool   // this half is the plug; neither where a join leaves it open
	Place  int
	Part   *part.Connector
	Key    string
	Gender string // of the contacts on this side
	Fills  []Fill // in the order of the part's cavities
	Plugs  []Plug // unused cavities of a sealed connector
}

// Fill is a cavity with its contact. Two wires are in it where the contact
// takes two: contact and seal count once.
type Fill struct {
	Cavity, Contact, Seal string
	Ends                  []End
}

// Plug is an unused cavity to close. Part is blank where the catalogue has no
// plug for it.
type Plug struct{ Cavity, Size, Part string }

// Number is the standard's part number of this side (D38999/26WD35SN), "" for
// parts of other standards and where either half may be the plug.
func (k *Connector) Number() string {
	switch {
	case k.Free:
		return k.Part.Number(part.Plug, k.Gender, k.Key)
	case k.Fixed:
		return k.Part.Number(part.Wall, k.Gender, k.Key)
	}
	return ""
}

// at names a connector: a device's, or a join's half.
type at struct {
	device, index, join int
	half                string
}

// connectors finds the connectors of all looms that have wires.
func connectors(c part.Catalogue, p *plan.Plan, out []Loom) {
	place := map[at]int{} // into out[loom].Connectors
	fill := func(loom int, k at, cavity string, e End) {
		i, ok := place[k]
		if !ok {
			x, known := describe(p, k)
			if !known {
				return
			}
			i = len(out[loom].Connectors)
			place[k] = i
			out[loom].Connectors = append(out[loom].Connectors, x)
		}
		x := &out[loom].Connectors[i]
		f := slices.IndexFunc(x.Fills, func(f Fill) bool { return f.Cavity == cavity })
		if f < 0 {
			f = len(x.Fills)
			x.Fills = append(x.Fills, Fill{Cavity: cavity})
		}
		_, parts := e.At(p)
		x.Fills[f].Ends = append(x.Fills[f].Ends, e)
		x.Fills[f].Contact, x.Fills[f].Seal = cmp.Or(x.Fills[f].Contact, parts.Contact), cmp.Or(x.Fills[f].Seal, parts.Seal)
	}
	for i := range p.Wires.List {
		w := &p.Wires.List[i]
		if w.Loom < 0 {
			continue
		}
		for _, e := range []End{{i, false}, {i, true}} {
			q, _ := e.At(p)
			switch {
			case q.Kind == plan.AtCavity && q.Crossing >= 0:
				x := &p.Cavities.Crossings[q.Crossing]
				fill(w.Loom, at{-1, -1, x.Join, q.Half}, x.Cavity.Value, e)
			case q.Kind == plan.AtPin && q.End >= 0:
				if x := &p.Ends.List[q.End]; x.Device >= 0 && x.Connector >= 0 {
					fill(w.Loom, at{x.Device, x.Connector, -1, ""}, x.Cavity, e)
				}
			}
		}
	}
	for l := range out {
		list := out[l].Connectors
		for i := range list {
			list[i].finish(c)
		}
		slices.SortFunc(list, func(a, b Connector) int {
			return cmp.Or(cmp.Compare(min(a.Join, 0), min(b.Join, 0)), Natural(a.Name, b.Name))
		})
	}
}

// describe is the connector without its wires; known is false for a pin
// without a connector part, and for a join without cavities.
func describe(p *plan.Plan, k at) (Connector, bool) {
	t := &p.Things
	if k.join < 0 {
		q := &t.Devices[k.device].Connectors[k.index]
		if q.Part == nil {
			return Connector{}, false
		}
		x := Connector{Name: p.ConnectorName(k.device, k.index), Device: k.device, Index: k.index, Join: -1, Free: true, Place: q.Place, Part: q.Part, Gender: q.Part.Gender}
		if d := t.Devices[k.device].Part; d != nil && k.index < len(d.Connectors) {
			x.Key = d.Connectors[k.index].Key
		}
		if x.Key == "" && len(q.Part.Keys) > 0 {
			x.Key = q.Part.Keys[0]
		}
		return x, true
	}
	q, j := &p.Cavities.Joins[k.join], &t.Joins[k.join]
	if q.Connector == nil {
		return Connector{}, false
	}
	x := Connector{Name: j.Name + "/" + k.half, Device: -1, Index: -1, Join: k.join, Half: k.half, Fixed: j.FixedHalf == k.half, Free: j.FixedHalf != "" && j.FixedHalf != k.half, Place: j.A, Part: q.Connector, Key: q.Key.Value, Gender: "pin"}
	if k.half == "b" {
		x.Place = j.B
	}
	if q.Sockets.Value == k.half {
		x.Gender = "socket"
	}
	return x, true
}

// finish orders the cavities and finds the unused ones.
func (k *Connector) finish(c part.Catalogue) {
	order := make(map[string]int, len(k.Part.Cavities))
	for i := range k.Part.Cavities {
		order[k.Part.Cavities[i].Name] = i + 1
	}
	slices.SortStableFunc(k.Fills, func(a, b Fill) int {
		x, y := order[a.Cavity], order[b.Cavity]
		if x == 0 || y == 0 { // a cavity the part doesn't have comes last
			return cmp.Or(cmp.Compare(y, x), Natural(a.Cavity, b.Cavity))
		}
		return cmp.Compare(x, y)
	})
	if !k.Part.Sealed {
		return
	}
	for i := range k.Part.Cavities {
		hole := &k.Part.Cavities[i]
		if slices.ContainsFunc(k.Fills, func(f Fill) bool { return f.Cavity == hole.Name }) {
			continue
		}
		x := Plug{Cavity: hole.Name, Size: hole.Size}
		if s := c.PlugFor(hole.Size); s != nil {
			x.Part = s.ID
		}
		k.Plugs = append(k.Plugs, x)
	}
}
