package resolve

import (
	"slices"
	"strings"

	"keyon/model/finding"
	"keyon/model/part"
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

// cores gives each circuit of a cable its core: in order, but that a circuit
// with a sign does not go on the core of the other sign.
func (r *resolver) cores(cable int) {
	q := &r.t.Cables[cable]
	row := &r.d.Cables[cable]
	q.Cores = make([]string, len(q.Circuits))
	if q.Part == nil {
		return
	}
	listed := 0
	for _, name := range row.Cores.Value {
		if k, ok := r.circuits.of[name]; ok && slices.Contains(q.Circuits, k) {
			listed++
		}
	}
	taken := make([]bool, len(q.Part.Cores))
	next, over := 0, 0
	for n, k := range q.Circuits {
		if r.t.Circuits[k].Class.Value == "shield" && q.Part.Shielded {
			q.Cores[n] = Drain
			continue
		}
		core := -1
		for i := range q.Part.Cores {
			if taken[i] {
				continue
			}
			if core < 0 {
				core = i
			}
			if n >= listed && q.Part.Cores[i].Name == r.sign(k) {
				core = i
				break
			}
		}
		if core < 0 {
			over++
			continue
		}
		taken[core] = true
		q.Cores[n] = q.Part.Cores[core].Name
		next++
	}
	if over > 0 {
		p := finding.Place{Kind: "cable", ID: row.Name, Field: "part", Cell: row.Part.At}
		v := finding.Judge(RuleCores, p, float64(next+over), finding.Limit{AtMost: true, Value: float64(len(q.Part.Cores)), Unit: "cores"},
			plural(next+over, "circuit runs", "circuits run")+" in "+row.Name+", and "+q.Part.ID+" has "+plural(len(q.Part.Cores), "core", "cores"))
		v.Fixes = []finding.Fix{{Text: "choose a cable with more cores"}, {Text: "take a circuit out of the cable"}}
		r.say(v)
	}
}

// sign is + or - where a circuit has one: by the thermocouple pins it names,
// else by the end of its name.
func (r *resolver) sign(circuit int) string {
	c := &r.t.Circuits[circuit]
	for i := range c.Ends {
		e := &c.Ends[i]
		if e.Device < 0 || !e.Pin.Is() || r.t.Devices[e.Device].Part == nil {
			continue
		}
		d := r.t.Devices[e.Device].Part
		switch d.Pins[r.pinsOf(d)[e.Pin.Value]].Role {
		case part.ThermoPlus:
			return "+"
		case part.ThermoMinus:
			return "-"
		}
	}
	for _, s := range []string{"+", "-"} {
		if strings.HasSuffix(c.Name, s) {
			return s
		}
	}
	return ""
}

// Drain is the core name of a shield circuit in a shielded cable.
const Drain = "drain"
