package size

import (
	"keyon/model/network"
	"keyon/model/plan"
	"keyon/model/settle"
	"keyon/num/quantity"
)

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
		if wires := z.paths.Load(l); len(wires) > 0 {
			z.way = append(z.way, way{i, wires, z.allowedDrop(l)})
		}
	}
}

func (z *sizer) allowedDrop(l *plan.Load) float64 {
	name, volts, _ := network.DropLimit(z.t, l)
	v, _ := z.d.Number(name, volts)
	return v
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
				saved := amps[i] * float64(j.wire().OhmPerM-next.OhmPerM) * j.metres * hotFactor
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
			_, _, src := network.DropLimit(z.t, &z.t.Loads[w.load])
			for _, i := range w.wires {
				metres += z.jobs[i].metres
			}
			z.jobs[best].raise(bind{"thinnest that keeps the drop of " + z.t.Devices[z.t.Loads[w.load].Device].Name + " within what is allowed", []settle.Term{
				settle.Num("current", quantity.RoundTo(amps[best], 0.01), "A"), settle.Num("way out and back", quantity.RoundTo(metres, 0.01), "m"), settle.Num("allowed", w.limit, "V"), settle.Num("conductor taken at", 80, "°C")}, src})
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
