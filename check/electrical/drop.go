package electrical

import (
	"fmt"
	"slices"
	"strings"

	"keyon/model/finding"
	"keyon/model/network"
	"keyon/model/settle"
	"keyon/model/source"
	"keyon/num/quantity"
)

// RuleDrop: what a load's way loses, out and back.
var RuleDrop = &finding.Rule{ID: "electrical.drop", Severity: finding.Look, Grave: 2, Title: "voltage drop",
	Text:   "The wires between a load's feed and its ground lose no more than allowed: 0.5 V continuous, 1 V in states under two minutes, 0.5 V from battery to starter, 0.1 V for a 5 V sensor; the house may set others in Limits. Twice that (judgement) is a stop.",
	Source: source.Ref{Kind: source.Standard, Doc: "AC 43.13-1B", Where: "Table 11-6, 14 V system", Status: source.Memory}}

// RuleBus: what is lost before the bus.
var RuleBus = &finding.Rule{ID: "electrical.bus", Severity: finding.Look, Title: "drop from source to bus",
	Text:   "From battery or alternator to the supply of a module or fuse carrier at most 2 % of the source's volts are lost in any lasting state (\"drop source to bus\" in Limits, percent).",
	Source: source.Ref{Kind: source.Standard, Doc: "FAA-H-8083", Where: "generator or battery to bus, 2 %", Status: source.Seen}}

// bus judges each trunk in its worst state.
func (j *judge) bus() {
	name, fallback, _ := network.TrunkPercent()
	percent, _ := j.d.Number(name, fallback)
	for _, t := range j.ways.Trunks() {
		worst, lost, limit := -1, 0.0, 0.0
		for s := range j.p.Power.States {
			if short(&j.t.States[s]) {
				continue
			}
			sum, most := 0.0, network.TrunkLimit(percent, float64(j.t.States[s].Volts))
			for _, i := range t.Wires {
				sum += abs(float64(j.p.Power.States[s].Drop[i]))
			}
			if worst < 0 || sum/most > lost/limit {
				worst, lost, limit = s, sum, most
			}
		}
		if worst < 0 {
			continue
		}
		dev := j.t.Devices[t.Device].Name
		a, b := quantity.Apart(lost, limit, 2)
		v := finding.Judge(RuleBus, finding.Place{Kind: "device", ID: dev, Field: "supply"}, lost, finding.Limit{AtMost: true, Value: limit, Unit: "V"},
			fmt.Sprintf("%s: %s V lost from the source in %s, at most %s V", dev, a, j.t.States[worst].Name, b))
		v.Fixes = []finding.Fix{{Text: "thicker or shorter cables between source and bus"}}
		j.add(v)
	}
}

// RuleLeast: every load gets the volts it needs.
var RuleLeast = &finding.Rule{ID: "electrical.volts", Severity: finding.Stop, Title: "too few volts",
	Text:   "Between its own two pins a load gets at least the least volts its sheet or the table Loads asks for, in every state.",
	Source: source.Ref{Kind: source.Physics, Doc: "Kirchhoff"}}

// RuleUnfed: a load that no source reaches.
var RuleUnfed = &finding.Rule{ID: "electrical.unfed", Severity: finding.Look, Title: "no way to a source",
	Text:   "In a state in which a load draws current there is a closed way from a source through it and back.",
	Source: source.Ref{Kind: source.Physics, Doc: "Kirchhoff"}}

