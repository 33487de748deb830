package audit

import (
	"fmt"
	"math"
	"slices"

	"keyon/model/part"
)

// Resistances that docs/pipeline.md states for what the catalogue leaves open, ohm.
const (
	inside  = 0.001  // joined pins and bars
	driver  = 0.010  // a closed electronic output
	bond    = 0.0001 // a bare-metal joint
	battery = 0.0045
	sensor  = 0.05 // a controller's 5 V output
	droop   = 0.002
)

// source is a branch that gives current: volts behind ohm, from minus to plus.
type source struct {
	plus, minus int
	volts, ohm  float64
	most        float64 // amps it gives at most, 0: no limit
	off, full   bool
}

// diode conducts from a to b above its drop.
type diode struct {
	a, b      int
	drop, ohm float64
	on        bool
}

type resistor struct {
	a, b int
	ohm  float64
}

// circuitry is one state's network as the auditor sees it.
type circuitry struct {
	names     map[string]int
	count     int
	resistors []resistor
	sources   []source
	diodes    []diode
}

func (k *circuitry) node(name string) int {
	i, ok := k.names[name]
	if !ok {
		i = k.count
		k.names[name] = i
		k.count++
	}
	return i
}

// join adds a resistance; next to nothing stands for none.
func (k *circuitry) join(a, b int, ohm float64) {
	k.resistors = append(k.resistors, resistor{a, b, max(ohm, 1e-7)})
}

// network: the whole car solved anew in every state, with the loads' currents
// that the plan states: every wire carries and every load gets what the plan
// says, within 1 mA and 0.1 %, 1 mV and 0.01 %.
func (a *auditor) network() {
	place, assembly, metal := map[string]string{}, map[string]string{}, map[string]bool{"": true}
	for _, row := range a.tables["Devices"] {
		if text(row, "connector") == "" {
			place[text(row, "device")] = text(row, "place")
		}
	}
	for _, row := range a.tables["Places"] {
		assembly[text(row, "place")] = text(row, "assembly")
	}
	for _, row := range a.tables["Assemblies"] {
		metal[text(row, "assembly")] = same(text(row, "metal"), "yes")
	}
	shell := func(at string) (string, bool) { return "metal " + assembly[at], at != "" && metal[assembly[at]] }
	sinks, used := a.sinks(), a.used()
	for s := range a.p.States {
		k := &circuitry{names: map[string]int{}}
		for device, id := range a.parts {
			if p := a.c.Devices[id]; p != nil && p.Kind == "battery" {
				for _, q := range p.Pins {
					if q.Role == part.Ground && k.count == 0 {
						k.node("pin " + device + " " + q.Name)
					}
				}
			}
		}
		if k.count == 0 {
			k.node("metal ")
		}
		for _, st := range a.p.Studs {
			if m, ok := shell(st.Place); ok && st.Use != "supply" {
				k.join(k.node("stud "+st.Name), k.node(m), bond)
			}
		}
		for device, id := range a.parts {
			if p := a.c.Devices[id]; p != nil {
				m, ok := shell(place[device])
				a.device(k, s, device, p, m, ok, sinks, used)
			}
		}
		wires := map[int]int{} // wire → resistor
		hot := map[string]float64{}
		for _, w := range a.p.States[s].Wires {
			hot[w.ID] = w.T
		}
		for i := range a.p.Wires {
			w := &a.p.Wires[i]
			if w.Network == 0 || w.Ohm == 0 {
				continue
			}
			from, ok := a.at(&w.From)
			to, both := a.at(&w.To)
			if ok && both {
				wires[i] = len(k.resistors)
				k.join(k.node(from), k.node(to), a.ohm(i, hot[w.ID]))
			}
		}
		type load struct{ from, to, i int }
		var loads []load
		for i, d := range a.p.States[s].Devices {
			loads = append(loads, load{k.node("pin " + d.Device + " " + d.From), k.node("pin " + d.Device + " " + d.To), i})
		}
		a.give(k, s)
		volts, ok := k.rest(func(n *net) {
			for _, l := range loads {
				n.push(l.to, l.from, a.p.States[s].Devices[l.i].Amps)
			}
		})
		if !ok {
			a.say("network: the auditor finds no rest in %s", a.p.States[s].Name)
			continue
		}
		for _, l := range loads {
			d := &a.p.States[s].Devices[l.i]
			a.compare("network V", 1e-4, volts[l.from]-volts[l.to], d.Volts, fmt.Sprintf("%s in %s", d.Device, a.p.States[s].Name))
		}
		for _, w := range a.p.States[s].Wires {
			i := a.wire[w.ID]
			if r, ok := wires[i]; ok {
				q := k.resistors[r]
				a.compare("network A", 1e-3, (volts[q.a]-volts[q.b])/q.ohm, w.Amps, fmt.Sprintf("wire %s in %s", a.p.Wires[i].Number, a.p.States[s].Name))
			}
		}
	}
}

