package size

import (
	"math"

	"keyon/model/part"
	"keyon/model/plan"
	"keyon/model/settle"
	"keyon/model/source"
	"keyon/num/conductor"
	"keyon/num/netsolve"
	"keyon/num/quantity"
)

var capacitySource = source.Ref{Kind: source.Standard, Doc: "MIL-W-5088L", Where: "Figs 3 and 4, as in AC 43.13-1B 11-66 to 11-69", Status: source.Seen}

var solveOptions = netsolve.Options{}

// short says whether a state is too short for a wire to warm through, so that
// its capacity is that for its duration (judgement: below five minutes, the
// interval of load analysis by MIL-E-7016F).
func short(s *plan.State) bool { return s.Seconds > 0 && s.Seconds < 300 }

// air is the ambient of a leg in a state.
func (z *sizer) air(leg, state int) float64 {
	if s := &z.t.States[state]; s.HasAmbient {
		return float64(s.Ambient)
	}
	return float64(z.t.Legs[leg].Ambient)
}

// lowest is the lowest rating in a leg: no wire may be hotter than what it
// touches stands.
func (z *sizer) lowest(leg int) float64 {
	low := math.Inf(1)
	for _, i := range z.legs[leg] {
		if q := z.jobs[i].wire(); q != nil && q.Temperature > 0 {
			low = min(low, float64(q.Temperature))
		}
	}
	return low
}

// lows takes the lowest rating of every leg, for the time in which no gauge
// changes: a trunk's wires would each look through all of its others.
func (z *sizer) lows() {
	if z.low == nil {
		z.low = make([]float64, len(z.legs))
	}
	for l := range z.legs {
		z.low[l] = z.lowest(l)
	}
}

// rating is the lowest rating that holds for a wire in a leg: the leg's, and
// the connectors' at its ends.
func (z *sizer) rating(i int, low float64) float64 {
	for _, e := range z.jobs[i].ends {
		if e.celsius > 0 {
			low = min(low, e.celsius)
		}
	}
	return low
}

// of is the capacity of a gauge for wire i in a leg and state, amperes.
func (z *sizer) of(i int, q *part.Wire, leg, state int, low float64) float64 {
	rise := z.rating(i, low) - z.air(leg, state)
	if rise <= 0 {
		return 0
	}
	free := z.freeAir(q, rise)
	if s := &z.t.States[state]; short(s) && len(z.legs[leg]) > 0 {
		if amps := z.forSeconds(q, z.air(leg, state), z.rating(i, low), float64(s.Seconds)); amps > free {
			// A wire alone for its seconds; in a bundle the neighbours start as warm as it is.
			return amps * max(z.bundle(leg, state), 0.5) * z.altitude
		}
	}
	return free * z.bundle(leg, state) * z.altitude
}

// bundle is the factor of a leg in a state.
func (z *sizer) bundle(leg, state int) float64 {
	n, step := len(z.legs[leg]), z.step[leg][state]
	for len(z.bundles) <= n {
		var all [6]float64
		for s := 1; s <= 5; s++ {
			all[s], _ = conductor.Bundle(len(z.bundles), float64(s)/5)
		}
		z.bundles = append(z.bundles, all)
	}
	return z.bundles[n][step]
}

// warm is what a wire carries alone in the air when it may heat by that much.
type warm struct{ rise, amps float64 }

// freeAir is asked for the same few wires and rises again and again.
func (z *sizer) freeAir(q *part.Wire, rise float64) float64 {
	known := z.free[q]
	for _, w := range known {
		if w.rise == rise {
			return w.amps
		}
	}
	a := freeAir(q, rise)
	z.free[q] = append(known, warm{rise, a})
	return a
}

func freeAir(q *part.Wire, rise float64) float64 {
	if a, ok := conductor.FreeAir(q.Gauge, rise); ok {
		return a
	}
	a, _, err := conductor.FreeAirOf(float64(q.OhmPerM), rise)
	if err != nil {
		return 0
	}
	return a
}

// forSeconds is the current that brings a wire from the air's temperature to
// its rating in that many seconds, all heat kept in the copper: S·k/√t.
func (z *sizer) forSeconds(q *part.Wire, from, to, seconds float64) float64 {
	return q.Area.MM2() * conductor.AdiabaticK(conductor.Copper, from, to) / math.Sqrt(seconds)
}

// still is the air around a wire without legs: a jumper inside one place.
func (z *sizer) still(i, state int) float64 {
	if s := &z.t.States[state]; s.HasAmbient {
		return float64(s.Ambient)
	}
	if p := z.w.List[i].From.Place; p >= 0 {
		return float64(z.t.Places[p].Ambient)
	}
	return 20
}

