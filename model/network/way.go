package network

import (
	"slices"

	"keyon/model/part"
	"keyon/model/plan"
)

// Ways follows circuits from pin to pin: which wires a load's current runs
// through, and which wires hang behind a feed.
type Ways struct {
	t *plan.Things
	e *plan.Ends
	x *plan.Cavities
	w *plan.Wires

	OfCircuit [][]int          // wires of each circuit
	ofPin     map[[2]int][]int // ends at a device's pin
	abreast   []int            // by wire, once asked
}

// NewWays indexes a car.
func NewWays(t *plan.Things, e *plan.Ends, x *plan.Cavities, w *plan.Wires) *Ways {
	k := &Ways{t: t, e: e, x: x, w: w, OfCircuit: make([][]int, len(t.Circuits)), ofPin: map[[2]int][]int{}}
	for i := range w.List {
		c := w.List[i].Circuit
		k.OfCircuit[c] = append(k.OfCircuit[c], i)
	}
	for i := range e.List {
		if q := &e.List[i]; q.Device >= 0 && q.PinIndex >= 0 {
			pin := [2]int{q.Device, q.PinIndex}
			k.ofPin[pin] = append(k.ofPin[pin], i)
		}
	}
	return k
}

// Load is the wires on a load's way out and back: from its feed (or source)
// to the one pin, and from the other to where it is grounded.
func (k *Ways) Load(l *plan.Load) []int {
	if l.Device < 0 || l.From < 0 || l.To < 0 || k.t.Devices[l.Device].Part == nil {
		return nil
	}
	var out []int
	seen := map[[2]int]bool{}
	k.trace(l.Device, l.From, seen, &out)
	k.trace(l.Device, l.To, seen, &out)
	return out
}

// Bus is the device whose protected feed, output or channel a load's current
// comes from, -1 where it comes straight from a source.
func (k *Ways) Bus(l *plan.Load) int {
	if l.Device < 0 || l.From < 0 || k.t.Devices[l.Device].Part == nil {
		return -1
	}
	bus := -1
	k.walk(l.Device, l.From, map[[2]int]bool{}, func(circuit, end, goal int) {
		if g := &k.e.List[goal]; g.Device >= 0 {
			bus = g.Device
		}
	})
	return bus
}

// trace collects the wires on a pin's way to where it is fed or grounded.
func (k *Ways) trace(device, pin int, seen map[[2]int]bool, out *[]int) {
	k.walk(device, pin, seen, func(circuit, end, goal int) { *out = append(*out, k.between(circuit, end, goal)...) })
}

// walk follows a pin's circuit to where it is fed or grounded and tells of each
// circuit on the way; through a closed link of a relay or switch it goes on.
func (k *Ways) walk(device, pin int, seen map[[2]int]bool, tell func(circuit, end, goal int)) {
	if seen[[2]int{device, pin}] {
		return
	}
	seen[[2]int{device, pin}] = true
	for _, e := range k.ofPin[[2]int{device, pin}] {
		goal := k.source(k.e.List[e].Circuit, e)
		if goal < 0 || goal == e {
			continue
		}
		tell(k.e.List[e].Circuit, e, goal)
		g := &k.e.List[goal]
		if g.Device < 0 || g.PinIndex < 0 || g.Feed >= 0 && !k.t.Feeds[g.Feed].Unprotected {
			continue // a protected feed is the bus that the way is counted from
		}
		p := k.t.Devices[g.Device].Part
		if p == nil || slices.Contains([]string{"battery", "alternator", "module", "controller"}, p.Kind) {
			continue
		}
		name := p.Pins[g.PinIndex].Name
		for n := range p.Links {
			q := &p.Links[n]
			if q.Kind != part.Contacts && q.Kind != part.Through && q.Kind != part.Driver {
				continue
			}
			other := ""
			if q.From == name {
				other = q.To
			} else if q.To == name {
				other = q.From
			}
			for j := range p.Pins {
				if other != "" && p.Pins[j].Name == other {
					k.walk(g.Device, j, seen, tell)
				}
			}
		}
	}
}

