package resolve

import (
	"keyon/model/design"
	"keyon/model/finding"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/model/settle"
	"keyon/num/quantity"
)

// indexParts gathers the names of all parts there are, with the shop's own
// rows that could not be used.
func (r *resolver) indexParts() {
	n := newNames("part", "enter it in the table Parts")
	addAll(n, r.c.Devices)
	addAll(n, r.c.Connectors)
	addAll(n, r.c.Contacts)
	addAll(n, r.c.Seals)
	addAll(n, r.c.Wires)
	addAll(n, r.c.Cables)
	addAll(n, r.c.Sleeves)
	addAll(n, r.c.Lugs)
	addAll(n, r.c.Boots)
	addAll(n, r.c.Fuses)
	addAll(n, r.c.Splices)
	addAll(n, r.c.Studs)
	for i := range r.d.Parts {
		n.of[r.d.Parts[i].Name] = 0
	}
	for _, f := range r.d.Findings {
		if f.Place.Kind == "part" {
			n.lost[f.Place.ID] = true
		}
	}
	r.parts = n
	r.all = append(r.all, n)
}

func addAll[T any](n *names, parts map[string]T) {
	for id := range parts {
		n.of[id] = 0
	}
}

// partOf finds a part of one kind. A part of another kind is reported too.
func partOf[T any](r *resolver, parts map[string]*T, e design.TextEntry, p finding.Place, kind string) *T {
	if x := parts[e.Value]; x != nil && e.Is() {
		return x
	}
	// A row of the shop's own that has a finding is that kind of part, only
	// its figures are missing.
	if r.parts.look(e, p) >= 0 && !r.parts.lost[e.Value] {
		p.Cell = e.At
		r.say(finding.Say(RuleName, p, quote(e.Value)+" is a part, but not a "+kind, "name a "+kind))
	}
	return nil
}

// theDevices settles devices and their connectors. Rows with one name are one
// device: the row without a connector stands for the whole of it.
func (r *resolver) theDevices() {
	for i := 0; i < len(r.d.Devices); {
		j := i + 1
		for j < len(r.d.Devices) && r.d.Devices[j].Name == r.d.Devices[i].Name {
			j++
		}
		r.oneDevice(r.d.Devices[i:j])
		i = j
	}
}

func (r *resolver) oneDevice(rows []design.Device) {
	main := &rows[0] // a blank connector sorts first
	at := finding.Place{Kind: "device", ID: main.Name}
	q := plan.Device{ID: main.ID, Name: main.Name, Lead: main.Lead.Or(0)}
	q.Part = partOf(r, r.c.Devices, main.Part, field(at, "part"), "device")
	q.Place = r.places.look(main.Place, field(at, "place"))
	if q.Part != nil {
		for _, c := range q.Part.Connectors {
			q.Connectors = append(q.Connectors, plan.Connector{Name: c.Name, Part: r.c.Connectors[c.Part], Place: q.Place, Exit: main.Exit.Value, Angle: main.Angle.Or(0)})
		}
	}
	if main.Connector.Is() {
		r.ownPlace(&q, main)
	}
	for k := 1; k < len(rows); k++ {
		row := &rows[k]
		if row.Part.Value != main.Part.Value {
			p := field(at, "part")
			p.Cell = row.Part.At
			r.say(finding.Say(RuleConflict, p, main.Name+" is a "+quote(main.Part.Value)+" in one row and a "+quote(row.Part.Value)+" in another", "write the same part in all rows of "+main.Name))
		}
		r.ownPlace(&q, row)
	}
	r.t.DeviceOf[q.Name] = len(r.t.Devices)
	r.t.Devices = append(r.t.Devices, q)
}

