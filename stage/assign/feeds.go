package assign

import (
	"fmt"
	"slices"

	"keyon/model/finding"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/model/settle"
	"keyon/model/source"
	"keyon/num/quantity"
)

// hunger is a power circuit that looks for a feed.
type hunger struct {
	end    int
	amps   float64
	size   int // contact size of its loads, 0 unknown
	at     int // place of its first load
	loads  part.RoleSet
	heavy  bool
	direct bool // one load takes it all
	relay  bool // its load hangs behind a contact: something else switches it
}

// looks is how many places with feeds or studs an end looks at first; it looks
// farther where that was not proven enough.
const looks = 8

// feeds serves the open supply sides at the least sum of prices.
func (w *work) feeds() {
	var open []hunger
	for i := range w.out.List {
		x := &w.out.List[i]
		if w.isOurs(x) && x.Device < 0 && x.Stud < 0 && x.Feed < 0 && w.class(x) != "ground" && !w.namesFeed(x.Circuit) {
			open = append(open, w.hunger(i))
		}
	}
	if len(open) == 0 {
		return
	}
	at := map[int][]int{} // by place: its free feeds
	for f := range w.t.Feeds {
		q := &w.t.Feeds[f]
		if w.feedBy[f] < 0 && q.Device >= 0 && q.Pin >= 0 && w.t.Devices[q.Device].Part != nil && (w.taken[q.Device][q.Pin] < 0 || w.parts[w.t.Devices[q.Device].Part].post[q.Pin]) {
			at[w.t.Devices[q.Device].Place] = append(at[w.t.Devices[q.Device].Place], f)
		}
	}
	of, mm := w.spread(len(open), len(w.t.Feeds), at, func(i int) int { return open[i].at }, func(i, f int, mm int64) (int64, bool) {
		return w.feedPrice(&open[i], f, mm)
	}, func(int) int { return 1 })
	for i, f := range of {
		x := &w.out.List[open[i].end]
		if f < 0 {
			x.Pin.Reason.Text = "no free feed"
			name := w.t.Circuits[x.Circuit].Name
			w.verdicts = append(w.verdicts, finding.Say(RuleFeed, finding.Place{Kind: "circuit", ID: name, Field: "feed", Cell: w.d.Circuits[w.t.Circuits[x.Circuit].Rows[x.Row].Design].Feed.At},
				fmt.Sprintf("%s takes %s A and finds no free feed that may carry it", name, quantity.Text(open[i].amps, 2)), "add a feed to the table Feeds", "name a feed in the circuit's row"))
			continue
		}
		w.serve(x, f, settle.Worked, settle.Reason{Text: "free feed that carries the load, by way and spare rating: " + w.t.Feeds[f].Name,
			Because: []settle.Term{settle.Num("load", quantity.RoundTo(open[i].amps, 0.01), "A"), settle.Num("way", float64(mm[i]), "mm")},
			Source:  source.Ref{Kind: source.Judgement, Doc: "house-rules", Where: "feeds: nearest, least rating that does"}})
	}
}

// namesFeed says that a row of the circuit names a feed, known or not: nothing
// is worked out beside it.
func (w *work) namesFeed(c int) bool {
	return slices.ContainsFunc(w.t.Circuits[c].Rows, func(r plan.Row) bool { return w.d.Circuits[r.Design].Feed.State != settle.Blank })
}

func (w *work) hunger(i int) hunger {
	x := &w.out.List[i]
	h := hunger{end: i, at: -1, amps: w.load(x), heavy: w.class(x) == "heavy", direct: len(w.out.Of[x.Circuit]) == 2}
	for _, k := range w.out.Of[x.Circuit] {
		o := &w.out.List[k]
		p := w.part(o)
		if k == i || p == nil {
			continue
		}
		if h.at < 0 {
			h.at = w.at(o)
		}
		if o.PinIndex >= 0 {
			h.loads |= w.parts[p].roles[o.PinIndex]
			h.size = max(h.size, w.parts[p].sizes[o.PinIndex])
			h.relay = h.relay || w.parts[p].pass[o.PinIndex]
		}
	}
	return h
}

