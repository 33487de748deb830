package electrical

import (
	"fmt"
	"slices"

	"keyon/model/finding"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/model/settle"
	"keyon/model/source"
	"keyon/num/quantity"
)

// RulePin: a pin carries no more than its part allows.
var RulePin = &finding.Rule{ID: "electrical.pin", Severity: finding.Stop, Title: "pin overloaded",
	Text:   "The current at a pin is at most what its part says. States under five minutes are judged by peak ratings, which the part's maker gives; they are left out here.",
	Source: source.Ref{Kind: source.Datasheet, Doc: "part", Where: "pin rating"}}

// RuleContact: a contact carries no more than its rating.
var RuleContact = &finding.Rule{ID: "electrical.contact", Severity: finding.Stop, Title: "contact overloaded",
	Text:   "The current through a crimped contact is at most the current its standard tests it with. In states under five minutes twice that is let pass (judgement).",
	Source: source.Ref{Kind: source.Standard, Doc: "MIL-DTL-38999", Where: "contact test current", Status: source.Seen}}

// RuleBank: the outputs of a bank, and of a whole device, together.
var RuleBank = &finding.Rule{ID: "electrical.bank", Severity: finding.Stop, Title: "bank or case overloaded",
	Text:   "The currents of all outputs of a bank, of a 5 V sensor supply, and of a whole module, add up to at most what its part allows.",
	Source: source.Ref{Kind: source.Datasheet, Doc: "part", Where: "bank and case rating"}}

// atEnd is the current at each end of the design in a state.
func (j *judge) atEnd(state int) []float64 {
	if j.atEnds == nil {
		j.atEnds = make([][]float64, len(j.p.Power.States))
	}
	if j.atEnds[state] != nil {
		return j.atEnds[state]
	}
	sum := make([]float64, len(j.p.Ends.List))
	for i := range j.p.Wires.List {
		w := &j.p.Wires.List[i]
		a := float64(j.p.Power.States[state].Amps[i])
		if w.From.End >= 0 && (w.From.Kind == plan.AtPin || w.From.Kind == plan.AtLead) {
			sum[w.From.End] += a
		}
		if w.To.End >= 0 && (w.To.Kind == plan.AtPin || w.To.Kind == plan.AtLead) {
			sum[w.To.End] -= a
		}
	}
	j.atEnds[state] = sum
	return sum
}

func (j *judge) pins() {
	type tight struct {
		amps  float64
		state int
	}
	most := make([]tight, len(j.p.Ends.List))
	for s := range j.p.Power.States {
		if short(&j.t.States[s]) {
			continue
		}
		for e, a := range j.atEnd(s) {
			if abs(a) > most[e].amps {
				most[e] = tight{abs(a), s}
			}
		}
	}
	for e := range most {
		q := &j.p.Ends.List[e]
		if q.Device < 0 || q.PinIndex < 0 || j.t.Devices[q.Device].Part == nil || most[e].amps == 0 {
			continue
		}
		pin := &j.t.Devices[q.Device].Part.Pins[q.PinIndex]
		if pin.Amps <= 0 {
			continue
		}
		name := j.t.Devices[q.Device].Name
		a, l := quantity.Apart(most[e].amps, float64(pin.Amps), 2)
		v := finding.Judge(RulePin, j.end(e), most[e].amps, finding.Limit{AtMost: true, Value: float64(pin.Amps), Unit: "A"},
			fmt.Sprintf("%s pin %s carries %s A in %s, at most %s A", name, pin.Name, a, j.t.States[most[e].state].Name, l))
		v.Fixes = []finding.Fix{{Text: "move the load to a larger pin, or share it over two"}}
		j.add(v)
		if !v.OK {
			j.over[e] = true
		}
	}
}

// end is the place of an end: the pin's cell of its circuit row.
func (j *judge) end(e int) finding.Place {
	q := &j.p.Ends.List[e]
	place := finding.Place{Kind: "circuit", ID: j.t.Circuits[q.Circuit].Name, Field: "pin", Cell: j.t.Circuits[q.Circuit].At("circuit")}
	if q.Row >= 0 {
		r := &j.d.Circuits[j.t.Circuits[q.Circuit].Rows[q.Row].Design]
		place.Field, place.Cell = "to pin", r.ToPin.At
		if len(q.ID) > 5 && q.ID[len(q.ID)-5:] == "/from" {
			place.Field, place.Cell = "from pin", r.FromPin.At
		}
	}
	return place
}

