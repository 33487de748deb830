// Package power solves the car's network in every state with the copper that
// was chosen: amps and conductor temperature of every wire, volts at every
// load, what feeds and sources carry.
//
// It decides nothing. It takes for granted that sizes are settled; a wire
// without a size is left out, and what hangs on it is unfed.
package power

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"keyon/model/design"
	"keyon/model/finding"
	"keyon/model/network"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/model/source"
	"keyon/num/conductor"
	"keyon/num/many"
	"keyon/num/netsolve"
	"keyon/num/quantity"
)

// RuleNetwork says that a state has no answer.
var RuleNetwork = &finding.Rule{ID: "power.network", Severity: finding.Stop, Title: "the network has no steady state",
	Text:   "A load asks for more power than its way can carry at any voltage, so no voltages satisfy all laws at once.",
	Source: source.Ref{Kind: source.Physics, Doc: "Kirchhoff"}}

// Rules of the stage.
var Rules = []*finding.Rule{RuleNetwork}

// rounds of the temperature fixed point: resistance moves 0.4 % a kelvin, so
// the third moves temperatures by less than 0.01 K below a rise of 100 K.
const rounds = 4

// Run solves every state.
func Run(d *design.Design, c part.Catalogue, t plan.Things, e plan.Ends, x plan.Cavities, w plan.Wires, s plan.Sizes) (plan.Power, []finding.Verdict) {
	var verdicts []finding.Verdict
	var out plan.Power
	m, ways := network.New(&t, &e, &x, &w), network.NewWays(&t, &e, &x, &w)
	out.States = make([]plan.StatePower, len(t.States))
	errs := make([]error, len(t.States))
	many.Do(len(t.States), func(st int) {
		// A load that its way starves is first left running, so that the wire
		// that starves it shows; it cuts out where it can't run at all.
		p, err := solve(m, ways, c, &t, &x, &w, &s, st, network.Mean)
		if err != nil || starved(&p) {
			p, err = solve(m, ways, c, &t, &x, &w, &s, st, network.Cutting)
		}
		out.States[st], errs[st] = p, err
	})
	for st, err := range errs {
		if err != nil {
			verdicts = append(verdicts, say(&t, st, err))
		}
	}
	return out, verdicts
}

func say(t *plan.Things, state int, err error) finding.Verdict {
	place := finding.Place{Kind: "state", ID: t.States[state].Name, Field: "loads"}
	if no, ok := errors.AsType[*netsolve.NoRoot](err); ok {
		name, _, _ := strings.Cut(no.Bus, ":") // a load stands at a pin
		place = finding.Place{Kind: "device", ID: name, Field: "loads"}
		if d, known := t.DeviceOf[name]; known {
			place.Cell = t.Devices[d].At("part")
			for i := range t.Loads {
				if l := &t.Loads[i]; l.Device == d && l.State == state && l.Cell.Row != "" {
					place.Cell = l.Cell
				}
			}
		}
		return finding.Say(RuleNetwork, place, fmt.Sprintf("%s can't be fed in %s: it asks for more power than its way can carry from the %s V it would get unloaded", name, t.States[state].Name, quantity.Text(no.Volts, 2)), "thicker wires, or a load that cuts out under its least volts")
	}
	return finding.Say(RuleNetwork, place, err.Error(), "check the loads and sources of this state")
}

// starved reports whether a load draws so much that nothing is left for it.
func starved(p *plan.StatePower) bool {
	return slices.ContainsFunc(p.Loads, func(l plan.LoadPower) bool { return l.Out && l.Amps > 0 && l.Volts <= 0 })
}

