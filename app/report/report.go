// Package report turns a plan into the answers that programs read: the JSON
// of `--json`, the same for the page. docs/json.md says what stands in it.
// Fields are only ever added; Version rises when a meaning changes.
package report

import (
	"keyon/model/design"
	"keyon/model/finding"
	"keyon/model/network"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/model/settle"
	"keyon/num/quantity"
)

// Version of every JSON answer.
const Version = 1

// Plan is the answer of `keyon plan --json`.
type Plan struct {
	Version  int       `json:"version"`
	Car      string    `json:"car"`
	Design   string    `json:"design"` // hash of the tables
	Wires    []Wire    `json:"wires"`
	Legs     []Leg     `json:"legs"`
	Splices  []Splice  `json:"splices"`
	Ends     []End     `json:"ends"`
	Cavities []Cavity  `json:"cavities"`
	Joins    []Join    `json:"joins"`
	Studs    []Stud    `json:"studs"`
	Feeds    []Feed    `json:"feeds"`
	Looms    []Loom    `json:"looms"`
	Circuits []Circuit `json:"circuits"`
	States   []State   `json:"states"`
	Threads  []Thread  `json:"threads"`
	Passes   []Pass    `json:"passes"`
	Changed  []Change  `json:"changed"`
	Findings []Finding `json:"findings"`
}

// Wire is one cut piece of conductor. from is nearer the source.
type Wire struct {
	ID         string            `json:"id"`
	Number     string            `json:"number"`
	Circuit    string            `json:"circuit"`
	Class      string            `json:"class"`
	Loom       string            `json:"loom"`
	From       string            `json:"from"`
	To         string            `json:"to"`
	FromEnd    WireEnd           `json:"from_end"`
	ToEnd      WireEnd           `json:"to_end"`
	Family     string            `json:"family"`
	Gauge      string            `json:"gauge"`
	AreaMM2    float64           `json:"area_mm2"`
	OutsideMM  float64           `json:"od_mm"`
	MassG      float64           `json:"mass_g"`
	OhmPerKm   float64           `json:"ohm_per_km"`
	Legs       []string          `json:"legs"`
	LengthMM   float64           `json:"length_mm"`
	CutMM      float64           `json:"cut_mm"`
	TailMM     float64           `json:"tail_mm"`
	NetworkMM  float64           `json:"network_mm"` // conductor length the network counts
	Colour     string            `json:"colour"`
	Label      string            `json:"label"`
	Cable      string            `json:"cable,omitempty"`
	Core       string            `json:"core,omitempty"`
	Parallel   int               `json:"parallel"`
	Amps       float64           `json:"amps"`
	State      string            `json:"state"`
	CapacityA  float64           `json:"capacity_a"`
	ConductorC float64           `json:"conductor_c"`
	DropV      float64           `json:"drop_v"`
	Origin     map[string]string `json:"origin"` // given, kept, worked out or open, by field
	Reasons    map[string]string `json:"reasons"`
}

// WireEnd is where a wire begins or ends.
type WireEnd struct {
	Kind      string  `json:"kind"` // pin, cavity, splice, stud, lead
	Place     string  `json:"place"`
	End       string  `json:"end,omitempty"` // ID in ends
	Device    string  `json:"device,omitempty"`
	Pin       string  `json:"pin,omitempty"`
	Connector string  `json:"connector,omitempty"`
	Cavity    string  `json:"cavity,omitempty"`
	Join      string  `json:"join,omitempty"`
	Half      string  `json:"half,omitempty"`
	Splice    string  `json:"splice,omitempty"`
	Stud      string  `json:"stud,omitempty"`
	Contact   string  `json:"contact,omitempty"`
	Seal      string  `json:"seal,omitempty"`
	Lug       string  `json:"lug,omitempty"`
	StripMM   float64 `json:"strip_mm,omitempty"`
	Label     string  `json:"label_at,omitempty"`
}

// Leg is a stretch of loom with its cross-section.
type Leg struct {
	Name       string   `json:"name"`
	From       string   `json:"from"`
	To         string   `json:"to"`
	Loom       string   `json:"loom"`
	LengthMM   float64  `json:"length_mm"`
	Wires      []string `json:"wires"`
	DiameterMM float64  `json:"diameter_mm"`
	BoundMM    float64  `json:"bound_mm"`
	CoveredMM  float64  `json:"covered_mm"`
	Sleeve     string   `json:"sleeve"`
	MassG      float64  `json:"mass_g"`
	AmbientC   float64  `json:"ambient_c"`
	Finish     string   `json:"finish"` // bench or car
	Reason     string   `json:"reason"`
}

