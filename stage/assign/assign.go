// Package assign settles which pin, feed or stud serves each end of a circuit
// that has none.
//
// Pins go by role, then rating, index (coil 1 on coil output 1), group,
// contact size and distance: the cheapest pairing of all blank ends of a
// device with its free pins, exact. Feeds and studs go to the nearest that
// still has room. Given and kept choices stay. It takes for granted that
// names are resolved; what cannot be placed says what is missing.
package assign

import (
	"fmt"
	"slices"
	"strings"

	"keyon/model/design"
	"keyon/model/finding"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/model/settle"
	"keyon/model/source"
	"keyon/num/graph"
)

// Rules of the stage.
var Rules = []*finding.Rule{RulePin, RuleFeed, RuleStud, RuleKept}

var practice = source.Ref{Kind: source.Practice, Doc: "roles", Where: "what feeds or reads what"}

// RulePin says that a device has no pin left for an end.
var RulePin = &finding.Rule{ID: "assign.pin", Severity: finding.Stop, Title: "no free pin",
	Text:   "The device has no free pin of a role that goes with the circuit's other ends and may carry its current.",
	Source: practice}

// RuleFeed says that no feed is left for a load.
var RuleFeed = &finding.Rule{ID: "assign.feed", Severity: finding.Stop, Title: "no free feed",
	Text:   "Every feed of the table Feeds that may carry the load serves another circuit.",
	Source: source.Ref{Kind: source.Judgement, Doc: "house-rules", Where: "one circuit a feed"}}

// RuleStud says that no ground stud has room.
var RuleStud = &finding.Rule{ID: "assign.stud", Severity: finding.Stop, Title: "no free stud",
	Text:   "No ground stud that the loom reaches has room for another lug.",
	Source: source.Ref{Kind: source.Standard, Doc: "AC 43.13-1B", Where: "11-174: at most 4 terminals a stud", Status: source.Seen}}

// RuleKept says that a kept choice could not stay.
var RuleKept = &finding.Rule{ID: "assign.kept", Severity: finding.Look, Title: "a kept pin, feed or stud had to change",
	Text:   "The choice that was relied on is taken by a given one, or is gone.",
	Source: source.Ref{Kind: source.Judgement, Doc: "house-rules", Where: "kept choices"}}

// work is one run.
type work struct {
	d        *design.Design
	t        *plan.Things
	out      plan.Ends
	g        *graph.Graph
	taken    map[[2]int]int // device, pin: the circuit that has it
	amps     []float64      // by pin slot of loads: most a device's pin takes, see need
	draws    map[[2]int]float64
	byDev    map[int][]int  // blank ends by device
	feedOf   map[[2]int]int // device, pin: the feed whose outlet it is
	feedBy   []int          // by feed: the circuit it serves, -1
	lugs     []int          // by stud: lugs on it
	verdicts []finding.Verdict
}

// Run settles all ends.
func Run(d *design.Design, t plan.Things) (plan.Ends, []finding.Verdict) {
	w := &work{d: d, t: &t, taken: map[[2]int]int{}, draws: map[[2]int]float64{}, byDev: map[int][]int{}, feedOf: map[[2]int]int{}, feedBy: make([]int, len(t.Feeds)), lugs: make([]int, len(t.Studs))}
	for i := range t.Feeds {
		w.feedBy[i] = -1
		if f := &t.Feeds[i]; f.Device >= 0 && f.Pin >= 0 {
			w.feedOf[[2]int{f.Device, f.Pin}] = i
		}
	}
	for i := range t.Loads {
		l := &t.Loads[i]
		if s := t.States[l.State].Seconds; s > 0 && s < 300 { // a pin stands the seconds of cranking; its rating is for good
			continue
		}
		for _, pin := range []int{l.From, l.To} {
			k := [2]int{l.Device, pin}
			w.draws[k] = max(w.draws[k], amps(l, float64(d.Car.Volts)))
		}
	}
	w.distances()
	w.declared()
	w.pins()
	w.feeds()
	w.studs()
	for i := range w.out.List {
		w.finish(&w.out.List[i])
	}
	return w.listed(), w.verdicts
}

// listed is the table with each circuit's ends in the order of their IDs, so
// that an end has its place whether it was given or worked out.
func (w *work) listed() plan.Ends {
	out := plan.Ends{List: make([]plan.End, 0, len(w.out.List)), Of: make([][]int, len(w.out.Of))}
	for c, ends := range w.out.Of {
		slices.SortFunc(ends, func(a, b int) int { return strings.Compare(w.out.List[a].ID, w.out.List[b].ID) })
		for _, i := range ends {
			out.Of[c] = append(out.Of[c], len(out.List))
			out.List = append(out.List, w.out.List[i])
		}
	}
	return out
}

