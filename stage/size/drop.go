package size

import (
	"keyon/model/network"
	"keyon/model/part"
	"keyon/model/settle"
	"keyon/model/source"
	"keyon/num/quantity"
)

// way is what a load, or a bus, loses from its source in one state.
type way struct {
	name  string
	state int
	wires []int
	limit float64
	src   source.Ref
}

// ways finds each load's way and each bus's trunk once; they depend on wires,
// not on gauges.
func (z *sizer) ways() {
	for i := range z.t.Loads {
		l := &z.t.Loads[i]
		wires := z.paths.Load(l)
		if len(wires) == 0 {
			continue
		}
		name, volts, src := network.DropLimit(z.t, l)
		limit, _ := z.d.Number(name, volts)
		z.way = append(z.way, way{z.t.Devices[l.Device].Name, l.State, wires, limit, src})
	}
	z.bonds()
	name, fallback, src := network.TrunkPercent()
	percent, _ := z.d.Number(name, fallback)
	for _, t := range z.paths.Trunks() {
		for s := range z.t.States {
			if !short(&z.t.States[s]) {
				z.way = append(z.way, way{z.t.Devices[t.Device].Name, s, t.Wires, network.TrunkLimit(percent, float64(z.t.States[s].Volts)), src})
			}
		}
	}
}

// dropBond is what a cable between the battery's minus, the chassis and the
// metal assemblies may lose in any state, volts ("drop bond"): half of the 0.2 V
// that is common practice for a whole chassis or engine ground under load.
const dropBond = 0.1

// bonds adds the ground cables that no load's way follows, because between
// them the current runs through metal.
func (z *sizer) bonds() {
	limit, _ := z.d.Number("drop bond", dropBond)
	src := source.Ref{Kind: source.Practice, Doc: "voltage-drop-limits", Where: "chassis or engine ground under load, 0.2 V"}
	for c, ends := range z.e.Of {
		bond := len(ends) > 1
		for _, i := range ends {
			e := &z.e.List[i]
			battery := e.Device >= 0 && e.Role == part.Ground && z.t.Devices[e.Device].Part.Kind == "battery"
			if e.Stud < 0 && !battery {
				bond = false
			}
		}
		if !bond {
			continue
		}
		for _, w := range z.paths.OfCircuit[c] {
			for s := range z.t.States {
				z.way = append(z.way, way{z.t.Circuits[c].Name, s, []int{w}, limit, src})
			}
		}
	}
}

// ohm is a wire's resistance hot, with its contacts.
func (z *sizer) ohm(i int) float64 {
	j := &z.jobs[i]
	if q := j.wire(); q != nil && j.long {
		return float64(q.OhmPerM)*j.metres*j.factor + z.contactOhm(i)
	}
	return 0
}

// drop thickens wires on the way of each load that loses too much: each time
// the one that saves most volts for its copper. It reports a change.
func (z *sizer) drop() bool {
	changed := false
	for k := range z.way {
		w := &z.way[k]
		amps := z.amps[w.state]
		before := map[int]job{} // wires raised for this load, as they were
		for {
			lost := 0.0
			for _, i := range w.wires {
				lost += amps[i] * z.ohm(i)
			}
			if lost <= w.limit {
				changed = changed || len(before) > 0
				break
			}
			best, gain := -1, 0.0
			for _, i := range w.wires {
				j := &z.jobs[i]
				if j.fixed || j.wire() == nil || j.at+1 >= len(j.candidates) || !j.long {
					continue
				}
				next := j.candidates[j.at+1]
				saved := amps[i] * float64(j.wire().OhmPerM-next.OhmPerM) * j.metres * j.factor
				copper := float64(next.Area-j.wire().Area) * j.metres
				if copper > 0 && saved/copper > gain {
					best, gain = i, saved/copper
				}
			}
			if best < 0 {
				// It can't be met: copper that doesn't help isn't spent. The check of drop says so.
				for i, j := range before {
					z.jobs[i].at, z.jobs[i].bind = j.at, j.bind
				}
				break
			}
			if _, ok := before[best]; !ok {
				before[best] = z.jobs[best]
			}
			metres := 0.0
			for _, i := range w.wires {
				metres += z.jobs[i].metres
			}
			z.jobs[best].raise(bind{"thinnest that keeps the drop of " + w.name + " within what is allowed", []settle.Term{
				settle.Num("current", quantity.RoundTo(amps[best], 0.01), "A"), settle.Num("way out and back", quantity.RoundTo(metres, 0.01), "m"), settle.Num("allowed", w.limit, "V")}, w.src})
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
