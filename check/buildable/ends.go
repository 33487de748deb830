package buildable

import (
	"fmt"
	"slices"
	"strings"

	"keyon/model/finding"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/model/settle"
	"keyon/model/source"
	"keyon/num/quantity"
)

// RuleGauge: the contact's barrel takes the conductor.
var RuleGauge = &finding.Rule{ID: "buildable.gauge", Severity: finding.Stop, Title: "wire doesn't fit the contact",
	Text:   "Some contact of the cavity takes the gauge. Where it doesn't: a step-down splice, a second contact, or a larger cavity.",
	Source: source.Ref{Kind: source.Standard, Doc: "MIL-DTL-38999", Where: "Table IV, wire barrels", Status: source.Seen}}

// RuleSeal: the grommet or the single wire seal closes round the wire.
var RuleSeal = &finding.Rule{ID: "buildable.seal", Severity: finding.Stop, Title: "wire doesn't fit the seal",
	Text:   "In a sealed connector the wire's outside diameter lies within the sealing range of its cavity; too thin a wire may be built up with sleeve where the shop accepts that.",
	Source: source.Ref{Kind: source.Standard, Doc: "MIL-DTL-38999", Where: "Table IV, sealing range", Status: source.Seen}}

// RuleFigures: what the catalogue doesn't know the shop must enter.
var RuleFigures = &finding.Rule{ID: "buildable.figures", Severity: finding.Look, Title: "figures missing",
	Text:   "A contact, seal range or strip length that the plan relies on is not in the catalogue; the shop must enter it from the part's sheet.",
	Source: source.Ref{Kind: source.Judgement, Doc: "house-rules", Where: "no guesses"}}

func (j *judge) ends() {
	silent := map[string]bool{}
	for i := range j.p.Wires.List {
		w, q := &j.p.Wires.List[i], j.p.Sizes.Wires[i].Wire
		if q == nil {
			continue
		}
		first := len(j.out)
		for _, e := range []*plan.WireEnd{&w.From, &w.To} {
			k, c, gender, words := j.cavity(e)
			if c == nil {
				continue
			}
			j.fits(i, k, c, gender, words, q, silent)
		}
		j.together(first)
	}
}

// together makes one finding of those that both ends of a wire have alike.
func (j *judge) together(first int) {
	for a := first; a < len(j.out); a++ {
		for b := len(j.out) - 1; b > a; b-- {
			if x, y := &j.out[a], &j.out[b]; !x.OK && !y.OK && x.Rule == y.Rule && x.Place == y.Place {
				if y.Margin() < x.Margin() {
					x.Value, x.Limit = y.Value, y.Limit
				}
				_, where, _ := strings.Cut(y.What, " in ")
				x.What += "; nor in " + where
				j.out = slices.Delete(j.out, b, b+1)
			}
		}
	}
}

func (j *judge) fits(i int, k *part.Connector, c *part.Cavity, gender, words string, q *part.Wire, silent map[string]bool) {
	place := j.wire(i, "gauge")
	name := j.t.Circuits[j.p.Wires.List[i].Circuit].Name
	fit := j.c.ContactsFor(*c, gender, q.Gauge, 0)
	if len(fit) == 0 {
		var takes []string
		for _, id := range sortedContacts(j.c, c, gender) {
			takes = append(takes, j.c.Contacts[id].Gauges...)
		}
		if len(takes) == 0 {
			if key := k.ID + " " + c.Size; !silent[key] {
				silent[key] = true
				j.add(finding.Say(RuleFigures, finding.Place{Kind: "connector", ID: k.ID, Field: "contact"}, "no contact figures for "+k.ID+" size "+c.Size+"; the shop must enter them", "add the contact to Parts"))
			}
			return
		}
		slices.Sort(takes)
		v := finding.Say(RuleGauge, place, fmt.Sprintf("%s: gauge %s in %s (size %s); its contacts take %s", name, q.Gauge, words, c.Size, strings.Join(slices.Compact(takes), ", ")))
		v.Fixes = []finding.Fix{{Text: "leave the gauge blank to have it worked out"}, {Text: "a step-down splice, a second contact, or a larger cavity"}}
		if j.p.Sizes.Wires[i].Gauge.Origin == settle.FromUser {
			v.Fixes[0].Edit = &finding.Edit{Cell: place.Cell}
		}
		j.add(v)
		return
	}
	j.add(finding.Pass(RuleGauge, place, fmt.Sprintf("%s: gauge %s fits %s", name, q.Gauge, words)))
	if !k.Sealed {
		return
	}
	least, most := fit[0].WireLeast, fit[0].WireMost
	if len(c.Seals) > 0 {
		least, most = 0, 0
		for _, id := range c.Seals {
			if s := j.c.Seals[id]; s != nil && !s.Plug && (most == 0 || q.Outside >= s.Least && q.Outside <= s.Most) {
				least, most = s.Least, s.Most
			}
		}
	}
	if most == 0 {
		if key := fit[0].ID; !silent[key] {
			silent[key] = true
			j.add(finding.Say(RuleFigures, finding.Place{Kind: "connector", ID: k.ID, Field: "seal"}, "no sealing range for "+fit[0].ID+"; the shop must enter it", "enter least and most diameter in Parts"))
		}
		return
	}
	place.Field = "outside diameter"
	limit := finding.Limit{AtMost: true, Value: most.MM(), Unit: "mm"}
	if q.Outside < least {
		limit = finding.Limit{Value: least.MM(), Unit: "mm"}
	}
	od, _ := quantity.Apart(q.Outside.MM(), limit.Value, 2)
	v := finding.Judge(RuleSeal, place, q.Outside.MM(), limit, fmt.Sprintf("%s: wire of %s mm in %s, which seals %s to %s mm", name, od, words, quantity.Text(least.MM(), 2), quantity.Text(most.MM(), 2)))
	v.Fixes = []finding.Fix{{Text: "another family or gauge, or sleeve built up under the seal"}}
	j.add(v)
}

// sortedContacts are the IDs of a cavity's contacts of a gender.
func sortedContacts(c part.Catalogue, cavity *part.Cavity, gender string) []string {
	var ids []string
	for id, k := range c.Contacts {
		if (len(cavity.Contacts) == 0 && k.Size == cavity.Size || slices.Contains(cavity.Contacts, id)) && (k.Gender == "" || gender == "" || k.Gender == gender) {
			ids = append(ids, id)
		}
	}
	slices.Sort(ids)
	return ids
}
