package complete

import (
	"slices"
	"strings"

	"keyon/model/finding"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/model/source"
)

// RuleSupply: every device that takes power gets it.
var RuleSupply = &finding.Rule{ID: "complete.supply", Severity: finding.Stop, Title: "device without supply",
	Text:   "Every supply pin that a device needs is the end of a circuit with something that gives power.",
	Source: source.Ref{Kind: source.Datasheet, Doc: "part", Where: "needed pins"}}

// RuleGround: every device that takes power has a way back.
var RuleGround = &finding.Rule{ID: "complete.ground", Severity: finding.Stop, Title: "device without ground",
	Text:   "Every ground pin that a device needs is the end of a circuit that leads to a stud, the battery, a return or a low-side output; a case counts where it sits on metal.",
	Source: source.Ref{Kind: source.Datasheet, Doc: "part", Where: "needed pins"}}

// RulePin: every pin that must be used is used.
var RulePin = &finding.Rule{ID: "complete.pin", Severity: finding.Stop, Title: "needed pin unused",
	Text:   "Every pin that its part says must be connected is the end of a circuit.",
	Source: source.Ref{Kind: source.Datasheet, Doc: "part", Where: "needed pins"}}

// device judges the needed pins of one device. Pins of one swap or group that
// are joined inside count together: one of them must be used.
func (j *judge) device(i int) {
	dev := &j.t.Devices[i]
	missing := map[*finding.Rule][]string{}
	found := map[*finding.Rule]bool{}
	place := finding.Place{Kind: "device", ID: dev.Name, Field: "pins", Cell: dev.At("part")}
	for k := range dev.Part.Pins {
		pin := &dev.Part.Pins[k]
		if !pin.Needed {
			continue
		}
		rule := RulePin
		switch pin.Role {
		case part.SupplyIn, part.SensorIn, part.StarterIn, part.MotorIn:
			rule = RuleSupply
		case part.Ground, part.SensorGround, part.LoadMinus:
			rule = RuleGround
		}
		switch ends := j.used[[2]int{i, k}]; {
		case len(ends) > 0:
			found[rule] = true
			switch {
			case rule == RuleSupply && !j.fed(i, ends):
				missing[rule] = append(missing[rule], pin.Name+" (nothing on its circuit gives power)")
			case rule == RuleGround && !j.cased(dev) && !j.returned(i, ends):
				missing[rule] = append(missing[rule], pin.Name+" (its circuit leads to no ground)")
			}
		case rule == RuleGround && pin.Role == part.Ground && j.cased(dev):
			found[rule] = true
		case pin.Group != "" && j.groupUsed(i, pin):
			found[rule] = true // joined inside with one that is connected
		case j.lost[pin.Name] > 0:
			j.lost[pin.Name]-- // the misspelt end is this one's, most likely
			found[rule] = true
		default:
			missing[rule] = append(missing[rule], pin.Name)
		}
	}
	if len(found) == 0 && len(missing) > 0 && !j.connected(i) {
		var rule *finding.Rule
		var names []string
		for _, r := range []*finding.Rule{RuleSupply, RuleGround, RulePin} {
			if len(missing[r]) > 0 && rule == nil {
				rule = r
			}
			names = append(names, missing[r]...)
		}
		j.add(finding.Say(rule, place, dev.Name+": nothing is connected to it; it needs "+strings.Join(names, ", "), "add its circuits, or delete the device"))
		return
	}
	for _, rule := range []*finding.Rule{RuleSupply, RuleGround, RulePin} {
		what, fix := "pin", "add a circuit to it"
		switch rule {
		case RuleSupply:
			what, fix = "supply", "add a power circuit to it; leave the source blank to have a feed chosen"
		case RuleGround:
			what, fix = "ground", "add a ground circuit to it; leave the other side blank to have a stud chosen"
		}
		if names := missing[rule]; len(names) > 0 {
			place.Field = what
			j.add(finding.Say(rule, place, dev.Name+": "+what+" "+strings.Join(names, ", ")+" is not connected", fix))
		} else if found[rule] {
			place.Field = what
			j.add(finding.Pass(rule, place, dev.Name+": every needed "+what+" is connected"))
		}
	}
}

