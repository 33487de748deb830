package electrical

import (
	"fmt"
	"math"

	"keyon/model/finding"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/model/settle"
	"keyon/model/source"
	"keyon/num/conductor"
	"keyon/num/quantity"
)

// RuleCapacity: current within capacity, in every leg and every state.
var RuleCapacity = &finding.Rule{ID: "electrical.capacity", Severity: finding.Stop, Title: "current above capacity",
	Text:   "In every state the current of a wire stays within its capacity: free-air current at the lowest rating of what lies together less the air's temperature, times the bundle factor at the leg's loading, times altitude; for a state of some seconds, what the copper takes up in that time.",
	Source: source.Ref{Kind: source.Standard, Doc: "MIL-W-5088L", Where: "Figs 3 and 4, as in AC 43.13-1B 11-66 to 11-69", Status: source.Seen}}

// short is the same bound as the sizing stage's: below five minutes a wire
// doesn't warm through (judgement; the interval of MIL-E-7016F).
func short(s *plan.State) bool { return s.Seconds > 0 && s.Seconds < 300 }

// worst is a wire's tightest place so far.
type worst struct {
	amps, capacity, air, rating float64
	leg, state, wires           int
	step                        float64
	extrapolated, seen          bool
}

func (j *judge) capacity() {
	tight := make([]worst, len(j.p.Wires.List))
	legs := make([][]int, len(j.t.Legs))
	for i := range j.p.Wires.List {
		for _, l := range j.p.Wires.List[i].Legs {
			legs[l] = append(legs[l], i)
		}
	}
	for l := range legs {
		low := math.Inf(1)
		for _, i := range legs[l] {
			if q := j.p.Sizes.Wires[i].Wire; q != nil {
				low = min(low, float64(q.Temperature))
			}
		}
		if low <= float64(j.t.Legs[l].Ambient) {
			continue // surroundings.heat says that no current is small enough
		}
		for s := range j.p.Power.States {
			j.leg(l, s, legs[l], low, tight)
		}
	}
	for i := range tight {
		for s := range j.p.Power.States {
			if w, ok := j.jumper(i, s); ok && (!tight[i].seen || share(w) > share(tight[i])) {
				tight[i] = w
			}
		}
	}
	for i := range tight {
		w := &tight[i]
		if !w.seen {
			continue
		}
		place := j.wire(i, "gauge")
		a, c := quantity.Apart(w.amps, w.capacity, 2)
		where := "inside one place"
		if w.leg >= 0 {
			where = "leg " + j.t.Legs[w.leg].Name
		}
		v := finding.Judge(RuleCapacity, place, w.amps, finding.Limit{AtMost: true, Value: w.capacity, Unit: "A"},
			fmt.Sprintf("%s: gauge %s carries %s A in %s, at most %s A (%s)", j.named(i), j.p.Sizes.Wires[i].Gauge.Value, a, j.t.States[w.state].Name, c, where),
			settle.Num("wires in the leg", float64(w.wires), ""), settle.Num("loading", w.step*100, "%"), settle.Num("air", w.air, "°C"), settle.Num("rating", w.rating, "°C"))
		if x := share(*w); x <= 1 && w.rating > w.air {
			v.Terms = append(v.Terms, settle.Num("conductor", quantity.RoundTo(conductor.PartLoad(w.air, w.rating, x), 0.1), "°C"))
		}
		if w.extrapolated {
			v.What += "; bundle factor carried on beyond the chart"
		}
		v.Fixes = j.blankGauge(i, place)
		j.add(v)
	}
}

