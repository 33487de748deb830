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
	for i := range j.t.Devices {
		dev := &j.t.Devices[i]
		if dev.Part == nil {
			continue
		}
		pins, good := 0, true
		for k := range dev.Part.Pins {
			pin := &dev.Part.Pins[k]
			if _, post := pin.Stud(); post || pin.Role == part.Case {
				continue
			}
			if ends := j.used[[2]int{i, k}]; len(ends) > 0 {
				pins++
				good = j.oneCircuit(dev, pin, ends) && good
			}
		}
		if pins > 0 && good {
			j.add(finding.Pass(RuleTwice, finding.Place{Kind: "device", ID: dev.Name, Field: "pins", Cell: dev.At("part")}, fmt.Sprintf("%s: %s, each with one circuit", dev.Name, plural(pins, "pin"))))
		}
	}
	j.wiresInContact()
	j.cavities()
}

// oneCircuit judges that the ends at a pin belong to one circuit.
func (j *judge) oneCircuit(dev *plan.Device, pin *part.Pin, ends []int) bool {
	var circuits []string
	for _, i := range ends {
		if n := j.t.Circuits[j.p.Ends.List[i].Circuit].Name; !slices.Contains(circuits, n) {
			circuits = append(circuits, n)
		}
	}
	if len(circuits) < 2 {
		return true
	}
	last := len(ends) - 1
	v := finding.Say(RuleTwice, j.end(ends[last]), fmt.Sprintf("%s pin %s is used by %s", dev.Name, pin.Name, strings.Join(sorted(circuits), " and ")), "give one of them another pin, or leave it blank to have one chosen")
	for _, i := range ends[:last] {
		v.Related = append(v.Related, j.end(i))
	}
	j.add(v)
	return false
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
