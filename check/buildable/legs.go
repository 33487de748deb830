package buildable

import (
	"fmt"

	"keyon/model/finding"
	"keyon/model/plan"
	"keyon/model/source"
	"keyon/num/quantity"
)

// RuleHole: the leg goes through its smallest hole.
var RuleHole = &finding.Rule{ID: "buildable.hole", Severity: finding.Stop, Title: "loom thicker than the hole",
	Text:   "With its covering on, a leg is at most as thick as the smallest hole on its way.",
	Source: source.Ref{Kind: source.Physics, Doc: "geometry"}}

// RuleBundle: a leg stays workable.
var RuleBundle = &finding.Rule{ID: "buildable.bundle", Severity: finding.Look, Title: "bundle too large",
	Text:   "A bundle has at most 75 wires and is at most 2 in (50.8 mm) thick, where practical.",
	Source: source.Ref{Kind: source.Standard, Doc: "FAA-H-8083", Where: "wire groups and bundles: 75 wires or 2 in", Status: source.Seen}}

// RulePass: what covers a leg goes over what it must pass.
var RulePass = &finding.Rule{ID: "buildable.pass", Severity: finding.Look, Title: "sleeve doesn't go over",
	Text:   "Expanded, a sleeve is at least 1.2 times as wide inside as the leg; recovered, at most 0.9 times (\"sleeve over\" and \"sleeve grip\" in Limits).",
	Source: source.Ref{Kind: source.Judgement, Doc: "workmanship", Where: "sleeving margin", Status: source.Memory}}

// RuleEntry: the bundle goes into the connector's rear.
var RuleEntry = &finding.Rule{ID: "buildable.entry", Severity: finding.Look, Title: "bundle thicker than the connector's rear",
	Text:   "A leg that ends in one connector is at most as thick as the opening behind its grommet.",
	Source: source.Ref{Kind: source.Standard, Doc: "MIL-DTL-38999", Where: "fig. 10, grommet diameter", Status: source.Seen}}

const mostWires, mostDiameter = 75, 50.8 // wires; mm

func (j *judge) legs() {
	for l := range j.t.Legs {
		leg, b := &j.t.Legs[l], &j.p.Bundles.Legs[l]
		if b.Diameter <= 0 {
			continue
		}
		place := finding.Place{Kind: "leg", ID: leg.Name, Field: "hole"}
		if leg.Hole > 0 {
			d, h := quantity.Apart(b.Covered.MM(), leg.Hole.MM(), 1)
			v := finding.Judge(RuleHole, place, b.Covered.MM(), finding.Limit{AtMost: true, Value: leg.Hole.MM(), Unit: "mm"}, fmt.Sprintf("leg %s is %s mm thick with its covering, its hole %s mm", leg.Name, d, h))
			for i := range j.d.Legs {
				if j.d.Legs[i].ID == leg.ID {
					v.Place.Cell = j.d.Legs[i].Hole.At
				}
			}
			v.Fixes = []finding.Fix{{Text: "a larger hole, or another way for some of its circuits"}}
			j.add(v)
		}
		place.Field = "wires"
		v := finding.Judge(RuleBundle, place, float64(len(b.Wires)), finding.Limit{AtMost: true, Value: mostWires, Unit: "wires"}, fmt.Sprintf("leg %s has %s, %s mm thick", leg.Name, plural(len(b.Wires), "wire"), quantity.Text(b.Diameter.MM(), 1)))
		if b.Diameter.MM() > mostDiameter {
			v = finding.Judge(RuleBundle, place, b.Diameter.MM(), finding.Limit{AtMost: true, Value: mostDiameter, Unit: "mm"}, v.What)
		}
		v.Fixes = []finding.Fix{{Text: "split the bundle over two ways"}}
		j.add(v)
		if s, ok := j.c.Sleeves[b.Sleeve.Value]; ok && b.Sleeve.Settled() && s.Expanded > 0 {
			over, _ := j.d.Number("sleeve over", 1.2)
			grip, _ := j.d.Number("sleeve grip", 0.9)
			place := finding.Place{Kind: "leg", ID: leg.Name, Field: "sleeve", Cell: leg.Sleeve.At}
			e, need := quantity.Apart(s.Expanded.MM(), over*b.Diameter.MM(), 1)
			v := finding.Judge(RulePass, place, s.Expanded.MM(), finding.Limit{Value: over * b.Diameter.MM(), Unit: "mm"}, fmt.Sprintf("%s is %s mm wide inside, at least %s mm to go over leg %s", s.ID, e, need, leg.Name))
			if v.OK && s.Recovered > 0 && s.Recovered.MM() > grip*b.Diameter.MM() {
				r, most := quantity.Apart(s.Recovered.MM(), grip*b.Diameter.MM(), 1)
				v = finding.Judge(RulePass, place, s.Recovered.MM(), finding.Limit{AtMost: true, Value: grip * b.Diameter.MM(), Unit: "mm"}, fmt.Sprintf("%s shrinks to %s mm inside, at most %s mm to grip leg %s", s.ID, r, most, leg.Name))
			}
			v.Fixes = []finding.Fix{{Text: "leave the sleeve blank to have one chosen"}}
			j.add(v)
		}
	}
}

// allInto says whether every wire ends in one connector of a device: then the
// leg goes into its rear as it is.
func (j *judge) allInto(wires []int, device, connector int) bool {
	for _, i := range wires {
		w, into := &j.p.Wires.List[i], false
		for _, e := range []*plan.WireEnd{&w.From, &w.To} {
			if e.Kind == plan.AtPin && e.End >= 0 {
				q := &j.p.Ends.List[e.End]
				into = into || q.Device == device && q.Connector == connector
			}
		}
		if !into {
			return false
		}
	}
	return true
}

// entries judges each connector against the leg that ends at it alone.
func (j *judge) entries() {
	at := make([][]int, len(j.t.Places))
	for l := range j.t.Legs {
		for _, p := range []int{j.t.Legs[l].From, j.t.Legs[l].To} {
			if p >= 0 {
				at[p] = append(at[p], l)
			}
		}
	}
	count := make([]int, len(j.t.Places)) // connectors that share a place share its leg
	for d := range j.t.Devices {
		for _, k := range j.t.Devices[d].Connectors {
			if k.Place >= 0 {
				count[k.Place]++
			}
		}
	}
	for d := range j.t.Devices {
		for n, k := range j.t.Devices[d].Connectors {
			if k.Part == nil || k.Part.Entry <= 0 || k.Place < 0 || count[k.Place] > 1 || len(at[k.Place]) != 1 {
				continue
			}
			b := &j.p.Bundles.Legs[at[k.Place][0]]
			if b.Diameter <= 0 || !j.allInto(b.Wires, d, n) {
				continue
			}
			dia, most := quantity.Apart(b.Diameter.MM(), k.Part.Entry.MM(), 1)
			v := finding.Judge(RuleEntry, finding.Place{Kind: "device", ID: j.t.Devices[d].Name, Field: "connector", Cell: j.t.Devices[d].At("part")}, b.Diameter.MM(), finding.Limit{AtMost: true, Value: k.Part.Entry.MM(), Unit: "mm"},
				fmt.Sprintf("the bundle into %s is %s mm, the rear of %s takes %s mm", j.t.Devices[d].Name, dia, k.Part.ID, most))
			v.Fixes = []finding.Fix{{Text: "a larger shell or backshell, or fewer wires at this place"}}
			j.add(v)
		}
	}
}
