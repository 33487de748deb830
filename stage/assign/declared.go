package assign

import (
	"strings"

	"keyon/model/design"
	"keyon/model/finding"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/model/settle"
)

// declared copies the declared ends, takes given pins, and adds the ends that
// rows leave open: a feed for a power circuit, a stud for a ground.
func (w *work) declared() {
	w.out.Of = make([][]int, len(w.t.Circuits))
	for c := range w.t.Circuits {
		q := &w.t.Circuits[c]
		for i := range q.Ends {
			e := &q.Ends[i]
			x := plan.End{ID: e.ID, Circuit: c, Row: e.Row, Device: e.Device, Stud: e.Stud, Feed: e.Feed, PinIndex: -1, Connector: -1, Place: -1}
			switch {
			case e.Stud >= 0:
				x.Pin = value(settle.FromUser, settle.GivenReason)
				x.Pin.Value = w.t.Studs[e.Stud].Name
				w.lugs[e.Stud]++
			case e.Feed >= 0:
				w.feedBy[e.Feed] = c
				if f := &w.t.Feeds[e.Feed]; f.Device >= 0 && f.Pin >= 0 {
					x.Device, x.PinIndex = f.Device, f.Pin
					x.Pin = value(settle.FromUser, settle.GivenReason)
					w.take(&x)
				}
			case w.part(&x) != nil && e.Pin.State == settle.Given:
				if k, ok := w.parts[w.part(&x)].index[e.Pin.Value]; ok {
					x.PinIndex, x.Pin = k, value(settle.FromUser, settle.GivenReason)
					w.take(&x)
				}
			}
			w.add(x)
		}
		w.missing(c)
	}
}

func (w *work) add(x plan.End) {
	w.out.Of[x.Circuit] = append(w.out.Of[x.Circuit], len(w.out.List))
	w.out.List = append(w.out.List, x)
}

// take marks an end's pin, and the feed whose outlet it is, as used.
func (w *work) take(x *plan.End) {
	w.taken[x.Device][x.PinIndex] = x.Circuit
	w.onPost[pinAt{x.Device, x.PinIndex}]++
	if f, ok := w.feedOf[pinAt{x.Device, x.PinIndex}]; ok {
		x.Feed, w.feedBy[f] = f, x.Circuit
	}
}

