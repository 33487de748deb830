// Package network is the car as an electrical network: what stands between
// which nodes. It is built once from things, ends and wires; each state then
// closes its contacts, draws its loads and sets its sources.
//
// It decides which inner links of a device carry current where its part lists
// none (outputs hang on the supply, low side outputs on the ground, sensor
// returns on the controller's ground: common practice). It takes for granted
// that wires are split; sizes come in as resistances. What the answer means is
// for stages and checks.
package network

import (
	"strconv"

	"keyon/model/part"
	"keyon/model/plan"
	"keyon/num/netsolve"
)

// Resistances where the catalogue has none. All are judgement; a part's own
// Links and a feed's fuse replace them.
const (
	ohmInside  = 0.001  // Ω, joined pins and busbars inside a device
	ohmDriver  = 0.010  // Ω, a closed electronic output
	ohmBond    = 0.0001 // Ω, a bare-metal joint of stud or case
	ohmBattery = 0.0045 // Ω, internal, a 12 V battery of 600 A cold cranking in the warm: half of (12.5-7.2)/600 V/A (form seen, half from memory)
	ohmSensor  = 0.05   // Ω, a controller's 5 V output
	ohmDroop   = 0.002  // Ω, an alternator's regulation
	voltSensor = 5.0    // V
	mostAmps   = 100.0  // A, an alternator without a rating
)

// Model is what all states share. After New it is only read, so that states
// can be built side by side.
type Model struct {
	t *plan.Things
	e *plan.Ends
	x *plan.Cavities
	w *plan.Wires

	base  []int           // by device: number of its first pin; one more for the end
	used  []bool          // by number of a pin: wires or loads touch it
	sinks []bool          // by number of a pin: a half bridge that is the ground side of what hangs on it
	names []string        // by number of a pin, "" for one that nothing touches
	drawn map[[3]int]bool // device and two pins: a load says what flows there
	feeds [][]int         // by device: its feeds
	wires []string        // by wire: the name of its element
	inner map[*part.Device]*inner
}

// New makes the model of a car.
func New(t *plan.Things, e *plan.Ends, x *plan.Cavities, w *plan.Wires) *Model {
	m := &Model{t: t, e: e, x: x, w: w, base: make([]int, len(t.Devices)+1), drawn: map[[3]int]bool{}, feeds: make([][]int, len(t.Devices)), wires: make([]string, len(w.List)), inner: map[*part.Device]*inner{}}
	for i := range t.Devices {
		m.base[i+1] = m.base[i]
		if p := t.Devices[i].Part; p != nil {
			m.base[i+1] += len(p.Pins)
			if m.inner[p] == nil {
				m.inner[p] = insideOf(p)
			}
		}
	}
	pins := m.base[len(t.Devices)]
	m.used, m.sinks, m.names = make([]bool, pins), make([]bool, pins), make([]string, pins)
	for i := range w.List {
		m.wires[i] = "wire " + w.List[i].ID
	}
	for i := range t.Feeds {
		if f := &t.Feeds[i]; f.Device >= 0 {
			m.feeds[f.Device] = append(m.feeds[f.Device], i)
		}
	}
	for i := range e.List {
		if q := &e.List[i]; q.Device >= 0 && q.PinIndex >= 0 {
			m.used[m.base[q.Device]+q.PinIndex] = true
		}
	}
	for _, l := range t.Loads {
		if l.Device >= 0 && t.Devices[l.Device].Part != nil {
			for _, k := range []int{l.From, l.To} {
				if k >= 0 {
					m.used[m.base[l.Device]+k] = true
				}
			}
			m.drawn[[3]int{l.Device, l.From, l.To}], m.drawn[[3]int{l.Device, l.To, l.From}] = true, true
		}
	}
	m.halfBridges()
	for i := range t.Devices {
		p := t.Devices[i].Part
		for k := 0; p != nil && k < len(p.Pins); k++ {
			if j := m.inner[p].group[k]; j >= 0 && m.used[m.base[i]+k] {
				m.used[m.base[i]+j] = true // the pin that its group hangs on
			}
		}
		for k := m.base[i]; k < m.base[i+1]; k++ {
			if m.used[k] {
				m.names[k] = t.Devices[i].Name + ":" + p.Pins[k-m.base[i]].Name
			}
		}
	}
	return m
}

// halfBridges finds which half bridge pins are the ground side of a motor:
// those whose circuit leads to the pin that a load's current leaves by.
func (m *Model) halfBridges() {
	leaves := map[[2]int]bool{}
	for i := range m.t.Loads {
		leaves[[2]int{m.t.Loads[i].Device, m.t.Loads[i].To}] = true
	}
	for c := range m.e.Of {
		for _, i := range m.e.Of[c] {
			e := &m.e.List[i]
			if e.Role != part.HalfBridge || e.Device < 0 || e.PinIndex < 0 {
				continue
			}
			for _, k := range m.e.Of[c] {
				if o := &m.e.List[k]; o.Device >= 0 && o.PinIndex >= 0 && leaves[[2]int{o.Device, o.PinIndex}] {
					m.sinks[m.base[e.Device]+e.PinIndex] = true
				}
			}
		}
	}
}