// Splice joins wires of one circuit.
type Splice struct {
	ID      string   `json:"id"`
	Circuit string   `json:"circuit"`
	Place   string   `json:"place"`
	Loom    string   `json:"loom"`
	Wires   []string `json:"wires"`
	Part    string   `json:"part"`
	Reason  string   `json:"reason"`
}

// End is where a circuit begins or ends.
type End struct {
	ID        string `json:"id"`
	Circuit   string `json:"circuit"`
	Device    string `json:"device,omitempty"`
	Stud      string `json:"stud,omitempty"`
	Feed      string `json:"feed,omitempty"`
	Pin       string `json:"pin"`
	Connector string `json:"connector,omitempty"`
	Cavity    string `json:"cavity,omitempty"`
	Place     string `json:"place"`
	Role      string `json:"role"`
	Origin    string `json:"origin"`
	Reason    string `json:"reason"`
}

// Cavity is one circuit on one cavity of a join.
type Cavity struct {
	Join    string `json:"join"`
	Circuit string `json:"circuit"`
	N       int    `json:"n"`
	Cavity  string `json:"cavity"`
	Size    string `json:"size"`
	Origin  string `json:"origin"`
	Reason  string `json:"reason"`
}

// Join is the connector where looms meet.
type Join struct {
	Name    string `json:"name"`
	Kind    string `json:"kind"`
	Part    string `json:"part"`
	Key     string `json:"key"`
	Sockets string `json:"sockets"`
	A       string `json:"place_a"`
	B       string `json:"place_b"`
	Reason  string `json:"reason"`
}

// Stud is a threaded post.
type Stud struct {
	Name     string `json:"name"`
	Place    string `json:"place"`
	Thread   string `json:"thread"`
	MostLugs int    `json:"most_lugs"`
	Use      string `json:"use"` // ground or supply
}

// Feed is a protected source of power.
type Feed struct {
	Name    string  `json:"name"`
	Device  string  `json:"device"`
	Pin     string  `json:"pin"`
	Setting string  `json:"setting"`
	RatingA float64 `json:"rating_a"`
	Amps    float64 `json:"amps"`
	State   string  `json:"state"`
	Weakest string  `json:"weakest_wire"`
	Reason  string  `json:"reason"`
}

// Loom is what comes off as one assembly.
type Loom struct {
	Name    string `json:"name"`
	Letter  string `json:"letter"`
	Release string `json:"release"`
	Wires   int    `json:"wires"`
	Legs    int    `json:"legs"`
	Stops   int    `json:"stops"`
}

// Circuit is all rows of one name.
type Circuit struct {
	Name   string   `json:"name"`
	Class  string   `json:"class"`
	Twist  string   `json:"twist,omitempty"` // circuits with the same word are laid together
	Legs   []string `json:"legs"`
	Joins  []string `json:"joins"`
	Metres float64  `json:"metres"`
	Bound  float64  `json:"bound_metres"`
	Reason string   `json:"reason"`
	Open   bool     `json:"open"`
}

// State is the car's network in one operating state.
type State struct {
	Name    string        `json:"name"`
	Supply  string        `json:"supply"`   // battery or alternator
	SupplyV float64       `json:"supply_v"` // what it holds without load
	Seconds float64       `json:"seconds"`
	Devices []DeviceVolts `json:"devices"`
	Wires   []WireAmps    `json:"wires"`
	Feeds   []FeedAmps    `json:"feeds"`
	Source  Source        `json:"source"`
}

// DeviceVolts is what a load gets between its own two pins.
type DeviceVolts struct {
	Device string  `json:"device"`
	From   string  `json:"from"`
	To     string  `json:"to"`
	Volts  float64 `json:"volts"`
	Amps   float64 `json:"amps"`
	WayV   float64 `json:"way_v"`
	LeastV float64 `json:"least_v,omitempty"` // what the load needs
	Out    bool    `json:"out"`
}

// WireAmps is a wire in one state.
type WireAmps struct {
	ID         string  `json:"id"`
	Amps       float64 `json:"amps"`
	ConductorC float64 `json:"conductor_c"`
	CapacityA  float64 `json:"capacity_a"`
}

// FeedAmps is a feed in one state.
type FeedAmps struct {
	Feed string  `json:"feed"`
	Amps float64 `json:"amps"`
}

