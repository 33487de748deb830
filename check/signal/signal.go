// Package signal judges what small signals need: buses with their ends and
// lengths, pairs that stay twisted, shields grounded once, thermocouple metals
// unbroken, ignition apart from low-level.
package signal

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"keyon/model/design"
	"keyon/model/finding"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/model/source"
	"keyon/num/quantity"
)

// RuleEnds: a bus has a terminator at each end.
var RuleEnds = &finding.Rule{ID: "signal.ends", Severity: finding.Stop, Title: "bus termination",
	Text:   "A high-speed CAN bus has exactly two terminators of 120 Ω (108 to 132), one at each end: 60 Ω across the pair with power off.",
	Source: source.Ref{Kind: source.Standard, Doc: "ISO 11898-2", Where: "termination", Status: source.Seen}}

// RuleLength: a bus is no longer than its bit rate allows.
var RuleLength = &finding.Rule{ID: "signal.length", Severity: finding.Look, Title: "bus too long",
	Text:   "At 1 Mbit/s a bus is at most 40 m long; \"bus length\" in Limits sets another bound for another rate (500 kbit/s 100 m, 250 kbit/s 250 m).",
	Source: source.Ref{Kind: source.Standard, Doc: "ISO 11898-2", Where: "1 Mbit/s", Status: source.Seen}}

// RuleStub: branches off a bus are short.
var RuleStub = &finding.Rule{ID: "signal.stub", Severity: finding.Look, Title: "stub too long",
	Text:   "A branch off the line between the two terminators is at most 0.3 m at 1 Mbit/s (\"bus stub\" in Limits, mm).",
	Source: source.Ref{Kind: source.Standard, Doc: "ISO 11898-2", Where: "1 Mbit/s", Status: source.Seen}}

// RuleTwist: pairs are twisted.
var RuleTwist = &finding.Rule{ID: "signal.twist", Severity: finding.Look, Title: "pair not twisted",
	Text:   "Both wires of a bus, and low-level circuits, run as a twisted group or in a cable.",
	Source: source.Ref{Kind: source.Practice, Doc: "signal-rules", Where: "twisted pairs"}}

// RuleShield: a shield is grounded at one point.
var RuleShield = &finding.Rule{ID: "signal.shield", Severity: finding.Look, Title: "shield grounding",
	Text:   "A shield is grounded at exactly one point, at the controller's end.",
	Source: source.Ref{Kind: source.Practice, Doc: "signal-rules", Where: "J1939-11: shield bonded at one point only"}}

// RuleMetal: thermocouple metals go unbroken to the reading instrument.
var RuleMetal = &finding.Rule{ID: "signal.metal", Severity: finding.Stop, Title: "thermocouple metal broken",
	Text:   "A thermocouple circuit runs in extension wire of its own metals, without a splice.",
	Source: source.Ref{Kind: source.Standard, Doc: "IEC 60584-3", Where: "extension wire", Status: source.Memory}}

// RuleApart: ignition keeps away from low-level signals.
var RuleApart = &finding.Rule{ID: "signal.apart", Severity: finding.Look, Title: "ignition beside low-level",
	Text:   "Ignition circuits run at most 300 mm beside a low-level or thermocouple circuit that is neither in a cable nor twisted.",
	Source: source.Ref{Kind: source.Practice, Doc: "signal-rules", Where: "separation"}}

// Rules of the family.
var Rules = []*finding.Rule{RuleEnds, RuleLength, RuleStub, RuleTwist, RuleShield, RuleMetal, RuleApart}

const (
	busMetres  = 40.0  // "bus length" in m
	stubMM     = 300.0 // "bus stub" in mm
	togetherMM = 300.0 // judgement: what two circuits share at a connector can't be avoided
)

type judge struct {
	d   *design.Design
	p   *plan.Plan
	t   *plan.Things
	of  [][]int // wires by circuit
	out []finding.Verdict
}

