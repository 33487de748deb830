// Package resolve turns names into things: it fills plan.Things.
//
// It decides what a name means, how long a leg is that nobody measured, which
// legs form a loom, which class a circuit has, which core of a cable a circuit
// runs on, which states there are and what each load takes in them. A
// reference that leads nowhere is one finding at its cell, however many cells
// hold it; the thing is -1 in the table and nothing later guesses around it.
//
// It takes for granted that design.Read has reported what it could not read.
// Which pins, feeds and studs serve the ends is left to assign.
package resolve

import (
	"math"

	"keyon/model/design"
	"keyon/model/finding"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/num/quantity"
)

// resolver is the state of one run.
type resolver struct {
	d  *design.Design
	c  part.Catalogue
	t  plan.Things
	vs []finding.Verdict

	zones, assemblies, places, looms, devices, joins, studs, feeds, circuits, cables, states *names

	ends  *names   // devices, studs and feeds: what a side of a circuit may name
	parts *names   // every part there is
	all   []*names // in the order they are reported

	ambient quantity.Celsius // of the house
	words   map[*part.Device][]part.Words
	pins    map[*part.Device]map[string]int
	roles   map[*part.Device][]part.Role
}

// Run resolves the design's names. A car above 60 V DC is out of scope: its
// table stays empty and one finding says why.
func Run(d *design.Design, c part.Catalogue) (plan.Things, []finding.Verdict) {
	r := &resolver{d: d, c: c, pins: map[*part.Device]map[string]int{}, words: map[*part.Device][]part.Words{}}
	r.t = emptyThings()
	if over := scope(d); len(over) > 0 {
		return r.t, over
	}
	r.index()
	r.theStates()
	r.zonesAndPlaces()
	r.theLegs()
	r.theLooms()
	r.theDevices()
	r.theJoins()
	r.theStuds()
	r.theFeeds()
	r.theCircuits()
	r.theClasses()
	r.theCables()
	r.theKin()
	r.theLoads()
	r.otherTables()
	r.reportMissing()
	finding.Sort(r.vs)
	return r.t, r.vs
}

func emptyThings() plan.Things {
	return plan.Things{
		PlaceOf: map[string]int{}, DeviceOf: map[string]int{}, StudOf: map[string]int{}, FeedOf: map[string]int{},
		JoinOf: map[string]int{}, CircuitOf: map[string]int{}, StateOf: map[string]int{}, CableOf: map[string]int{},
	}
}

func (r *resolver) say(v finding.Verdict) { r.vs = append(r.vs, v) }

const mostVolts = 60 // V DC, upper end of the voltage class this program is for; house rule, after the extra-low-voltage limit commonly used for road vehicles (common practice)

// scope refuses cars whose nominal or state voltage is above 60 V DC.
func scope(d *design.Design) []finding.Verdict {
	var vs []finding.Verdict
	judge := func(v quantity.Volt, p finding.Place) {
		if float64(v) <= mostVolts {
			return
		}
		shown, limit := quantity.Apart(float64(v), mostVolts, 0)
		vs = append(vs, finding.Judge(RuleScope, p, float64(v), finding.Limit{AtMost: true, Value: mostVolts, Unit: "V"},
			shown+" V, at most "+limit+" V DC: higher voltages need other insulation, clearances and training than this program knows; nothing is planned"))
	}
	judge(d.Car.Volts, finding.Place{Kind: "car", ID: "volts", Field: "value", Cell: d.Car.Settings["volts"].At})
	for i := range d.States {
		s := &d.States[i]
		judge(quantity.Volt(s.Volts.Or(0)), finding.Place{Kind: "state", ID: s.Name, Field: "volts", Cell: s.Volts.At})
	}
	return vs
}

// step5 rounds a worked-out length up to 5 mm.
func step5(l quantity.Length) quantity.Length {
	return quantity.Length(math.Round(quantity.RoundUp(l.MM(), 5))) * quantity.MM
}