// ownPlace gives a connector the place and exit of its own row.
func (r *resolver) ownPlace(q *plan.Device, row *design.Device) {
	at := finding.Place{Kind: "device", ID: row.Name}
	place := r.places.look(row.Place, field(at, "place"))
	if q.Part == nil {
		return
	}
	have := make([]string, len(q.Connectors))
	for i := range q.Connectors {
		c := &q.Connectors[i]
		if have[i] = c.Name; c.Name != row.Connector.Value {
			continue
		}
		c.Place = place
		if row.Exit.Is() {
			c.Exit = row.Exit.Value
		}
		if row.Angle.Is() {
			c.Angle = row.Angle.Value
		}
		return
	}
	r.unknown(RuleName, field(at, "connector"), row.Connector, quote(row.Name)+" has no connector "+quote(row.Connector.Value), have, "leave the connector blank")
}

// unknown reports a name that is not among a few choices.
func (r *resolver) unknown(rule *finding.Rule, p finding.Place, e design.TextEntry, what string, have []string, fixes ...string) {
	p.Cell = e.At
	v := finding.Say(rule, p, what)
	close := near(e.Value, have)
	for _, c := range close {
		f := finding.Fix{Text: "write " + quote(c)}
		if len(close) == 1 {
			f.Edit = &finding.Edit{Cell: e.At, Text: c}
		}
		v.Fixes = append(v.Fixes, f)
	}
	for _, f := range fixes {
		v.Fixes = append(v.Fixes, finding.Fix{Text: f})
	}
	r.say(v)
}

// pin finds a pin of a device by its name; -1 where the device is not known,
// the entry fixes nothing, or the pin is not there, which is reported.
func (r *resolver) pin(device int, e design.TextEntry, p finding.Place) int {
	if device < 0 || !e.Is() || r.t.Devices[device].Part == nil {
		return -1
	}
	d := r.t.Devices[device].Part
	if i, ok := r.pinsOf(d)[e.Value]; ok {
		return i
	}
	have := make([]string, len(d.Pins))
	for i := range d.Pins {
		have[i] = d.Pins[i].Name
	}
	r.unknown(RuleName, p, e, quote(r.t.Devices[device].Name)+" has no pin "+quote(e.Value), have, "see the pins of "+quote(d.ID), "leave the pin blank to have it worked out")
	return -1
}

func (r *resolver) pinsOf(d *part.Device) map[string]int {
	m := r.pins[d]
	if m == nil {
		m = make(map[string]int, len(d.Pins))
		for i := len(d.Pins) - 1; i >= 0; i-- {
			m[d.Pins[i].Name] = i
		}
		r.pins[d] = m
	}
	return m
}

func (r *resolver) theJoins() {
	spare, _ := r.d.Number("join spare share", houseSpares)
	for i := range r.d.Joins {
		j := &r.d.Joins[i]
		at := finding.Place{Kind: "join", ID: j.Name}
		q := plan.Join{ID: j.ID, Name: j.Name, Kind: j.Kind.Value, Part: j.Part, FixedHalf: j.FixedHalf.Value, Sockets: j.Sockets, Key: j.Key, Spare: j.SpareShare.Or(spare)}
		q.A = r.places.look(j.PlaceA, field(at, "place a"))
		q.B = r.places.look(j.PlaceB, field(at, "place b"))
		switch {
		case q.Kind == "stud":
			partOf(r, r.c.Studs, j.Part, field(at, "part"), "stud")
		case q.Kind != "grommet":
			q.Connector = partOf(r, r.c.Connectors, j.Part, field(at, "part"), "connector")
		}
		if q.A >= 0 && q.A == q.B {
			p := field(at, "place b")
			p.Cell = j.PlaceB.At
			r.say(finding.Say(RuleLeg, p, "both halves of "+j.Name+" are at "+j.PlaceA.Value, "give each half a place of its own"))
			q.B = -1
		}
		r.t.JoinOf[j.Name] = i
		r.t.Joins = append(r.t.Joins, q)
	}
}

func (r *resolver) theStuds() {
	lugs, _ := r.d.Number("most lugs on a stud", houseLugs)
	for i := range r.d.Studs {
		s := &r.d.Studs[i]
		r.t.StudOf[s.Name] = i
		r.t.Studs = append(r.t.Studs, plan.Stud{ID: s.ID, Name: s.Name, Thread: s.Thread.Value, MostLugs: s.MostLugs.Or(int(lugs)), Use: s.Use.Value,
			Place: r.places.look(s.Place, finding.Place{Kind: "stud", ID: s.Name, Field: "place"})})
	}
}