// Run judges a plan.
func Run(d *design.Design, _ part.Catalogue, p *plan.Plan) []finding.Verdict {
	j := &judge{d: d, p: p, t: &p.Things, of: make([][]int, len(p.Things.Circuits))}
	for i := range p.Wires.List {
		c := p.Wires.List[i].Circuit
		j.of[c] = append(j.of[c], i)
	}
	for c := range j.t.Circuits {
		class := j.t.Circuits[c].Class.Value
		ends := j.p.Ends.Of[c]
		if len(ends) < 2 {
			continue
		}
		switch class {
		case "data":
			j.bus(c)
			j.twisted(c)
		case "low-level":
			j.twisted(c)
		case "shield":
			j.shield(c)
		case "thermocouple":
			j.metal(c)
		}
	}
	j.apart()
	return j.out
}

func (j *judge) circuit(c int, field string) finding.Place {
	row := &j.d.Circuits[j.t.Circuits[c].Rows[0].Design]
	cell := row.Class.At
	if field == "twist" {
		cell = row.Twist.At
	}
	return finding.Place{Kind: "circuit", ID: j.t.Circuits[c].Name, Field: field, Cell: cell}
}

// bus judges the high side of a pair; what holds for it holds for both.
func (j *judge) bus(c int) {
	var terminated []int // ends
	high, open := false, len(j.p.Ends.Of[c]) < len(j.t.Circuits[c].Ends)
	for _, i := range j.p.Ends.Of[c] {
		e := &j.p.Ends.List[i]
		high = high || e.Role == part.BusHigh
		open = open || e.Stud < 0 && (e.Device < 0 || e.PinIndex < 0)
		if e.Device < 0 || e.PinIndex < 0 || j.t.Devices[e.Device].Part == nil {
			continue
		}
		p := j.t.Devices[e.Device].Part
		name := p.Pins[e.PinIndex].Name
		for k := range p.Links {
			if l := &p.Links[k]; l.Kind == part.Terminator && (l.From == name || l.To == name) && l.Ohm >= 108 && l.Ohm <= 132 {
				terminated = append(terminated, i)
			}
		}
	}
	if !high || open {
		return // an end that leads nowhere has been reported: it may be a terminator
	}
	v := finding.Judge(RuleEnds, j.circuit(c, "termination"), math.Abs(float64(len(terminated)-2)), finding.Limit{AtMost: true, Value: 0, Unit: "terminators missing or too many"},
		fmt.Sprintf("%s has %d terminators of 120 Ω, exactly 2 are wanted", j.t.Circuits[c].Name, len(terminated)))
	v.Fixes = []finding.Fix{{Text: "use parts with a terminator at the two ends of the line, and none between"}}
	j.add(v)
	total, stubs := j.line(c, terminated)
	most, _ := j.d.Number("bus length", busMetres)
	a, b := quantity.Apart(total, most, 1)
	j.add(finding.Judge(RuleLength, j.circuit(c, "length"), total, finding.Limit{AtMost: true, Value: most, Unit: "m"}, fmt.Sprintf("%s is %s m long, at most %s m", j.t.Circuits[c].Name, a, b)))
	limit, _ := j.d.Number("bus stub", stubMM)
	for _, s := range stubs {
		a, b := quantity.Apart(s.mm, limit, 0)
		e := &j.p.Ends.List[s.end]
		v := finding.Judge(RuleStub, finding.Place{Kind: "circuit", ID: j.t.Circuits[c].Name, Field: "stub to " + j.t.Devices[e.Device].Name, Cell: j.circuit(c, "").Cell}, s.mm, finding.Limit{AtMost: true, Value: limit, Unit: "mm"},
			fmt.Sprintf("%s: the branch to %s is %s mm, at most %s mm", j.t.Circuits[c].Name, j.t.Devices[e.Device].Name, a, b))
		v.Fixes = []finding.Fix{{Text: "run the line through this device's place, or put the terminator here"}}
		j.add(v)
	}
}