// source is the end of a circuit that feeds or grounds it, seen from another
// end: a feed, a stud, then the roles that give; -1 where nothing does.
func (k *Ways) source(circuit, from int) int {
	rank := func(i int) int {
		e := &k.e.List[i]
		if e.Stud >= 0 {
			return 1
		}
		if e.Feed >= 0 {
			return 0
		}
		switch e.Role {
		case part.SupplyOut, part.SwitchedOut, part.HalfBridge, part.Battery, part.SensorSupply:
			return 2
		case part.LowSide, part.Injector, part.SensorReturn:
			return 3
		case part.Ground, part.Case:
			return 4
		}
		return 9
	}
	best, r := -1, 9
	for _, i := range k.e.Of[circuit] {
		if n := rank(i); i != from && n < r {
			best, r = i, n
		}
	}
	return best
}

// node is where a wire's end stands for a way: the contacts of a circuit in one
// join are one.
type node struct {
	kind plan.EndKind
	id   int
}

func (k *Ways) at(e *plan.WireEnd) node {
	switch e.Kind {
	case plan.AtCavity:
		return node{e.Kind, k.x.Crossings[e.Crossing].Join}
	case plan.AtSplice:
		return node{e.Kind, e.Splice}
	}
	return node{plan.AtPin, e.End}
}

// Abreast is how many wires of one circuit run side by side with a wire, itself
// included: they share its current.
func (k *Ways) Abreast(wire int) int {
	if k.abreast == nil {
		type run struct {
			circuit, legs int
			a, b          node
		}
		count := map[run]int{}
		of := func(i int) run {
			w := &k.w.List[i]
			return run{w.Circuit, len(w.Legs), k.at(&w.From), k.at(&w.To)}
		}
		for i := range k.w.List {
			count[of(i)]++
		}
		k.abreast = make([]int, len(k.w.List))
		for i := range k.abreast {
			k.abreast[i] = count[of(i)]
		}
	}
	return k.abreast[wire]
}

// Meets says whether a circuit on a way between a load and what feeds or
// grounds it satisfies f, or a pin on that way satisfies loose: one that must
// be connected and is the end of no circuit. Open contacts are gone through.
func (k *Ways) Meets(l *plan.Load, f func(circuit int) bool, loose func(device, pin int) bool) bool {
	seen := map[[2]int]bool{}
	var from func(device, pin int) bool
	from = func(device, pin int) bool {
		here := [2]int{device, pin}
		if seen[here] {
			return false
		}
		seen[here] = true
		if len(k.ofPin[here]) == 0 {
			return loose(device, pin)
		}
		for _, i := range k.ofPin[here] {
			c := k.e.List[i].Circuit
			if f(c) {
				return true
			}
			for _, o := range k.e.Of[c] {
				e := &k.e.List[o]
				if o == i || e.Device < 0 || e.PinIndex < 0 || seen[[2]int{e.Device, e.PinIndex}] {
					continue
				}
				seen[[2]int{e.Device, e.PinIndex}] = true
				for _, n := range through(k.t.Devices[e.Device].Part, e.PinIndex) {
					if from(e.Device, n) {
						return true
					}
				}
			}
		}
		return false
	}
	return from(l.Device, l.From) || from(l.Device, l.To)
}

// through lists the pins that lead on from a pin inside a device: behind its
// links, and the supply and ground pins of what gives or takes current.
func through(p *part.Device, pin int) []int {
	if p == nil || p.Kind == "battery" || p.Kind == "alternator" {
		return nil
	}
	var out []int
	q := &p.Pins[pin]
	for i := range p.Pins {
		name := p.Pins[i].Name
		leads := slices.ContainsFunc(p.Links, func(l part.Link) bool {
			return slices.Contains([]part.LinkKind{part.Contacts, part.Through, part.Driver, part.Diode}, l.Kind) && (l.From == q.Name && l.To == name || l.To == q.Name && l.From == name)
		})
		switch q.Role {
		case part.SupplyOut, part.SwitchedOut, part.HalfBridge, part.SensorSupply:
			leads = leads || p.Pins[i].Role == part.SupplyIn || q.Role == part.SensorSupply && p.Pins[i].Role == part.Ground
		case part.LowSide, part.Injector, part.SensorReturn:
			leads = leads || p.Pins[i].Role == part.Ground
		}
		if leads && i != pin {
			out = append(out, i)
		}
	}
	return out
}

