// Package netsolve finds the steady state of a direct-current network: the
// voltage of every node, the current through every element, which way each
// diode, alternator and load works, and which loads drop out.
//
// It decides modes (a diode conducts or blocks, an alternator regulates, limits
// or is off), takes the high-voltage root where loads of constant power have
// two, and cuts out loads that get less than their least volts. It takes for
// granted that elements obey the plain laws given with them and that relay
// contacts are open or closed as told. Temperatures, faults and what is allowed
// are for the caller, who may change a value and solve again: the order of
// elimination is kept as long as the wiring is.
package netsolve

import (
	"fmt"
	"math"
)

// Elem is an element of a Net, numbered from 0 in the order of making.
type Elem int

// Reference is the node that stands at 0 V.
const Reference = 0

// Net is a network of nodes and two-ended elements. Values are in volts,
// amperes, ohms and watts. The zero Net is not usable; see New.
//
// A value out of range is kept as the net's error, which Solve returns, so that
// a net can be built without a check at each line.
type Net struct {
	nodes  []string
	byName map[string]int
	elems  []element
	err    error

	joined *joined  // contraction of elements without resistance
	shape  *pattern // symbolic factor over joined
	slots  []slot   // where each element stands in the matrix
}

type kind uint8

const (
	resistor kind = iota
	contact
	battery
	alternator
	diode
	loadI
	loadR
	loadP
)

type element struct {
	law
	name string
	a, b int
}

// law is what an element does with the voltage across it.
type law struct {
	kind  kind
	open  bool // of a contact
	ohm   float64
	volts float64 // EMF, regulated voltage or forward drop
	draw  float64 // amps or watts of a load, most amps of an alternator
	least float64 // least volts of a load, 0 where it has none
}

// New returns a net with one node, the reference.
func New(reference string) *Net {
	return &Net{nodes: []string{reference}, byName: map[string]int{reference: Reference}}
}

// Node returns the node of that name, making it at its first mention.
func (n *Net) Node(name string) int {
	if i, ok := n.byName[name]; ok {
		return i
	}
	n.byName[name] = len(n.nodes)
	n.nodes = append(n.nodes, name)
	return len(n.nodes) - 1
}

// NewNode makes a node without looking for one of that name; it is for callers
// that number their nodes themselves.
func (n *Net) NewNode(name string) int {
	n.nodes = append(n.nodes, name)
	return len(n.nodes) - 1
}

// Nodes returns how many nodes there are, the reference included.
func (n *Net) Nodes() int { return len(n.nodes) }

// NodeName returns the name that a node was made with.
func (n *Net) NodeName(node int) string { return n.nodes[node] }

// Elems returns how many elements there are.
func (n *Net) Elems() int { return len(n.elems) }

// Name returns the name that an element was made with.
func (n *Net) Name(e Elem) string { return n.elems[e].name }

// Ends returns the two nodes of an element in the order they were given.
func (n *Net) Ends(e Elem) (a, b int) { return n.elems[e].a, n.elems[e].b }

// Resistor adds a conductor, fuse, splice or any other fixed resistance. At
// 0 Ω its ends are one node.
func (n *Net) Resistor(name string, a, b int, ohm float64) Elem {
	return n.add(element{law{kind: resistor, ohm: ohm}, name, a, b})
}

// Contact adds a switch, relay contact or fuse that may be open. Open it
// carries nothing.
func (n *Net) Contact(name string, a, b int, ohm float64, closed bool) Elem {
	return n.add(element{law{kind: contact, ohm: ohm, open: !closed}, name, a, b})
}

// Battery adds a source of constant EMF behind a resistance, which may be 0.
func (n *Net) Battery(name string, plus, minus int, emf, ohm float64) Elem {
	return n.add(element{law{kind: battery, volts: emf, ohm: ohm}, name, plus, minus})
}

// Alternator adds a source that holds its regulated voltage, less its current
// times ohm, up to mostAmps, which it delivers at any lower voltage. It is off
// while its terminals stand higher than the regulated voltage: it never takes
// current. The resistance, its droop, must be above 0.
func (n *Net) Alternator(name string, plus, minus int, volts, mostAmps, ohm float64) Elem {
	return n.add(element{law{kind: alternator, volts: volts, draw: mostAmps, ohm: ohm}, name, plus, minus})
}