func (j *judge) add(v finding.Verdict) { j.out = append(j.out, v) }

type stub struct {
	end int
	mm  float64
}

// line measures the way between the two terminators and how far each other
// end is off it. Without two it measures everything and no stub.
func (j *judge) line(c int, terminated []int) (metres float64, stubs []stub) {
	type node struct {
		kind plan.EndKind
		id   int
	}
	at := func(e *plan.WireEnd) node {
		switch e.Kind {
		case plan.AtCavity:
			return node{e.Kind, e.Crossing}
		case plan.AtSplice:
			return node{e.Kind, e.Splice}
		}
		return node{plan.AtPin, e.End}
	}
	type arc struct {
		to node
		mm float64
	}
	near := map[node][]arc{}
	for _, i := range j.of[c] {
		w := &j.p.Wires.List[i]
		if w.Parallel > 1 {
			continue
		}
		mm := 0.0
		for _, l := range w.Legs {
			mm += j.t.Legs[l].Length.Value.MM()
		}
		metres += mm / 1e3
		a, b := at(&w.From), at(&w.To)
		near[a] = append(near[a], arc{b, mm})
		near[b] = append(near[b], arc{a, mm})
	}
	if len(terminated) != 2 {
		return metres, nil
	}
	// On a tree the way between the terminators is found by walking from one.
	back := map[node]node{}
	start, goal := node{plan.AtPin, terminated[0]}, node{plan.AtPin, terminated[1]}
	walk := []node{start}
	back[start] = start
	for len(walk) > 0 {
		n := walk[0]
		walk = walk[1:]
		for _, a := range near[n] {
			if _, ok := back[a.to]; !ok {
				back[a.to] = n
				walk = append(walk, a.to)
			}
		}
	}
	if _, ok := back[goal]; !ok {
		return metres, nil
	}
	on := map[node]bool{start: true}
	for n := goal; n != start; n = back[n] {
		on[n] = true
	}
	length := func(a, b node) float64 {
		for _, x := range near[a] {
			if x.to == b {
				return x.mm
			}
		}
		return 0
	}
	line := 0.0
	for n := goal; n != start; n = back[n] {
		line += length(n, back[n])
	}
	for _, i := range j.p.Ends.Of[c] {
		n := node{plan.AtPin, i}
		if _, ok := back[n]; !ok || on[n] || j.p.Ends.List[i].Device < 0 {
			continue
		}
		mm := 0.0
		for !on[n] {
			mm += length(n, back[n])
			n = back[n]
		}
		stubs = append(stubs, stub{i, mm})
	}
	return line / 1e3, stubs
}

func (j *judge) twisted(c int) {
	q := &j.t.Circuits[c]
	what := q.Name + " (" + q.Class.Value + ")"
	if q.Cable >= 0 || q.Twist != "" && len(q.Kin) > 1 {
		j.add(finding.Pass(RuleTwist, j.circuit(c, "twist"), what+" runs twisted or in a cable"))
		return
	}
	j.add(finding.Say(RuleTwist, j.circuit(c, "twist"), what+" runs as a single wire", "give it and its partner the same text in the column twist, or a cable"))
}

func (j *judge) shield(c int) {
	grounds := 0
	for _, i := range j.p.Ends.Of[c] {
		e := &j.p.Ends.List[i]
		if e.Stud >= 0 || e.Role == part.Shield && isReader(j.t, e) || e.Role == part.Ground || e.Role == part.SensorReturn || e.Role == part.Case {
			grounds++
		}
	}
	v := finding.Judge(RuleShield, j.circuit(c, "shield"), math.Abs(float64(grounds-1)), finding.Limit{AtMost: true, Value: 0, Unit: "grounds missing or too many"}, fmt.Sprintf("%s is grounded at %d points, exactly 1 is wanted", j.t.Circuits[c].Name, grounds))
	v.Fixes = []finding.Fix{{Text: "ground it at the controller only"}}
	j.add(v)
}

