// Package buildable judges whether hands can make what the plan says: wire in
// contact and seal, bundles through holes and connector rears, splices that
// can be reached, lugs that fit on a stud, sleeves that go over.
//
// It works from design, catalogue and plan. Whether currents and volts are
// right is check/electrical's.
package buildable

import (
	"fmt"
	"slices"

	"keyon/model/design"
	"keyon/model/finding"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/model/settle"
)

// Rules of the family.
var Rules = []*finding.Rule{RuleGauge, RuleSeal, RuleHole, RuleEntry, RuleBundle, RuleSplice, RuleReach, RuleLugs, RulePass, RuleFigures}

// judge carries what the rules of one run share.
type judge struct {
	d   *design.Design
	c   part.Catalogue
	p   *plan.Plan
	t   *plan.Things
	out []finding.Verdict
}

// Run judges a plan.
func Run(d *design.Design, c part.Catalogue, p *plan.Plan) []finding.Verdict {
	if len(p.Sizes.Wires) != len(p.Wires.List) || len(p.Bundles.Legs) != len(p.Things.Legs) {
		return nil
	}
	j := &judge{d: d, c: c, p: p, t: &p.Things}
	j.ends()
	j.legs()
	j.entries()
	j.splices()
	j.lugs()
	return finding.Once(j.out)
}

func (j *judge) add(v finding.Verdict) { j.out = append(j.out, v) }

func (j *judge) wire(i int, field string) finding.Place {
	w := &j.p.Wires.List[i]
	place := finding.Place{Kind: "wire", ID: w.ID, Field: field, Cell: j.t.Circuits[w.Circuit].At("circuit")}
	for k := range j.d.Wires {
		if r := &j.d.Wires[k]; r.Name == w.ID && r.Gauge.State == settle.Given {
			place.Cell = r.Gauge.At
			return place
		}
	}
	if w.Row >= 0 {
		place.Cell = j.d.Circuits[j.t.Circuits[w.Circuit].Rows[w.Row].Design].Gauge.At
	}
	return place
}

// cavity is what a wire's end goes into, and the words for it; nil for none.
func (j *judge) cavity(e *plan.WireEnd) (k *part.Connector, c *part.Cavity, gender, words string) {
	name := ""
	switch {
	case e.Kind == plan.AtCavity && e.Crossing >= 0:
		x := &j.p.Cavities.Crossings[e.Crossing]
		k, name, gender = j.p.Cavities.Joins[x.Join].Connector, x.Cavity.Value, "pin"
		if j.p.Cavities.Joins[x.Join].Sockets.Value == e.Half {
			gender = "socket"
		}
		words = j.t.Joins[x.Join].Name + " cavity " + name
	case e.Kind == plan.AtPin && e.End >= 0:
		q := &j.p.Ends.List[e.End]
		if q.Device < 0 || q.Connector < 0 {
			return
		}
		k, name = j.t.Devices[q.Device].Connectors[q.Connector].Part, q.Cavity
		words = j.t.Devices[q.Device].Name + " cavity " + name
		if k != nil {
			if gender = k.Gender; gender == "" {
				gender = "socket"
			}
		}
	}
	if k == nil {
		return
	}
	if i := slices.IndexFunc(k.Cavities, func(c part.Cavity) bool { return c.Name == name }); i >= 0 {
		c = &k.Cavities[i]
	}
	return
}

func plural(n int, word string) string {
	if n == 1 {
		return "1 " + word
	}
	return fmt.Sprintf("%d %ss", n, word)
}