// solve finds a state's voltages, currents and temperatures.
func solve(m *network.Model, ways *network.Ways, c part.Catalogue, t *plan.Things, x *plan.Cavities, w *plan.Wires, s *plan.Sizes, st int, draw network.Draw) (plan.StatePower, error) {
	n := len(w.List)
	p := plan.StatePower{State: st, Amps: make([]quantity.Ampere, n), Drop: make([]quantity.Volt, n), Celsius: make([]quantity.Celsius, n), Feeds: make([]quantity.Ampere, len(t.Feeds))}
	cold, ohms := make([]float64, n), make([]float64, n) // of the conductor, of its contacts
	for i := range w.List {
		p.Celsius[i] = ambient(t, &w.List[i], st)
		size := &s.Wires[i]
		if metres, ok := network.Metres(t, &w.List[i]); ok && size.Wire != nil {
			cold[i] = float64(size.Wire.OhmPerM) * metres
			ohms[i] = ContactOhm(c, size.From) + ContactOhm(c, size.To)
		}
	}
	net := m.Of(st, func(i int) float64 {
		if cold[i] == 0 {
			return 0
		}
		return cold[i]*conductor.Copper.Factor(float64(p.Celsius[i])) + ohms[i]
	}, draw)
	var sol netsolve.Solution
	for round := range rounds {
		var err error
		if sol, err = net.Net.Solve(netsolve.Options{}); err != nil {
			return p, err
		}
		moved := 0.0
		for i, el := range net.Wires {
			if el < 0 {
				continue
			}
			p.Amps[i] = quantity.Ampere(sol.I[el])
			air := ambient(t, &w.List[i], st)
			hot := float64(air)
			if size := &s.Wires[i]; size.Capacity > 0 {
				hot = conductor.PartLoad(float64(air), float64(size.Wire.Temperature), abs(sol.I[el])/float64(size.Capacity))
			}
			if math.IsNaN(hot) || math.IsInf(hot, 0) { // air hotter than the wire may be: a check says so
				hot = float64(air)
			}
			moved = max(moved, abs(hot-float64(p.Celsius[i])))
			p.Celsius[i] = quantity.Celsius(hot)
			if round < rounds-1 {
				net.Net.SetOhm(el, cold[i]*conductor.Copper.Factor(hot)+ohms[i])
			}
		}
		if moved < 0.01 {
			break
		}
	}
	for i, el := range net.Wires {
		if el >= 0 {
			a, b := net.Net.Ends(el)
			p.Amps[i] = quantity.Ampere(settled(sol.I[el]))
			p.Drop[i] = quantity.Volt(settled(sol.V[a] - sol.V[b]))
		}
	}
	for _, l := range net.Loads {
		a, b := net.Net.Ends(l.Elem)
		lost := quantity.Volt(0)
		for _, i := range ways.Load(&t.Loads[l.Load]) {
			lost += quantity.Volt(abs(float64(p.Drop[i])))
		}
		v := plan.LoadPower{Load: l.Load, Volts: quantity.Volt(settled(sol.V[a] - sol.V[b])), Amps: quantity.Ampere(settled(sol.I[l.Elem])), Way: lost, Out: sol.Mode[l.Elem] == netsolve.CutOut}
		v.Out = v.Out || sol.Mode[l.Elem] != netsolve.Unfed && v.Volts < t.Loads[l.Load].LeastVolts
		if sol.Mode[l.Elem] == netsolve.Unfed {
			p.Unfed = append(p.Unfed, l.Load)
		}
		p.Loads = append(p.Loads, v)
	}
	for i, el := range net.Feeds {
		if el >= 0 {
			p.Feeds[i] = quantity.Ampere(settled(abs(sol.I[el])))
		}
	}
	for _, el := range net.Sources {
		p.Source += quantity.Ampere(settled(abs(sol.I[el])))
		a, b := net.Net.Ends(el)
		p.SourceVolts = max(p.SourceVolts, quantity.Volt(settled(sol.V[a]-sol.V[b])))
	}
	return p, nil
}

// settled rounds to a nanovolt or nanoampere: below that is the solver's noise,
// and a load exactly at a limit is at it.
func settled(x float64) float64 { return quantity.RoundTo(x, 1e-9) }

// ContactOhm is half of a mated contact's resistance: the half that a wire's
// end adds. A lug or an unknown contact adds nothing.
func ContactOhm(c part.Catalogue, e plan.EndParts) float64 {
	if k := c.Contacts[e.Contact]; k != nil {
		return float64(k.Ohm) / 2
	}
	return 0
}

// ambient is the warmest air along a wire's way in a state.
func ambient(t *plan.Things, w *plan.Wire, st int) quantity.Celsius {
	if s := &t.States[st]; s.HasAmbient {
		return s.Ambient
	}
	air := quantity.Celsius(-300)
	for _, l := range w.Legs {
		air = max(air, t.Legs[l].Ambient)
	}
	if len(w.Legs) == 0 && w.From.Place >= 0 {
		air = t.Places[w.From.Place].Ambient
	}
	return air
}

func abs(x float64) float64 { return max(x, -x) }