// carries says whether a feed may carry a current for good.
func (w *work) carries(f int, amps float64) bool {
	q := &w.t.Feeds[f]
	if q.Device < 0 || q.Pin < 0 || w.t.Devices[q.Device].Part == nil {
		return false
	}
	p := &w.t.Devices[q.Device].Part.Pins[q.Pin]
	return p.Amps <= 0 || amps <= float64(p.Amps)
}

// feedPrice is what a feed costs a circuit; not ok where it can't serve it.
// Deliberately unprotected feeds serve heavy circuits only.
func (w *work) feedPrice(h *hunger, f int, mm int64) (int64, bool) {
	q := &w.t.Feeds[f]
	p := &w.t.Devices[q.Device].Part.Pins[q.Pin]
	facts := w.parts[w.t.Devices[q.Device].Part]
	if !w.carries(f, h.amps) || q.Unprotected && !h.heavy {
		return 0, false
	}
	cost := mm + int64(q.Pin)*priceOrder
	if h.loads != 0 {
		if h.loads.Facing("power", part.Kin)&facts.roles[q.Pin] == 0 {
			return 0, false
		}
		best, _ := h.loads.Step(facts.roles[q.Pin])
		switch {
		case h.relay && p.Role == part.SwitchedOut: // two switches in a row
			cost += priceRole
		case !h.relay:
			cost += int64(best) * priceRole
		}
	}
	if facts.post[q.Pin] != h.heavy {
		cost += priceThick
	}
	return cost + fit(facts.sizes[q.Pin], h.size, h.direct) + roomy(facts.sizes[q.Pin], float64(p.Amps), h.amps), true
}

// spread serves n ends from things that stand at places, at the least sum of
// prices: at lists the things of a place, from is where an end stands, price
// what a thing costs it, room how many ends it may serve. It returns the
// thing of each end, -1 for none, and the way to it.
//
// Each end looks at the nearest places first. Prices never fall below the way,
// so where an end's own price in the answer is at most the way to the first
// place it did not look at, no farther place can better the answer; else it
// looks at twice as many.
func (w *work) spread(n, things int, at map[int][]int, from func(int) int, price func(i, thing int, mm int64) (int64, bool), room func(int) int) (of []int, ways []int64) {
	places := make([]int, 0, len(at))
	var anywhere []int // things whose place is not known, or that no way leads to
	for p := range at {
		if p >= 0 {
			places = append(places, p)
		} else {
			anywhere = at[p]
		}
	}
	slices.Sort(places)
	rooms := make([]int, things)
	for t := range rooms {
		rooms[t] = room(t)
	}
	look := make([]int, n)
	rows, way := make([][]arc, n), make([]map[int]int64, n)
	beyond := make([]int64, n) // way to the first place not looked at, -1: none is left
	list := func(i int) {
		rows[i], way[i], beyond[i] = nil, map[int]int64{}, -1
		put := func(t int, mm int64) {
			if c, ok := price(i, t, mm); ok {
				rows[i] = append(rows[i], arc{t, c})
				way[i][t] = mm
			}
		}
		var hits []hit
		if p := from(i); p >= 0 {
			hits = w.nearest(p, places, look[i]+1)
		}
		if len(hits) > look[i] {
			beyond[i], hits = hits[look[i]].mm, hits[:look[i]]
		}
		met := map[int]bool{}
		for _, h := range hits {
			met[h.place] = true
			for _, t := range at[h.place] {
				put(t, h.mm)
			}
		}
		if beyond[i] >= 0 {
			return
		}
		for _, p := range places { // no way leads there yet: better than nothing
			if !met[p] {
				for _, t := range at[p] {
					put(t, noWay)
				}
			}
		}
		for _, t := range anywhere {
			put(t, noWay)
		}
	}
	for i := range n {
		look[i] = looks
		list(i)
	}
	for {
		u := []int64(nil)
		of, u = transport(rows, rooms)
		again := false
		for i := range n {
			if beyond[i] >= 0 && u[i] > beyond[i] {
				look[i] *= 2
				list(i)
				again = true
			}
		}
		if !again {
			break
		}
	}
	ways = make([]int64, n)
	for i, t := range of {
		if t >= 0 {
			ways[i] = way[i][t]
		}
	}
	return of, ways
}
