package size

import (
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/model/settle"
	"keyon/model/source"
	"keyon/num/quantity"
)

// Drop allowed on the way from the feed to the load and back; names in the
// table Limits. FAA AC 43.13-1B Table 11-6 for a 14 V system (memory,
// cross-checked by Tables 11-7 and 11-8); starter 0.5 V out and 0.3 V back as
// car makers publish it (seen); 5 V sensors common practice.
const (
	dropContinuous   = 0.5 // "drop continuous", V
	dropIntermittent = 1.0 // "drop intermittent", V: states shorter than two minutes
	dropStarter      = 0.8 // "drop starter", V
	dropSensor       = 0.1 // "drop sensor", V
)

var dropSource = source.Ref{Kind: source.Standard, Doc: "AC 43.13-1B", Where: "Table 11-6, 14 V system", Status: source.Memory}

// way is a load's way out and back: the wires whose drop it feels.
type way struct {
	load  int
	wires []int
	limit float64
}

// ways finds each load's way once; it depends on wires, not on gauges.
func (z *sizer) ways() {
	for i := range z.t.Loads {
		l := &z.t.Loads[i]
		if l.Device < 0 || l.From < 0 || l.To < 0 || z.t.Devices[l.Device].Part == nil {
			continue
		}
		w := way{load: i}
		seen := map[[2]int]bool{}
		z.trace(l.Device, l.From, seen, &w.wires)
		z.trace(l.Device, l.To, seen, &w.wires)
		if len(w.wires) == 0 {
			continue
		}
		w.limit = z.allowedDrop(l)
		z.way = append(z.way, w)
	}
}

func (z *sizer) allowedDrop(l *plan.Load) float64 {
	name, volts := "drop continuous", dropContinuous
	switch p := &z.t.Devices[l.Device].Part.Pins[l.From]; {
	case p.Role == part.SensorIn:
		name, volts = "drop sensor", dropSensor
	case p.Role == part.StarterIn:
		name, volts = "drop starter", dropStarter
	case z.t.States[l.State].Seconds > 0 && z.t.States[l.State].Seconds < 120:
		name, volts = "drop intermittent", dropIntermittent
	}
	v, _ := z.d.Number(name, volts)
	return v
}

// trace follows a pin's circuit to where it is fed or grounded and collects
// the wires between; through a closed link of a relay or switch it goes on.
func (z *sizer) trace(device, pin int, seen map[[2]int]bool, out *[]int) {
	if seen[[2]int{device, pin}] {
		return
	}
	seen[[2]int{device, pin}] = true
	for _, e := range z.endsOf(device, pin) {
		goal := z.source(z.e.List[e].Circuit, e)
		if goal < 0 || goal == e {
			continue
		}
		*out = append(*out, z.between(z.e.List[e].Circuit, e, goal)...)
		g := &z.e.List[goal]
		if g.Device < 0 || g.PinIndex < 0 || g.Feed >= 0 {
			continue
		}
		p := z.t.Devices[g.Device].Part
		if p == nil || p.Kind == "battery" || p.Kind == "alternator" || p.Kind == "module" || p.Kind == "controller" || p.Kind == "carrier" {
			continue
		}
		name := p.Pins[g.PinIndex].Name
		for k := range p.Links {
			q := &p.Links[k]
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
					z.trace(g.Device, j, seen, out)
				}
			}
		}
	}
}

// source is the end of a circuit that feeds or grounds it, seen from another
// end: a feed, a stud, then the roles that give; -1 where nothing does.
func (z *sizer) source(circuit, from int) int {
	rank := func(i int) int {
		e := &z.e.List[i]
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
	for _, i := range z.e.Of[circuit] {
		if k := rank(i); i != from && k < r {
			best, r = i, k
		}
	}
	return best
}

// between lists the wires on the way between two ends of a circuit.
func (z *sizer) between(circuit, from, to int) []int {
	wires := z.ofCircuit[circuit]
	type node struct {
		kind plan.EndKind
		id   int
	}
	at := func(e *plan.WireEnd) node {
		switch e.Kind {
		case plan.AtCavity:
			return node{e.Kind, z.x.Crossings[e.Crossing].Join} // parallel contacts are one way
		case plan.AtSplice:
			return node{e.Kind, e.Splice}
		}
		return node{plan.AtPin, e.End}
	}
	start, goal := node{plan.AtPin, from}, node{plan.AtPin, to}
	via := map[node]int{start: -1}
	back := map[node]node{}
	queue := []node{start}
	for len(queue) > 0 && queue[0] != goal {
		n := queue[0]
		queue = queue[1:]
		for _, w := range wires {
			a, b := at(&z.w.List[w].From), at(&z.w.List[w].To)
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

// ohm is a wire's resistance hot, with its contacts.
func (z *sizer) ohm(i int) float64 {
	j := &z.jobs[i]
	if q := j.wire(); q != nil && j.long {
		return float64(q.OhmPerM)*j.metres*hotFactor + z.contactOhm(i)
	}
	return 0
}

// drop thickens wires on the way of each load that loses too much: each time
// the one that saves most volts for its copper. It reports a change.
func (z *sizer) drop() bool {
	changed := false
	for k := range z.way {
		w := &z.way[k]
		amps := z.amps[z.t.Loads[w.load].State]
		for {
			lost := 0.0
			for _, i := range w.wires {
				lost += amps[i] * z.ohm(i)
			}
			if lost <= w.limit {
				break
			}
			best, gain := -1, 0.0
			for _, i := range w.wires {
				j := &z.jobs[i]
				if j.fixed || j.wire() == nil || j.at+1 >= len(j.candidates) || !j.long {
					continue
				}
				next := j.candidates[j.at+1]
				saved := amps[i] * float64(j.wire().OhmPerM-next.OhmPerM) * j.metres * hotFactor
				copper := float64(next.Area-j.wire().Area) * j.metres
				if copper > 0 && saved/copper > gain {
					best, gain = i, saved/copper
				}
			}
			if best < 0 {
				break // the check of drop says so
			}
			metres := 0.0
			for _, i := range w.wires {
				metres += z.jobs[i].metres
			}
			z.jobs[best].raise(bind{"thinnest that keeps the drop of " + z.t.Devices[z.t.Loads[w.load].Device].Name + " within what is allowed", []settle.Term{
				settle.Num("current", quantity.RoundTo(amps[best], 0.01), "A"), settle.Num("way out and back", quantity.RoundTo(metres, 0.01), "m"), settle.Num("allowed", w.limit, "V"), settle.Num("conductor taken at", 80, "°C")}, dropSource})
			changed = true
		}
	}
	return changed
}

// contactOhm is what the contacts at both ends add.
func (z *sizer) contactOhm(i int) float64 {
	sum := 0.0
	for side := range 2 {
		if k := z.contact(i, side); k != nil {
			sum += float64(k.Ohm) / 2 // half of a mated pair each
		}
	}
	return sum
}