// amps is what a load takes, roughly: watts and ohms at the nominal voltage.
func amps(l *plan.Load, volts float64) float64 {
	switch {
	case l.Mean > 0:
		return float64(max(l.Mean, l.RMS))
	case l.Power > 0:
		return float64(l.Power) / volts
	case l.Ohm > 0:
		return volts / float64(l.Ohm)
	}
	return 0
}

// joinMetres is what crossing a join adds to a distance (judgement: half a
// metre of wire costs about what two contacts do).
const joinMetres = 0.5

// distances makes the graph of places over legs and joins, costs in mm.
func (w *work) distances() {
	w.g = graph.New(len(w.t.Places))
	for i := range w.t.Legs {
		l := &w.t.Legs[i]
		mm := int64(1000) // an open length counts as a metre until it is known
		if l.Length.Settled() {
			mm = int64(l.Length.Value.MM() + 0.5)
		}
		if l.From >= 0 && l.To >= 0 {
			w.g.AddEdge(l.From, l.To, mm)
		}
	}
	for i := range w.t.Joins {
		if j := &w.t.Joins[i]; j.A >= 0 && j.B >= 0 {
			w.g.AddEdge(j.A, j.B, joinMetres*1000)
		}
	}
}

// far is the distance between two places in mm; a metre more than anything
// on a car where there is no way.
func (w *work) far(a, b int) int64 {
	if a == b || a < 0 || b < 0 {
		return 0
	}
	_, mm, ok := w.g.Path(a, []int{b}, nil)
	if !ok {
		return 100_000
	}
	return mm
}

// declared copies the declared ends, takes given and kept pins, and adds the
// ends that rows leave open: a feed for a power circuit, a stud for a ground.
func (w *work) declared() {
	w.out.Of = make([][]int, len(w.t.Circuits))
	for c := range w.t.Circuits {
		q := &w.t.Circuits[c]
		for i := range q.Ends {
			e := &q.Ends[i]
			x := plan.End{ID: e.ID, Circuit: c, Row: e.Row, Device: e.Device, Stud: e.Stud, Feed: e.Feed, PinIndex: -1, Connector: -1, Place: -1}
			switch {
			case e.Stud >= 0:
				x.Pin = settle.Value[string]{Value: w.t.Studs[e.Stud].Name, Origin: settle.FromUser, Reason: settle.GivenReason}
				w.lugs[e.Stud]++
			case e.Feed >= 0:
				x.Device, x.PinIndex = w.t.Feeds[e.Feed].Device, w.t.Feeds[e.Feed].Pin
				x.Pin = settle.Value[string]{Origin: settle.FromUser, Reason: settle.GivenReason}
				w.feedBy[e.Feed] = c
				w.take(&x, c)
			case e.Device >= 0 && w.t.Devices[e.Device].Part != nil:
				if e.Pin.State == settle.Given {
					x.PinIndex = w.pinIndex(e.Device, e.Pin.Value)
					x.Pin = settle.Value[string]{Origin: settle.FromUser, Reason: settle.GivenReason}
					w.take(&x, c)
				}
			}
			w.add(x)
		}
		w.missing(c)
	}
	// Kept pins after all given ones: a given choice goes first.
	for i := range w.out.List {
		x := &w.out.List[i]
		if x.PinIndex >= 0 || x.Stud >= 0 || x.Feed >= 0 || x.Device < 0 || w.t.Devices[x.Device].Part == nil {
			continue
		}
		e := w.entry(x)
		if e.State != settle.Blank {
			continue // garbled: nothing is worked out in its place
		}
		if k := w.d.Keep(e, "end", x.ID, "pin"); k.State == settle.Kept {
			pin := w.pinIndex(x.Device, k.Value)
			if _, used := w.taken[[2]int{x.Device, pin}]; pin >= 0 && !used {
				x.PinIndex, x.Pin = pin, settle.Value[string]{Origin: settle.FromKept, Reason: settle.KeptReason}
				w.take(x, x.Circuit)
				continue
			}
			w.verdicts = append(w.verdicts, finding.Say(RuleKept, w.place(x), w.t.Devices[x.Device].Name+": the kept pin "+k.Value+" is taken or gone", "look at the new pin"))
		}
		w.byDev[x.Device] = append(w.byDev[x.Device], i)
	}
}

// entry is what a person typed for an end's pin.
func (w *work) entry(x *plan.End) design.TextEntry {
	for i := range w.t.Circuits[x.Circuit].Ends {
		if e := &w.t.Circuits[x.Circuit].Ends[i]; e.ID == x.ID {
			return e.Pin
		}
	}
	return design.TextEntry{}
}

func (w *work) add(x plan.End) int {
	w.out.Of[x.Circuit] = append(w.out.Of[x.Circuit], len(w.out.List))
	w.out.List = append(w.out.List, x)
	return len(w.out.List) - 1
}

