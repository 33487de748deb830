package complete

import (
	"fmt"
	"slices"
	"strings"

	"keyon/model/finding"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/model/source"
)

// RuleTwice: nothing is used twice.
var RuleTwice = &finding.Rule{ID: "complete.twice", Severity: finding.Stop, Title: "used twice",
	Text:   "A pin serves one circuit, a cavity of a join one circuit, and a contact takes one wire unless its connector allows more. Studs and posts take several lugs.",
	Source: source.Ref{Kind: source.Practice, Doc: "workmanship", Where: "one wire in one contact"}}

func (j *judge) twice() {
	keys := make([][2]int, 0, len(j.used))
	for k := range j.used {
		keys = append(keys, k)
	}
	slices.SortFunc(keys, func(a, b [2]int) int {
		if a[0] != b[0] {
			return a[0] - b[0]
		}
		return a[1] - b[1]
	})
	for _, k := range keys {
		ends := j.used[k]
		if len(ends) < 2 {
			continue
		}
		dev := &j.t.Devices[k[0]]
		pin := &dev.Part.Pins[k[1]]
		if _, post := pin.Stud(); post || pin.Role == part.Case {
			continue
		}
		var circuits []string
		for _, i := range ends {
			if n := j.t.Circuits[j.p.Ends.List[i].Circuit].Name; !slices.Contains(circuits, n) {
				circuits = append(circuits, n)
			}
		}
		if len(circuits) < 2 {
			continue
		}
		v := finding.Say(RuleTwice, j.end(ends[len(ends)-1]), fmt.Sprintf("%s pin %s is used by %s", dev.Name, pin.Name, strings.Join(sorted(circuits), " and ")), "give one of them another pin, or leave it blank to have one chosen")
		for _, i := range ends[:len(ends)-1] {
			v.Related = append(v.Related, j.end(i))
		}
		j.add(v)
	}
	j.wiresInContact()
	j.cavities()
}

// wiresInContact counts the wires that end at one pin with a cavity.
func (j *judge) wiresInContact() {
	at := make([]int, len(j.p.Ends.List))
	for i := range j.p.Wires.List {
		w := &j.p.Wires.List[i]
		if w.Parallel > 1 {
			continue
		}
		for _, e := range []*plan.WireEnd{&w.From, &w.To} {
			if e.Kind == plan.AtPin && e.End >= 0 {
				at[e.End]++
			}
		}
	}
	for i, n := range at {
		e := &j.p.Ends.List[i]
		if n < 2 || e.Device < 0 || e.Connector < 0 || e.Cavity == "" {
			continue
		}
		k := j.t.Devices[e.Device].Connectors[e.Connector].Part
		most := 1
		if k != nil && k.MostPerContact > 1 {
			most = k.MostPerContact
		}
		j.add(finding.Judge(RuleTwice, j.end(i), float64(n), finding.Limit{AtMost: true, Value: float64(most), Unit: "wires"},
			fmt.Sprintf("%s pin %s takes %s, at most %d", j.t.Devices[e.Device].Name, e.Pin.Value, plural(n, "wire"), most)))
	}
}

// cavities judges the cavities of joins.
func (j *judge) cavities() {
	type hole struct {
		join   int
		cavity string
	}
	seen := map[hole]int{}
	for i := range j.p.Cavities.Crossings {
		x := &j.p.Cavities.Crossings[i]
		if !x.Cavity.Settled() {
			continue
		}
		h := hole{x.Join, x.Cavity.Value}
		other, twice := seen[h]
		place := finding.Place{Kind: "join", ID: j.t.Joins[x.Join].Name, Field: "cavity " + x.Cavity.Value}
		for k := range j.d.Cavities {
			r := &j.d.Cavities[k]
			if r.Join.Value == j.t.Joins[x.Join].Name && r.Circuit.Value == j.t.Circuits[x.Circuit].Name && r.Cavity.Value == x.Cavity.Value {
				place.Cell = r.Cavity.At
			}
		}
		if !twice {
			seen[h] = i
			continue
		}
		j.add(finding.Say(RuleTwice, place, fmt.Sprintf("%s cavity %s is used by %s and %s", j.t.Joins[x.Join].Name, x.Cavity.Value, j.t.Circuits[j.p.Cavities.Crossings[other].Circuit].Name, j.t.Circuits[x.Circuit].Name), "give one of them another cavity, or leave it blank"))
	}
}