// jumper is how a wire without legs, a jumper inside one place, stands in a state.
func (j *judge) jumper(i, s int) (worst, bool) {
	w, q := &j.p.Wires.List[i], j.p.Sizes.Wires[i].Wire
	if q == nil || len(w.Legs) > 0 {
		return worst{}, false
	}
	air := 20.0 // °C, where the place is open
	switch state := &j.t.States[s]; {
	case state.HasAmbient:
		air = float64(state.Ambient)
	case w.From.Place >= 0:
		air = float64(j.t.Places[w.From.Place].Ambient)
	}
	rating := j.rating(i, float64(q.Temperature))
	if rating <= air {
		return worst{}, false // surroundings.heat says it
	}
	high := conductor.Altitude(float64(j.d.Car.Altitude))
	x := worst{amps: abs(float64(j.p.Power.States[s].Amps[i])), capacity: free(q, rating-air) * high, air: air, rating: rating, leg: -1, state: s, wires: 1, step: 1, seen: true}
	if seconds := float64(j.t.States[s].Seconds); short(&j.t.States[s]) {
		x.capacity = max(x.capacity, burst(q, air, rating, seconds)*high)
	}
	return x, true
}

// burst is the current that heats a wire from the air's temperature to its
// rating in that many seconds, all heat kept in the copper: I = k·S/√t, IEC 60949.
func burst(q *part.Wire, air, rating, seconds float64) float64 {
	return conductor.AdiabaticK(conductor.Copper, air, rating) * q.Area.MM2() / math.Sqrt(seconds)
}

// leg judges all wires of a leg in a state.
func (j *judge) leg(l, s int, wires []int, low float64, tight []worst) {
	state := &j.t.States[s]
	air := float64(j.t.Legs[l].Ambient)
	if state.HasAmbient {
		air = float64(state.Ambient)
	}
	shares := make([]conductor.Share, len(wires))
	for k, i := range wires {
		q := j.p.Sizes.Wires[i].Wire
		if q == nil {
			continue
		}
		shares[k] = conductor.Share{Free: free(q, j.rating(i, low)-air), Amps: abs(float64(j.p.Power.States[s].Amps[i]))}
	}
	load, err := conductor.Load(shares, float64(j.d.Car.Altitude))
	if err != nil {
		load.Step, load.Factor = 1, 0
	}
	for k, i := range wires {
		q := j.p.Sizes.Wires[i].Wire
		if q == nil {
			continue
		}
		w := worst{amps: shares[k].Amps, capacity: shares[k].Free * load.Factor, air: air, rating: j.rating(i, low), leg: l, state: s, wires: len(wires), step: load.Step, extrapolated: load.Extrapolated, seen: true}
		if short(state) && w.rating > air {
			f, _ := conductor.Bundle(len(wires), load.Step)
			w.capacity = max(w.capacity, burst(q, air, w.rating, float64(state.Seconds))*max(f, 0.5)*conductor.Altitude(float64(j.d.Car.Altitude)))
		}
		if !tight[i].seen || share(w) > share(tight[i]) {
			tight[i] = w
		}
	}
}

func share(w worst) float64 {
	if w.amps == 0 {
		return 0
	}
	return w.amps / w.capacity
}

func free(q *part.Wire, rise float64) float64 {
	if rise <= 0 {
		return 0
	}
	if a, ok := conductor.FreeAir(q.Gauge, rise); ok {
		return a
	}
	a, _, err := conductor.FreeAirOf(float64(q.OhmPerM), rise)
	if err != nil {
		return 0
	}
	return a
}

// rating is the lowest of the leg's ratings and the connectors at both ends.
func (j *judge) rating(i int, low float64) float64 {
	w := &j.p.Wires.List[i]
	for _, e := range []*plan.WireEnd{&w.From, &w.To} {
		if k := j.connector(e); k != nil && k.Temperature > 0 {
			low = min(low, float64(k.Temperature))
		}
	}
	return low
}

// connector is the loom-side connector of a wire's end, nil for none.
func (j *judge) connector(e *plan.WireEnd) *part.Connector {
	switch {
	case e.Kind == plan.AtCavity && e.Crossing >= 0:
		return j.p.Cavities.Joins[j.p.Cavities.Crossings[e.Crossing].Join].Connector
	case e.Kind == plan.AtPin && e.End >= 0:
		if q := &j.p.Ends.List[e.End]; q.Device >= 0 && q.Connector >= 0 {
			return j.t.Devices[q.Device].Connectors[q.Connector].Part
		}
	}
	return nil
}
