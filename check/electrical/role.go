package electrical

import (
	"fmt"

	"keyon/model/finding"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/model/source"
)

// RuleRole: the ends of a circuit go together.
var RuleRole = &finding.Rule{ID: "electrical.role", Severity: finding.Stop, Title: "pins that don't go together",
	Text:   "Each end of a circuit has a pin of a role that goes with at least one other end's: a sensor's output with an analogue input, a coil with a coil output. Pins without a role say nothing.",
	Source: source.Ref{Kind: source.Practice, Doc: "roles", Where: "what feeds or reads what"}}

// RuleReturn: a sensor's return goes to the controller that reads it.
var RuleReturn = &finding.Rule{ID: "electrical.return", Severity: finding.Stop, Title: "sensor return on chassis",
	Text:   "A sensor's ground goes to a sensor return of a controller, never to a stud, the chassis or a power ground: currents of other loads would shift its reading.",
	Source: source.Ref{Kind: source.Practice, Doc: "signal-rules", Where: "ratiometric 5 V, shared supply"}}

func (j *judge) roles() {
	for c := range j.t.Circuits {
		ends := j.p.Ends.Of[c]
		if len(ends) < 2 {
			continue
		}
		said := -1 // two ends that don't go together are one finding
		for _, i := range ends {
			e := &j.p.Ends.List[i]
			if e.Device < 0 || e.PinIndex < 0 || e.Role == part.Plain {
				continue
			}
			mate := -1
			for _, k := range ends {
				o := &j.p.Ends.List[k]
				if k == i {
					continue
				}
				if o.Stud >= 0 && (e.Role == part.Ground || e.Role == part.Case || e.Role == part.Shield || e.Role == part.LoadMinus || j.t.Studs[o.Stud].Use == "supply") ||
					o.Stud < 0 && (part.Mates(e.Role, o.Role) || e.Role == o.Role) {
					mate = k
					break
				}
			}
			place := j.end(i)
			name := j.t.Devices[e.Device].Name
			if mate >= 0 {
				j.add(finding.Pass(RuleRole, place, fmt.Sprintf("%s pin %s (%s) has its counterpart", name, e.Pin.Value, e.Role)))
				continue
			}
			o := &j.p.Ends.List[ends[0]]
			if ends[0] == i {
				o = &j.p.Ends.List[ends[1]]
			}
			if e.Role == part.SensorGround && grounds(o) || grounds(e) && o.Role == part.SensorGround {
				continue // RuleReturn says it
			}
			if said >= 0 && o.ID == j.p.Ends.List[ends[0]].ID {
				j.out[said].Related = append(j.out[said].Related, place)
				continue
			}
			said = len(j.out)
			other := "a stud"
			if o.Device >= 0 {
				other = fmt.Sprintf("%s pin %s (%s)", j.t.Devices[o.Device].Name, o.Pin.Value, roleName(o.Role))
			}
			j.add(finding.Say(RuleRole, place, fmt.Sprintf("%s pin %s (%s) doesn't go with %s", name, e.Pin.Value, e.Role, other), "leave the pin blank to have it chosen", "check the pin against the part's sheet"))
		}
	}
}

// grounds says whether an end is a stud or a power ground.
func grounds(e *plan.End) bool {
	return e.Stud >= 0 || e.Role == part.Ground || e.Role == part.Case
}

func roleName(r part.Role) string {
	if r == part.Plain {
		return "no role"
	}
	return string(r)
}

func (j *judge) returns() {
	for i := range j.p.Ends.List {
		e := &j.p.Ends.List[i]
		if e.Role != part.SensorGround || e.Device < 0 {
			continue
		}
		name := j.t.Devices[e.Device].Name
		var bad *string
		good := false
		for _, k := range j.p.Ends.Of[e.Circuit] {
			o := &j.p.Ends.List[k]
			switch {
			case o.Stud >= 0:
				bad = &j.t.Studs[o.Stud].Name
			case o.Role == part.SensorReturn:
				good = true
			case o.Role == part.Ground || o.Role == part.Case:
				n := j.t.Devices[o.Device].Name + " pin " + o.Pin.Value
				bad = &n
			}
		}
		place := j.end(i)
		switch {
		case bad != nil:
			j.add(finding.Say(RuleReturn, place, fmt.Sprintf("%s pin %s returns to %s", name, e.Pin.Value, *bad), "return it to the sensor return of the controller that reads it"))
		case good:
			j.add(finding.Pass(RuleReturn, place, name+" returns to its controller"))
		}
	}
}