// missing adds the end that a power or ground circuit's rows leave open, at
// the first of its blank sides.
func (w *work) missing(c int) {
	q := &w.t.Circuits[c]
	ground := q.Class.Value == "ground"
	switch {
	case supplied(q.Class.Value):
		if w.has(c, w.maySupply) {
			return
		}
	case ground:
		if w.has(c, func(x *plan.End) bool { return x.Stud >= 0 || w.part(x) != nil && w.part(x).Kind == "battery" }) {
			return
		}
	default:
		return
	}
	side, at := "", -1
	for r := range q.Rows {
		from, to := q.Rows[r].From < 0, q.Rows[r].To < 0
		s := ""
		switch {
		case from && to:
			continue
		case from:
			s = "/from"
		case to:
			s = "/to"
		}
		// Power comes in at a row's beginning, ground goes out at its end; the
		// other way round is taken where no row has it so.
		usual := (s == "/to") == ground
		if s != "" && (at < 0 || usual && (side == "/to") != ground) {
			side, at = s, r
		}
	}
	if at >= 0 {
		w.add(plan.End{ID: string(w.d.Circuits[q.Rows[at].Design].ID) + side, Circuit: c, Row: at, Device: -1, Stud: -1, Feed: -1, PinIndex: -1, Connector: -1, Place: -1})
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

// gives says that a pin of that role may stand at the supply side of a power
// circuit.
func gives(r part.Role) bool {
	switch r {
	case part.SupplyOut, part.SwitchedOut, part.HalfBridge, part.Battery, part.Alternator, part.LowSide, part.Injector, part.Coil:
		return true
	}
	return false
}

// supplied are the classes whose circuits begin at a source of power.
func supplied(class string) bool {
	return class == "power" || class == "heavy" || class == "extinguisher"
}

// maySupply says whether an end feeds its circuit: a feed, a supply stud, a
// pin that gives, or a blank pin on a device that has such pins and stands at
// the row's beginning.
func (w *work) maySupply(x *plan.End) bool {
	p := w.part(x)
	switch {
	case x.Feed >= 0:
		return true
	case x.Stud >= 0:
		return w.t.Studs[x.Stud].Use == "supply"
	case p == nil:
		return strings.HasSuffix(x.ID, "/from") // unresolved: reported elsewhere, nothing is guessed beside it
	case x.PinIndex >= 0:
		return gives(p.Pins[x.PinIndex].Role)
	}
	if !strings.HasSuffix(x.ID, "/from") {
		return false
	}
	for i := range p.Pins {
		if gives(p.Pins[i].Role) {
			return true
		}
	}
	return false
}

// givenFeeds takes the feeds that rows name for a blank supply side.
func (w *work) givenFeeds() {
	for c := range w.t.Circuits {
		q := &w.t.Circuits[c]
		for r := range q.Rows {
			e := w.d.Circuits[q.Rows[r].Design].Feed
			f, ok := w.t.FeedOf[e.Value]
			if !e.Is() || !ok || w.has(c, func(x *plan.End) bool { return x.Feed == f }) {
				continue
			}
			if !w.has(c, func(x *plan.End) bool { return w.serveFirst(x, f) }) {
				p := finding.Place{Kind: "circuit", ID: q.Name, Field: "feed", Cell: e.At}
				w.verdicts = append(w.verdicts, finding.Say(RuleBeside, p, q.Name+" names the feed "+e.Value+", but has no blank side for it", "leave the from device blank, or name the feed there", "leave the feed blank"))
			}
		}
	}
}

// serveFirst gives a feed to an end if it is the circuit's open supply side.
func (w *work) serveFirst(x *plan.End, f int) bool {
	if w.class(x) == "ground" || !w.isOurs(x) || x.Feed >= 0 {
		return false
	}
	w.serve(x, f, settle.FromUser, settle.GivenReason)
	return true
}

func (w *work) class(x *plan.End) string { return w.t.Circuits[x.Circuit].Class.Value }

// isOurs says that no row names the end: its side of the row is blank.
func (w *work) isOurs(x *plan.End) bool { return w.side(x) < 0 }

// side is the declared end that a row names where x stands, -1 for a blank.
func (w *work) side(x *plan.End) int {
	row := &w.t.Circuits[x.Circuit].Rows[x.Row]
	if strings.HasSuffix(x.ID, "/from") {
		return row.From
	}
	return row.To
}

// entry is what a person typed for an end's pin.
func (w *work) entry(x *plan.End) design.TextEntry {
	if i := w.side(x); i >= 0 {
		return w.t.Circuits[x.Circuit].Ends[i].Pin
	}
	return design.TextEntry{}
}

// serve ends a circuit's supply side at a feed.
func (w *work) serve(x *plan.End, f int, o settle.Origin, r settle.Reason) {
	q := &w.t.Feeds[f]
	w.feedBy[f] = x.Circuit
	if x.Feed = f; q.Device >= 0 && q.Pin >= 0 {
		x.Device, x.PinIndex, x.Pin = q.Device, q.Pin, value(o, r)
		w.take(x)
	}
}

// keptEnds takes the pins, feeds and studs that were kept, after all given
// ones. One that is gone, taken or no longer goes with its circuit is worked
// out anew and listed.
func (w *work) keptEnds() {
	for i := range w.out.List {
		x := &w.out.List[i]
		switch {
		case w.isOurs(x) && x.Feed < 0 && w.class(x) == "ground":
			w.keptStud(x)
		case w.isOurs(x) && x.Feed < 0:
			w.keptFeed(x)
		case w.blank(x):
			w.keptPin(x)
		}
	}
}

func (w *work) kept(x *plan.End, field string) (string, bool) {
	e := w.d.Keep(w.entry(x), "end", x.ID, field)
	return e.Value, e.State == settle.Kept
}

func (w *work) lost(x *plan.End, what, name string) {
	w.verdicts = append(w.verdicts, finding.Say(RuleKept, w.place(x), w.t.Circuits[x.Circuit].Name+": the kept "+what+" "+name+" is taken, gone, or no longer goes with the circuit", "look at the new "+what))
}

func (w *work) keptPin(x *plan.End) {
	name, ok := w.kept(x, "pin")
	if !ok {
		return
	}
	f := w.parts[w.part(x)]
	k, there := f.index[name]
	if there && (w.taken[x.Device][k] < 0 || f.post[k]) && w.mayServe(x, k) {
		x.PinIndex, x.Pin = k, value(settle.FromKept, settle.KeptReason)
		w.take(x)
		return
	}
	w.lost(x, "pin", w.t.Devices[x.Device].Name+" "+name)
}

// mayServe says whether a pin goes with what is known of the circuit's other
// ends and stands their current.
func (w *work) mayServe(x *plan.End, pin int) bool {
	sides, at := w.sides(x)
	sides[at] = w.parts[w.part(x)].roles[pin]
	if _, ok := part.Among(sides, w.class(x), part.Anything); !ok && len(sides) > 1 {
		return false
	}
	p := &w.part(x).Pins[pin]
	return !(p.Amps > 0 && rated(p.Role) && w.load(x) > float64(p.Amps))
}

func (w *work) keptFeed(x *plan.End) {
	name, ok := w.kept(x, "feed")
	if !ok {
		return
	}
	if f, there := w.t.FeedOf[name]; there && w.feedBy[f] < 0 && w.carries(f, w.load(x)) {
		w.serve(x, f, settle.FromKept, settle.KeptReason)
		return
	}
	w.lost(x, "feed", name)
}

func (w *work) keptStud(x *plan.End) {
	name, ok := w.kept(x, "stud")
	if !ok {
		return
	}
	if s, there := w.t.StudOf[name]; there && w.room(s) > 0 {
		w.onStud(x, s, settle.FromKept, settle.KeptReason)
		return
	}
	w.lost(x, "stud", name)
}
