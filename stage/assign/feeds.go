package assign

import (
	"cmp"
	"fmt"
	"slices"

	"keyon/model/finding"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/model/settle"
	"keyon/model/source"
	"keyon/num/assign"
	"keyon/num/quantity"
)

// mostTogether is how many loads are paired with feeds in one exact pairing;
// beyond it the car is taken feed carrier by feed carrier, nearest first.
const mostTogether = 150

// hunger is a power circuit that looks for a feed.
type hunger struct {
	end   int
	amps  float64
	size  int
	at    int // place of its first load
	roles []part.Role
}

// feeds pairs the open supply sides with the free feeds.
func (w *work) feeds() {
	var open []hunger
	for i := range w.out.List {
		x := &w.out.List[i]
		if x.Device >= 0 || x.Stud >= 0 || x.Feed >= 0 || w.t.Circuits[x.Circuit].Class.Value == "ground" || len(x.ID) < 5 || x.ID[len(x.ID)-5:] != "/from" || w.declaredEnd(x) {
			continue
		}
		if !w.fixedFeed(i) {
			open = append(open, w.hunger(i))
		}
	}
	if len(open) <= mostTogether {
		w.pairFeeds(open, w.freeFeeds(nil))
		return
	}
	// One feed device after another takes the loads that are nearest to it.
	byDevice := map[int][]hunger{}
	var devices []int
	for _, h := range open {
		d := w.nearestCarrier(h)
		if byDevice[d] == nil {
			devices = append(devices, d)
		}
		byDevice[d] = append(byDevice[d], h)
	}
	slices.Sort(devices)
	var left []hunger
	for _, d := range devices {
		if d < 0 {
			left = append(left, byDevice[d]...)
			continue
		}
		w.pairFeeds(byDevice[d], w.freeFeeds(func(f int) bool { return w.t.Feeds[f].Device == d }))
	}
	w.pairFeeds(left, nil)
}

// declaredEnd says whether the design named this end, so that it is not ours
// to fill.
func (w *work) declaredEnd(x *plan.End) bool {
	for i := range w.t.Circuits[x.Circuit].Ends {
		if w.t.Circuits[x.Circuit].Ends[i].ID == x.ID {
			return true
		}
	}
	return false
}

// fixedFeed takes the feed that a row gives or that was kept.
func (w *work) fixedFeed(i int) bool {
	x := &w.out.List[i]
	q := &w.t.Circuits[x.Circuit]
	for r := range q.Rows {
		e := w.d.Circuits[q.Rows[r].Design].Feed
		if e.State == settle.Blank {
			continue
		}
		if f, ok := w.t.FeedOf[e.Value]; ok && e.Is() {
			w.serve(x, f, settle.FromUser, settle.GivenReason)
		}
		return true // garbled or unknown: reported, and nothing is guessed
	}
	e := w.d.Keep(w.d.Circuits[q.Rows[x.Row].Design].Feed, "end", x.ID, "feed")
	if e.State != settle.Kept {
		return false
	}
	f, ok := w.t.FeedOf[e.Value]
	if ok && w.feedBy[f] < 0 {
		w.serve(x, f, settle.FromKept, settle.KeptReason)
		return true
	}
	w.verdicts = append(w.verdicts, finding.Say(RuleKept, w.place(x), q.Name+": the kept feed "+e.Value+" is taken or gone", "look at the new feed"))
	return false
}

func (w *work) serve(x *plan.End, f int, o settle.Origin, r settle.Reason) {
	q := &w.t.Feeds[f]
	x.Feed, x.Pin = f, settle.Value[string]{Origin: o, Reason: r}
	w.feedBy[f] = x.Circuit
	if q.Device >= 0 && q.Pin >= 0 {
		x.Device, x.PinIndex = q.Device, q.Pin
		w.taken[[2]int{q.Device, q.Pin}] = x.Circuit
	}
}

func (w *work) hunger(i int) hunger {
	h := hunger{end: i, at: -1}
	for _, k := range w.out.Of[w.out.List[i].Circuit] {
		o := &w.out.List[k]
		if o.Device < 0 || o.PinIndex < 0 || k == i {
			continue
		}
		dev := &w.t.Devices[o.Device]
		pin := &dev.Part.Pins[o.PinIndex]
		h.amps += w.draws[[2]int{o.Device, o.PinIndex}]
		for _, r := range part.Wants(pin.Role) {
			h.roles = add(h.roles, r)
		}
		if s := contactSize(dev, pin); s > h.size {
			h.size = s
		}
		if h.at < 0 {
			h.at = dev.Place
		}
	}
	return h
}

