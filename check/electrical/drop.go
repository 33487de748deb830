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
func (j *judge) bus(starved []bool) {
	name, fallback, _ := network.TrunkPercent()
	percent, _ := j.d.Number(name, fallback)
	for i, t := range j.ways.Trunks() {
		if starved[i] {
			continue // said at its wire
		}
		worst, lost, limit := -1, 0.0, 0.0
		for s := range j.p.Power.States {
			if short(&j.t.States[s]) {
				continue
			}
			sum, _ := j.lost(t.Wires, s)
			most := network.TrunkLimit(percent, float64(j.t.States[s].Volts))
			if worst < 0 || sum/most > lost/limit {
				worst, lost, limit = s, sum, most
			}
		}
		if worst < 0 {
			continue
		}
		dev := j.t.Devices[t.Device].Name
		place := finding.Place{Kind: "device", ID: dev, Field: "supply", Cell: j.t.Devices[t.Device].At("part")}
		a, b := quantity.Apart(lost, limit, 2)
		v := finding.Judge(RuleBus, place, lost, finding.Limit{AtMost: true, Value: limit, Unit: "V"},
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
	trunk := map[int]bool{} // what a bus takes for itself is lost on its trunk, which bus judges
	for _, t := range j.ways.Trunks() {
		trunk[t.Device] = true
	}
	byPins := map[[3]int]tight{}
	var order [][3]int
	for s := range j.p.Power.States {
		for _, l := range j.p.Power.States[s].Loads {
			q := &j.t.Loads[l.Load]
			if trunk[q.Device] && !short(&j.t.States[s]) {
				continue
			}
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

// low is a load's volts in the state in which it is nearest to its least.
type low struct {
	load, state int
	volts, way  float64
	out         bool
}

// least judges the volts at each load in its worst state. Loads that a trunk
// alone starves are one finding, at the trunk; it tells which trunks do so.
func (j *judge) least() (at []bool) {
	byPins := map[[3]int]int{}
	var all []low
	for s := range j.p.Power.States {
		st := &j.p.Power.States[s]
		for _, l := range st.Loads {
			q := &j.t.Loads[l.Load]
			if q.LeastVolts <= 0 || slices.Contains(st.Unfed, l.Load) {
				continue
			}
			k, x := [3]int{q.Device, q.From, q.To}, low{l.Load, s, float64(l.Volts), float64(l.Way), l.Out}
			i, seen := byPins[k]
			switch {
			case !seen:
				byPins[k] = len(all)
				all = append(all, x)
			case j.spare(&x) < j.spare(&all[i]):
				all[i] = x
			}
		}
	}
	trunks := j.ways.Trunks()
	starved := make([][]low, len(trunks))
next:
	for _, x := range all {
		if j.spare(&x) < 0 {
			bus := j.ways.Bus(&j.t.Loads[x.load])
			for i := range trunks {
				if trunks[i].Device == bus && j.beyond(&trunks[i], x.state) >= -j.spare(&x) {
					starved[i] = append(starved[i], x)
					continue next
				}
			}
		}
		j.volts(x)
	}
	for i, list := range starved {
		j.starved(&trunks[i], list)
		at = append(at, len(list) > 0)
	}
	return at
}

// spare is how far a load is above its least volts; one that cuts out is below
// them even where it gets them unloaded.
func (j *judge) spare(x *low) float64 {
	v := x.volts - float64(j.t.Loads[x.load].LeastVolts)
	if x.out {
		v = min(v, -1e-9)
	}
	return v
}

// lost is the volts lost along wires in a state, and the wire that loses most.
func (j *judge) lost(wires []int, state int) (volts float64, most int) {
	most = wires[0]
	for _, i := range wires {
		d := abs(float64(j.p.Power.States[state].Drop[i]))
		volts += d
		if d > abs(float64(j.p.Power.States[state].Drop[most])) {
			most = i
		}
	}
	return volts, most
}

// beyond is by how many volts a trunk loses more than it may in a state.
func (j *judge) beyond(t *network.Trunk, state int) float64 {
	name, fallback, _ := network.TrunkPercent()
	percent, _ := j.d.Number(name, fallback)
	volts, _ := j.lost(t.Wires, state)
	return volts - network.TrunkLimit(percent, float64(j.t.States[state].Volts))
}

// volts judges one load.
func (j *judge) volts(l low) {
	q := &j.t.Loads[l.load]
	name, state := j.t.Devices[q.Device].Name, j.t.States[l.state].Name
	v1, v2 := quantity.Apart(l.volts, float64(q.LeastVolts), 2)
	place := finding.Place{Kind: "device", ID: name, Field: "volts", Cell: q.Cell}
	if place.Cell.Row == "" {
		place.Cell = j.t.Devices[q.Device].At("part")
	}
	v := finding.Judge(RuleLeast, place, l.volts, finding.Limit{Value: float64(q.LeastVolts), Unit: "V"},
		fmt.Sprintf("%s gets %s V in %s, at least %s V", name, v1, state, v2), settle.Num("lost on its way", l.way, "V"))
	if l.out {
		v.OK = false
		v.What += "; it cuts out"
		if l.volts >= float64(q.LeastVolts) {
			v.What = fmt.Sprintf("%s can't run in %s: what it draws pulls its volts under %s V, and it cuts out; unloaded it gets %s V", name, state, v2, v1)
		}
	}
	v.Fixes = []finding.Fix{{Text: "allow less drop, or look at what pulls the source down in this state"}}
	j.add(v)
}

// starved says that a trunk loses what the loads behind it need, at its wire
// that loses most.
func (j *judge) starved(t *network.Trunk, list []low) {
	if len(list) == 0 {
		return
	}
	x := &list[0]
	for i := range list {
		if j.spare(&list[i]) < j.spare(x) {
			x = &list[i]
		}
	}
	q := &j.t.Loads[x.load]
	lost, most := j.lost(t.Wires, x.state)
	place := j.wire(most, "gauge")
	v1, v2 := quantity.Apart(x.volts, float64(q.LeastVolts), 2)
	what := fmt.Sprintf("%s: the way to %s loses %s V, so that %s gets %s V in %s, at least %s V", j.named(most), j.t.Devices[t.Device].Name, quantity.Text(lost, 2), j.t.Devices[q.Device].Name, v1, j.t.States[x.state].Name, v2)
	if n := len(list) - 1; n > 0 {
		what += fmt.Sprintf("; %d more loads behind it get too few volts", n)
	}
	v := finding.Judge(RuleLeast, place, x.volts, finding.Limit{Value: float64(q.LeastVolts), Unit: "V"}, what, settle.Num("lost on the trunk", lost, "V"))
	v.OK = false
	for _, o := range list {
		v.Related = append(v.Related, finding.Place{Kind: "device", ID: j.t.Devices[j.t.Loads[o.load].Device].Name, Field: "volts"})
	}
	v.Fixes = j.blankGauge(most, place)
	j.add(v)
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
		j.add(finding.Say(RuleUnfed, finding.Place{Kind: "device", ID: name, Field: "supply", Cell: j.t.Devices[q.Device].At("part")}, fmt.Sprintf("%s has no closed way from a source in %s", name, strings.Join(u.states, ", ")), "look at its supply, its ground, and the switches and relays on the way"))
	}
}
