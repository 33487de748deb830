// Package assign settles which pin, feed or stud serves each end of a circuit
// that has none.
//
// Pins go by role, then rating, group, index (coil 1 on coil output 1), name,
// contact size and distance: the cheapest pairing of all blank ends of a
// device with its free pins, exact. Feeds and studs go to circuits at the
// least sum of distances and spare ratings, exact as well. Given choices stay;
// kept ones stay unless they became wrong. It takes for granted that names are
// resolved; what cannot be placed says what is missing.
package assign

import (
	"slices"
	"strings"

	"keyon/model/design"
	"keyon/model/finding"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/model/settle"
	"keyon/num/graph"
)

// work is one run.
type work struct {
	d        *design.Design
	t        *plan.Things
	out      plan.Ends
	g        *graph.Graph
	parts    map[*part.Device]*facts
	taken    [][]int       // by device and pin: the circuit that has it, -1; nil for a device without part
	draws    [][]float64   // by device and pin: amps its own loads take there for good
	onPost   map[pinAt]int // ends at a pin
	feedOf   map[pinAt]int // the feed whose outlet a pin is
	feedBy   []int         // by feed: the circuit it serves, -1
	lugs     []int         // by stud: lugs on it
	verdicts []finding.Verdict
}

type pinAt struct{ device, pin int }

// facts is what is asked of a part again and again.
type facts struct {
	roles []part.RoleSet // by pin
	sizes []int          // by pin: number of its contact size, 0 unknown
	words []part.Words   // by pin: of its name
	post  []bool         // by pin: a threaded post or terminal that takes several lugs
	index map[string]int // by name
	coil  []bool         // by pin: an end of a relay's coil
	pass  []bool         // by pin: an end of a contact
}

// Run settles all ends.
func Run(d *design.Design, t plan.Things) (plan.Ends, []finding.Verdict) {
	w := &work{d: d, t: &t, parts: map[*part.Device]*facts{}, onPost: map[pinAt]int{}, feedOf: map[pinAt]int{}, feedBy: make([]int, len(t.Feeds)), lugs: make([]int, len(t.Studs))}
	w.devices()
	for i := range t.Feeds {
		w.feedBy[i] = -1
		if f := &t.Feeds[i]; f.Device >= 0 && f.Pin >= 0 {
			w.feedOf[pinAt{f.Device, f.Pin}] = i
		}
	}
	w.distances()
	w.declared()
	w.givenFeeds()
	w.keptEnds()
	w.pins()
	w.feeds()
	w.studs()
	for i := range w.out.List {
		w.finish(&w.out.List[i])
	}
	return w.listed(), w.verdicts
}

// forGood is how long a load must last for a pin's rating to count (s): a pin
// stands the seconds of cranking (judgement: house-rules).
const forGood = 300

// devices gathers what is known of each device before any end is settled.
func (w *work) devices() {
	w.taken, w.draws = make([][]int, len(w.t.Devices)), make([][]float64, len(w.t.Devices))
	for i := range w.t.Devices {
		p := w.t.Devices[i].Part
		if p == nil {
			continue
		}
		w.taken[i], w.draws[i] = make([]int, len(p.Pins)), make([]float64, len(p.Pins))
		for k := range p.Pins {
			w.taken[i][k] = -1
		}
		if w.parts[p] == nil {
			w.parts[p] = factsOf(&w.t.Devices[i])
		}
	}
	for i := range w.t.Loads {
		l := &w.t.Loads[i]
		if s := w.t.States[l.State].Seconds; s > 0 && s < forGood || l.Device < 0 {
			continue
		}
		for _, pin := range []int{l.From, l.To} {
			if pin >= 0 {
				w.draws[l.Device][pin] = max(w.draws[l.Device][pin], amps(l, float64(w.d.Car.Volts)))
			}
		}
	}
}

