package assign

import (
	"strconv"
	"strings"

	"keyon/model/part"
	"keyon/model/plan"
)

// supplySide are the roles of the feeds that a blank supply side may become.
var supplySide = part.SetOf(part.SupplyOut, part.SwitchedOut, part.HalfBridge, part.Battery)

// sides are the roles that the ends of x's circuit may have, and which of them
// is x itself.
func (w *work) sides(x *plan.End) (sides []part.RoleSet, at int) {
	ends := w.out.Of[x.Circuit]
	sides = make([]part.RoleSet, len(ends))
	for n, i := range ends {
		o := &w.out.List[i]
		if o.ID == x.ID {
			at = n
		}
		sides[n] = w.rolesAt(o)
	}
	return sides, at
}

// narrowed is the roles that the ends of x's circuit may have together. Power
// runs from a row's beginning to its end, so a blank pin at the beginning
// gives and one at the end takes, where that leaves everybody a role.
func (w *work) narrowed(x *plan.End) (sides []part.RoleSet, at int) {
	sides, at = w.sides(x)
	if supplied(w.class(x)) {
		along := make([]part.RoleSet, len(sides))
		for n, i := range w.out.Of[x.Circuit] {
			o := &w.out.List[i]
			along[n] = sides[n]
			if !w.blank(o) || sides[n] == part.EveryRole {
				continue
			}
			if strings.HasSuffix(o.ID, "/from") {
				along[n] &^= taking
			} else {
				along[n] &^= giving
			}
		}
		for c := part.Near; c <= part.Kin; c++ {
			if out, ok := part.Among(along, w.class(x), c); ok {
				return out, at
			}
		}
	}
	return part.Narrow(sides, w.class(x)), at
}

// giving and taking are the roles of power pins that current comes out of and
// goes into.
var (
	giving = part.SetOf(part.SupplyOut, part.SwitchedOut) // a battery or an alternator stands at either end
	taking = part.SetOf(part.SupplyIn, part.StarterIn, part.MotorIn)
)

func (w *work) rolesAt(o *plan.End) part.RoleSet {
	p := w.part(o)
	switch {
	case o.Stud >= 0 && w.t.Studs[o.Stud].Use == "supply":
		return part.SetOf(part.SupplyOut)
	case o.Stud >= 0:
		return part.SetOf(part.Ground)
	case p != nil && o.PinIndex >= 0:
		return w.parts[p].roles[o.PinIndex]
	case p == nil && w.isOurs(o) && w.class(o) == "ground":
		return part.SetOf(part.Ground)
	case p == nil && w.isOurs(o):
		return supplySide
	case p == nil || o.Pin.Settled():
		return part.EveryRole
	}
	var s part.RoleSet
	f := w.parts[p]
	for k, role := range f.roles {
		if w.taken[o.Device][k] < 0 || f.post[k] {
			s |= role
		}
	}
	if s == 0 {
		return part.EveryRole
	}
	return s
}

// rated says that a pin's rating bounds what it gives or sinks: a load's own
// pins are rated for what the load takes.
func rated(r part.Role) bool { return gives(r) || r == part.SensorSupply || r == part.SensorReturn }

// load is the current expected at an end from the other ends of its circuit,
// followed through contacts and drivers to what hangs behind them, A.
func (w *work) load(x *plan.End) float64 {
	return w.behind(x.Circuit, x.ID, map[int]bool{x.Circuit: true})
}

func (w *work) behind(c int, but string, seen map[int]bool) float64 {
	sum := 0.0
	for _, i := range w.out.Of[c] {
		o := &w.out.List[i]
		if o.ID == but || o.Device < 0 || o.PinIndex < 0 || o.Feed >= 0 {
			continue
		}
		p := w.part(o)
		sum += w.draws[o.Device][o.PinIndex]
		if gives(p.Pins[o.PinIndex].Role) {
			continue // another source, not a load
		}
		for _, l := range p.Links {
			if l.Kind != part.Contacts && l.Kind != part.Through && l.Kind != part.Driver && l.Kind != part.Diode {
				continue
			}
			name, far := p.Pins[o.PinIndex].Name, ""
			switch name {
			case l.From:
				far = l.To
			case l.To:
				far = l.From
			default:
				continue
			}
			k, ok := w.parts[p].index[far]
			if !ok || w.taken[o.Device][k] < 0 || seen[w.taken[o.Device][k]] {
				continue
			}
			next := w.taken[o.Device][k]
			seen[next] = true
			for _, j := range w.out.Of[next] {
				if y := &w.out.List[j]; y.Device == o.Device && y.PinIndex == k {
					sum += w.behind(next, y.ID, seen)
				}
			}
		}
	}
	return sum
}

// contactSize is the number of a pin's contact size: 22D is 22, 0 is unknown.
func contactSize(dev *plan.Device, pin *part.Pin) int {
	for k := range dev.Connectors {
		c := &dev.Connectors[k]
		if c.Name != pin.Connector || c.Part == nil {
			continue
		}
		for i := range c.Part.Cavities {
			if c.Part.Cavities[i].Name == pin.Cavity {
				n, _ := strconv.Atoi(strings.TrimRight(c.Part.Cavities[i].Size, "DMTX"))
				return n
			}
		}
	}
	return 0
}

// trailing is the number a name ends in: "coil 3" gives "3".
func trailing(name string) string {
	return name[len(strings.TrimRight(name, "0123456789")):]
}