// between lists the wires on the way between two ends of a circuit.
func (k *Ways) between(circuit, from, to int) []int {
	wires := k.OfCircuit[circuit]
	start, goal := node{plan.AtPin, from}, node{plan.AtPin, to}
	via := map[node]int{start: -1}
	back := map[node]node{}
	queue := []node{start}
	for len(queue) > 0 && queue[0] != goal {
		n := queue[0]
		queue = queue[1:]
		for _, w := range wires {
			a, b := k.at(&k.w.List[w].From), k.at(&k.w.List[w].To)
			if b == n {
				a, b = b, a
			}
			if a != n {
				continue
			}
			if _, ok := via[b]; !ok {
				via[b], back[b] = w, n
				queue = append(queue, b)
			}
		}
	}
	var out []int
	if _, ok := via[goal]; !ok {
		return nil
	}
	for n := goal; n != start; n = back[n] {
		out = append(out, via[n])
	}
	return out
}

// Trunk is the way from the source to a bus: the supply of a module or of a
// carrier of protected feeds.
type Trunk struct {
	Device, Pin int
	Wires       []int
}

// gives says whether a part has outputs that feed others.
func gives(p *part.Device) bool {
	return slices.ContainsFunc(p.Pins, func(pin part.Pin) bool {
		return pin.Role == part.SupplyOut || pin.Role == part.SwitchedOut || pin.Role == part.HalfBridge
	})
}

// Trunks lists the car's trunks by device.
func (k *Ways) Trunks() []Trunk {
	var out []Trunk
	for d := range k.t.Devices {
		p := k.t.Devices[d].Part
		if p == nil || p.Kind != "module" && p.Kind != "carrier" || !gives(p) {
			continue
		}
		for i := range p.Pins {
			if p.Pins[i].Role != part.SupplyIn {
				continue
			}
			t := Trunk{Device: d, Pin: i}
			k.trace(d, i, map[[2]int]bool{}, &t.Wires)
			if len(t.Wires) > 0 {
				out = append(out, t)
			}
		}
	}
	return out
}

// Behind is the wires a feed protects: those of its circuits, and of circuits
// behind relay contacts and switches that its current passes.
func (k *Ways) Behind(feed int) []int {
	var out []int
	seen := map[int]bool{}
	f := &k.t.Feeds[feed]
	if f.Device < 0 || f.Pin < 0 {
		return nil
	}
	for _, i := range k.ofPin[[2]int{f.Device, f.Pin}] {
		k.behind(k.e.List[i].Circuit, i, seen, &out)
	}
	return out
}

func (k *Ways) behind(circuit, from int, seen map[int]bool, out *[]int) {
	if seen[circuit] {
		return
	}
	seen[circuit] = true
	*out = append(*out, k.OfCircuit[circuit]...)
	for _, i := range k.e.Of[circuit] {
		e := &k.e.List[i]
		if i == from || e.Device < 0 || e.PinIndex < 0 || k.t.Devices[e.Device].Part == nil {
			continue
		}
		p := k.t.Devices[e.Device].Part
		if !slices.Contains([]string{"relay", "switch", "isolator"}, p.Kind) {
			continue
		}
		name := p.Pins[e.PinIndex].Name
		for n := range p.Links {
			l := &p.Links[n]
			if l.Kind != part.Contacts && l.Kind != part.Through {
				continue
			}
			for j := range p.Pins {
				if l.From == name && p.Pins[j].Name == l.To || l.To == name && p.Pins[j].Name == l.From {
					for _, q := range k.ofPin[[2]int{e.Device, j}] {
						if k.e.List[q].Feed < 0 {
							k.behind(k.e.List[q].Circuit, q, seen, out)
						}
					}
				}
			}
		}
	}
}