// lengths of a wire's way that the network counts.
const (
	layShare  = 0.03 // extra length in the lay; trade rule, seen (copper twisting loss)
	endMetres = 0.09 // m a terminated end: connector and stand-off; judgement
)

// Metres is the conductor length the network counts for a wire: legs with
// lay, and both ends. ok is false where a leg's length is open.
func Metres(t *plan.Things, w *plan.Wire) (m float64, ok bool) {
	for _, l := range w.Legs {
		if !t.Legs[l].Length.Settled() {
			return 0, false
		}
		m += float64(t.Legs[l].Length.Value)
	}
	return m*(1+layShare) + 2*endMetres, true
}

// State is the network of one operating state.
type State struct {
	Net     *netsolve.Net
	Wires   []netsolve.Elem // by wire, -1 where it is left out
	Loads   []LoadElem
	Feeds   []netsolve.Elem // by feed: the element that is its protection, -1
	Sources []netsolve.Elem
	Plus    []int // by load of Loads: node of the source side its way is counted from
}

// LoadElem is a load in the net.
type LoadElem struct {
	Load int // into Things.Loads
	Elem netsolve.Elem
}

// builder carries what one state's net needs.
type builder struct {
	*Model
	n     *netsolve.Net
	s     *State
	state *plan.State

	// Nodes, -1 where there is none yet.
	pins, studs, crossings, splices []int
	metals                          map[string]int
}

// Draw says what loads take.
type Draw uint8

const (
	Mean    Draw = iota // the mean current: what volts are lost by
	Heating             // the RMS current where that is the larger: heat goes with its square
	Cutting             // the mean, and nothing under the least volts
)

// Of builds the network of a state. ohm gives each wire's resistance with its
// contacts, above zero, or 0 for a wire that is left out.
func (m *Model) Of(state int, ohm func(wire int) float64, draw Draw) *State {
	t := m.t
	st := &t.States[state]
	b := &builder{Model: m, s: &State{}, state: st}
	b.pins, b.studs, b.crossings, b.splices = none(len(m.names)), none(len(t.Studs)), none(len(m.x.Crossings)), none(len(m.w.Splices))
	b.metals = map[string]int{}
	b.reference()
	b.s.Net = b.n
	b.s.Feeds = make([]netsolve.Elem, len(t.Feeds))
	for i := range b.s.Feeds {
		b.s.Feeds[i] = -1
	}
	for i := range t.Studs {
		if s := &t.Studs[i]; s.Use != "supply" && s.Place >= 0 && t.Places[s.Place].Metal {
			b.n.Resistor("bond "+s.Name, b.stud(i), b.metal(t.Places[s.Place].Assembly), ohmBond)
		}
	}
	for i := range t.Devices {
		if t.Devices[i].Part != nil {
			b.inside(i)
		}
	}
	b.s.Wires = make([]netsolve.Elem, len(m.w.List))
	for i := range m.w.List {
		b.s.Wires[i] = -1
		r := ohm(i)
		from, to := b.node(&m.w.List[i].From), b.node(&m.w.List[i].To)
		if r > 0 && from >= 0 && to >= 0 {
			b.s.Wires[i] = b.n.Resistor(m.wires[i], from, to, r)
		}
	}
	for i := range t.Loads {
		if t.Loads[i].State == state {
			b.load(i, draw)
		}
	}
	b.sources()
	return b.s
}

// reference makes the net, with the node at 0 V: the battery's minus, or the
// chassis.
func (b *builder) reference() {
	for i := range b.t.Devices {
		if p := b.t.Devices[i].Part; p != nil && p.Kind == "battery" {
			if k := pinOf(p, part.Ground); k >= 0 {
				b.n = netsolve.New(b.pinName(i, k))
				b.pins[b.base[i]+k] = netsolve.Reference
				return
			}
		}
	}
	b.n = netsolve.New(chassis)
	b.metals[""] = netsolve.Reference
}

const chassis = "chassis"

func none(n int) []int {
	list := make([]int, n)
	for i := range list {
		list[i] = -1
	}
	return list
}

// metal is the node of a metal assembly; "" is the chassis.
func (b *builder) metal(assembly string) int {
	if at, ok := b.metals[assembly]; ok {
		return at
	}
	name := chassis
	if assembly != "" {
		name = "metal " + assembly
	}
	b.metals[assembly] = b.n.NewNode(name)
	return b.metals[assembly]
}

