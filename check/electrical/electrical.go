// Package electrical judges currents, volts and protection of the finished
// plan, given values and worked-out ones alike: capacity, drop, least volts,
// protection, what pins, contacts, banks and cases may carry, roles and
// sensor returns.
//
// It works from design, catalogue and plan, and recomputes capacities from
// the bundles rather than trusting size's arithmetic. What is wired at all is
// check/complete's; isolator and faults have families of their own.
package electrical

import (
	"keyon/model/design"
	"keyon/model/finding"
	"keyon/model/network"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/model/settle"
)

// Rules of the family.
var Rules = []*finding.Rule{RuleCapacity, RuleDrop, RuleBus, RuleLeast, RuleUnfed, RuleProtects, RulePin, RuleContact, RuleBank, RuleRole, RuleReturn, RuleShare}

// judge carries what the rules of one run share.
type judge struct {
	d    *design.Design
	c    part.Catalogue
	p    *plan.Plan
	t    *plan.Things
	ways *network.Ways
	out  []finding.Verdict

	rows   map[string]int // by wire ID: its row of the table Wires that gives a gauge
	atEnds [][]float64    // by state: what atEnd found
	over   map[int]bool   // ends whose pin carries too much
}

// Run judges a plan.
func Run(d *design.Design, c part.Catalogue, p *plan.Plan) []finding.Verdict {
	if len(p.Sizes.Wires) != len(p.Wires.List) {
		return nil
	}
	j := &judge{d: d, c: c, p: p, t: &p.Things, over: map[int]bool{}, ways: network.NewWays(&p.Things, &p.Ends, &p.Cavities, &p.Wires)}
	j.rows = map[string]int{}
	for k := range d.Wires {
		if _, twice := j.rows[d.Wires[k].Name]; !twice && d.Wires[k].Gauge.State == settle.Given {
			j.rows[d.Wires[k].Name] = k
		}
	}
	j.capacity()
	j.drop()
	j.bus(j.least())
	j.unfed()
	j.protects()
	j.pins()
	j.contacts()
	j.banks()
	j.roles()
	j.returns()
	j.shares()
	return finding.Once(j.out)
}

func (j *judge) add(v finding.Verdict) { j.out = append(j.out, v) }

// wire is the place of a wire's finding: the gauge of the row whose way it is,
// or its circuit where it belongs to the ways of several.
func (j *judge) wire(i int, field string) finding.Place {
	w := &j.p.Wires.List[i]
	place := finding.Place{Kind: "wire", ID: w.ID, Field: field, Cell: j.t.Circuits[w.Circuit].At("circuit")}
	if k, ok := j.rows[w.ID]; ok {
		place.Cell = j.d.Wires[k].Gauge.At
		return place
	}
	if w.Row >= 0 {
		place.Cell = j.d.Circuits[j.t.Circuits[w.Circuit].Rows[w.Row].Design].Gauge.At
	}
	return place
}

// named starts a sentence about a wire: its circuit.
func (j *judge) named(i int) string { return j.t.Circuits[j.p.Wires.List[i].Circuit].Name }

// blankGauge is the fix for a gauge that a person gave.
func (j *judge) blankGauge(i int, place finding.Place) []finding.Fix {
	if j.p.Sizes.Wires[i].Gauge.Origin != settle.FromUser {
		return []finding.Fix{{Text: "shorten the way, split the load, or allow a larger contact"}}
	}
	return []finding.Fix{{Text: "leave the gauge blank to have it worked out", Edit: &finding.Edit{Cell: place.Cell}}}
}

func abs(x float64) float64 { return max(x, -x) }
