// Package bundle settles the cross-section of each leg: how thick its wires
// lie together, what covers them, what a metre weighs.
//
// Each leg is packed as round wires and round cables side by side; the lay of
// a twisted build adds to that (see cut for its length). It takes for granted
// that sizes are settled: a wire without one is left out and the leg's
// diameter stays open.
package bundle

import (
	"keyon/model/design"
	"keyon/model/finding"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/model/settle"
	"keyon/model/source"
	"keyon/num/packing"
	"keyon/num/quantity"
)

// step is the named step of diameters.
const step = 0.1 // mm

// Run packs every leg with pack, which takes diameters in millimetres.
func Run(d *design.Design, c part.Catalogue, t plan.Things, w plan.Wires, s plan.Sizes, pack func([]float64) packing.Result) (plan.Bundles, []finding.Verdict) {
	var verdicts []finding.Verdict
	b := plan.Bundles{Legs: make([]plan.Bundle, len(t.Legs))}
	for i := range w.List {
		for _, l := range w.List[i].Legs {
			b.Legs[l].Wires = append(b.Legs[l].Wires, i)
		}
	}
	shrink := c.SleevesOf("heat-shrink")
	for l := range b.Legs {
		x := &b.Legs[l]
		whole := items(x, t, w, s)
		if !whole || len(x.Items) == 0 {
			x.Sleeve.Reason.Text = "the leg has no wires, or one whose size is open"
			continue
		}
		diameters := make([]float64, len(x.Items))
		for i, it := range x.Items {
			diameters[i] = it.Outside.MM()
		}
		r := pack(diameters)
		x.Diameter = quantity.Length(quantity.RoundUp(r.Diameter, step)) * quantity.MM
		x.Bound = quantity.Length(r.LowerBound) * quantity.MM
		x.Circles = r.Circles
		verdicts = append(verdicts, cover(d, c, shrink, &t, l, x)...)
	}
	return b, verdicts
}

// items lists the round things of a leg and its mass; false where a size is open.
func items(x *plan.Bundle, t plan.Things, w plan.Wires, s plan.Sizes) bool {
	cables := map[int]bool{}
	for _, i := range x.Wires {
		if cable := w.List[i].Cable; cable >= 0 {
			if p := t.Cables[cable].Part; p == nil || p.Outside <= 0 {
				return false
			} else if !cables[cable] {
				cables[cable] = true
				x.Items = append(x.Items, plan.Item{Wire: -1, Cable: cable, Outside: p.Outside})
				x.MassPerM += p.MassPerM
			}
			continue
		}
		size := s.Wires[i].Wire
		if size == nil || size.Outside <= 0 {
			return false
		}
		x.Items = append(x.Items, plan.Item{Wire: i, Cable: -1, Outside: size.Outside})
		x.MassPerM += size.MassPerM
	}
	return true
}

// Limits of the house for coverings; names in the table Limits.
const (
	overShare = 1.2 // "sleeve over": expanded inside over the largest diameter to pass
	gripShare = 0.9 // "sleeve grip": recovered inside over the diameter it grips
)

var sleeveSource = source.Ref{Kind: source.Judgement, Doc: "workmanship", Where: "sleeving margin: expanded at least 1.2, recovered at most 0.9 of the object", Status: source.Memory}

// RuleSleeve says that a leg's covering is open.
var RuleSleeve = &finding.Rule{ID: "bundle.sleeve", Severity: finding.Look, Title: "no covering for a leg",
	Text:   "No sleeve of the catalogue goes over the leg and grips it at its temperature, or the one that was kept is no longer known.",
	Source: sleeveSource}

// Rules of the stage.
var Rules = []*finding.Rule{RuleSleeve}

// cover settles the leg's covering and the diameter with it.
func cover(d *design.Design, c part.Catalogue, shrink []*part.Sleeve, t *plan.Things, l int, x *plan.Bundle) []finding.Verdict {
	leg := &t.Legs[l]
	place := finding.Place{Kind: "leg", ID: leg.Name, Field: "sleeve", Cell: leg.Sleeve.At}
	over, _ := d.Number("sleeve over", overShare)
	grip, _ := d.Number("sleeve grip", gripShare)
	wanted := d.Keep(leg.Sleeve, "leg", string(leg.ID), "sleeve")
	x.Sleeve = settle.Choose(wanted, func() (string, settle.Reason, bool) {
		because := []settle.Term{settle.Num("diameter", x.Diameter.MM(), "mm"), settle.Num("warmest", float64(leg.Ambient), "°C")}
		for _, p := range shrink {
			if p.Expanded.MM() >= over*x.Diameter.MM() && p.Recovered.MM() <= grip*x.Diameter.MM() && p.Temperature >= leg.Ambient {
				return p.ID, settle.Reason{Text: "smallest heat-shrink that goes over and grips", Source: sleeveSource,
					Because: append(because, settle.Num("expanded", p.Expanded.MM(), "mm"), settle.Num("recovered", p.Recovered.MM(), "mm"), settle.Num("rated", float64(p.Temperature), "°C"))}, true
			}
		}
		return "", settle.Reason{Text: "no heat-shrink of the catalogue goes over and grips", Because: because, Source: sleeveSource}, false
	})
	x.Covered = x.Diameter
	if !x.Sleeve.Settled() {
		if wanted.State == settle.Garbled {
			return nil
		}
		return []finding.Verdict{finding.Say(RuleSleeve, place, x.Sleeve.Reason.String(), "name a sleeve for the leg, or add one to Parts")}
	}
	if plain := x.Sleeve.Value; plain == "none" {
		return nil
	}
	switch p, ok := c.Sleeves[x.Sleeve.Value]; {
	case ok:
		x.Covered += 2 * p.Wall
	case wanted.State == settle.Kept: // resolve speaks of given names only
		return []finding.Verdict{finding.Say(RuleSleeve, place, "the kept sleeve "+x.Sleeve.Value+" is in no catalogue", "write none, a sleeve of the catalogue, or add it to Parts")}
	}
	return nil
}
