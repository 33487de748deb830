package draw

import (
	"cmp"
	"fmt"
	"slices"

	"keyon/format/page"
	"keyon/model/buy"
	"keyon/model/plan"
	"keyon/num/quantity"
)

// joining is the splice, stud, ground and terminal sheet of a loom.
func (k *Car) joining(loom int) Paper {
	p := Paper{Title: "Splices, studs and grounds", For: "where wires join, and what goes on which post, in what order"}
	splices := k.spliceTable(loom)
	p.table(&splices, page.Heading{Text: "Splices"}, page.Paragraph{Text: "Spread splices along the leg so that its diameter doesn't jump, and clear of connectors. Slip the sleeve on before you crimp. Strip lengths are the splice maker's."})
	var grounds, posts []post
	for _, q := range k.posts(loom) {
		if q.ground {
			grounds = append(grounds, q)
		} else {
			posts = append(posts, q)
		}
	}
	g := k.postTable(loom, "grounds", "Grounds", grounds)
	p.table(&g, page.Heading{Text: "Grounds"}, page.Paragraph{Text: "Bare, bright metal under the lowest lug, as wide as the lug; sealed after tightening. Order 1 lies lowest. Mark the nut when it is tight."})
	s := k.postTable(loom, "posts", "Posts", posts)
	p.table(&s, page.Heading{Text: "Supply posts, terminals and flying leads"}, page.Paragraph{Text: "Battery isolated, minus off first. Clean faces under the lowest lug, a boot over every live post. Order 1 lies lowest."})
	return p
}

func (k *Car) spliceTable(loom int) table {
	t := table{id: "splices", name: "Splices", group: "Splice", tick: true, plain: true, cols: []page.Column{{Head: "Wire", Face: page.Mono}, {Head: "Comes from", Weight: 1}, {Head: "Size", Unit: k.gaugeHead()}, {Head: "Colour"}, {Head: "Cut", Unit: k.lengthUnit(), Align: page.Decimal}}}
	runs := map[int]node{}
	for _, n := range k.spread(loom).nodes {
		runs[n.place] = n
	}
	for i := range k.p.Wires.Splices {
		s := &k.p.Wires.Splices[i]
		if s.Loom != loom {
			continue
		}
		id := k.p.Sizes.Splices[i].Value
		part := "no splice of the catalogue fits"
		if id != "" {
			part = id
			if q := k.c.Splices[id]; q != nil {
				part = check(id+", "+q.Title, memory(q.Source))
			}
		}
		where := ""
		if n, ok := runs[s.Place]; ok && !n.open {
			where = fmt.Sprintf(", %s %s from datum", k.length(n.run).print, k.lengthUnit())
		}
		t.head(fmt.Sprintf("%s, at %s%s: %s", k.t.Circuits[s.Circuit].Name, k.place(s.Place), where, part))
		for _, w := range s.Wires {
			for _, e := range []buy.End{{Wire: w}, {Wire: w, To: true}} {
				if at, _ := e.At(k.p); at.Kind == plan.AtSplice && at.Splice == i {
					_, z, cut := k.wire(w)
					t.add(k.p.Wires.List[w].ID, txt(cut.Number.Value), txt(k.endName(e.Far())), txt(k.gauge(z.Wire)), dash(z.Colour.Value), k.length(cut.Cut.Value))
				}
			}
		}
	}
	return t
}

// post is a stud, a device's post, or a flying lead, with all lugs on it.
type post struct {
	name, thread string
	place        int
	ground       bool
	through      bool // a stud through a wall
	most         int  // lugs, 0 where not said
	ends         []buy.End
}

// posts lists what the loom's lugs go on. The lugs of other looms on the same
// post are in the stack too: order is the order of the whole stack.
func (k *Car) posts(loom int) []post {
	var out []post
	for _, q := range k.stacks {
		if slices.ContainsFunc(q.ends, func(e buy.End) bool { return k.p.Wires.List[e.Wire].Loom == loom }) {
			out = append(out, q)
		}
	}
	return out
}

