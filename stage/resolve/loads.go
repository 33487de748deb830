package resolve

import (
	"cmp"
	"slices"

	"keyon/model/design"
	"keyon/model/finding"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/model/settle"
	"keyon/model/source"
	"keyon/num/quantity"
)

// loadKey is what one load of Things stands for.
type loadKey struct{ device, from, to, state int }

// theLoads lays the table Loads over what the parts say. A row without a
// state holds in every state, a row with one only there; a cell left blank in
// a row leaves the part's figure.
func (r *resolver) theLoads() {
	at := map[loadKey]int{}
	put := func(k loadKey) *plan.Load {
		i, ok := at[k]
		if !ok {
			i = len(r.t.Loads)
			at[k] = i
			r.t.Loads = append(r.t.Loads, plan.Load{Device: k.device, From: k.from, To: k.to, State: k.state})
		}
		return &r.t.Loads[i]
	}
	for i := range r.t.Devices {
		if p := r.t.Devices[i].Part; p != nil {
			for _, everywhere := range []bool{true, false} {
				for j := range p.Loads {
					if l := &p.Loads[j]; (l.State == "") == everywhere {
						r.partLoad(i, p, l, put)
					}
				}
			}
		}
	}
	for _, everywhere := range []bool{true, false} {
		for i := range r.d.Loads {
			if l := &r.d.Loads[i]; (l.State.State == settle.Blank) == everywhere {
				r.rowLoad(l, put)
			}
		}
	}
	slices.SortFunc(r.t.Loads, func(a, b plan.Load) int {
		return cmp.Or(cmp.Compare(a.Device, b.Device), cmp.Compare(a.From, b.From), cmp.Compare(a.To, b.To), cmp.Compare(a.State, b.State))
	})
}

// statesOf are the states a load's state names: all for none.
func (r *resolver) statesOf(state int, named bool) []int {
	if named {
		return []int{state}
	}
	all := make([]int, len(r.t.States))
	for i := range all {
		all[i] = i
	}
	return all
}

func (r *resolver) partLoad(device int, p *part.Device, l *part.Load, put func(loadKey) *plan.Load) {
	from, to := r.loadPins(p)
	if i, ok := r.pinsOf(p)[l.From]; ok {
		from = i
	}
	if i, ok := r.pinsOf(p)[l.To]; ok {
		to = i
	}
	state, known := r.t.StateOf[l.State]
	if from < 0 || to < 0 || l.State != "" && !known {
		return
	}
	for _, s := range r.statesOf(state, l.State != "") {
		q := put(loadKey{device, from, to, s})
		q.Mean, q.RMS, q.Peak, q.Power, q.Ohm = l.Mean, l.RMS, l.Peak, l.Power, l.Ohm
		q.Inrush, q.InrushTime, q.LeastVolts = l.Inrush, l.InrushTime, l.LeastVolts
		q.Check = l.Source.Status == source.Memory
		oneOf(q)
	}
}

// oneOf leaves one way of saying what a load takes: amps before watts before
// ohms. A load given in amps takes at least its mean as RMS and peak.
func oneOf(q *plan.Load) {
	switch {
	case q.Mean > 0:
		q.Power, q.Ohm = 0, 0
		q.RMS = max(q.RMS, q.Mean)
		q.Peak = max(q.Peak, q.RMS)
	case q.Power > 0:
		q.Ohm = 0
	}
}

// loadPins are the pins between which a device takes its load where nobody
// says: its first supply pin and its first ground pin.
func (r *resolver) loadPins(p *part.Device) (from, to int) {
	return firstPin(p, supplies), firstPin(p, returns)
}

var (
	supplies = []part.Role{part.SupplyIn, part.StarterIn, part.SensorIn}
	returns  = []part.Role{part.Ground, part.LoadMinus, part.InjectorIn, part.SensorGround, part.Case}
)

