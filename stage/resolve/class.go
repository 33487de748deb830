package resolve

import (
	"slices"

	"keyon/model/part"
	"keyon/model/plan"
	"keyon/model/settle"
	"keyon/model/source"
)

// functions orders classes by what a circuit is there for: where roles, needed
// pins and names leave a choice, the device's own function comes first.
var functions = []string{"low-level", "signal", "data", "ignition", "injection", "thermocouple", "shield", "sensor supply", "sensor return", "power", "ground", "heavy"}

// classing works out the classes that nobody gave.
//
// What a circuit may be follows from the roles its ends can have: those of
// their pins, or of any free pin of the device while the pin is blank. All
// blank ends of a device must find pins of their own there, and its needed
// pins must find circuits; that rules out most choices. What is left is
// decided by likeness of names, the clearest case first, each decision
// followed through all devices it touches.
type classing struct {
	r      *resolver
	all    []classed
	at     [][]blankEnd // by device: its ends with blank pins
	free   [][]int      // by device: its pins that no row names, nil while not asked for
	roles  map[*part.Device][]part.RoleSet
	pins   [][]load // by device: its pins that no row names, by role
	needed [][]load // by device: those of them that must be connected
	pairs  []int    // by device: how many of its blank ends can find pins
	serves []int    // by device: how many of its needed pins can find ends
	trail  []change
	work   int
}

// classed is a circuit with the classes it may have.
type classed struct {
	options []option
	alive   uint32 // bits over options
	asked   bool   // its class is blank
	single  bool   // roles alone decided
}

// option is a class with the roles each end may have in it.
type option struct {
	class string
	sets  []part.RoleSet
	price int
}

type blankEnd struct{ circuit, end int }

type change struct {
	circuit int
	alive   uint32
}

// mostPairings bounds the work of deciding: pairings of a device's ends with
// its roles. A car with everything blank takes a few thousand.
const mostPairings = 200_000

// needful is the likeness, of 100, that a supply pin has with any circuit
// because a device needs it (judgement: house-rules).
const needful = 20

// manyEnds is how many blank ends a device may have for each of them to be
// tried after every decision; above it only the device as a whole is.
const manyEnds = 16

func (r *resolver) theClasses() {
	k := &classing{r: r, all: make([]classed, len(r.t.Circuits)), at: make([][]blankEnd, len(r.t.Devices)), free: make([][]int, len(r.t.Devices)),
		roles: map[*part.Device][]part.RoleSet{}, pins: make([][]load, len(r.t.Devices)), needed: make([][]load, len(r.t.Devices)), pairs: make([]int, len(r.t.Devices)), serves: make([]int, len(r.t.Devices))}
	if !slices.ContainsFunc(r.t.Circuits, func(c plan.Circuit) bool { return r.classBlank(&c) }) {
		return
	}
	k.claim()
	for c := range k.all {
		k.choices(c)
	}
	for d := range k.at {
		ends := k.ends(d, -1, nil)
		k.pairs[d], k.serves[d] = most(ends, k.pins[d]), most(ends, k.needed[d])
	}
	for d := range k.at {
		k.narrow(d, true)
	}
	k.trail = k.trail[:0]
	k.decide()
	for c := range k.all {
		k.write(c)
	}
}

func (r *resolver) classBlank(c *plan.Circuit) bool {
	for _, row := range c.Rows {
		if r.d.Circuits[row.Design].Class.State != settle.Blank {
			return false
		}
	}
	return true
}

// claim finds the blank ends of each device and the pins that rows name.
func (k *classing) claim() {
	t := &k.r.t
	named := make([]map[int]bool, len(t.Devices))
	for c := range t.Circuits {
		for i := range t.Circuits[c].Ends {
			e := &t.Circuits[c].Ends[i]
			if e.Device < 0 || t.Devices[e.Device].Part == nil {
				continue
			}
			pin := -1
			switch {
			case e.Feed >= 0:
				pin = t.Feeds[e.Feed].Pin
			case e.Pin.Is():
				pin = k.r.pinsOf(t.Devices[e.Device].Part)[e.Pin.Value]
			default:
				k.at[e.Device] = append(k.at[e.Device], blankEnd{c, i})
				continue
			}
			if named[e.Device] == nil {
				named[e.Device] = map[int]bool{}
			}
			named[e.Device][pin] = true
		}
	}
	for d, ends := range k.at {
		if len(ends) == 0 {
			continue
		}
		p := t.Devices[d].Part
		roles := k.rolesOf(p)
		for i := range p.Pins {
			_, post := p.Pins[i].Stud()
			if named[d][i] && !post {
				continue
			}
			k.free[d] = append(k.free[d], i)
			n := 1
			if post {
				n = houseLugs
			}
			k.pins[d] = put(k.pins[d], roles[i], n)
			if p.Pins[i].Needed && !named[d][i] {
				k.needed[d] = put(k.needed[d], roles[i], 1)
			}
		}
	}
}

