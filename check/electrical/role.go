package electrical

import (
	"fmt"
	"slices"
	"strings"

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
		sensor := slices.ContainsFunc(ends, func(i int) bool { return j.p.Ends.List[i].Role == part.SensorGround })
		ground := slices.ContainsFunc(ends, func(i int) bool { return grounds(&j.p.Ends.List[i]) })
		var alone []int
		for _, i := range ends {
			e := &j.p.Ends.List[i]
			switch {
			case e.Device < 0 || e.PinIndex < 0 || e.Role == part.Plain:
			case j.mated(ends, i):
				j.add(finding.Pass(RuleRole, j.end(i), fmt.Sprintf("%s pin %s (%s) has its counterpart", j.t.Devices[e.Device].Name, e.Pin.Value, e.Role)))
			case sensor && ground && (e.Role == part.SensorGround || grounds(e)): // RuleReturn says it
			default:
				alone = append(alone, i)
			}
		}
		if len(alone) > 0 {
			j.alone(ends, alone)
		}
	}
}

// mated says whether an end of a circuit goes with another one of its ends.
func (j *judge) mated(ends []int, i int) bool {
	e := &j.p.Ends.List[i]
	return slices.ContainsFunc(ends, func(k int) bool {
		o := &j.p.Ends.List[k]
		switch {
		case k == i:
			return false
		case o.Stud >= 0:
			return e.Role == part.Ground || e.Role == part.Case || e.Role == part.Shield || e.Role == part.LoadMinus || j.t.Studs[o.Stud].Use == "supply"
		}
		return part.Mates(e.Role, o.Role) || e.Role == o.Role
	})
}

// alone says once that ends of a circuit don't go together, at the one whose
// device has most pins to mistake.
func (j *judge) alone(ends, alone []int) {
	pins := func(i int) int { return len(j.t.Devices[j.p.Ends.List[i].Device].Part.Pins) }
	at := alone[0]
	for _, i := range alone[1:] {
		if pins(i) > pins(at) {
			at = i
		}
	}
	with := slices.Concat(alone, ends)
	with = slices.DeleteFunc(with, func(i int) bool { return i == at })
	words := func(i int) string {
		e := &j.p.Ends.List[i]
		if e.Device < 0 {
			return "a stud"
		}
		return fmt.Sprintf("%s pin %s (%s)", j.t.Devices[e.Device].Name, e.Pin.Value, roleName(e.Role))
	}
	v := finding.Say(RuleRole, j.end(at), words(at)+" doesn't go with "+words(with[0]), "leave the pin blank to have it chosen", "check the pin against the part's sheet")
	for _, i := range alone {
		if i != at {
			v.Related = append(v.Related, j.end(i))
		}
	}
	j.add(v)
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

// returns judges the circuits of sensors' grounds, each once: at the end that
// makes it a chassis or power ground.
func (j *judge) returns() {
	for c := range j.t.Circuits {
		bad, sensors, good := -1, []int(nil), false
		for _, i := range j.p.Ends.Of[c] {
			switch e := &j.p.Ends.List[i]; {
			case e.Role == part.SensorGround && e.Device >= 0:
				sensors = append(sensors, i)
			case grounds(e):
				bad = i
			case e.Role == part.SensorReturn:
				good = true
			}
		}
		switch {
		case len(sensors) == 0:
		case bad >= 0:
			e, place := &j.p.Ends.List[bad], j.end(bad)
			what := e.Pin.Value
			if e.Device >= 0 {
				what = j.t.Devices[e.Device].Name + " pin " + e.Pin.Value
			} else if e.Row >= 0 {
				r := &j.d.Circuits[j.t.Circuits[c].Rows[e.Row].Design]
				if place.Field = strings.Replace(place.Field, "pin", "device", 1); place.Field == "from device" {
					place.Cell = r.FromDevice.At
				} else {
					place.Cell = r.ToDevice.At
				}
			}
			var names []string
			for _, i := range sensors {
				names = append(names, j.t.Devices[j.p.Ends.List[i].Device].Name+" pin "+j.p.Ends.List[i].Pin.Value)
			}
			v := finding.Say(RuleReturn, place, fmt.Sprintf("%s: sensor ground of %s returns to %s", j.t.Circuits[c].Name, strings.Join(names, ", "), what), "return it to the sensor return of the controller that reads it")
			for _, i := range sensors {
				v.Related = append(v.Related, j.end(i))
			}
			j.add(v)
		case good:
			for _, i := range sensors {
				j.add(finding.Pass(RuleReturn, j.end(i), j.t.Devices[j.p.Ends.List[i].Device].Name+" returns to its controller"))
			}
		}
	}
}