// Source is what the battery or alternator gives.
type Source struct {
	Amps  float64 `json:"amps"`
	Volts float64 `json:"volts"`
}

// Thread is what goes on a leg's end before its connectors, in order.
type Thread struct {
	Leg   string   `json:"leg"`
	Place string   `json:"place"`
	Items []string `json:"items"`
}

// Pass is one run of all stages.
type Pass struct {
	Stops   int64  `json:"stops"`
	Cost    int64  `json:"cost"`
	Changes int64  `json:"changes"`
	Kept    bool   `json:"kept"`
	Why     string `json:"why,omitempty"`
}

// Change is a choice that differs from what was kept.
type Change struct {
	Kind  string `json:"kind"`
	Thing string `json:"thing"`
	Field string `json:"field"`
	Old   string `json:"old"`
	New   string `json:"new"`
	Why   string `json:"why"`
}

// Finding is a verdict.
type Finding struct {
	Rule     string           `json:"rule"`
	Severity finding.Severity `json:"severity"`
	OK       bool             `json:"ok"`
	Kind     string           `json:"kind"`
	ID       string           `json:"id"`
	Field    string           `json:"field"`
	Cell     string           `json:"cell"` // "Circuits!H12" of the file read, or "Circuits/<row>/<column>"
	Value    *float64         `json:"value"`
	Limit    *float64         `json:"limit"`
	Unit     string           `json:"unit,omitempty"`
	AtMost   *bool            `json:"at_most,omitempty"`
	Margin   *float64         `json:"margin"`
	Source   string           `json:"source"`
	Text     string           `json:"text"`
	Terms    []settle.Term    `json:"terms,omitempty"`
	Fix      []string         `json:"fix"`
	Related  []string         `json:"related,omitempty"`
	Looms    []string         `json:"looms,omitempty"`
	Waived   string           `json:"waived,omitempty"`
}

// Findings is the answer of `keyon check --json`.
type Findings struct {
	Version  int       `json:"version"`
	Car      string    `json:"car"`
	Findings []Finding `json:"findings"`
}

// CellName prints a cell for a person; nil falls back to table, row, column.
type CellName func(settle.Cell) string

// OfFindings renders verdicts. With all false, passed ones are left out.
func OfFindings(vs []finding.Verdict, cell CellName, all bool) []Finding {
	out := []Finding{}
	for i := range vs {
		if v := &vs[i]; all || !v.OK {
			out = append(out, ofVerdict(v, cell))
		}
	}
	return out
}

func ofVerdict(v *finding.Verdict, cell CellName) Finding {
	f := Finding{Rule: v.Rule.ID, Severity: v.Severity(), OK: v.OK, Kind: v.Place.Kind, ID: v.Place.ID, Field: v.Place.Field,
		Value: v.Value, Source: v.Rule.Source.String(), Text: v.What, Terms: v.Terms, Fix: []string{}, Looms: v.Looms, Waived: v.Waived}
	if v.Place.Cell.Table != "" {
		f.Cell = cell(v.Place.Cell)
	}
	if v.Limit != nil {
		f.Limit, f.Unit, f.AtMost = &v.Limit.Value, v.Limit.Unit, &v.Limit.AtMost
	}
	if m := v.Margin(); m == m && v.Value != nil {
		f.Margin = &m
	}
	for _, x := range v.Fixes {
		f.Fix = append(f.Fix, x.Text)
	}
	for _, r := range v.Related {
		f.Related = append(f.Related, r.Kind+" "+r.ID)
	}
	return f
}

// Plain is the cell name where no file is known.
func Plain(c settle.Cell) string { return c.Table + "/" + c.Row + "/" + c.Column }