// contacts judges each wire at the contact that is loaded most; where the pin
// behind it is overloaded, that has been said.
func (j *judge) contacts() {
	for i := range j.p.Wires.List {
		w, z := &j.p.Wires.List[i], &j.p.Sizes.Wires[i]
		most, amps, state, contact := 0.0, 0.0, -1, ""
		for n, id := range []string{z.From.Contact, z.To.Contact} {
			end := []*plan.WireEnd{&w.From, &w.To}[n]
			k := j.c.Contacts[id]
			if k == nil || k.Amps <= 0 || end.Kind == plan.AtPin && j.over[end.End] {
				continue
			}
			for s := range j.p.Power.States {
				a, limit := abs(float64(j.p.Power.States[s].Amps[i])), float64(k.Amps)
				if short(&j.t.States[s]) {
					limit *= 2
				}
				if a/limit > most {
					most, amps, state, contact = a/limit, a, s, id
				}
			}
		}
		if state < 0 {
			continue
		}
		a, l := quantity.Apart(amps, amps/most, 2)
		v := finding.Judge(RuleContact, j.wire(i, "contact"), amps, finding.Limit{AtMost: true, Value: amps / most, Unit: "A"},
			fmt.Sprintf("%s: contact %s carries %s A in %s, at most %s A", j.named(i), contact, a, j.t.States[state].Name, l))
		v.Fixes = []finding.Fix{{Text: "use a larger contact, or two"}}
		j.add(v)
	}
}

func (j *judge) banks() {
	at := make([][]int, len(j.t.Devices)) // by device: its ends
	for e := range j.p.Ends.List {
		if q := &j.p.Ends.List[e]; q.Device >= 0 && q.PinIndex >= 0 {
			at[q.Device] = append(at[q.Device], e)
		}
	}
	for d := range j.t.Devices {
		p := j.t.Devices[d].Part
		if p == nil || p.CaseAmps <= 0 && len(p.GroupAmps) == 0 {
			continue
		}
		name := j.t.Devices[d].Name
		worst, state := map[string]float64{}, map[string]int{}
		for s := range j.p.Power.States {
			if short(&j.t.States[s]) {
				continue
			}
			total := map[string]float64{}
			ends := j.atEnd(s)
			for _, e := range at[d] {
				pin := &p.Pins[j.p.Ends.List[e].PinIndex]
				if !slices.Contains([]part.Role{part.SwitchedOut, part.SupplyOut, part.HalfBridge, part.LowSide, part.Injector, part.SensorSupply}, pin.Role) {
					continue
				}
				total[""] += abs(ends[e])
				if pin.Group != "" {
					total[pin.Group] += abs(ends[e])
				}
			}
			for k, a := range total {
				if a > worst[k] {
					worst[k], state[k] = a, s
				}
			}
		}
		names := []string{""}
		for g := range p.GroupAmps {
			names = append(names, g)
		}
		slices.Sort(names)
		for _, g := range names {
			limit, what := float64(p.GroupAmps[g]), "bank "+g
			if g == "" {
				limit, what = float64(p.CaseAmps), "all outputs together"
			}
			if limit <= 0 || worst[g] == 0 {
				continue
			}
			a, l := quantity.Apart(worst[g], limit, 1)
			v := finding.Judge(RuleBank, finding.Place{Kind: "device", ID: name, Field: what, Cell: j.t.Devices[d].At("part")}, worst[g], finding.Limit{AtMost: true, Value: limit, Unit: "A"},
				fmt.Sprintf("%s, %s: %s A in %s, at most %s A", name, what, a, j.t.States[state[g]].Name, l), settle.Num("outputs", worst[g], "A"))
			v.Fixes = []finding.Fix{{Text: "move loads to another bank or feed"}}
			j.add(v)
		}
	}
}