// freeFeeds lists the feeds nobody has, in order.
func (w *work) freeFeeds(only func(int) bool) []int {
	var out []int
	for f := range w.t.Feeds {
		q := &w.t.Feeds[f]
		if w.feedBy[f] >= 0 || q.Device < 0 || q.Pin < 0 || w.t.Devices[q.Device].Part == nil || only != nil && !only(f) {
			continue
		}
		if _, used := w.taken[[2]int{q.Device, q.Pin}]; !used {
			out = append(out, f)
		}
	}
	return out
}

// nearestCarrier is the device with free feeds that is nearest to a load.
func (w *work) nearestCarrier(h hunger) int {
	if h.at < 0 {
		return -1
	}
	at := map[int]int{}
	var places []int
	for _, f := range w.freeFeeds(nil) {
		d := w.t.Feeds[f].Device
		if p := w.t.Devices[d].Place; p >= 0 {
			if _, ok := at[p]; !ok {
				at[p] = d
				places = append(places, p)
			}
		}
	}
	if d, ok := at[h.at]; ok {
		return d
	}
	edges, _, ok := w.g.Path(h.at, places, nil)
	if !ok || len(edges) == 0 {
		return -1
	}
	return at[w.end(h.at, edges)]
}

// end is the place that a way of edges leads to.
func (w *work) end(from int, edges []int) int {
	for _, e := range edges {
		a, b := w.g.Ends(e)
		if a == from {
			from = b
		} else {
			from = a
		}
	}
	return from
}

// pairFeeds pairs loads with feeds, exactly, and names what is left.
func (w *work) pairFeeds(open []hunger, free []int) {
	if len(open) == 0 {
		return
	}
	cost := make([][]int64, len(open))
	for i := range open {
		h := &open[i]
		cost[i] = make([]int64, len(free))
		far := map[int]int64{}
		for k, f := range free {
			q := &w.t.Feeds[f]
			dev := &w.t.Devices[q.Device]
			pin := &dev.Part.Pins[q.Pin]
			rank := slices.Index(h.roles, pin.Role)
			if len(h.roles) == 0 {
				rank = 0
			}
			if rank < 0 || pin.Amps > 0 && h.amps > float64(pin.Amps) || q.Unprotected {
				cost[i][k] = assign.Forbidden
				continue
			}
			mm, ok := far[q.Device]
			if !ok {
				mm = w.far(dev.Place, h.at)
				far[q.Device] = mm
			}
			cost[i][k] = mm + int64(k)*priceOrder
			if s := contactSize(dev, pin); s > 0 && h.size > 0 {
				cost[i][k] += int64(max(s-h.size, h.size-s)) * priceSize
			}
			if pin.Amps > 0 {
				cost[i][k] += int64((float64(pin.Amps) - h.amps) * priceSpare)
			}
		}
	}
	col, _, err := assign.Solve(cost)
	if err != nil {
		panic("assign: " + err.Error())
	}
	for i, c := range col {
		x := &w.out.List[open[i].end]
		name := w.t.Circuits[x.Circuit].Name
		if c == assign.None {
			x.Pin.Reason.Text = "no free feed"
			w.verdicts = append(w.verdicts, finding.Say(RuleFeed, finding.Place{Kind: "circuit", ID: name, Field: "feed", Cell: w.d.Circuits[w.t.Circuits[x.Circuit].Rows[x.Row].Design].Feed.At},
				fmt.Sprintf("%s takes %s A and finds no free feed that may carry it", name, quantity.Text(open[i].amps, 2)), "add a feed to the table Feeds", "name a feed in the circuit's row"))
			continue
		}
		f := free[c]
		w.serve(x, f, settle.Worked, settle.Reason{Text: "nearest free feed that carries the load: " + w.t.Feeds[f].Name, Because: []settle.Term{settle.Num("load", quantity.RoundTo(open[i].amps, 0.01), "A"), settle.Num("way", float64(w.far(w.t.Devices[w.t.Feeds[f].Device].Place, open[i].at)), "mm")},
			Source: source.Ref{Kind: source.Judgement, Doc: "house-rules", Where: "feeds: nearest, least rating that does"}})
	}
}