func firstPin(p *part.Device, roles []part.Role) int {
	for _, role := range roles {
		for i := range p.Pins {
			if p.Pins[i].Role == role {
				return i
			}
		}
	}
	return -1
}

// rowLoad lays one row of Loads over the states it names. A row with a garbled
// cell, or with a name that leads nowhere, is reported elsewhere and not used.
func (r *resolver) rowLoad(l *design.Load, put func(loadKey) *plan.Load) {
	at := finding.Place{Kind: "load", ID: l.Device.Value}
	device := r.device(l.Device, field(at, "device"))
	state := r.states.look(l.State, field(at, "state"))
	from := r.loadPin(device, l.FromPin, field(at, "from pin"), supplies, "supply")
	to := -1
	if from >= 0 || l.FromPin.Is() {
		to = r.loadPin(device, l.ToPin, field(at, "to pin"), returns, "ground")
	}
	if device < 0 || from < 0 || to < 0 || l.State.State != settle.Blank && state < 0 || garbled(l) {
		return
	}
	amounts := 0
	for _, e := range []design.NumberEntry{lift(l.Mean), l.Power, l.Resistance} {
		if e.State == settle.Given && e.Value > 0 {
			if amounts++; amounts == 2 {
				p := field(at, e.At.Column)
				p.Cell = e.At
				r.say(finding.Say(RuleLoad, p, "the load of "+l.Device.Value+" is given twice, the "+e.At.Column+" is not used", "leave one of them blank"))
			}
		}
	}
	for _, s := range r.statesOf(state, l.State.State == settle.Given) {
		q := put(loadKey{device, from, to, s})
		q.Cell = settle.Cell{Table: "Loads", Row: string(l.ID)}
		q.Check = false
		if l.Mean.Is() || l.Power.Is() || l.Resistance.Is() {
			q.Mean, q.RMS, q.Peak = l.Mean.Or(0), l.RMS.Or(0), l.Peak.Or(0)
			q.Power, q.Ohm = quantity.Watt(l.Power.Or(0)), quantity.Ohm(l.Resistance.Or(0))
		} else {
			q.RMS, q.Peak = l.RMS.Or(q.RMS), l.Peak.Or(q.Peak)
		}
		q.Inrush, q.InrushTime = l.Inrush.Or(q.Inrush), quantity.Second(l.InrushTime.Or(float64(q.InrushTime)))
		q.LeastVolts = quantity.Volt(l.LeastVolts.Or(float64(q.LeastVolts)))
		oneOf(q)
	}
}

func lift(e design.AmpEntry) design.NumberEntry {
	return design.NumberEntry{State: e.State, Value: float64(e.Value), Text: e.Text, At: e.At}
}

func garbled(l *design.Load) bool {
	for _, s := range []settle.State{l.Mean.State, l.RMS.State, l.Peak.State, l.Inrush.State, l.Power.State, l.Resistance.State, l.InrushTime.State, l.LeastVolts.State} {
		if s == settle.Garbled {
			return true
		}
	}
	return false
}

// loadPin finds a load's pin. Left blank it is the device's only pin of that
// sort; where there are several the first is taken and a person asked.
func (r *resolver) loadPin(device int, e design.TextEntry, p finding.Place, roles []part.Role, sort string) int {
	if device < 0 || e.State != settle.Blank || r.t.Devices[device].Part == nil {
		return r.pin(device, e, p)
	}
	d := r.t.Devices[device].Part
	i := firstPin(d, roles)
	p.Cell = e.At
	if i < 0 {
		r.say(finding.Say(RuleLoad, p, quote(r.t.Devices[device].Name)+" has no "+sort+" pin; the load is not used", "name its pins"))
		return -1
	}
	for j := i + 1; j < len(d.Pins); j++ {
		if d.Pins[j].Role == d.Pins[i].Role {
			r.say(finding.Say(RuleLoad, p, quote(r.t.Devices[device].Name)+" has several "+sort+" pins; "+d.Pins[i].Name+" is taken", "name the pin"))
			break
		}
	}
	return i
}