func (w *work) take(x *plan.End, circuit int) {
	if x.Device >= 0 && x.PinIndex >= 0 {
		w.taken[[2]int{x.Device, x.PinIndex}] = circuit
		if f, ok := w.feedOf[[2]int{x.Device, x.PinIndex}]; ok {
			x.Feed, w.feedBy[f] = f, circuit
		}
	}
}

func (w *work) pinIndex(device int, name string) int {
	p := w.t.Devices[device].Part
	for i := range p.Pins {
		if p.Pins[i].Name == name {
			return i
		}
	}
	return -1
}

// sources are roles that may stand at the supply side of a power circuit.
func gives(r part.Role) bool {
	switch r {
	case part.SupplyOut, part.SwitchedOut, part.HalfBridge, part.Battery, part.Alternator, part.LowSide, part.Injector, part.Coil:
		return true
	}
	return false
}

// missing adds the end that a power or ground circuit's rows leave open.
func (w *work) missing(c int) {
	q := &w.t.Circuits[c]
	class := q.Class.Value
	if class != "power" && class != "ground" && class != "heavy" && class != "extinguisher" {
		return
	}
	for r := range q.Rows {
		row := &w.d.Circuits[q.Rows[r].Design]
		switch {
		case class == "ground" && q.Rows[r].To < 0 && q.Rows[r].From >= 0:
			if !w.has(c, func(x *plan.End) bool { return x.Stud >= 0 || w.battery(x.Device) }) {
				w.add(plan.End{ID: string(row.ID) + "/to", Circuit: c, Row: r, Device: -1, Stud: -1, Feed: -1, PinIndex: -1, Connector: -1, Place: -1})
			}
			return
		case class != "ground" && q.Rows[r].From < 0 && q.Rows[r].To >= 0:
			if !w.has(c, func(x *plan.End) bool { return w.maySupply(x) }) {
				w.add(plan.End{ID: string(row.ID) + "/from", Circuit: c, Row: r, Device: -1, Stud: -1, Feed: -1, PinIndex: -1, Connector: -1, Place: -1})
			}
			return
		}
	}
}

func (w *work) has(c int, f func(*plan.End) bool) bool {
	for _, i := range w.out.Of[c] {
		if f(&w.out.List[i]) {
			return true
		}
	}
	return false
}

func (w *work) battery(device int) bool {
	return device >= 0 && w.t.Devices[device].Part != nil && w.t.Devices[device].Part.Kind == "battery"
}

// maySupply says whether an end feeds its circuit: a feed, a supply stud, a
// pin that gives, or a blank pin on a device that has such pins and stands at
// the row's beginning.
func (w *work) maySupply(x *plan.End) bool {
	switch {
	case x.Feed >= 0:
		return true
	case x.Stud >= 0:
		return w.t.Studs[x.Stud].Use == "supply"
	case x.Device < 0 || w.t.Devices[x.Device].Part == nil:
		return strings.HasSuffix(x.ID, "/from") // unresolved: reported elsewhere, nothing is guessed beside it
	case x.PinIndex >= 0:
		return gives(w.t.Devices[x.Device].Part.Pins[x.PinIndex].Role)
	}
	if !strings.HasSuffix(x.ID, "/from") {
		return false
	}
	for i := range w.t.Devices[x.Device].Part.Pins {
		if gives(w.t.Devices[x.Device].Part.Pins[i].Role) {
			return true
		}
	}
	return false
}

// place is where a person can change an end.
func (w *work) place(x *plan.End) finding.Place {
	q := &w.t.Circuits[x.Circuit]
	row := &w.d.Circuits[q.Rows[x.Row].Design]
	p := finding.Place{Kind: "circuit", ID: q.Name, Field: "to pin", Cell: row.ToPin.At}
	if strings.HasSuffix(x.ID, "/from") {
		p.Field, p.Cell = "from pin", row.FromPin.At
	}
	return p
}

// finish fills what follows from device and pin: name, role, connector,
// cavity and place.
func (w *work) finish(x *plan.End) {
	switch {
	case x.Stud >= 0:
		x.Place = w.t.Studs[x.Stud].Place
	case x.Device >= 0 && x.PinIndex >= 0:
		dev := &w.t.Devices[x.Device]
		p := &dev.Part.Pins[x.PinIndex]
		x.Pin.Value, x.Role, x.Place = p.Name, p.Role, dev.Place
		if p.Cavity == "" {
			return
		}
		for k := range dev.Connectors {
			if dev.Connectors[k].Name == p.Connector {
				x.Connector, x.Cavity, x.Place = k, p.Cavity, dev.Connectors[k].Place
			}
		}
	}
}

func plural(n int, word string) string {
	if n == 1 {
		return "1 " + word
	}
	return fmt.Sprintf("%d %ss", n, word)
}
