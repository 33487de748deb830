package network

import (
	"slices"

	"keyon/model/part"
)

// inner is what the network needs to know of a part, once for all its devices.
type inner struct {
	links          []ends // by link: its pins, -1 for one the part doesn't have
	linked         []bool // by pin: a link touches it
	group          []int  // by pin: the first of its role and group before it, -1
	ground, supply int    // pins, -1
}

type ends struct{ from, to int }

func insideOf(p *part.Device) *inner {
	index := make(map[string]int, len(p.Pins))
	for i := range p.Pins {
		index[p.Pins[i].Name] = i
	}
	in := &inner{links: make([]ends, len(p.Links)), linked: make([]bool, len(p.Pins)), group: make([]int, len(p.Pins)), ground: first(p, part.Ground, part.Case), supply: widest(p)}
	for k := range p.Links {
		from, okFrom := index[p.Links[k].From]
		to, okTo := index[p.Links[k].To]
		if !okFrom || !okTo {
			in.links[k] = ends{-1, -1}
			continue
		}
		in.links[k] = ends{from, to}
		in.linked[from], in.linked[to] = true, true
	}
	for i := range p.Pins {
		in.group[i] = sameGroup(p, i)
	}
	return in
}

// inside adds what is in a device between its pins: its part's links, then
// what its roles imply for pins that no link touches.
func (b *builder) inside(device int) {
	d := &b.t.Devices[device]
	p := d.Part
	in := b.inner[p]
	used := b.used[b.base[device]:b.base[device+1]]
	for k := range p.Links {
		if l := in.links[k]; l.from >= 0 && (used[l.from] || used[l.to]) {
			b.link(device, l.from, l.to, &p.Links[k])
		}
	}
	linked, ground, supply := in.linked, in.ground, in.supply
	for i := range p.Pins {
		q := &p.Pins[i]
		if !used[i] {
			continue
		}
		name := b.pinName(device, i)
		switch q.Role {
		case part.Case:
			if d.Place >= 0 && b.t.Places[d.Place].Metal {
				b.n.Resistor("case "+name, b.pin(device, i), b.metal(b.t.Places[d.Place].Assembly), ohmBond)
			}
		case part.Ground:
			// Ground pins of one group are joined inside.
			if j := in.group[i]; j >= 0 && p.Kind != "battery" {
				b.n.Resistor("joined "+name, b.pin(device, i), b.pin(device, j), ohmInside)
			}
		case part.SupplyIn:
			if j := in.group[i]; j >= 0 && q.Group != "" && !linked[i] {
				b.n.Resistor("joined "+name, b.pin(device, i), b.pin(device, j), ohmInside)
			}
		case part.SensorReturn:
			if ground >= 0 && !linked[i] {
				b.n.Resistor("return "+name, b.pin(device, i), b.pin(device, ground), ohmInside)
			}
		case part.SensorSupply:
			if ground >= 0 {
				b.n.Battery("sensor supply "+name, b.pin(device, i), b.pin(device, ground), voltSensor, ohmSensor)
			}
		case part.HalfBridge:
			if !linked[i] && b.sinks[b.base[device]+i] && ground >= 0 {
				b.n.Resistor("sink "+name, b.pin(device, i), b.pin(device, ground), ohmDriver)
			} else if !linked[i] && supply >= 0 {
				b.n.Resistor("output "+name, b.pin(device, supply), b.pin(device, i), ohmDriver)
			}
		case part.SwitchedOut, part.SupplyOut:
			if !linked[i] && supply >= 0 && supply != i {
				e := b.n.Resistor("output "+name, b.pin(device, supply), b.pin(device, i), ohmDriver)
				for _, f := range b.feeds[device] {
					if b.t.Feeds[f].Pin == i {
						b.s.Feeds[f] = e
					}
				}
			}
		case part.LowSide, part.Injector:
			if !linked[i] && ground >= 0 {
				b.n.Resistor("sink "+name, b.pin(device, i), b.pin(device, ground), ohmDriver)
			}
		}
	}
}

// link adds one link of a part.
func (b *builder) link(device, from, to int, l *part.Link) {
	name := b.t.Devices[device].Name + ":" + l.From + "-" + l.To
	x, y := b.pin(device, from), b.pin(device, to)
	or := func(ohm float64) float64 {
		if l.Ohm > 0 {
			return float64(l.Ohm)
		}
		return ohm
	}
	closed := b.state.Name != "off" && (len(l.ClosedIn) == 0 || slices.Contains(l.ClosedIn, b.state.Name))
	feed := -1
	for _, f := range b.feeds[device] {
		if q := &b.t.Feeds[f]; q.Pin == from || q.Pin == to {
			feed = f
		}
	}
	switch l.Kind {
	case part.Resistor, part.Terminator, part.PullUp, part.PullDown, part.RelayCoil:
		// A winding or an element that has a load of its own draws what the
		// load says, in the states it says, and nothing in others.
		if l.Ohm > 0 && !b.drawn[[3]int{device, from, to}] {
			b.n.Resistor(name, x, y, float64(l.Ohm))
		}
	case part.Diode:
		b.n.Diode(name, x, y, 0.7, 0.01) // silicon at rated current, common practice
	case part.Contacts, part.Driver:
		// Of a half bridge's two drivers one conducts: the one its load asks for.
		if p := b.t.Devices[device].Part; l.Kind == part.Driver {
			for _, half := range [][2]int{{from, to}, {to, from}} {
				if p.Pins[half[0]].Role == part.HalfBridge && b.sinks[b.base[device]+half[0]] != (p.Pins[half[1]].Role == part.Ground) {
					closed = false
				}
			}
		}
		ohm := or(ohmInside)
		if l.Kind == part.Driver {
			ohm = or(ohmDriver)
		}
		if e := b.n.Contact(name, x, y, ohm, closed); feed >= 0 {
			b.s.Feeds[feed] = e
		}
	case part.Through:
		if e := b.n.Resistor(name, x, y, or(ohmInside)); feed >= 0 {
			b.s.Feeds[feed] = e
		}
	}
}

func first(p *part.Device, roles ...part.Role) int {
	for _, r := range roles {
		if i := pinOf(p, r); i >= 0 {
			return i
		}
	}
	return -1
}

// widest is the supply pin that may carry most.
func widest(p *part.Device) int {
	best := -1
	for i := range p.Pins {
		if p.Pins[i].Role == part.SupplyIn && (best < 0 || p.Pins[i].Amps > p.Pins[best].Amps) {
			best = i
		}
	}
	return best
}

// sameGroup is the first pin of the same role and group before pin i, -1 for the first.
func sameGroup(p *part.Device, i int) int {
	for j := range i {
		if p.Pins[j].Role == p.Pins[i].Role && p.Pins[j].Group == p.Pins[i].Group {
			return j
		}
	}
	return -1
}