func (b *builder) pin(device, pin int) int {
	at := &b.pins[b.base[device]+pin]
	if *at < 0 {
		*at = b.n.NewNode(b.pinName(device, pin))
	}
	return *at
}

// pinName is a pin as people write it.
func (m *Model) pinName(device, pin int) string {
	if name := m.names[m.base[device]+pin]; name != "" {
		return name
	}
	d := &m.t.Devices[device]
	return d.Name + ":" + d.Part.Pins[pin].Name
}

func (b *builder) stud(i int) int {
	if b.studs[i] < 0 {
		b.studs[i] = b.n.NewNode("stud " + b.t.Studs[i].Name)
	}
	return b.studs[i]
}

// node is where a wire's end stands, -1 where it is open.
func (b *builder) node(e *plan.WireEnd) int {
	of := func(list []int, i int, what string) int {
		if list[i] < 0 {
			list[i] = b.n.NewNode(what + strconv.Itoa(i))
		}
		return list[i]
	}
	switch e.Kind {
	case plan.AtCavity:
		return of(b.crossings, e.Crossing, "crossing ")
	case plan.AtSplice:
		return of(b.splices, e.Splice, "splice ")
	}
	if e.End < 0 {
		return -1
	}
	q := &b.e.List[e.End]
	switch {
	case q.Stud >= 0:
		return b.stud(q.Stud)
	case q.Device >= 0 && q.PinIndex >= 0 && b.t.Devices[q.Device].Part != nil:
		return b.pin(q.Device, q.PinIndex)
	}
	return -1
}

func pinOf(p *part.Device, r part.Role) int {
	for i := range p.Pins {
		if p.Pins[i].Role == r {
			return i
		}
	}
	return -1
}

// load adds a load between its two pins.
func (b *builder) load(i int, draw Draw) {
	l := &b.t.Loads[i]
	if l.From < 0 || l.To < 0 || l.Device < 0 || b.t.Devices[l.Device].Part == nil {
		return
	}
	name := "load " + strconv.Itoa(i)
	from, to := b.pin(l.Device, l.From), b.pin(l.Device, l.To)
	volts := 0.0
	if draw == Cutting {
		volts = float64(l.LeastVolts)
	}
	var e netsolve.Elem
	switch {
	case l.Mean > 0:
		amps := float64(l.Mean)
		if draw == Heating {
			amps = max(amps, float64(l.RMS))
		}
		e = b.n.LoadI(name, from, to, amps, volts)
	case l.Power > 0:
		e = b.n.LoadP(name, from, to, float64(l.Power), volts)
	case l.Ohm > 0:
		e = b.n.LoadR(name, from, to, float64(l.Ohm), volts)
	default:
		return
	}
	b.s.Loads = append(b.s.Loads, LoadElem{i, e})
}

// sources adds batteries, alternators, and, in a car that has neither, a
// source at every feed.
func (b *builder) sources() {
	t := b.t
	generating := b.state.Source == "alternator"
	found := false
	for i := range t.Devices {
		d := &t.Devices[i]
		if d.Part == nil {
			continue
		}
		switch d.Part.Kind {
		case "battery":
			plus, minus := pinOf(d.Part, part.Battery), pinOf(d.Part, part.Ground)
			if plus < 0 || minus < 0 {
				continue
			}
			found = true
			ohm := ohmBattery
			emf := float64(b.state.Volts)
			if generating {
				emf = 12.6 // V, at rest and charged; common practice. Charging current is no load here.
			}
			inner := b.n.NewNode("inside " + d.Name)
			b.s.Sources = append(b.s.Sources, b.n.Battery("battery "+d.Name, inner, b.pin(i, minus), emf, ohm))
			b.n.Diode("gives "+d.Name, inner, b.pin(i, plus), 0, 1e-6)
		case "alternator":
			out := pinOf(d.Part, part.Alternator)
			back := pinOf(d.Part, part.Ground)
			if back < 0 {
				back = pinOf(d.Part, part.Case)
			}
			if out < 0 || back < 0 || !generating {
				continue
			}
			found = true
			most := float64(d.Part.Pins[out].Amps)
			if most <= 0 {
				most = mostAmps
			}
			b.s.Sources = append(b.s.Sources, b.n.Alternator("alternator "+d.Name, b.pin(i, out), b.pin(i, back), float64(b.state.Volts), most, ohmDroop))
		}
	}
	if found {
		return
	}
	for i := range t.Feeds {
		f := &t.Feeds[i]
		if f.Device >= 0 && f.Pin >= 0 && t.Devices[f.Device].Part != nil {
			e := b.n.Battery("source "+f.Name, b.pin(f.Device, f.Pin), netsolve.Reference, float64(b.state.Volts), ohmInside)
			b.s.Sources = append(b.s.Sources, e)
			b.s.Feeds[i] = e
		}
	}
}