// alone is the capacity of a gauge for a wire without legs, amperes.
func (z *sizer) alone(i int, q *part.Wire, state int) float64 {
	air, rating := z.still(i, state), z.rating(i, float64(q.Temperature))
	if rating <= air {
		return 0
	}
	free := z.freeAir(q, rating-air)
	if s := &z.t.States[state]; short(s) {
		free = max(free, z.forSeconds(q, air, rating, float64(s.Seconds)))
	}
	return free * z.altitude
}

// jumpers raises wires without legs until each carries its current.
func (z *sizer) jumpers() bool {
	changed := false
	for i := range z.jobs {
		if len(z.w.List[i].Legs) > 0 {
			continue
		}
		j := &z.jobs[i]
		for s := range z.amps {
			for j.wire() != nil && z.alone(i, j.wire(), s) < z.amps[s][i] && j.raise(bind{"thinnest that carries its current", []settle.Term{
				settle.Num("current", quantity.RoundTo(z.amps[s][i], 0.01), "A"), settle.Num("air", z.still(i, s), "°C")}, capacitySource}) {
				changed = true
			}
		}
	}
	return changed
}

// capacity raises wires until each carries its current in every leg and
// state, and every leg's loading holds. It reports whether a gauge changed.
func (z *sizer) capacity() bool {
	changed := z.jumpers()
	for l := range z.legs {
		for s := range z.t.States {
			for {
				low := z.lowest(l)
				var sum, all float64
				for _, i := range z.legs[l] {
					j := &z.jobs[i]
					if j.wire() == nil {
						continue
					}
					amps := z.amps[s][i]
					for z.of(i, j.wire(), l, s, low) < amps {
						b := bind{"thinnest that carries its current", []settle.Term{
							settle.Num("current", quantity.RoundTo(amps, 0.01), "A"), settle.Num("wires in the leg", float64(len(z.legs[l])), ""), settle.Num("loading", float64(z.step[l][s])*20, "%"), settle.Num("air", z.air(l, s), "°C"), settle.Num("rating", z.rating(i, low), "°C")}, capacitySource}
						if !j.raise(b) {
							break
						}
						changed = true
					}
					sum += amps
					all += z.of(i, j.wire(), l, s, low)
				}
				if sum <= all*float64(z.step[l][s])/5 || z.step[l][s] == 5 || short(&z.t.States[s]) {
					break
				}
				z.step[l][s]++
			}
		}
	}
	return changed
}

// relax takes each leg's loading anew from the gauges that were chosen: the
// smallest step that holds the leg's sum. Wires only got thicker on the way, so
// what held at a higher step holds at this one, and the figures that are
// told don't depend on how the choice was found.
func (z *sizer) relax() {
	for l := range z.legs {
		low := z.lowest(l)
		for s := range z.t.States {
			for z.step[l][s] = 1; z.step[l][s] < 5; z.step[l][s]++ {
				var sum, all float64
				for _, i := range z.legs[l] {
					if q := z.jobs[i].wire(); q != nil {
						sum += z.amps[s][i]
						all += z.of(i, q, l, s, low)
					}
				}
				if sum <= all*float64(z.step[l][s])/5 || short(&z.t.States[s]) {
					break
				}
			}
		}
	}
}

// shareOf is a current as a share of a capacity, which may be zero.
func shareOf(amps, capacity float64) float64 {
	switch {
	case amps == 0:
		return 0
	case capacity <= 0:
		return math.Inf(1)
	}
	return amps / capacity
}

// worst finds the leg and state in which a wire is closest to its capacity.
func (z *sizer) worst(i int, out *plan.WireSize) {
	q := z.jobs[i].wire()
	most := -1.0
	for _, l := range z.w.List[i].Legs {
		low := z.low[l]
		for s := range z.amps {
			c := z.of(i, q, l, s, low)
			share := shareOf(z.amps[s][i], c)
			if share > most || share == most && c < float64(out.Capacity) {
				most = share
				out.WorstLeg, out.State, out.Capacity = l, s, quantity.Ampere(quantity.RoundTo(c, 0.001))
				hot := conductor.PartLoad(z.air(l, s), z.rating(i, low), share)
				if math.IsNaN(hot) || math.IsInf(hot, 0) {
					hot = z.air(l, s)
				}
				out.Conductor = quantity.Celsius(quantity.RoundTo(hot, 0.01))
			}
		}
	}
	if len(z.w.List[i].Legs) == 0 {
		for s := range z.amps {
			c := z.alone(i, q, s)
			share := shareOf(z.amps[s][i], c)
			if share > most {
				most = share
				out.State, out.Capacity = s, quantity.Ampere(quantity.RoundTo(c, 0.001))
				hot := z.still(i, s)
				if c > 0 {
					hot = conductor.PartLoad(hot, z.rating(i, float64(q.Temperature)), share)
				}
				out.Conductor = quantity.Celsius(quantity.RoundTo(hot, 0.01))
			}
		}
	}
	if out.State >= 0 {
		out.Amps = quantity.Ampere(z.amps[out.State][i])
	}
}
