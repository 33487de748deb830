// Package flow tells which way current runs in a circuit and how much is
// expected, before any wire is sized: from the loads of the devices and from
// what their pins are.
//
// It takes pins and feeds as settled by assign. The sums are expectations to
// choose contacts and ways by; what really flows is solved on the network
// once there are wires.
package flow

import (
	"cmp"
	"strings"

	"keyon/model/part"
	"keyon/model/plan"
)

// Table holds what is expected at each end.
type Table struct {
	Amps   []float64 // by end: most over the states, whichever way it runs
	Source []bool    // by end: it gives what the others take, or takes what they give
}

// carries says that a link passes a load's current on.
func carries(k part.LinkKind) bool {
	return k == part.Contacts || k == part.Driver || k == part.Through || k == part.Diode
}

// gives says that a pin gives current that its device takes in elsewhere;
// swallows, that it takes current which its device gives on to ground.
func gives(r part.Role) bool {
	return r == part.SupplyOut || r == part.SwitchedOut || r == part.HalfBridge || r == part.SensorSupply
}

func swallows(r part.Role) bool {
	return r == part.LowSide || r == part.Injector || r == part.SensorReturn
}

// rounds bounds how many devices a current is followed through: battery,
// isolator, main relay, fuse carrier, module, load.
const rounds = 6

// Of works out the table. volts is the nominal voltage, for loads given as
// watts or ohms in a state without volts of its own.
func Of(t *plan.Things, e *plan.Ends, volts float64) Table {
	f := Table{Amps: make([]float64, len(e.List)), Source: make([]bool, len(e.List))}
	first := make([]int, len(t.Devices)+1) // pins of device i are first[i]:first[i+1]
	for i := range t.Devices {
		first[i+1] = first[i]
		if p := t.Devices[i].Part; p != nil {
			first[i+1] += len(p.Pins)
		}
	}
	pin := make([]int, len(e.List)) // by end, -1
	for i := range e.List {
		x := &e.List[i]
		pin[i] = -1
		if x.Device >= 0 && x.PinIndex >= 0 {
			pin[i] = first[x.Device] + x.PinIndex
		}
	}
	loaded := make([]bool, first[len(t.Devices)])
	for i := range t.Loads {
		l := &t.Loads[i]
		for _, p := range []int{l.From, l.To} {
			if l.Device >= 0 && p >= 0 {
				loaded[first[l.Device]+p] = true
			}
		}
	}
	for i := range e.List {
		x := &e.List[i]
		f.Source[i] = x.Feed >= 0 || x.Stud >= 0 || gives(x.Role) || swallows(x.Role) || x.Role == part.Battery || x.Role == part.Alternator ||
			pin[i] >= 0 && !loaded[pin[i]] && x.Role != part.SupplyIn && x.Role != part.Ground
	}
	at := make([]float64, len(loaded)) // amps by pin in one state
	states := max(1, len(t.States))
	for s := range states {
		clear(at)
		any := false
		for i := range t.Loads {
			l := &t.Loads[i]
			if l.State != s && len(t.States) > 0 || l.Device < 0 {
				continue
			}
			a := amps(t, l, volts)
			for _, p := range []int{l.From, l.To} {
				if p >= 0 {
					at[first[l.Device]+p] += a
				}
			}
			any = any || a > 0
		}
		if any {
			f.spread(t, e, at, first, pin)
		}
	}
	return f
}

// amps is what a load takes in its state: RMS heats conductors, so it goes
// before the mean.
func amps(t *plan.Things, l *plan.Load, volts float64) float64 {
	if l.State >= 0 && l.State < len(t.States) && t.States[l.State].Volts > 0 {
		volts = float64(t.States[l.State].Volts)
	}
	switch {
	case l.RMS > 0 || l.Mean > 0:
		return float64(max(l.RMS, l.Mean))
	case l.Power > 0 && volts > 0:
		return float64(l.Power) / volts
	case l.Ohm > 0:
		return volts / float64(l.Ohm)
	}
	return 0
}