// OfPlan renders a whole plan.
func OfPlan(d *design.Design, c part.Catalogue, p *plan.Plan, cell CellName) *Plan {
	t := &p.Things
	r := &Plan{Version: Version, Car: d.Car.Name, Design: d.Hash, Findings: OfFindings(p.Verdicts, cell, true),
		Wires: []Wire{}, Legs: []Leg{}, Splices: []Splice{}, Ends: []End{}, Cavities: []Cavity{}, Joins: []Join{}, Studs: []Stud{}, Feeds: []Feed{}, Looms: []Loom{}, Circuits: []Circuit{}, States: []State{}, Threads: []Thread{}, Passes: []Pass{}, Changed: []Change{}}
	for i := range p.Wires.List {
		r.Wires = append(r.Wires, ofWire(p, i))
	}
	for i := range t.Legs {
		l := &t.Legs[i]
		x := Leg{Name: l.Name, From: place(t, l.From), To: place(t, l.To), Loom: loom(t, l.Loom), LengthMM: mm(l.Length.Value), AmbientC: float64(l.Ambient), Finish: "bench", Reason: l.Length.Reason.String(), Wires: []string{}}
		if l.OnCar {
			x.Finish = "car"
		}
		if i < len(p.Bundles.Legs) {
			b := &p.Bundles.Legs[i]
			for _, w := range b.Wires {
				x.Wires = append(x.Wires, p.Wires.List[w].ID)
			}
			x.DiameterMM, x.BoundMM, x.CoveredMM, x.Sleeve = mm(b.Diameter), mm(b.Bound), mm(b.Covered), b.Sleeve.Value
			x.MassG = round(float64(b.MassPerM)*float64(l.Length.Value)*1e3, 4)
		}
		r.Legs = append(r.Legs, x)
	}
	for i, s := range p.Wires.Splices {
		x := Splice{ID: s.ID, Circuit: t.Circuits[s.Circuit].Name, Place: place(t, s.Place), Loom: loom(t, s.Loom), Wires: []string{}}
		for _, w := range s.Wires {
			x.Wires = append(x.Wires, p.Wires.List[w].ID)
		}
		if i < len(p.Sizes.Splices) {
			x.Part, x.Reason = p.Sizes.Splices[i].Value, p.Sizes.Splices[i].Reason.String()
		}
		r.Splices = append(r.Splices, x)
	}
	for i := range p.Ends.List {
		e := &p.Ends.List[i]
		x := End{ID: e.ID, Circuit: t.Circuits[e.Circuit].Name, Pin: e.Pin.Value, Cavity: e.Cavity, Place: place(t, e.Place), Role: string(e.Role), Origin: e.Pin.Origin.String(), Reason: e.Pin.Reason.String()}
		if e.Device >= 0 {
			x.Device, x.Connector = t.Devices[e.Device].Name, connector(t, e)
		}
		if e.Stud >= 0 {
			x.Stud = t.Studs[e.Stud].Name
		}
		if e.Feed >= 0 {
			x.Feed = t.Feeds[e.Feed].Name
		}
		r.Ends = append(r.Ends, x)
	}
	for _, x := range p.Cavities.Crossings {
		r.Cavities = append(r.Cavities, Cavity{t.Joins[x.Join].Name, t.Circuits[x.Circuit].Name, x.N, x.Cavity.Value, x.Size, x.Cavity.Origin.String(), x.Cavity.Reason.String()})
	}
	for i := range t.Joins {
		x := Join{Name: t.Joins[i].Name, Kind: t.Joins[i].Kind, A: place(t, t.Joins[i].A), B: place(t, t.Joins[i].B)}
		if i < len(p.Cavities.Joins) {
			j := &p.Cavities.Joins[i]
			x.Part, x.Key, x.Sockets, x.Reason = j.Part.Value, j.Key.Value, j.Sockets.Value, j.Part.Reason.String()
		}
		r.Joins = append(r.Joins, x)
	}
	for i := range t.Studs {
		x := &t.Studs[i]
		r.Studs = append(r.Studs, Stud{x.Name, place(t, x.Place), x.Thread, x.MostLugs, x.Use})
	}
	for i := range t.Feeds {
		x := Feed{Name: t.Feeds[i].Name}
		if f := &t.Feeds[i]; f.Device >= 0 {
			x.Device = t.Devices[f.Device].Name
			if q := t.Devices[f.Device].Part; q != nil && f.Pin >= 0 {
				x.Pin = q.Pins[f.Pin].Name
			}
		}
		if i < len(p.Sizes.Feeds) {
			f := &p.Sizes.Feeds[i]
			x.Setting, x.RatingA, x.Amps, x.State, x.Reason = f.Setting.Value, float64(f.Rating), round(float64(f.Amps), 4), state(t, f.State), f.Setting.Reason.String()
			if f.Weakest >= 0 {
				x.Weakest = p.Wires.List[f.Weakest].ID
			}
		}
		r.Feeds = append(r.Feeds, x)
	}
	r.Looms = ofLooms(p)
	for i := range t.Circuits {
		x := Circuit{Name: t.Circuits[i].Name, Class: t.Circuits[i].Class.Value, Twist: t.Circuits[i].Twist, Legs: []string{}, Joins: []string{}, Open: true}
		if i < len(p.Routes.List) {
			o := &p.Routes.List[i]
			x.Metres, x.Bound, x.Reason, x.Open = round(o.Metres, 6), round(o.Bound, 6), o.Reason.String(), o.Open
			for _, l := range o.Legs {
				x.Legs = append(x.Legs, t.Legs[l].Name)
			}
			for _, j := range o.Joins {
				x.Joins = append(x.Joins, t.Joins[j].Name)
			}
		}
		r.Circuits = append(r.Circuits, x)
	}
	for i := range p.Power.States {
		r.States = append(r.States, ofState(p, &p.Power.States[i]))
	}
	for _, th := range p.Cuts.Thread {
		r.Threads = append(r.Threads, Thread{t.Legs[th.Leg].Name, place(t, th.Place), append([]string{}, th.Items...)})
	}
	for _, s := range p.Passes {
		r.Passes = append(r.Passes, Pass(s))
	}
	for _, s := range p.Changed {
		r.Changed = append(r.Changed, Change(s))
	}
	return r
}

