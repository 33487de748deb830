package build

import (
	"slices"
	"strconv"
	"strings"

	"keyon/model/design"
	"keyon/model/finding"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/model/settle"
	"keyon/model/source"
	"keyon/num/quantity"
)

// Rules are those of the build itself.
var Rules = []*finding.Rule{ruleWaiver, ruleRule}

var ruleWaiver = &finding.Rule{ID: "waiver.idle", Severity: finding.Look, Title: "a waiver covers nothing",
	Text:   "No open finding has its rule and thing, or the value got worse than the number that was accepted.",
	Source: source.Ref{Kind: source.Judgement, Doc: "house-rules", Where: "waivers"}}

var ruleRule = &finding.Rule{ID: "waiver.rule", Severity: finding.Look, Title: "a waiver names an unknown rule",
	Text:   "Rules are listed in docs/rules.md.",
	Source: source.Ref{Kind: source.Judgement, Doc: "house-rules", Where: "waivers"}}

// waive marks the findings that the table Waivers accepts: one rule at one
// thing, up to one number. If it gets worse, the finding is back.
func waive(d *design.Design, vs []finding.Verdict) []finding.Verdict {
	known := map[string]bool{}
	for _, r := range AllRules() {
		known[r.ID] = true
	}
	for _, w := range d.Waivers {
		place := finding.Place{Kind: "waiver", ID: w.Rule.Value + " " + w.Thing.Value, Field: "rule", Cell: w.Rule.At}
		if !known[w.Rule.Value] {
			vs = append(vs, finding.Say(ruleRule, place, w.Rule.Value+" is no rule", "correct the rule's ID"))
			continue
		}
		hit, worse := false, ""
		limit, err := quantity.Parse(w.Number.Text, quantity.Number, "", d.Car.Units.Decimal)
		bounded := w.Number.State == settle.Given && err == nil
		for i := range vs {
			v := &vs[i]
			if v.OK || v.Rule.ID != w.Rule.Value || v.Place.ID != w.Thing.Value || w.Field.Value != "" && w.Field.Value != v.Place.Field {
				continue
			}
			if v.Value != nil && v.Limit != nil {
				beyond := *v.Value > limit
				if !v.Limit.AtMost {
					beyond = *v.Value < limit
				}
				if !bounded || beyond {
					worse = strconv.FormatFloat(*v.Value, 'g', 6, 64) + " " + v.Limit.Unit
					continue
				}
			}
			v.Waived, hit = w.Reason.Value+" ("+w.By.Value+")", true
		}
		switch {
		case worse != "":
			vs = append(vs, finding.Say(ruleWaiver, place, "the value is "+worse+", accepted up to "+strings.TrimSpace(w.Number.Text+" ")+"; the finding is back", "look at the finding again, then change the number"))
		case !hit:
			vs = append(vs, finding.Say(ruleWaiver, place, "nothing open has this rule and thing", "delete the waiver"))
		}
	}
	return vs
}

// AllRules is every rule there is, by ID.
func AllRules() []*finding.Rule {
	all := slices.Concat(design.Rules, Rules)
	for _, s := range Stages {
		all = append(all, s.Rules...)
	}
	for _, c := range Checks {
		all = append(all, c.Rules...)
	}
	all = append(all, part.Rules...)
	slices.SortFunc(all, func(a, b *finding.Rule) int { return strings.Compare(a.ID, b.ID) })
	return all
}

// setLooms says for each finding which looms it touches, so that papers of
// one loom know their own: those of the wires, legs, devices it names.
func setLooms(p *plan.Plan) {
	t := &p.Things
	byCircuit := make([][]int, len(t.Circuits))
	for _, w := range p.Wires.List {
		if w.Loom >= 0 && !slices.Contains(byCircuit[w.Circuit], w.Loom) {
			byCircuit[w.Circuit] = append(byCircuit[w.Circuit], w.Loom)
		}
	}
	wireOf := map[string]int{}
	for i, w := range p.Wires.List {
		wireOf[w.ID] = i
	}
	at := func(place int) []int {
		if place < 0 || t.Places[place].Loom < 0 {
			return nil
		}
		return []int{t.Places[place].Loom}
	}
	looms := func(pl finding.Place) []int {
		switch pl.Kind {
		case "circuit":
			if i, ok := t.CircuitOf[pl.ID]; ok {
				return byCircuit[i]
			}
		case "wire":
			if i, ok := wireOf[pl.ID]; ok {
				return []int{p.Wires.List[i].Loom}
			}
		case "device", "connector":
			name, _, _ := strings.Cut(pl.ID, ":")
			if i, ok := t.DeviceOf[name]; ok {
				return at(t.Devices[i].Place)
			}
		case "place":
			if i, ok := t.PlaceOf[pl.ID]; ok {
				return at(i)
			}
		case "stud":
			if i, ok := t.StudOf[pl.ID]; ok {
				return at(t.Studs[i].Place)
			}
		case "join":
			if i, ok := t.JoinOf[pl.ID]; ok {
				return append(at(t.Joins[i].A), at(t.Joins[i].B)...)
			}
		case "leg":
			for i := range t.Legs {
				if t.Legs[i].Name == pl.ID {
					return []int{t.Legs[i].Loom}
				}
			}
		case "loom":
			for i := range t.Looms {
				if t.Looms[i].Name == pl.ID {
					return []int{i}
				}
			}
		}
		return nil
	}
	for i := range p.Verdicts {
		v := &p.Verdicts[i]
		if v.OK {
			continue
		}
		set := map[int]bool{}
		for _, pl := range append([]finding.Place{v.Place}, v.Related...) {
			for _, l := range looms(pl) {
				if l >= 0 {
					set[l] = true
				}
			}
		}
		for l := range t.Looms {
			if set[l] {
				v.Looms = append(v.Looms, t.Looms[l].Name)
			}
		}
	}
}
