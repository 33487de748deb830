package cross

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"

	"keyon/model/finding"
	"keyon/model/flow"
	"keyon/model/part"
	"keyon/model/settle"
	"keyon/model/source"
)

// series is the connector series a join is chosen from where none is given.
const series = "MIL-DTL-38999 III"

// choosePart settles a join's connector: given, kept, else the smallest
// arrangement of the series that takes what crosses and leaves the spare share.
func (w *work) choosePart(j int) {
	k := &w.t.Joins[j]
	out := &w.out.Joins[j]
	if k.Part.State == settle.Given || k.Part.State == settle.Garbled {
		out.Part = settle.Choose(k.Part, nil)
		out.Connector = k.Connector
		return
	}
	e := w.d.Keep(k.Part, "join", string(k.ID), "part")
	if e.State == settle.Kept {
		if c := w.c.Connector(e.Value); c != nil && w.takes(j, c, 0) {
			out.Part, out.Connector = settle.Choose(e, nil), c
			return
		}
		w.verdicts = append(w.verdicts, finding.Say(RuleKept, w.at(j, "part"), k.Name+": the kept connector "+e.Value+" no longer takes what crosses", "look at the new one; its cavities are new too"))
	}
	contacts := 0
	w.strict = true
	w.despair(j)
	first := slices.IndexFunc(w.candidates(), func(c *part.Connector) bool { return w.takes(j, c, k.Spare) })
	w.strict = false
	for _, c := range w.candidates()[max(first, 0):] {
		if w.takes(j, c, k.Spare) {
			for i := range w.needs[j] {
				n, _ := w.contacts(c, &w.needs[j][i])
				contacts += n
			}
			out.Connector = c
			out.Part = settle.Value[string]{Value: c.ID, Origin: settle.Worked, Reason: settle.Reason{
				Text:    "smallest arrangement of " + c.Standard + " that takes what crosses and keeps the spare share",
				Because: []settle.Term{settle.Num("contacts", float64(contacts), ""), settle.Num("cavities", float64(len(c.Cavities)), ""), settle.Num("spare share", k.Spare*100, "%")},
				Source:  source.Ref{Kind: source.Standard, Doc: "MIL-STD-1560C", Where: "insert arrangements; 10 % spare ways by MIL-HDBK-1012", Status: source.Seen}}}
			return
		}
	}
	out.Part = settle.Value[string]{Reason: settle.Reason{Text: "no arrangement of " + w.series() + " takes what crosses"}}
	w.verdicts = append(w.verdicts, finding.Say(RulePart, w.at(j, "part"), fmt.Sprintf("%s: no arrangement of %s takes the %d circuits that cross with %.0f %% spare", k.Name, w.series(), len(w.needs[j]), k.Spare*100),
		"add a second join", "give a connector", "lower the spare share"))
}

func (w *work) series() string {
	if l, ok := w.d.Limits["join series"]; ok && l.Value.Is() {
		return l.Value.Value
	}
	return series
}

// candidates are the connectors of the series that may be built with either
// gender, smallest first: shell, then cavities, then ID. Those sold as a
// standard go before others of their shell.
func (w *work) candidates() []*part.Connector {
	if w.list != nil {
		return w.list
	}
	w.list = []*part.Connector{}
	for _, c := range w.c.Connectors {
		if c.Standard == w.series() && c.Gender == "" && len(c.Cavities) > 0 {
			w.list = append(w.list, c)
		}
	}
	odd := func(c *part.Connector) int {
		if c.Availability == "" || c.Availability == "standard" {
			return 0
		}
		return 1
	}
	slices.SortFunc(w.list, func(x, y *part.Connector) int {
		a, _ := strconv.Atoi(x.ShellSize)
		b, _ := strconv.Atoi(y.ShellSize)
		return cmp.Or(cmp.Compare(odd(x), odd(y)), cmp.Compare(a, b), cmp.Compare(len(x.Cavities), len(y.Cavities)), cmp.Compare(x.ID, y.ID))
	})
	return w.list
}

// rating is the current a cavity's contact carries with a wire of the given
// gauge ("" any); not ok where no contact of it takes that gauge.
func (w *work) rating(cavity *part.Cavity, gauges []part.Gauge) (float64, bool) {
	if len(gauges) == 0 {
		gauges = []part.Gauge{""}
	}
	least := math.Inf(1)
	for _, g := range gauges {
		best, fits, known := 0.0, false, false
		for _, c := range w.contactsOf(cavity) {
			known = true
			if g != "" && len(c.Gauges) > 0 && !c.Takes(g) {
				continue
			}
			fits = true
			best = max(best, float64(c.Amps))
		}
		if known && !fits {
			return 0, false
		}
		if best == 0 {
			best, _ = flow.ContactAmps(cavity.Size)
		}
		if best == 0 {
			best = math.Inf(1) // no figure: the checks ask the shop for it
		}
		least = min(least, best)
	}
	return least, true
}