func ofWire(p *plan.Plan, i int) Wire {
	t, w := &p.Things, &p.Wires.List[i]
	x := Wire{ID: w.ID, Circuit: t.Circuits[w.Circuit].Name, Class: t.Circuits[w.Circuit].Class.Value, Loom: loom(t, w.Loom), Parallel: w.Parallel, Core: w.Core, Legs: []string{}, Origin: map[string]string{}, Reasons: map[string]string{}}
	if w.Cable >= 0 {
		x.Cable = t.Cables[w.Cable].Name
	}
	for _, l := range w.Legs {
		x.Legs = append(x.Legs, t.Legs[l].Name)
	}
	x.FromEnd, x.ToEnd = ofWireEnd(p, &w.From), ofWireEnd(p, &w.To)
	if m, ok := network.Metres(t, w); ok {
		x.NetworkMM = round(m*1e3, 4)
	}
	note := func(field string, o settle.Origin, r settle.Reason) {
		x.Origin[field], x.Reasons[field] = o.String(), r.String()
	}
	if i < len(p.Sizes.Wires) {
		s := &p.Sizes.Wires[i]
		x.Family, x.Gauge, x.Colour = s.Family.Value, s.Gauge.Value, s.Colour.Value
		note("family", s.Family.Origin, s.Family.Reason)
		note("gauge", s.Gauge.Origin, s.Gauge.Reason)
		note("colour", s.Colour.Origin, s.Colour.Reason)
		x.Amps, x.State, x.CapacityA, x.ConductorC, x.DropV = round(float64(s.Amps), 4), state(t, s.State), round(float64(s.Capacity), 4), round(float64(s.Conductor), 3), round(float64(s.Drop), 6)
		for _, e := range []struct {
			to *WireEnd
			of *plan.EndParts
		}{{&x.FromEnd, &s.From}, {&x.ToEnd, &s.To}} {
			e.to.Contact, e.to.Seal, e.to.Lug, e.to.StripMM = e.of.Contact, e.of.Seal, e.of.Lug, mm(e.of.Strip)
		}
		if s.Wire != nil {
			x.AreaMM2, x.OutsideMM, x.OhmPerKm = round(s.Wire.Area.MM2(), 6), mm(s.Wire.Outside), round(float64(s.Wire.OhmPerM)*1e3, 6)
			if i < len(p.Cuts.Wires) {
				x.MassG = round(float64(s.Wire.MassPerM)*float64(p.Cuts.Wires[i].Cut.Value)*1e3, 4)
			}
		}
	}
	if i < len(p.Cuts.Wires) {
		c := &p.Cuts.Wires[i]
		x.Number, x.Label, x.LengthMM, x.CutMM, x.TailMM = c.Number.Value, c.Label.Value, mm(c.Length), mm(c.Cut.Value), mm(c.Tail)
		x.FromEnd.Label, x.ToEnd.Label = c.LabelAt[0], c.LabelAt[1]
		note("cut", c.Cut.Origin, c.Cut.Reason)
		note("number", c.Number.Origin, c.Number.Reason)
		note("label", c.Label.Origin, c.Label.Reason)
	}
	x.From, x.To = p.EndName(&w.From), p.EndName(&w.To)
	return x
}