// compare holds the plan's figure against the auditor's. The plan prints
// conductor temperatures to 0.001 K and stops at about 0.01 K, 4e-5 of a
// resistance, which wires side by side share among them more coarsely. Worst
// holds the largest difference.
func (a *auditor) compare(what string, share, mine, plan float64, where string) {
	a.r.Checked[what]++
	off := math.Abs(mine - plan)
	a.r.Worst[what+" apart"] = max(a.r.Worst[what+" apart"], off)
	if !(off <= 1e-3+share*math.Abs(plan)) {
		a.say("%s: %s: %g, the plan says %g", what, where, mine, plan)
	}
}

// at is the node of a wire's end.
func (a *auditor) at(e *end) (string, bool) {
	switch {
	case e.Kind == "cavity":
		return e.node(), e.Cavity != ""
	case e.Kind == "splice":
		return e.node(), true
	case e.Stud != "":
		return "stud " + e.Stud, true
	}
	return "pin " + e.Device + " " + e.Pin, e.Device != "" && e.Pin != ""
}

// sinks are the half bridge pins that a motor's current leaves by.
func (a *auditor) sinks() map[string]bool {
	leaves := map[string]bool{}
	for s := range a.p.States {
		for _, d := range a.p.States[s].Devices {
			leaves[d.Device+" "+d.To] = true
		}
	}
	on := map[string]bool{}
	for _, e := range a.p.Ends {
		if leaves[e.Device+" "+e.Pin] {
			on[e.Circuit] = true
		}
	}
	out := map[string]bool{}
	for _, e := range a.p.Ends {
		if e.Role == string(part.HalfBridge) && on[e.Circuit] {
			out[e.Device+" "+e.Pin] = true
		}
	}
	return out
}

// used are the pins that a wire or a load touches, and the first of their
// group: an outlet that nobody uses feeds nothing.
func (a *auditor) used() map[string]bool {
	out := map[string]bool{}
	for _, e := range a.p.Ends {
		out[e.Device+" "+e.Pin] = true
	}
	for s := range a.p.States {
		for _, d := range a.p.States[s].Devices {
			out[d.Device+" "+d.From], out[d.Device+" "+d.To] = true, true
		}
	}
	for device, id := range a.parts {
		p := a.c.Devices[id]
		if p == nil {
			continue
		}
		first := map[string]string{}
		for _, q := range p.Pins {
			group := string(q.Role) + "|" + q.Group
			if first[group] == "" {
				first[group] = q.Name
			}
			if out[device+" "+q.Name] {
				out[device+" "+first[group]] = true
			}
		}
	}
	return out
}

