// Package crossplug judges whether a plug could be put where it doesn't
// belong: equal connectors whose legs reach each other.
package crossplug

import (
	"cmp"
	"fmt"
	"slices"

	"keyon/model/design"
	"keyon/model/finding"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/model/settle"
	"keyon/model/source"
	"keyon/num/geom"
)

// RuleKey: equal connectors in reach of each other differ in key, or are told
// apart otherwise.
var RuleKey = &finding.Rule{ID: "crossplug.key", Severity: finding.Look, Title: "plugs that fit each other's place",
	Text:   "Two loom plugs of one part that reach each other (\"plug reach\" in Limits, 300 mm) have different keys or a colour band; where their circuits are alike, such as two equal sensors, the labels must say which is which.",
	Source: source.Ref{Kind: source.Practice, Doc: "MIL-DTL-38999", Where: "keying positions"}}

// RuleHand: parts with a hand say so.
var RuleHand = &finding.Rule{ID: "crossplug.hand", Severity: finding.Note, Title: "handed looms",
	Text:   "A loom that is another's twin carries its hand on the label.",
	Source: source.Ref{Kind: source.Judgement, Doc: "house-rules", Where: "handed parts"}}

// Rules of the family.
var Rules = []*finding.Rule{RuleKey, RuleHand}

// reach is how far a plug can stray from its place, metres (judgement).
const reach = 0.3

// plug is one loom plug.
type plug struct {
	name, part, key string
	at              geom.Point
	place           int
	where           finding.Place
	device          *part.Device
}

// Run judges a plan.
func Run(d *design.Design, c part.Catalogue, p *plan.Plan) []finding.Verdict {
	t := &p.Things
	if len(p.Cavities.Joins) != len(t.Joins) {
		return nil
	}
	limit, _ := d.Number("plug reach", reach*1e3)
	var plugs []plug
	add := func(x plug, place int) {
		if place >= 0 && t.Places[place].Known {
			x.at, x.place = t.Places[place].At, place
			plugs = append(plugs, x)
		}
	}
	for i := range t.Devices {
		dev := &t.Devices[i]
		for _, k := range dev.Connectors {
			if k.Part != nil {
				name := dev.Name
				if k.Name != "" {
					name += "/" + k.Name
				}
				key := ""
				if len(k.Part.Keys) > 0 {
					key = k.Part.Keys[0]
				}
				add(plug{name: name, part: k.Part.ID, key: key, where: finding.Place{Kind: "device", ID: dev.Name, Field: "connector"}, device: dev.Part}, k.Place)
			}
		}
	}
	for i := range t.Joins {
		if k := p.Cavities.Joins[i].Connector; k != nil {
			add(plug{name: t.Joins[i].Name, part: k.ID, key: p.Cavities.Joins[i].Key.Value, where: finding.Place{Kind: "join", ID: t.Joins[i].Name, Field: "key", Cell: t.Joins[i].Key.At}}, t.Joins[i].B)
		}
	}
	out := pairs(plugs, limit/1e3)
	for i := range t.Looms {
		if o := t.Looms[i].TwinOf; o >= 0 {
			out = append(out, finding.Say(RuleHand, finding.Place{Kind: "loom", ID: t.Looms[i].Name, Field: "twin of", Cell: settle.Cell{Table: "Looms", Row: t.Looms[i].ID, Column: "twin of"}}, t.Looms[i].Name+" is the twin of "+t.Looms[o].Name+": mark the hand on both"))
		}
	}
	return out
}

// pairs judges every plug against the nearest equal one with the same key.
// Plugs are sorted along x so that only those within reach are looked at.
func pairs(plugs []plug, limit float64) []finding.Verdict {
	groups := map[string][]int{}
	var names []string
	for i := range plugs {
		if groups[plugs[i].part] == nil {
			names = append(names, plugs[i].part)
		}
		groups[plugs[i].part] = append(groups[plugs[i].part], i)
	}
	slices.Sort(names)
	var out []finding.Verdict
	for _, g := range names {
		list := groups[g]
		slices.SortStableFunc(list, func(a, b int) int {
			return cmp.Or(cmp.Compare(plugs[a].at.X, plugs[b].at.X), cmp.Compare(plugs[a].name, plugs[b].name))
		})
		for n, i := range list {
			a := &plugs[i]
			var alike []finding.Place
			names := ""
			for _, k := range list[n+1:] {
				b := &plugs[k]
				if b.at.X-a.at.X > limit {
					break
				}
				if a.key == b.key && a.at.Distance(b.at) <= limit && !(a.device != nil && a.device == b.device && a.name == b.name) {
					alike = append(alike, b.where)
					if names != "" {
						names += ", "
					}
					names += b.name
				}
			}
			if len(alike) == 0 {
				out = append(out, finding.Pass(RuleKey, a.where, a.name+" meets no equal plug within reach"))
				continue
			}
			v := finding.Say(RuleKey, a.where, fmt.Sprintf("%s (%s) fits the place of %s within %.0f mm", a.name, g, names, limit*1e3), "another key, a colour band, or a shorter leg; accept it where the circuits are alike and labelled")
			if a.key != "" {
				v.What += ", key " + a.key + " all"
			}
			v.Related = alike
			out = append(out, v)
		}
	}
	return out
}