func isReader(t *plan.Things, e *plan.End) bool {
	p := t.Devices[e.Device].Part
	return p != nil && slices.Contains([]string{"controller", "logger", "module", "amplifier", "dash"}, p.Kind)
}

func (j *judge) metal(c int) {
	name := j.t.Circuits[c].Name
	for _, i := range j.of[c] {
		w := &j.p.Wires.List[i]
		place := j.circuit(c, "wire")
		switch {
		case w.From.Kind == plan.AtSplice || w.To.Kind == plan.AtSplice:
			j.add(finding.Say(RuleMetal, place, name+" has a splice", "run it in one piece"))
		case !strings.HasPrefix(j.p.Sizes.Wires[i].Family.Value, "KX") && !j.thermocouple(w.Cable):
			j.add(finding.Say(RuleMetal, place, name+" runs in copper wire "+j.p.Sizes.Wires[i].Family.Value, "give it a thermocouple extension cable"))
		default:
			j.add(finding.Pass(RuleMetal, place, name+" runs in its own metals"))
		}
	}
}

// thermocouple reports whether a cable is made of thermocouple metals.
func (j *judge) thermocouple(cable int) bool {
	if cable < 0 || j.t.Cables[cable].Part == nil {
		return false
	}
	return strings.HasPrefix(j.t.Cables[cable].Part.Use, "thermocouple")
}

// apart looks at each leg with ignition in it for signals that mind.
func (j *judge) apart() {
	type pair struct{ signal, ignition int }
	shared := map[pair]float64{}
	in := make([][]int, len(j.t.Legs)) // circuits by leg
	for c := range j.of {
		for _, i := range j.of[c] {
			for _, l := range j.p.Wires.List[i].Legs {
				if !slices.Contains(in[l], c) {
					in[l] = append(in[l], c)
				}
			}
		}
	}
	for l := range in {
		for _, a := range in[l] {
			if j.t.Circuits[a].Class.Value != "ignition" {
				continue
			}
			for _, b := range in[l] {
				if j.minds(b) {
					shared[pair{b, a}] += j.t.Legs[l].Length.Value.MM()
				}
			}
		}
	}
	keys := slices.SortedFunc(maps.Keys(shared), func(a, b pair) int { return cmp.Or(a.signal-b.signal, a.ignition-b.ignition) })
	for b := range j.of {
		if !j.minds(b) || len(j.of[b]) == 0 {
			continue
		}
		beside, most := -1, 0.0
		for ; len(keys) > 0 && keys[0].signal == b; keys = keys[1:] {
			if mm := shared[keys[0]]; mm > most {
				beside, most = keys[0].ignition, mm
			}
		}
		place := finding.Place{Kind: "circuit", ID: j.t.Circuits[b].Name, Field: "way", Cell: j.t.Circuits[b].At("twist")}
		limit := finding.Limit{AtMost: true, Value: togetherMM, Unit: "mm"}
		if beside < 0 {
			j.add(finding.Judge(RuleApart, place, 0, limit, j.t.Circuits[b].Name+" runs beside no ignition"))
			continue
		}
		x, y := quantity.Apart(most, togetherMM, 0)
		v := finding.Judge(RuleApart, place, most, limit, fmt.Sprintf("%s runs %s mm beside %s, at most %s mm", j.t.Circuits[b].Name, x, j.t.Circuits[beside].Name, y))
		v.Fixes = []finding.Fix{{Text: "a shielded pair, or keep ignition out of one of the legs"}}
		j.add(v)
	}
}

// minds says whether ignition beside a circuit disturbs it.
func (j *judge) minds(c int) bool {
	q := &j.t.Circuits[c]
	return (q.Class.Value == "low-level" || q.Class.Value == "thermocouple") && q.Cable < 0 && q.Twist == ""
}