// Diode adds a diode that blocks below its forward drop and is a resistance
// above it: i = (w-drop)/ohm. The resistance must be above 0.
func (n *Net) Diode(name string, anode, cathode int, drop, ohm float64) Elem {
	return n.add(element{law{kind: diode, volts: drop, ohm: ohm}, name, anode, cathode})
}

// LoadI adds a load that takes the same current at any voltage of the right
// sign, and none at the wrong one. A load that gets less than leastVolts drops
// out; 0 means that it has no such limit.
func (n *Net) LoadI(name string, a, b int, amps, leastVolts float64) Elem {
	return n.add(element{law{kind: loadI, draw: amps, least: leastVolts}, name, a, b})
}

// LoadR adds a load of constant resistance. leastVolts is as for LoadI.
func (n *Net) LoadR(name string, a, b int, ohm, leastVolts float64) Elem {
	return n.add(element{law{kind: loadR, ohm: ohm, least: leastVolts}, name, a, b})
}

// LoadP adds a load that takes the same power at any voltage of the right sign,
// and none at the wrong one. leastVolts is as for LoadI.
func (n *Net) LoadP(name string, a, b int, watts, leastVolts float64) Elem {
	return n.add(element{law{kind: loadP, draw: watts, least: leastVolts}, name, a, b})
}

// SetOhm changes the resistance of an element.
func (n *Net) SetOhm(e Elem, ohm float64) {
	el := n.elems[e]
	el.ohm = ohm
	n.set(e, el)
}

// SetClosed closes or opens a contact.
func (n *Net) SetClosed(e Elem, closed bool) {
	el := n.elems[e]
	if el.kind != contact {
		n.fail(el, "is no contact")
	}
	el.open = !closed
	n.set(e, el)
}

// SetVolts changes the EMF of a battery, the regulated voltage of an alternator
// or the forward drop of a diode.
func (n *Net) SetVolts(e Elem, volts float64) {
	el := n.elems[e]
	el.volts = volts
	n.set(e, el)
}

// SetDraw changes the amps or watts of a load or the most amps of an
// alternator.
func (n *Net) SetDraw(e Elem, draw float64) {
	el := n.elems[e]
	el.draw = draw
	n.set(e, el)
}

func (n *Net) add(el element) Elem {
	n.elems = append(n.elems, el)
	n.joined, n.shape = nil, nil
	n.check(el)
	return Elem(len(n.elems) - 1)
}

func (n *Net) set(e Elem, el element) {
	if n.elems[e].rigid() != el.rigid() || el.rigid() {
		n.joined, n.shape = nil, nil
	}
	n.elems[e] = el
	n.check(el)
}

// rigid says that an element has no resistance, so that the voltage across it
// is fixed.
func (el *law) rigid() bool {
	switch el.kind {
	case resistor, battery:
		return el.ohm == 0
	case contact:
		return el.ohm == 0 && !el.open
	}
	return false
}

func (n *Net) check(el element) {
	for _, v := range []struct {
		what  string
		value float64
		least float64
	}{{"resistance", el.ohm, 0}, {"draw", el.draw, 0}, {"least volts", el.least, 0}, {"voltage", el.volts, -math.MaxFloat64}} {
		// Written so that NaN fails.
		if !(v.value >= v.least && v.value <= math.MaxFloat64) {
			n.fail(el, fmt.Sprintf("has %s %g", v.what, v.value))
			return
		}
	}
	switch el.kind {
	case alternator, diode, loadR:
		if el.ohm == 0 {
			n.fail(el, "has no resistance, which it needs")
		}
	}
	if (el.kind == alternator || el.kind == diode) && el.volts < 0 {
		n.fail(el, fmt.Sprintf("has voltage %g", el.volts))
	}
	if el.a < 0 || el.b < 0 || el.a >= len(n.nodes) || el.b >= len(n.nodes) {
		n.fail(el, "has an end at no node of the net")
	}
}

func (n *Net) fail(el element, what string) {
	if n.err == nil {
		n.err = fmt.Errorf("netsolve: element %s %s", el.name, what)
	}
}