func ofWireEnd(p *plan.Plan, e *plan.WireEnd) WireEnd {
	t := &p.Things
	x := WireEnd{Kind: e.Kind.String(), Place: place(t, e.Place)}
	if e.End >= 0 && (e.Kind == plan.AtPin || e.Kind == plan.AtStud || e.Kind == plan.AtLead) {
		q := &p.Ends.List[e.End]
		x.End, x.Pin, x.Cavity = q.ID, q.Pin.Value, q.Cavity
		if q.Device >= 0 {
			x.Device, x.Connector = t.Devices[q.Device].Name, connector(t, q)
		}
		if q.Stud >= 0 {
			x.Stud, x.Pin = t.Studs[q.Stud].Name, ""
		}
	}
	if e.Kind == plan.AtCavity && e.Crossing >= 0 {
		q := &p.Cavities.Crossings[e.Crossing]
		x.Join, x.Half, x.Cavity = t.Joins[q.Join].Name, e.Half, q.Cavity.Value
	}
	if e.Kind == plan.AtSplice && e.Splice >= 0 {
		x.Splice = p.Wires.Splices[e.Splice].ID
	}
	return x
}

func ofLooms(p *plan.Plan) []Loom {
	out := make([]Loom, len(p.Things.Looms))
	for i, l := range p.Things.Looms {
		out[i] = Loom{Name: l.Name, Letter: l.Letter, Release: l.Release, Legs: len(l.Legs)}
	}
	for _, w := range p.Wires.List {
		if w.Loom >= 0 {
			out[w.Loom].Wires++
		}
	}
	for _, v := range p.Verdicts {
		if v.Open() && v.Severity() == finding.Stop {
			for _, name := range v.Looms {
				for i := range out {
					if out[i].Name == name {
						out[i].Stops++
					}
				}
			}
		}
	}
	return out
}

func ofState(p *plan.Plan, s *plan.StatePower) State {
	t := &p.Things
	x := State{Name: state(t, s.State), Devices: []DeviceVolts{}, Wires: []WireAmps{}, Feeds: []FeedAmps{}, Source: Source{round(float64(s.Source), 6), round(float64(s.SourceVolts), 9)}}
	if s.State >= 0 {
		x.Seconds, x.Supply, x.SupplyV = float64(t.States[s.State].Seconds), t.States[s.State].Source, round(float64(t.States[s.State].Volts), 6)
	}
	for _, l := range s.Loads {
		q := &t.Loads[l.Load]
		d := &t.Devices[q.Device]
		v := DeviceVolts{Device: d.Name, Volts: round(float64(l.Volts), 9), Amps: round(float64(l.Amps), 9), WayV: round(float64(l.Way), 9), LeastV: round(float64(q.LeastVolts), 6), Out: l.Out}
		if d.Part != nil {
			v.From, v.To = pin(d.Part, q.From), pin(d.Part, q.To)
		}
		x.Devices = append(x.Devices, v)
	}
	for i := range s.Amps {
		w := WireAmps{ID: p.Wires.List[i].ID, Amps: round(float64(s.Amps[i]), 9)}
		if i < len(s.Celsius) {
			w.ConductorC = round(float64(s.Celsius[i]), 3)
		}
		if i < len(p.Sizes.Wires) {
			w.CapacityA = round(float64(p.Sizes.Wires[i].Capacity), 4)
		}
		x.Wires = append(x.Wires, w)
	}
	for i, a := range s.Feeds {
		x.Feeds = append(x.Feeds, FeedAmps{t.Feeds[i].Name, round(float64(a), 6)})
	}
	return x
}

func pin(p *part.Device, i int) string {
	if i < 0 || i >= len(p.Pins) {
		return ""
	}
	return p.Pins[i].Name
}

func connector(t *plan.Things, e *plan.End) string {
	if e.Connector < 0 || e.Connector >= len(t.Devices[e.Device].Connectors) {
		return ""
	}
	return t.Devices[e.Device].Connectors[e.Connector].Name
}

func place(t *plan.Things, i int) string {
	if i < 0 {
		return ""
	}
	return t.Places[i].Name
}

func loom(t *plan.Things, i int) string {
	if i < 0 {
		return ""
	}
	return t.Looms[i].Name
}

func state(t *plan.Things, i int) string {
	if i < 0 || i >= len(t.States) {
		return ""
	}
	return t.States[i].Name
}

func mm(l quantity.Length) float64 { return round(l.MM(), 4) }

// round keeps the JSON short and free of the last bits of a sum.
func round(x float64, places int) float64 {
	p := 1.0
	for range places {
		p *= 10
	}
	return quantity.RoundTo(x*p, 1) / p
}