// drop judges each load's way in its worst state, at the wire that loses most.
func (j *judge) drop() {
	type tight struct {
		lost, limit, amps float64
		state, load       int
	}
	byPins := map[[3]int]tight{}
	var order [][3]int
	for s := range j.p.Power.States {
		for _, l := range j.p.Power.States[s].Loads {
			q := &j.t.Loads[l.Load]
			name, limit, _ := network.DropLimit(j.t, q)
			limit, _ = j.d.Number(name, limit)
			k := [3]int{q.Device, q.From, q.To}
			old, seen := byPins[k]
			if !seen {
				order = append(order, k)
			}
			if now := (tight{float64(l.Way), limit, float64(l.Amps), s, l.Load}); !seen || now.lost/now.limit > old.lost/old.limit {
				byPins[k] = now
			}
		}
	}
	for _, k := range order {
		x := byPins[k]
		wires := j.ways.Load(&j.t.Loads[x.load])
		if len(wires) == 0 {
			continue
		}
		metres, most := 0.0, wires[0]
		for _, i := range wires {
			m, _ := network.Metres(j.t, &j.p.Wires.List[i])
			metres += m
			if d := j.p.Power.States[x.state].Drop; abs(float64(d[i])) > abs(float64(d[most])) {
				most = i
			}
		}
		place := j.wire(most, "gauge")
		// A given gauge on the way is what a person can change.
		for _, i := range wires {
			if j.p.Sizes.Wires[i].Gauge.Origin == settle.FromUser && j.p.Sizes.Wires[most].Gauge.Origin != settle.FromUser {
				place, most = j.wire(i, "gauge"), i
			}
		}
		lost, limit := quantity.Apart(x.lost, x.limit, 2)
		v := finding.Judge(RuleDrop, place, x.lost, finding.Limit{AtMost: true, Value: x.limit, Unit: "V"},
			fmt.Sprintf("%s: the way of %s loses %s V in %s, at most %s V", j.named(most), j.t.Devices[k[0]].Name, lost, j.t.States[x.state].Name, limit),
			settle.Num("current", x.amps, "A"), settle.Num("out and back", quantity.RoundTo(metres, 0.01), "m"))
		v.Related = []finding.Place{{Kind: "device", ID: j.t.Devices[k[0]].Name}}
		v.Fixes = j.blankGauge(most, place)
		j.add(v)
	}
}

// least judges the volts at each load in its worst state.
func (j *judge) least() {
	for s := range j.p.Power.States {
		st := &j.p.Power.States[s]
		for _, l := range st.Loads {
			q := &j.t.Loads[l.Load]
			if q.LeastVolts <= 0 || slices.Contains(st.Unfed, l.Load) {
				continue
			}
			name := j.t.Devices[q.Device].Name
			v1, v2 := quantity.Apart(float64(l.Volts), float64(q.LeastVolts), 2)
			v := finding.Judge(RuleLeast, finding.Place{Kind: "device", ID: name, Field: "volts in " + j.t.States[s].Name, Cell: q.Cell}, float64(l.Volts), finding.Limit{Value: float64(q.LeastVolts), Unit: "V"},
				fmt.Sprintf("%s gets %s V in %s, at least %s V", name, v1, j.t.States[s].Name, v2), settle.Num("lost on its way", float64(l.Way), "V"))
			if l.Out {
				v.OK = false
				v.What += "; it cuts out"
				if l.Volts >= q.LeastVolts {
					v.What = fmt.Sprintf("%s can't run in %s: what it draws pulls its volts under %s V, and it cuts out; unloaded it gets %s V", name, j.t.States[s].Name, v2, v1)
				}
			}
			v.Fixes = []finding.Fix{{Text: "allow less drop, or look at what pulls the source down in this state"}}
			j.add(v)
		}
	}
	j.unfed()
}

// unfed names each load that no source reaches, once for all states. Where
// something on its way is open, that has been reported and explains it.
func (j *judge) unfed() {
	open := make([]bool, len(j.t.Circuits))
	for c := range open {
		open[c] = len(j.p.Ends.Of[c]) < 2 || c < len(j.p.Routes.List) && j.p.Routes.List[c].Open
	}
	for i := range j.p.Ends.List {
		if e := &j.p.Ends.List[i]; e.Stud < 0 && (e.Device < 0 || e.PinIndex < 0) {
			open[e.Circuit] = true
		}
	}
	for i := range j.p.Wires.List {
		w := &j.p.Wires.List[i]
		if _, known := network.Metres(j.t, w); !known || j.p.Sizes.Wires[i].Wire == nil {
			open[w.Circuit] = true
		}
	}
	type unfed struct {
		load   int
		states []string
	}
	byPins := map[[3]int]int{}
	var all []unfed
	for s := range j.p.Power.States {
		for _, i := range j.p.Power.States[s].Unfed {
			q := &j.t.Loads[i]
			k := [3]int{q.Device, q.From, q.To}
			at, seen := byPins[k]
			if !seen {
				at = len(all)
				byPins[k] = at
				all = append(all, unfed{load: i})
			}
			all[at].states = append(all[at].states, j.t.States[s].Name)
		}
	}
	for _, u := range all {
		q := &j.t.Loads[u.load]
		if j.ways.Meets(q, func(c int) bool { return open[c] }, func(d, pin int) bool { return j.t.Devices[d].Part.Pins[pin].Needed }) {
			continue
		}
		name := j.t.Devices[q.Device].Name
		j.add(finding.Say(RuleUnfed, finding.Place{Kind: "device", ID: name, Field: "supply"}, fmt.Sprintf("%s has no closed way from a source in %s", name, strings.Join(u.states, ", ")), "look at its supply, its ground, and the switches and relays on the way"))
	}
}