// connected says whether any pin of a device is the end of a circuit.
func (j *judge) connected(i int) bool {
	for k := range j.t.Devices[i].Part.Pins {
		if len(j.used[[2]int{i, k}]) > 0 {
			return true
		}
	}
	return false
}

// needs says whether a device has a pin that must be connected.
func needs(p *part.Device) bool {
	return slices.ContainsFunc(p.Pins, func(pin part.Pin) bool { return pin.Needed })
}

// groupUsed says whether another supply or ground pin of the same group, which
// is joined with it inside, is connected.
func (j *judge) groupUsed(i int, pin *part.Pin) bool {
	if pin.Role != part.SupplyIn && pin.Role != part.Ground {
		return false
	}
	pins := j.t.Devices[i].Part.Pins
	for k := range pins {
		if pins[k].Role == pin.Role && pins[k].Group == pin.Group && len(j.used[[2]int{i, k}]) > 0 {
			return true
		}
	}
	return false
}

// fed says whether a circuit that ends at a supply pin has another end that
// gives power; one that is open has been reported and counts as giving.
func (j *judge) fed(device int, ends []int) bool {
	return j.anyOther(device, ends, func(e *plan.End) bool {
		if e.Stud >= 0 {
			return j.t.Studs[e.Stud].Use == "supply"
		}
		switch e.Role {
		case part.SupplyOut, part.SwitchedOut, part.HalfBridge, part.Battery, part.Alternator, part.SensorSupply, part.DigitalOut, part.Plain:
			return true
		}
		return j.passes(e)
	})
}

// returned says whether a circuit that ends at a ground pin has another end
// that takes current back.
func (j *judge) returned(device int, ends []int) bool {
	return j.anyOther(device, ends, func(e *plan.End) bool {
		if e.Stud >= 0 {
			return j.t.Studs[e.Stud].Use != "supply"
		}
		switch e.Role {
		case part.SensorReturn, part.LowSide, part.HalfBridge, part.Injector, part.Case, part.DigitalOut, part.Plain:
			return true
		case part.Ground: // a battery's, or one that its device has grounded elsewhere
			return j.t.Devices[e.Device].Part.Kind == "battery" || j.groundedElsewhere(e)
		}
		return j.passes(e)
	})
}

func (j *judge) anyOther(device int, ends []int, may func(*plan.End) bool) bool {
	for _, i := range ends {
		for _, k := range j.p.Ends.Of[j.p.Ends.List[i].Circuit] {
			e := &j.p.Ends.List[k]
			switch {
			case k == i || e.Device == device && e.Device >= 0:
			case e.Device < 0 && e.Stud < 0, e.Device >= 0 && e.PinIndex < 0: // open: reported
				return true
			case may(e):
				return true
			}
		}
	}
	return false
}

// passes says whether a contact, wire or diode inside the end's device leads
// on to a pin that is in use.
func (j *judge) passes(e *plan.End) bool {
	p := j.t.Devices[e.Device].Part
	for _, l := range p.Links {
		if l.Kind != part.Contacts && l.Kind != part.Through && l.Kind != part.Diode {
			continue
		}
		far := ""
		switch p.Pins[e.PinIndex].Name {
		case l.From:
			far = l.To
		case l.To:
			far = l.From
		}
		for k := range p.Pins {
			if far != "" && p.Pins[k].Name == far && len(j.used[[2]int{e.Device, k}]) > 0 {
				return true
			}
		}
	}
	return false
}

// groundedElsewhere says whether another ground pin of the end's device is in
// use by another circuit, or its case is on metal.
func (j *judge) groundedElsewhere(e *plan.End) bool {
	dev := &j.t.Devices[e.Device]
	if j.cased(dev) {
		return true
	}
	for k := range dev.Part.Pins {
		if dev.Part.Pins[k].Role != part.Ground || k == e.PinIndex {
			continue
		}
		for _, i := range j.used[[2]int{e.Device, k}] {
			if j.p.Ends.List[i].Circuit != e.Circuit {
				return true
			}
		}
	}
	return false
}

// cased says whether a device is grounded by its case on metal.
func (j *judge) cased(dev *plan.Device) bool {
	if !dev.Part.Metal || dev.Place < 0 || !j.t.Places[dev.Place].Metal {
		return false
	}
	for k := range dev.Part.Pins {
		if dev.Part.Pins[k].Role == part.Case {
			return true
		}
	}
	return false
}