// mostLugs is how many lugs go on a stud that says nothing (AC 43.13-1B 11-174, seen).
const mostLugs = 4

// studs gives each open ground the nearest ground stud with room, in
// canonical order, kept ones first.
func (w *work) studs() {
	most, _ := w.d.Number("most lugs on a stud", mostLugs)
	room := func(s int) bool {
		n := w.t.Studs[s].MostLugs
		if n <= 0 {
			n = int(most)
		}
		return w.lugs[s] < n
	}
	put := func(x *plan.End, s int, o settle.Origin, r settle.Reason) {
		x.Stud, x.Pin = s, settle.Value[string]{Value: w.t.Studs[s].Name, Origin: o, Reason: r}
		w.lugs[s]++
	}
	var open []int
	for i := range w.out.List {
		x := &w.out.List[i]
		if x.Device >= 0 || x.Stud >= 0 || w.t.Circuits[x.Circuit].Class.Value != "ground" || w.declaredEnd(x) {
			continue
		}
		k := w.d.Keep(w.d.Circuits[w.t.Circuits[x.Circuit].Rows[x.Row].Design].ToPin, "end", x.ID, "stud")
		if s, ok := w.t.StudOf[k.Value]; k.State == settle.Kept && ok && room(s) {
			put(x, s, settle.FromKept, settle.KeptReason)
			continue
		} else if k.State == settle.Kept {
			w.verdicts = append(w.verdicts, finding.Say(RuleKept, w.place(x), w.t.Circuits[x.Circuit].Name+": the kept stud "+k.Value+" is full or gone", "look at the new stud"))
		}
		open = append(open, i)
	}
	// Those with the shortest way choose first, so that a far one does not push
	// a near one off its stud.
	type choice struct {
		end, from int
		mm        int64
	}
	var list []choice
	for _, i := range open {
		c := choice{end: i, from: -1}
		for _, k := range w.out.Of[w.out.List[i].Circuit] {
			if o := &w.out.List[k]; k != i && o.Device >= 0 && c.from < 0 {
				c.from = w.at(o)
			}
		}
		_, c.mm, _ = w.nearestStud(c.from, func(int) bool { return true })
		list = append(list, c)
	}
	slices.SortStableFunc(list, func(a, b choice) int { return cmp.Compare(a.mm, b.mm) })
	for _, c := range list {
		x := &w.out.List[c.end]
		s, mm, ok := w.nearestStud(c.from, room)
		if !ok {
			x.Pin.Reason.Text = "no free stud"
			w.verdicts = append(w.verdicts, finding.Say(RuleStud, w.place(x), w.t.Circuits[x.Circuit].Name+" finds no ground stud with room", "add a stud, or allow more lugs on one"))
			continue
		}
		put(x, s, settle.Worked, settle.Reason{Text: "nearest ground stud with room", Because: []settle.Term{settle.Num("way", float64(mm), "mm")}, Source: source.Ref{Kind: source.Judgement, Doc: "house-rules", Where: "grounds: nearest stud"}})
	}
}

// at is where an end sits, as far as it is known.
func (w *work) at(o *plan.End) int {
	dev := &w.t.Devices[o.Device]
	if o.PinIndex >= 0 {
		for k := range dev.Connectors {
			if dev.Connectors[k].Name == dev.Part.Pins[o.PinIndex].Connector && dev.Part.Pins[o.PinIndex].Cavity != "" {
				return dev.Connectors[k].Place
			}
		}
	}
	return dev.Place
}

func (w *work) nearestStud(from int, room func(int) bool) (stud int, mm int64, ok bool) {
	if from < 0 {
		return -1, 0, false
	}
	at := map[int]int{}
	var places []int
	for s := range w.t.Studs {
		q := &w.t.Studs[s]
		if q.Use == "supply" || q.Place < 0 || !room(s) {
			continue
		}
		if _, taken := at[q.Place]; !taken {
			at[q.Place] = s
			places = append(places, q.Place)
		}
	}
	if s, here := at[from]; here {
		return s, 0, true
	}
	edges, mm, ok := w.g.Path(from, places, nil)
	if !ok || len(edges) == 0 {
		return -1, 0, false
	}
	return at[w.end(from, edges)], mm, true
}