func (w *work) contactsOf(cavity *part.Cavity) []*part.Contact {
	if w.bySize == nil {
		w.bySize = map[string][]*part.Contact{}
		for _, c := range w.c.Contacts {
			w.bySize[c.Size] = append(w.bySize[c.Size], c)
		}
	}
	if len(cavity.Contacts) == 0 {
		return w.bySize[cavity.Size]
	}
	var out []*part.Contact
	for _, id := range cavity.Contacts {
		if c := w.c.Contacts[id]; c != nil {
			out = append(out, c)
		}
	}
	return out
}

// size is a contact size of a connector, for one need.
type size struct {
	name string
	amps float64
	all  int // cavities
}

// sizes lists a connector's sizes that take a need's gauges, least current
// first: those in which one wire fits here and at the wire's other end, or all
// where none does (size then says what doesn't fit).
func (w *work) sizes(c *part.Connector, n *need) []size {
	all := w.taking(c, n)
	fit := slices.DeleteFunc(slices.Clone(all), func(s size) bool {
		i := slices.IndexFunc(c.Cavities, func(k part.Cavity) bool { return k.Size == s.name })
		here := part.Socket{Cavity: c.Cavities[i], Sealed: c.Sealed}
		return slices.ContainsFunc(n.ends, func(there part.Socket) bool { return !w.bridges.Both(here, there) })
	})
	if len(fit) > 0 || w.strict && !n.hopeless {
		return fit
	}
	return all
}

// despair marks the needs that no candidate serves with a wire that fits both
// of its ends, so that they alone are judged leniently.
func (w *work) despair(j int) {
	for i := range w.needs[j] {
		n := &w.needs[j][i]
		n.hopeless = !slices.ContainsFunc(w.candidates(), func(c *part.Connector) bool { return len(w.sizes(c, n)) > 0 })
	}
}

func (w *work) taking(c *part.Connector, n *need) []size {
	var out []size
	for i := range c.Cavities {
		k := &c.Cavities[i]
		at := slices.IndexFunc(out, func(s size) bool { return s.name == k.Size })
		if at < 0 {
			a, ok := w.rating(k, n.gauges)
			if !ok {
				continue
			}
			at = len(out)
			out = append(out, size{k.Size, a, 0})
		}
		out[at].all++
	}
	slices.SortStableFunc(out, func(x, y size) int { return cmp.Or(cmp.Compare(x.amps, y.amps), cmp.Compare(x.name, y.name)) })
	return out
}

// contacts is how many contacts a need takes in a connector and of which size:
// one of the smallest that carries it with room to spare, else one that just
// carries it, else several of the largest. No contacts: none takes its gauge.
func (w *work) contacts(c *part.Connector, n *need) (count int, of string) {
	list := w.sizes(c, n)
	if len(list) == 0 {
		return 0, ""
	}
	share := w.load
	if w.t.Circuits[n.circuit].Class.Value == "power" {
		share *= fedShare // its wire carries what the feed lets through, not only what the load takes
	}
	for _, share := range []float64{share, 1} {
		for _, s := range list {
			if n.amps <= s.amps*share {
				return 1, s.name
			}
		}
	}
	s := list[len(list)-1]
	return flow.Contacts(n.amps, s.amps), s.name
}

// fedShare is the load of a feed as a share of its rating: makers' sheets of
// blade fuses, seen; the same as size's.
const fedShare = 0.75

// mostTogether is how many contacts share one circuit's current where another
// arrangement does it with fewer (judgement: contacts never share alike).
const mostTogether = 2

// takes says whether a connector has cavities for all that crosses, with the
// share spare left free.
func (w *work) takes(j int, c *part.Connector, spare float64) bool {
	total := 0
	for i := range w.needs[j] {
		n, _ := w.contacts(c, &w.needs[j][i])
		if n == 0 || w.strict && n > mostTogether {
			return false
		}
		total += max(n, len(w.given[[2]int{j, w.needs[j][i].circuit}]))
	}
	if float64(total) > float64(len(c.Cavities))*(1-spare)+1e-9 {
		return false
	}
	_, open := w.match(j, c, w.contactsFor(j, c))
	return open == 0
}

// contact is one contact that looks for a cavity.
type contact struct {
	need   int
	n      int    // 1, 2 …
	of     int    // contacts of the circuit here
	size   string // wanted
	share  float64
	cavity int // -1 until placed
	origin settle.Origin
}

// contactsFor lists the contacts of a join in a connector, in the order of
// circuits.
func (w *work) contactsFor(j int, c *part.Connector) []contact {
	var out []contact
	for i := range w.needs[j] {
		n := &w.needs[j][i]
		count, of := w.contacts(c, n)
		count = max(1, count, len(w.given[[2]int{j, n.circuit}]))
		share := n.amps
		if count > 1 {
			share = n.amps / (float64(count) * flow.ParallelShare)
		}
		for k := range count {
			out = append(out, contact{need: i, n: k + 1, of: count, size: of, share: share, cavity: -1})
		}
	}
	return out
}