// rolesOf is the role of each pin of a part, as sets.
func (k *classing) rolesOf(p *part.Device) []part.RoleSet {
	s, ok := k.roles[p]
	if !ok {
		s = make([]part.RoleSet, len(p.Pins))
		for i := range p.Pins {
			s[i] = part.SetOf(p.Pins[i].Role)
		}
		k.roles[p] = s
	}
	return s
}

// side is the roles an end may have.
func (k *classing) side(e *plan.DeclaredEnd) part.RoleSet {
	t := &k.r.t
	switch {
	case e.Stud >= 0 && t.Studs[e.Stud].Use == "supply":
		return part.SetOf(part.SupplyOut)
	case e.Stud >= 0:
		return part.SetOf(part.Ground)
	case e.Feed >= 0 && (e.Device < 0 || t.Feeds[e.Feed].Pin < 0):
		return part.SetOf(part.SupplyOut)
	case e.Device < 0 || t.Devices[e.Device].Part == nil:
		return part.EveryRole
	}
	p := t.Devices[e.Device].Part
	switch {
	case e.Feed >= 0:
		return k.rolesOf(p)[t.Feeds[e.Feed].Pin]
	case e.Pin.Is():
		return k.rolesOf(p)[k.r.pinsOf(p)[e.Pin.Value]]
	}
	var s part.RoleSet
	for _, i := range k.free[e.Device] {
		s |= k.roles[p][i]
	}
	if s == 0 { // no pin is left: assign will say so
		for _, role := range k.rolesOf(p) {
			s |= role
		}
	}
	return s
}

// choices lists the classes a circuit may have. A side that is blank in all
// its rows stands for a supply, or for ground.
func (k *classing) choices(c int) {
	q := &k.r.t.Circuits[c]
	x := &k.all[c]
	sides := make([]part.RoleSet, len(q.Ends), len(q.Ends)+1)
	from, to := false, false
	for i := range q.Ends {
		sides[i] = k.side(&q.Ends[i])
	}
	for _, row := range q.Rows {
		from, to = from || row.From >= 0, to || row.To >= 0
	}
	implied := ""
	switch {
	case !from && to:
		sides, implied = append(sides, part.SetOf(part.SupplyOut)), "power"
	case from && !to:
		sides, implied = append(sides, part.SetOf(part.Ground)), "ground"
	}
	if _, ok := part.Among(sides, implied, part.Exact); !ok {
		implied = ""
	}
	known := slices.ContainsFunc(sides, func(s part.RoleSet) bool { return s != part.EveryRole })
	switch x.asked = k.r.classBlank(q); {
	case !x.asked:
		x.options = []option{{class: q.Class.Value, sets: part.Narrow(sides, q.Class.Value)}}
	case known:
		for level := part.Exact; level <= part.Kin && len(x.options) == 0; level++ {
			for i, class := range functions {
				if sets, ok := part.Among(sides, class, level); ok && (implied == "" || class == implied) {
					x.options = append(x.options, option{class: class, sets: sets, price: i})
				}
			}
		}
	}
	if len(x.options) == 0 {
		x.options = []option{{class: "signal", sets: sides}}
	}
	x.alive = 1<<len(x.options) - 1
	x.single = len(x.options) == 1
}

// set is the roles an end may still have.
func (k *classing) set(b blankEnd) part.RoleSet {
	x := &k.all[b.circuit]
	var s part.RoleSet
	for i := range x.options {
		if x.alive&(1<<i) != 0 {
			s |= x.options[i].sets[b.end]
		}
	}
	return s
}

