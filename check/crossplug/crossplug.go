// Package crossplug judges whether a plug could be put where it doesn't
// belong: equal connectors whose legs reach each other.
package crossplug

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

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
	Text:   "Two loom plugs of one part that reach each other's place, swung on the leg they end, have different keys or a colour band; where their circuits are alike, such as two equal sensors, the labels must say which is which.",
	Source: source.Ref{Kind: source.Practice, Doc: "MIL-DTL-38999", Where: "keying positions"}}

// RuleHand: parts with a hand say so.
var RuleHand = &finding.Rule{ID: "crossplug.hand", Severity: finding.Note, Title: "handed looms",
	Text:   "A loom that is another's twin carries its hand on the label.",
	Source: source.Ref{Kind: source.Judgement, Doc: "house-rules", Where: "handed parts"}}

// Rules of the family.
var Rules = []*finding.Rule{RuleKey, RuleHand}

// plug is one loom plug on its tail: the leg that ends at it.
type plug struct {
	name, part, key string
	at              geom.Point
	root            geom.Point // where its tail leaves the loom
	tail            float64    // metres
	where           finding.Place
	device          int // -1 for a join
}

// Run judges a plan.
func Run(d *design.Design, c part.Catalogue, p *plan.Plan) []finding.Verdict {
	t := &p.Things
	if len(p.Cavities.Joins) != len(t.Joins) {
		return nil
	}
	legs := make([][]int, len(t.Places))
	for l := range t.Legs {
		for _, e := range []int{t.Legs[l].From, t.Legs[l].To} {
			if e >= 0 {
				legs[e] = append(legs[e], l)
			}
		}
	}
	var plugs []plug
	add := func(x plug, place int) {
		if place < 0 || !t.Places[place].Known {
			return
		}
		x.at, x.root = t.Places[place].At, t.Places[place].At
		if len(legs[place]) == 1 { // a tail: it swings round the place where it leaves
			l := &t.Legs[legs[place][0]]
			other := l.From
			if other == place {
				other = l.To
			}
			if other >= 0 && t.Places[other].Known {
				x.root, x.tail = t.Places[other].At, float64(l.Length.Value)
			}
		}
		plugs = append(plugs, x)
	}
	for i := range t.Devices {
		dev := &t.Devices[i]
		for n, k := range dev.Connectors {
			if k.Part != nil {
				name := dev.Name
				if k.Name != "" {
					name += "/" + k.Name
				}
				key := dev.Part.Connectors[n].Key
				if key == "" && len(k.Part.Keys) > 0 {
					key = k.Part.Keys[0]
				}
				add(plug{name: name, part: k.Part.ID, key: key, where: finding.Place{Kind: "device", ID: dev.Name, Field: "connector", Cell: dev.At("place")}, device: i}, k.Place)
			}
		}
	}
	for i := range t.Joins {
		if k := p.Cavities.Joins[i].Connector; k != nil {
			add(plug{name: t.Joins[i].Name, part: k.ID, key: p.Cavities.Joins[i].Key.Value, where: finding.Place{Kind: "join", ID: t.Joins[i].Name, Field: "key", Cell: t.Joins[i].Key.At}, device: -1}, t.Joins[i].B)
		}
	}
	out := pairs(plugs)
	for i := range t.Looms {
		if o := t.Looms[i].TwinOf; o >= 0 {
			out = append(out, finding.Say(RuleHand, finding.Place{Kind: "loom", ID: t.Looms[i].Name, Field: "twin of", Cell: settle.Cell{Table: "Looms", Row: t.Looms[i].ID, Column: "twin of"}}, t.Looms[i].Name+" is the twin of "+t.Looms[o].Name+": mark the hand on both"))
		}
	}
	return out
}

// meets says whether plug a, swung round the root of its tail, reaches b's place.
func (a *plug) meets(b *plug) bool { return a.root.Distance(b.at) <= a.tail }

// pairs groups the plugs of one part and key that reach each other's places,
// and judges each group once, at its first plug. Plugs are sorted along x so
// that only those near enough are looked at.
func pairs(plugs []plug) []finding.Verdict {
	groups := map[[2]string][]int{}
	var keys [][2]string
	longest := 0.0
	for i := range plugs {
		k := [2]string{plugs[i].part, plugs[i].key}
		if groups[k] == nil {
			keys = append(keys, k)
		}
		groups[k] = append(groups[k], i)
		longest = max(longest, plugs[i].tail)
	}
	slices.SortFunc(keys, func(a, b [2]string) int { return cmp.Or(cmp.Compare(a[0], b[0]), cmp.Compare(a[1], b[1])) })
	var out []finding.Verdict
	for _, k := range keys {
		list := groups[k]
		slices.SortStableFunc(list, func(a, b int) int {
			return cmp.Or(cmp.Compare(plugs[a].at.X, plugs[b].at.X), cmp.Compare(plugs[a].name, plugs[b].name))
		})
		first := make([]int, len(list)) // head of the group each belongs to
		for i := range first {
			first[i] = i
		}
		head := func(i int) int {
			for first[i] != i {
				i = first[i]
			}
			return i
		}
		for n, i := range list {
			for m := n + 1; m < len(list); m++ {
				a, b := &plugs[i], &plugs[list[m]]
				if b.at.X-a.at.X > 2*longest {
					break
				}
				if (a.device < 0 || a.device != b.device) && a.meets(b) && b.meets(a) {
					if x, y := head(n), head(m); x != y {
						first[max(x, y)] = min(x, y)
					}
				}
			}
		}
		members := make([][]int, len(list))
		for n := range list {
			members[head(n)] = append(members[head(n)], list[n])
		}
		for _, m := range members {
			switch len(m) {
			case 0:
			case 1:
				out = append(out, finding.Pass(RuleKey, plugs[m[0]].where, plugs[m[0]].name+" reaches no equal plug's place"))
			default:
				names := make([]string, len(m))
				for i, p := range m {
					names[i] = plugs[p].name
				}
				what := fmt.Sprintf("%s fit each other's places (%s", strings.Join(names, ", "), k[0])
				if k[1] != "" {
					what += ", key " + k[1]
				}
				v := finding.Say(RuleKey, plugs[m[0]].where, what+")", "another key, a colour band, or shorter tails; accept it where labels are enough")
				for _, p := range m[1:] {
					v.Related = append(v.Related, plugs[p].where)
				}
				out = append(out, v)
			}
		}
	}
	return out
}