// device adds what stands between the pins of a device: its links, and what
// its roles imply where no link says more.
func (a *auditor) device(k *circuitry, s int, device string, p *part.Device, shell string, metal bool, sinks, used map[string]bool) {
	pin := func(name string) int { return k.node("pin " + device + " " + name) }
	role := map[string]part.Role{}
	for _, q := range p.Pins {
		role[q.Name] = q.Role
	}
	drawn := map[[2]string]bool{}
	for _, st := range a.p.States {
		for _, d := range st.Devices {
			if d.Device == device {
				drawn[[2]string{d.From, d.To}], drawn[[2]string{d.To, d.From}] = true, true
			}
		}
	}
	linked := map[string]bool{}
	for _, l := range p.Links {
		if _, ok := role[l.From]; !ok {
			continue
		}
		if _, ok := role[l.To]; !ok {
			continue
		}
		linked[l.From], linked[l.To] = true, true
		if !used[device+" "+l.From] && !used[device+" "+l.To] {
			continue
		}
		ohm := float64(l.Ohm)
		or := func(x float64) float64 {
			if ohm > 0 {
				return ohm
			}
			return x
		}
		name := a.p.States[s].Name
		closed := name != "off" && (len(l.ClosedIn) == 0 || slices.Contains(l.ClosedIn, name))
		switch l.Kind {
		case part.Through:
			k.join(pin(l.From), pin(l.To), or(inside))
		case part.Contacts:
			if closed {
				k.join(pin(l.From), pin(l.To), or(inside))
			}
		case part.Driver:
			for _, half := range [][2]string{{l.From, l.To}, {l.To, l.From}} {
				if role[half[0]] == part.HalfBridge && sinks[device+" "+half[0]] != (role[half[1]] == part.Ground) {
					closed = false
				}
			}
			if closed {
				k.join(pin(l.From), pin(l.To), or(driver))
			}
		case part.Diode:
			k.diodes = append(k.diodes, diode{a: pin(l.From), b: pin(l.To), drop: 0.7, ohm: 0.01})
		default:
			if ohm > 0 && !drawn[[2]string{l.From, l.To}] {
				k.join(pin(l.From), pin(l.To), ohm)
			}
		}
	}
	ground, supply := "", ""
	for _, r := range []part.Role{part.Ground, part.Case} {
		for _, q := range p.Pins {
			if ground == "" && q.Role == r {
				ground = q.Name
			}
		}
	}
	wide := -1.0
	for _, q := range p.Pins {
		if q.Role == part.SupplyIn && float64(q.Amps) > wide {
			supply, wide = q.Name, float64(q.Amps)
		}
	}
	first := map[string]string{} // role and group → its first pin
	for _, q := range p.Pins {
		group := string(q.Role) + "|" + q.Group
		mate := first[group]
		if mate == "" {
			first[group] = q.Name
		}
		if !used[device+" "+q.Name] {
			continue
		}
		switch q.Role {
		case part.Case:
			if metal {
				k.join(pin(q.Name), k.node(shell), bond)
			}
		case part.Ground:
			if mate != "" && p.Kind != "battery" {
				k.join(pin(q.Name), pin(mate), inside)
			}
		case part.SupplyIn:
			if mate != "" && q.Group != "" && !linked[q.Name] {
				k.join(pin(q.Name), pin(mate), inside)
			}
		case part.SensorReturn:
			if ground != "" && !linked[q.Name] {
				k.join(pin(q.Name), pin(ground), inside)
			}
		case part.SensorSupply:
			if ground != "" {
				k.sources = append(k.sources, source{plus: pin(q.Name), minus: pin(ground), volts: 5, ohm: sensor})
			}
		case part.HalfBridge:
			if linked[q.Name] {
				break
			}
			if sinks[device+" "+q.Name] && ground != "" {
				k.join(pin(q.Name), pin(ground), driver)
			} else if supply != "" {
				k.join(pin(q.Name), pin(supply), driver)
			}
		case part.SwitchedOut, part.SupplyOut:
			if !linked[q.Name] && supply != "" {
				k.join(pin(q.Name), pin(supply), driver)
			}
		case part.LowSide, part.Injector:
			if !linked[q.Name] && ground != "" {
				k.join(pin(q.Name), pin(ground), driver)
			}
		}
	}
}