// spread follows the loads' currents to the circuits' sources and on through
// the devices that the sources belong to.
func (f *Table) spread(t *plan.Things, e *plan.Ends, at []float64, first, pin []int) {
	own := append([]float64(nil), at...)
	for range rounds {
		next := append([]float64(nil), own...)
		for c := range t.Circuits {
			if c >= len(e.Of) {
				break
			}
			sum, sources := 0.0, 0
			for _, i := range e.Of[c] {
				if f.Source[i] {
					sources++
				} else if pin[i] >= 0 {
					sum += at[pin[i]]
				}
			}
			if sources == 0 || sum == 0 {
				continue
			}
			for _, i := range e.Of[c] {
				if !f.Source[i] {
					continue
				}
				f.Amps[i] = max(f.Amps[i], sum/float64(sources))
				if pin[i] >= 0 {
					through(t.Devices[e.List[i].Device].Part, e.List[i].PinIndex, next[first[e.List[i].Device]:], sum/float64(sources))
				}
			}
		}
		same := true
		for i := range next {
			same = same && next[i] == at[i]
		}
		copy(at, next)
		if same {
			break
		}
	}
	for i := range e.List {
		if pin[i] >= 0 && !f.Source[i] {
			f.Amps[i] = max(f.Amps[i], at[pin[i]])
		}
	}
}

// through adds what a source pin gives to the pins its device takes it from:
// those it is linked to, else the supply pins (or, for a pin that swallows,
// the grounds) in equal shares.
func through(p *part.Device, pin int, at []float64, amps float64) {
	name := p.Pins[pin].Name
	var to []int
	find := func(want string) {
		for i := range p.Pins {
			if p.Pins[i].Name == want {
				to = append(to, i)
			}
		}
	}
	for _, l := range p.Links {
		switch {
		case !carries(l.Kind):
		case l.From == name:
			find(l.To)
		case l.To == name:
			find(l.From)
		}
	}
	if len(to) == 0 && (gives(p.Pins[pin].Role) || swallows(p.Pins[pin].Role)) {
		want := part.SupplyIn
		if swallows(p.Pins[pin].Role) {
			want = part.Ground
		}
		for i := range p.Pins {
			if p.Pins[i].Role == want {
				to = append(to, i)
			}
		}
	}
	for _, i := range to {
		if !gives(p.Pins[i].Role) {
			at[i] += amps / float64(len(to))
		}
	}
}

// returns says that a circuit's current runs towards its root: from the loads
// to a stud or a controller's ground.
func returns(class string) bool {
	return class == "ground" || class == "sensor return" || class == "shield"
}

// Root is the end at which a circuit's current begins (for grounds and sensor
// returns: where it ends), and back says that the current runs towards it.
// -1 for a circuit without ends.
func Root(t *plan.Things, e *plan.Ends, circuit int) (end int, back bool) {
	back = returns(t.Circuits[circuit].Class.Value)
	best, rank := -1, 0
	for _, i := range e.Of[circuit] {
		r := standing(&e.List[i], back)
		if best < 0 || r < rank || r == rank && before(&e.List[i], &e.List[best], back) {
			best, rank = i, r
		}
	}
	return best, back
}

// before orders ends of equal standing: the side of the row that current is
// written to come from, then the ID.
func before(x, y *plan.End, back bool) bool {
	side := "/from"
	if back {
		side = "/to"
	}
	a, b := strings.HasSuffix(x.ID, side), strings.HasSuffix(y.ID, side)
	if a != b {
		return a
	}
	return cmp.Less(x.ID, y.ID)
}

// standing is how near the source an end is by what it is, least first.
func standing(x *plan.End, back bool) int {
	if back {
		switch {
		case x.Stud >= 0:
			return 0
		case x.Role == part.SensorReturn, x.Role == part.Shield:
			return 1
		}
		return 2
	}
	switch x.Role {
	case part.Battery:
		return 0
	case part.Alternator:
		return 2
	case part.SupplyOut, part.SwitchedOut, part.SensorSupply, part.HalfBridge:
		return 1
	case part.Coil, part.AnalogueOut, part.FrequencyOut, part.KnockOut, part.DigitalOut, part.Resistive, part.ThermoPlus, part.ThermoMinus:
		return 3
	case part.SupplyIn, part.SensorIn, part.CoilIn, part.AnalogueIn, part.TemperatureIn, part.FrequencyIn, part.KnockIn, part.DigitalIn,
		part.LowSide, part.Injector, part.StarterIn:
		return 5
	}
	if x.Feed >= 0 || x.Stud >= 0 {
		return 1
	}
	return 4
}