// stack gathers the lugs of all posts of the car.
func (k *Car) stack() []post {
	var out []post
	at := map[string]int{}
	for i := range k.p.Wires.List {
		for _, e := range []buy.End{{Wire: i}, {Wire: i, To: true}} {
			q, ok := k.postOf(e)
			if !ok {
				continue
			}
			n, known := at[q.name]
			if !known {
				n = len(out)
				at[q.name] = n
				out = append(out, q)
			}
			out[n].ends = append(out[n].ends, e)
		}
	}
	for i := range out {
		// The thickest lies lowest: least resistance where most current flows.
		slices.SortStableFunc(out[i].ends, func(a, b buy.End) int {
			return cmp.Or(cmp.Compare(k.area(b.Wire), k.area(a.Wire)), buy.Natural(k.wireNumber(a.Wire), k.wireNumber(b.Wire)))
		})
	}
	slices.SortFunc(out, func(a, b post) int { return buy.Natural(a.name, b.name) })
	return out
}

// postOf is the post a wire's end goes on; ok is false for contacts and
// splices.
func (k *Car) postOf(e buy.End) (post, bool) {
	at, _ := e.At(k.p)
	switch {
	case at.Kind == plan.AtStud && at.End >= 0:
		if s := k.p.Ends.List[at.End].Stud; s >= 0 {
			q := &k.t.Studs[s]
			return post{name: "stud " + q.Name, thread: q.Thread, place: q.Place, ground: q.Use == "ground", most: q.MostLugs}, true
		}
	case at.Kind == plan.AtCavity && at.Crossing >= 0:
		j := k.p.Cavities.Crossings[at.Crossing].Join
		if k.p.Cavities.Joins[j].Connector == nil {
			return post{name: k.t.Joins[j].Name + "/" + at.Half, thread: k.p.Cavities.Joins[j].Part.Value, place: at.Place, through: true}, true
		}
	case at.Kind == plan.AtLead && at.End >= 0:
		q := &k.p.Ends.List[at.End]
		out := post{name: k.p.EndName(at), place: at.Place}
		if q.Device >= 0 && q.PinIndex >= 0 && k.t.Devices[q.Device].Part != nil {
			out.thread, _ = k.t.Devices[q.Device].Part.Pins[q.PinIndex].Stud()
		}
		return out, true
	}
	return post{}, false
}

func (k *Car) postTable(loom int, id, name string, posts []post) table {
	t := table{id: id, name: name, group: "Post", tick: true, plain: true, cols: []page.Column{{Head: "Order", Align: page.ToRight}, {Head: "Wire", Face: page.Mono}, {Head: "Circuit", Weight: 2}, {Head: "Comes from", Weight: 2}, {Head: "Lug", Weight: 1}, {Head: "Size", Unit: k.gaugeHead()}, {Head: "Loom", Weight: 1}}}
	for _, q := range posts {
		title := q.name
		switch {
		case q.thread != "":
			title += ", " + q.thread
		case q.through:
			title += ", thread not given"
		}
		title += ", at " + k.place(q.place) + k.torque(q.thread)
		if q.most > 0 {
			title += fmt.Sprintf(", %d of at most %s", len(q.ends), plural(q.most, "lug"))
		}
		t.head(title)
		for n, e := range q.ends {
			w, z, cut := k.wire(e.Wire)
			_, parts := e.At(k.p)
			other := "this"
			if w.Loom != loom {
				other = "none"
				if w.Loom >= 0 {
					other = k.t.Looms[w.Loom].Name
				}
			}
			t.add(w.ID, count(n+1), txt(cut.Number.Value), txt(k.circuitOf(e.Wire)), txt(k.endName(e.Far())), dash(check(parts.Lug+parts.Contact, parts.Check)), txt(k.gauge(z.Wire)), txt(other))
		}
	}
	return t
}

func (k *Car) area(i int) float64 {
	if w := k.p.Sizes.Wires[i].Wire; w != nil {
		return float64(w.Area)
	}
	return 0
}

// torque is the nut torque of a thread, with its range, where known.
func (k *Car) torque(thread string) string {
	if thread == "" {
		return ""
	}
	for _, id := range sorted(k.c.Studs) {
		if s := k.c.Studs[id]; s.Thread == thread && s.TorqueMost > 0 {
			return check(fmt.Sprintf(", nut %s to %s N·m", quantity.Text(s.TorqueLeast, 1), quantity.Text(s.TorqueMost, 1)), memory(s.Source))
		}
	}
	return ", nut torque: the maker's figure"
}