// ends are the roles that a device's blank ends may have, alike ones counted
// together; that of end but is replaced by its roles in a class.
func (k *classing) ends(d, but int, with *option) []load {
	var out []load
	for i, b := range k.at[d] {
		s := k.set(b)
		if i == but {
			s = with.sets[b.end]
		}
		out = put(out, s, 1)
	}
	return out
}

// fits reports whether as many of a device's blank ends find a pin of their
// own, and as many of its needed pins an end, as could at the beginning. Ends
// and pins are asked apart: where each side can be served, both can at once
// (Mendelsohn and Dulmage 1958).
func (k *classing) fits(d, but int, with *option) bool {
	k.work++
	ends := k.ends(d, but, with)
	return most(ends, k.pins[d]) >= k.pairs[d] && most(ends, k.needed[d]) >= k.serves[d]
}

// narrow rules out the classes with which a device's ends or needed pins can't
// all be served. It returns the circuits it changed.
func (k *classing) narrow(d int, thorough bool) (changed []int, ok bool) {
	if len(k.at[d]) == 0 {
		return nil, true
	}
	if !thorough && len(k.at[d]) > manyEnds {
		return nil, k.fits(d, -1, nil)
	}
	for i, b := range k.at[d] {
		x := &k.all[b.circuit]
		if !k.undecided(b.circuit) {
			continue
		}
		left := x.alive
		for o := range x.options {
			if left&(1<<o) != 0 && !k.fits(d, i, &x.options[o]) {
				left &^= 1 << o
			}
		}
		if left == x.alive {
			continue
		}
		k.trail = append(k.trail, change{b.circuit, x.alive})
		if x.alive = left; left == 0 {
			return nil, false
		}
		changed = append(changed, b.circuit)
	}
	return changed, k.fits(d, -1, nil)
}

// follow carries a change of circuits through the devices they touch; not ok
// where somebody is left without a choice.
func (k *classing) follow(circuits []int) bool {
	for len(circuits) > 0 {
		c := circuits[0]
		circuits = circuits[1:]
		for i := range k.r.t.Circuits[c].Ends {
			e := &k.r.t.Circuits[c].Ends[i]
			if e.Device < 0 {
				continue
			}
			more, ok := k.narrow(e.Device, false)
			if !ok {
				return false
			}
			circuits = append(circuits, more...)
		}
	}
	return true
}

// priceNames adds to each class what the names of circuit and pins say: the
// less of the best pin's name stands in the circuit's, the dearer.
func (k *classing) priceNames(c int) {
	q := &k.r.t.Circuits[c]
	name := part.WordsOf(q.Name)
	for i := range q.Ends {
		e := &q.Ends[i]
		if e.Device < 0 || e.Feed >= 0 || e.Pin.Is() || k.r.t.Devices[e.Device].Part == nil {
			continue
		}
		p := k.r.t.Devices[e.Device].Part
		words := k.r.wordsOf(p)
		for o := range k.all[c].options {
			x := &k.all[c].options[o]
			best := 0
			for _, pin := range k.free[e.Device] {
				if x.sets[i]&k.roles[p][pin] == 0 {
					continue
				}
				s := name.Likeness(words[pin])
				if p.Pins[pin].Needed && p.Pins[pin].Role == part.SupplyIn {
					s = max(s, needful)
				}
				best = max(best, s)
			}
			x.price += (100 - best) * len(functions)
		}
	}
}

func (r *resolver) wordsOf(p *part.Device) []part.Words {
	w, ok := r.words[p]
	if !ok {
		for i := range p.Pins {
			w = append(w, part.WordsOf(p.Pins[i].Name))
		}
		r.words[p] = w
	}
	return w
}

// write puts a circuit's class down with its reason.
func (k *classing) write(c int) {
	x := &k.all[c]
	if !x.asked {
		return
	}
	reason := settle.Reason{Text: "the only class that the roles of its ends allow", Source: source.Ref{Kind: source.Practice, Doc: "roles", Where: "what feeds or reads what"}}
	if !x.single {
		reason.Text = "of the classes that the roles of its ends allow, the one that leaves a pin for every circuit of its devices, and is nearest to the names of their pins"
	}
	k.r.t.Circuits[c].Class = settle.Value[string]{Value: x.options[k.cheapest(c)].class, Origin: settle.Worked, Reason: reason}
}
