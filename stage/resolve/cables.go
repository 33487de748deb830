package resolve

import (
	"slices"

	"keyon/model/finding"
	"keyon/model/plan"
)

// theCables settles which circuit runs on which core: those a cable lists in
// the order of its cores, then those that name the cable, by name. A shield
// circuit takes the drain.
func (r *resolver) theCables() {
	for i := range r.d.Cables {
		row := &r.d.Cables[i]
		at := finding.Place{Kind: "cable", ID: row.Name}
		q := plan.Cable{ID: row.ID, Name: row.Name, Part: partOf(r, r.c.Cables, row.Part, field(at, "part"), "cable")}
		if row.Cores.Is() {
			for _, name := range row.Cores.Value {
				p := field(at, "cores")
				p.Cell = row.Cores.At
				k := r.circuits.lookText(name, row.Cores.Text, p)
				if k < 0 || slices.Contains(q.Circuits, k) {
					continue
				}
				if other := r.t.Circuits[k].Cable; other >= 0 && other != i {
					r.say(finding.Say(RuleConflict, p, name+" is a core here, and runs in the cable "+r.d.Cables[other].Name+" as well", "take it out of one of the two"))
					continue
				}
				r.t.Circuits[k].Cable = i
				q.Circuits = append(q.Circuits, k)
			}
		}
		r.t.CableOf[row.Name] = i
		r.t.Cables = append(r.t.Cables, q)
	}
	for k := range r.t.Circuits {
		if c := r.t.Circuits[k].Cable; c >= 0 && !slices.Contains(r.t.Cables[c].Circuits, k) {
			r.t.Cables[c].Circuits = append(r.t.Cables[c].Circuits, k)
		}
	}
	for i := range r.t.Cables {
		r.cores(i)
	}
}

// cores gives each circuit of a cable its core.
func (r *resolver) cores(cable int) {
	q := &r.t.Cables[cable]
	row := &r.d.Cables[cable]
	q.Cores = make([]string, len(q.Circuits))
	if q.Part == nil {
		return
	}
	next, over := 0, 0
	for n, k := range q.Circuits {
		switch {
		case r.t.Circuits[k].Class.Value == "shield" && q.Part.Shielded:
			q.Cores[n] = Drain
		case next < len(q.Part.Cores):
			q.Cores[n] = q.Part.Cores[next].Name
			next++
		default:
			over++
		}
	}
	if over > 0 {
		p := finding.Place{Kind: "cable", ID: row.Name, Field: "part", Cell: row.Part.At}
		v := finding.Judge(RuleCores, p, float64(next+over), finding.Limit{AtMost: true, Value: float64(len(q.Part.Cores)), Unit: "cores"},
			plural(next+over, "circuit runs", "circuits run")+" in "+row.Name+", and "+q.Part.ID+" has "+plural(len(q.Part.Cores), "core", "cores"))
		v.Fixes = []finding.Fix{{Text: "choose a cable with more cores"}, {Text: "take a circuit out of the cable"}}
		r.say(v)
	}
}

// Drain is the core name of a shield circuit in a shielded cable.
const Drain = "drain"
