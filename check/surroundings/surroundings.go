// Package surroundings judges parts against the zone they live in: heat and
// wet. What a conductor's own current adds is electrical.capacity's; distances
// to hot, moving and fuel-carrying bodies belong to clearance.
package surroundings

import (
	"fmt"
	"slices"

	"keyon/model/design"
	"keyon/model/finding"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/model/source"
	"keyon/num/quantity"
)

// RuleHeat: nothing is rated below the air it sits in.
var RuleHeat = &finding.Rule{ID: "surroundings.heat", Severity: finding.Stop, Title: "too hot for the part",
	Text:   "The temperature rating of wire, sleeve and connector is at least the worst ambient of every zone they pass.",
	Source: source.Ref{Kind: source.Physics, Doc: "temperature ratings of the parts"}}

// RuleWet: open connectors stay dry.
var RuleWet = &finding.Rule{ID: "surroundings.wet", Severity: finding.Look, Title: "open connector in a wet zone",
	Text:   "A connector in a zone exposed to splash, fuel or oil is a sealed one.",
	Source: source.Ref{Kind: source.Practice, Doc: "workmanship", Where: "sealed connectors"}}

// Rules of the family.
var Rules = []*finding.Rule{RuleHeat, RuleWet}

// Run judges a plan.
func Run(d *design.Design, c part.Catalogue, p *plan.Plan) []finding.Verdict {
	if len(p.Sizes.Wires) != len(p.Wires.List) || len(p.Bundles.Legs) != len(p.Things.Legs) {
		return nil
	}
	var out []finding.Verdict
	t := &p.Things
	for i := range p.Wires.List {
		w, q := &p.Wires.List[i], p.Sizes.Wires[i].Wire
		if q == nil || q.Temperature <= 0 {
			continue
		}
		hot, at := quantity.Celsius(-300), -1
		for _, l := range w.Legs {
			if t.Legs[l].Ambient > hot {
				hot, at = t.Legs[l].Ambient, l
			}
		}
		place := finding.Place{Kind: "wire", ID: w.ID, Field: "family", Cell: t.Circuits[w.Circuit].At("circuit")}
		if w.Row >= 0 {
			place.Cell = d.Circuits[t.Circuits[w.Circuit].Rows[w.Row].Design].Wire.At
		}
		name := t.Circuits[w.Circuit].Name
		if at >= 0 {
			v := heat(place, float64(q.Temperature), float64(hot), fmt.Sprintf("%s: %s wire in leg %s", name, q.Family, t.Legs[at].Name))
			v.Fixes = []finding.Fix{{Text: "a family rated for more, or another way"}}
			out = append(out, v)
		}
	}
	for l := range t.Legs {
		s, ok := c.Sleeves[p.Bundles.Legs[l].Sleeve.Value]
		if !ok || s.Temperature <= 0 || len(p.Bundles.Legs[l].Wires) == 0 {
			continue
		}
		v := heat(finding.Place{Kind: "leg", ID: t.Legs[l].Name, Field: "sleeve", Cell: t.Legs[l].Sleeve.At}, float64(s.Temperature), float64(t.Legs[l].Ambient), fmt.Sprintf("leg %s: sleeve %s", t.Legs[l].Name, s.ID))
		v.Fixes = []finding.Fix{{Text: "a sleeve rated for more, or leave it blank to have one chosen"}}
		out = append(out, v)
	}
	for i := range t.Devices {
		for n, k := range t.Devices[i].Connectors {
			same := func(o plan.Connector) bool { return o.Part == k.Part && o.Place == k.Place }
			if k.Part == nil || k.Place < 0 || slices.ContainsFunc(t.Devices[i].Connectors[:n], same) {
				continue
			}
			out = append(out, connector(t, finding.Place{Kind: "device", ID: t.Devices[i].Name, Field: "connector", Cell: t.Devices[i].At("place")}, t.Devices[i].Name, k.Part, k.Place)...)
		}
	}
	for i := range t.Joins {
		if k := p.Cavities.Joins[i].Connector; k != nil {
			for _, place := range []int{t.Joins[i].A, t.Joins[i].B} {
				if place >= 0 {
					out = append(out, connector(t, finding.Place{Kind: "join", ID: t.Joins[i].Name, Field: "part", Cell: t.Joins[i].Part.At}, t.Joins[i].Name, k, place)...)
				}
			}
		}
	}
	return finding.Once(out)
}

func connector(t *plan.Things, place finding.Place, name string, k *part.Connector, at int) []finding.Verdict {
	var out []finding.Verdict
	p := &t.Places[at]
	if k.Temperature > 0 {
		v := heat(place, float64(k.Temperature), float64(p.Ambient), fmt.Sprintf("connector of %s at %s", name, p.Name))
		v.Fixes = []finding.Fix{{Text: "move it, or use a part rated for more"}}
		out = append(out, v)
	}
	if p.Zone < 0 {
		return out
	}
	for _, wet := range []string{"splash", "fuel", "oil"} {
		if !slices.Contains(t.Zones[p.Zone].Exposures, wet) {
			continue
		}
		what := fmt.Sprintf("connector %s of %s at %s, exposed to %s", k.ID, name, p.Name, wet)
		if k.Sealed {
			out = append(out, finding.Pass(RuleWet, place, what))
		} else {
			out = append(out, finding.Say(RuleWet, place, what, "use a sealed connector, or move it to a dry zone"))
		}
		break
	}
	return out
}

func heat(place finding.Place, rated, air float64, what string) finding.Verdict {
	a, b := quantity.Apart(rated, air, 0)
	return finding.Judge(RuleHeat, place, rated, finding.Limit{Value: air, Unit: "°C"}, fmt.Sprintf("%s is rated %s °C, the air there %s °C", what, a, b))
}