func (r *resolver) theFeeds() {
	for i := range r.d.Feeds {
		f := &r.d.Feeds[i]
		at := finding.Place{Kind: "feed", ID: f.Name}
		q := plan.Feed{ID: f.ID, Name: f.Name, Setting: f.Setting, Unprotected: f.Unprotected.Is()}
		q.Device = r.device(f.Device, field(at, "device"))
		q.Pin = r.pin(q.Device, f.Pin, field(at, "pin"))
		r.t.FeedOf[f.Name] = i
		r.t.Feeds = append(r.t.Feeds, q)
	}
}

// theStates takes the design's states, or those of the house where the table
// is empty.
func (r *resolver) theStates() {
	volts := float64(r.d.Car.Volts) / 12                        // house voltages are those of a 12 V car
	battery, _ := r.d.Number("battery volts", 12.4*volts)       // V, between full (12.7) and half (12.2) charge at rest, from memory; common practice
	cranking, _ := r.d.Number("cranking volts", 9.6*volts)      // V, lower end of 9.6–11 V while cranking, warm engine, good battery; service text
	alternator, _ := r.d.Number("alternator volts", 14.2*volts) // V, regulated at 20 to 60 °C: 13.9–14.9 V and 13.4–14.6 V; service text
	hot, _ := r.d.Number("hot alternator volts", 13.8*volts)    // V, regulated at 80 °C: 13.1–14.5 V; service text
	states := []plan.State{
		{Name: "key on", Source: "battery", Volts: quantity.Volt(battery)},
		{Name: "cranking", Source: "battery", Volts: quantity.Volt(cranking), Speed: 250, Seconds: 15}, // 15 s, then 20 s pause: light vehicle service text; 250 rpm from memory
		{Name: "idle", Source: "alternator", Volts: quantity.Volt(alternator), Speed: 900},             // rpm, common practice
		{Name: "hot idle", Source: "alternator", Volts: quantity.Volt(hot), Speed: 900},                // rpm, common practice
		{Name: "full load", Source: "alternator", Volts: quantity.Volt(alternator), Speed: 7000},       // rpm, common practice
	}
	if len(r.d.States) == 0 {
		for i := range states {
			s := &states[i]
			s.ID, s.Default = "house "+s.Name, true
			r.t.StateOf[s.Name] = i
			r.states.of[s.Name] = i
		}
		r.t.States = states
		return
	}
	for i := range r.d.States {
		s := &r.d.States[i]
		q := plan.State{ID: string(s.ID), Name: s.Name, Source: s.Source.Value, Speed: s.Speed.Or(0), Seconds: quantity.Second(s.Seconds.Or(0)),
			HasAmbient: s.Ambient.Is(), Ambient: quantity.Celsius(s.Ambient.Value)}
		at := finding.Place{Kind: "state", ID: s.Name, Field: "source"}
		switch {
		case s.Source.State == settle.Blank && q.Speed > 0 && s.Name != "cranking":
			q.Source = "alternator"
		case s.Source.State == settle.Blank:
			q.Source = "battery"
		case q.Source != "battery" && q.Source != "alternator":
			r.unknown(RuleSource, at, s.Source, "the source "+quote(q.Source)+" is neither battery nor alternator", []string{"battery", "alternator"}, "write battery or alternator")
			q.Source = ""
		}
		usual := alternator
		if q.Source == "battery" {
			usual = battery
		}
		for _, h := range states {
			if h.Name == s.Name && h.Source == q.Source {
				usual = float64(h.Volts)
			}
		}
		q.Volts = quantity.Volt(s.Volts.Or(usual))
		r.t.StateOf[s.Name] = i
		r.t.States = append(r.t.States, q)
	}
}
