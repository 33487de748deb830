package buildable

import (
	"fmt"

	"keyon/model/finding"
	"keyon/model/plan"
	"keyon/model/source"
	"keyon/num/quantity"
)

// RuleSplice: no wire has more than one splice between two connectors.
var RuleSplice = &finding.Rule{ID: "buildable.splice", Severity: finding.Look, Title: "splice after splice",
	Text:   "A segment between two connectors or terminals has at most one splice. The line of a data bus is excepted.",
	Source: source.Ref{Kind: source.Standard, Doc: "AC 43.13-1B", Where: "11-167c", Status: source.Seen}}

// RuleReach: a splice keeps clear of connectors.
var RuleReach = &finding.Rule{ID: "buildable.reach", Severity: finding.Note, Title: "splice close to a termination",
	Text:   "A splice lies at least 12 in (305 mm) from a connector or terminal (\"splice reach\" in Limits).",
	Source: source.Ref{Kind: source.Standard, Doc: "NASA-STD-8739.4", Where: "splice to termination, practice", Status: source.Memory}}

// RuleLugs: a stud holds no more lugs than allowed.
var RuleLugs = &finding.Rule{ID: "buildable.lugs", Severity: finding.Stop, Title: "too many lugs on a stud",
	Text:   "A stud takes at most four lugs, or as many as the design says.",
	Source: source.Ref{Kind: source.Standard, Doc: "AC 43.13-1B", Where: "11-174: at most 4 terminals a stud", Status: source.Seen}}

const splicesReach = 305 // mm

func (j *judge) splices() {
	reach, _ := j.d.Number("splice reach", splicesReach)
	for i := range j.p.Wires.List {
		w := &j.p.Wires.List[i]
		if w.From.Kind != plan.AtSplice && w.To.Kind != plan.AtSplice {
			continue
		}
		name := j.t.Circuits[w.Circuit].Name
		place := finding.Place{Kind: "circuit", ID: name, Field: "splice", Cell: j.t.Circuits[w.Circuit].At("circuit")}
		if w.From.Kind == plan.AtSplice && w.To.Kind == plan.AtSplice && j.t.Circuits[w.Circuit].Class.Value != "data" { // a bus is a line from splice to splice
			v := finding.Say(RuleSplice, place, fmt.Sprintf("%s: the wire from %s to %s has a splice at both ends", name, j.t.Places[w.From.Place].Name, j.t.Places[w.To.Place].Name), "join all wires in one splice, or use a stud or a join")
			j.add(v)
			continue
		}
		if i >= len(j.p.Cuts.Wires) || j.p.Cuts.Wires[i].Length <= 0 {
			continue
		}
		l := j.p.Cuts.Wires[i].Length.MM()
		a, b := quantity.Apart(l, reach, 0)
		j.add(finding.Judge(RuleReach, place, l, finding.Limit{Value: reach, Unit: "mm"}, fmt.Sprintf("%s: splice at %s is %s mm from the end of its wire, at least %s mm", name, j.t.Places[j.p.Wires.Splices[spliceOf(w)].Place].Name, a, b)))
	}
}

func spliceOf(w *plan.Wire) int {
	if w.From.Kind == plan.AtSplice {
		return w.From.Splice
	}
	return w.To.Splice
}

func (j *judge) lugs() {
	on := make([]int, len(j.t.Studs))
	for i := range j.p.Wires.List {
		w := &j.p.Wires.List[i]
		for _, e := range []*plan.WireEnd{&w.From, &w.To} {
			if e.Kind == plan.AtStud && e.End >= 0 {
				if s := j.p.Ends.List[e.End].Stud; s >= 0 {
					on[s]++
				}
			}
		}
	}
	for s := range j.t.Studs {
		q := &j.t.Studs[s]
		if on[s] == 0 {
			continue
		}
		most := q.MostLugs
		v := finding.Judge(RuleLugs, finding.Place{Kind: "stud", ID: q.Name, Field: "most lugs"}, float64(on[s]), finding.Limit{AtMost: true, Value: float64(most), Unit: "lugs"},
			fmt.Sprintf("%s on stud %s, at most %d", plural(on[s], "lug"), q.Name, most))
		for i := range j.d.Studs {
			if j.d.Studs[i].ID == q.ID {
				v.Place.Cell = j.d.Studs[i].MostLugs.At
			}
		}
		v.Fixes = []finding.Fix{{Text: "another stud close by, or splice some of the grounds first"}}
		j.add(v)
	}
}