// give adds batteries, alternators, and, in a car that has neither, a source
// at every feed.
func (a *auditor) give(k *circuitry, s int) {
	st := &a.p.States[s]
	volts, generating := st.Volts, st.Supply == "alternator"
	for _, row := range a.tables["States"] {
		if v := a.number(row["volts"]); same(row["state"], st.Name) && (v == v && v != volts || text(row, "source") != "" && !same(text(row, "source"), st.Supply)) {
			a.say("given: state %s at %s V of %s runs at %g V of %s", st.Name, row["volts"], row["source"], volts, st.Supply)
		}
	}
	found := false
	for device, id := range a.parts {
		p := a.c.Devices[id]
		if p == nil {
			continue
		}
		pin := func(role part.Role) (int, float64, bool) {
			for _, q := range p.Pins {
				if q.Role == role {
					return k.node("pin " + device + " " + q.Name), float64(q.Amps), true
				}
			}
			return 0, 0, false
		}
		switch p.Kind {
		case "battery":
			plus, _, ok := pin(part.Battery)
			minus, _, both := pin(part.Ground)
			if ok && both {
				emf := volts
				if generating {
					emf = 12.6
				}
				found = true
				k.sources = append(k.sources, source{plus: plus, minus: minus, volts: emf, ohm: battery})
			}
		case "alternator":
			out, most, ok := pin(part.Alternator)
			back, _, both := pin(part.Ground)
			if !both {
				back, _, both = pin(part.Case)
			}
			if ok && both && generating {
				if most == 0 {
					most = 100
				}
				found = true
				k.sources = append(k.sources, source{plus: out, minus: back, volts: volts, ohm: droop, most: most})
			}
		}
	}
	if found {
		return
	}
	for _, f := range a.p.Feeds {
		if f.Device != "" && f.Pin != "" {
			k.sources = append(k.sources, source{plus: k.node("pin " + f.Device + " " + f.Pin), minus: 0, volts: volts, ohm: inside})
		}
	}
}

// rest solves until no source and no diode changes what it does. Many may
// change at once at first; then only the one that is furthest from its law, so
// that two can't chase each other.
func (k *circuitry) rest(loads func(*net)) ([]float64, bool) {
	var volts []float64
	for round := range 200 {
		n := &net{}
		for range k.count {
			n.node()
		}
		for _, r := range k.resistors {
			n.conduct(r.a, r.b, 1/r.ohm)
		}
		for i := range k.sources {
			switch s := &k.sources[i]; {
			case s.off:
			case s.full:
				n.push(s.plus, s.minus, s.most)
			default:
				n.conduct(s.plus, s.minus, 1/s.ohm)
				n.push(s.plus, s.minus, s.volts/s.ohm)
			}
		}
		for i := range k.diodes {
			if d := &k.diodes[i]; d.on {
				n.conduct(d.a, d.b, 1/d.ohm)
				n.push(d.a, d.b, d.drop/d.ohm)
			}
		}
		loads(n)
		volts = n.solve()
		var turns []func()
		far, worst := 0.0, -1
		turn := func(by float64, f func()) {
			if turns = append(turns, f); by > far {
				far, worst = by, len(turns)-1
			}
		}
		for i := range k.sources {
			s := &k.sources[i]
			w := volts[s.plus] - volts[s.minus]
			amps := (s.volts - w) / s.ohm
			// From either end it comes back to regulating first.
			const noise = 1e-6 // A
			off, full := amps < -noise && !s.full || s.off && amps < noise, s.most > 0 && amps > s.most && !s.off
			if off != s.off || full != s.full {
				turn(math.Abs(s.volts-w), func() { s.off, s.full = off, full })
			}
		}
		for i := range k.diodes {
			d := &k.diodes[i]
			w := volts[d.a] - volts[d.b]
			if on := w > d.drop; on != d.on {
				turn(math.Abs(w-d.drop), func() { d.on = on })
			}
		}
		switch {
		case worst < 0:
			return volts, true
		case round < 4:
			for _, f := range turns {
				f()
			}
		default:
			turns[worst]()
		}
	}
	return volts, false
}