func factsOf(dev *plan.Device) *facts {
	p := dev.Part
	f := &facts{index: make(map[string]int, len(p.Pins)), coil: make([]bool, len(p.Pins)), pass: make([]bool, len(p.Pins))}
	for k := range p.Pins {
		pin := &p.Pins[k]
		f.roles = append(f.roles, part.SetOf(pin.Role))
		f.sizes = append(f.sizes, contactSize(dev, pin))
		f.words = append(f.words, part.WordsOf(pin.Name))
		_, stud := pin.Stud()
		f.post = append(f.post, stud || pin.Role == part.Case)
		if _, twice := f.index[pin.Name]; !twice {
			f.index[pin.Name] = k
		}
	}
	for _, l := range p.Links {
		for _, name := range []string{l.From, l.To} {
			if k, ok := f.index[name]; ok {
				f.coil[k] = f.coil[k] || l.Kind == part.RelayCoil
				f.pass[k] = f.pass[k] || l.Kind == part.Contacts
			}
		}
	}
	return f
}

// amps is what a load takes, roughly: watts and ohms at the nominal voltage.
func amps(l *plan.Load, volts float64) float64 {
	switch {
	case l.Mean > 0:
		return float64(max(l.Mean, l.RMS))
	case l.Power > 0:
		return float64(l.Power) / volts
	case l.Ohm > 0:
		return volts / float64(l.Ohm)
	}
	return 0
}

// listed is the table with each circuit's ends in the order of their IDs, so
// that an end has its place whether it was given or worked out.
func (w *work) listed() plan.Ends {
	out := plan.Ends{List: make([]plan.End, 0, len(w.out.List)), Of: make([][]int, len(w.out.Of))}
	for c, ends := range w.out.Of {
		slices.SortFunc(ends, func(a, b int) int { return strings.Compare(w.out.List[a].ID, w.out.List[b].ID) })
		for _, i := range ends {
			out.Of[c] = append(out.Of[c], len(out.List))
			out.List = append(out.List, w.out.List[i])
		}
	}
	return out
}

// part is the part of an end's device, nil where there is none.
func (w *work) part(x *plan.End) *part.Device {
	if x.Device < 0 {
		return nil
	}
	return w.t.Devices[x.Device].Part
}

// blank says that an end has a device whose pin nobody settled.
func (w *work) blank(x *plan.End) bool {
	return w.part(x) != nil && x.PinIndex < 0 && !x.Pin.Settled()
}

// at is where an end sits, as far as it is known; -1 where nothing is.
func (w *work) at(x *plan.End) int {
	switch {
	case x.Stud >= 0:
		return w.t.Studs[x.Stud].Place
	case x.Device < 0:
		return -1
	case x.PinIndex >= 0:
		return w.pinPlace(x.Device, x.PinIndex)
	}
	return w.t.Devices[x.Device].Place
}

// pinPlace is the place of the connector that holds a pin.
func (w *work) pinPlace(device, pin int) int {
	dev := &w.t.Devices[device]
	if p := &dev.Part.Pins[pin]; p.Cavity != "" {
		for k := range dev.Connectors {
			if dev.Connectors[k].Name == p.Connector {
				return dev.Connectors[k].Place
			}
		}
	}
	return dev.Place
}

// place is where a person can change an end.
func (w *work) place(x *plan.End) finding.Place {
	q := &w.t.Circuits[x.Circuit]
	row := &w.d.Circuits[q.Rows[x.Row].Design]
	p := finding.Place{Kind: "circuit", ID: q.Name, Field: "to pin", Cell: row.ToPin.At}
	if strings.HasSuffix(x.ID, "/from") {
		p.Field, p.Cell = "from pin", row.FromPin.At
	}
	return p
}

// finish fills what follows from device and pin: name, role, connector,
// cavity and place.
func (w *work) finish(x *plan.End) {
	switch {
	case x.Stud >= 0:
		x.Place = w.t.Studs[x.Stud].Place
	case x.Device >= 0 && x.PinIndex >= 0:
		dev := &w.t.Devices[x.Device]
		p := &dev.Part.Pins[x.PinIndex]
		x.Pin.Value, x.Role, x.Place = p.Name, p.Role, dev.Place
		if p.Cavity == "" {
			return
		}
		for k := range dev.Connectors {
			if dev.Connectors[k].Name == p.Connector {
				x.Connector, x.Cavity, x.Place = k, p.Cavity, dev.Connectors[k].Place
			}
		}
	}
}

// value makes a settled pin; its name is filled at the end.
func value(o settle.Origin, r settle.Reason) settle.Value[string] {
	return settle.Value[string]{Origin: o, Reason: r}
}
