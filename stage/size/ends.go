package size

import (
	"slices"
	"strings"

	"keyon/model/design"
	"keyon/model/finding"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/model/settle"
	"keyon/model/source"
	"keyon/num/quantity"
)

// RuleContact says that the catalogue has no contact figures for a cavity.
var RuleContact = &finding.Rule{ID: "size.contact", Severity: finding.Look, Title: "contact unknown",
	Text:   "The cavity names no contact of the catalogue; the shop must enter it before the wire's end can be made.",
	Source: source.Ref{Kind: source.Judgement, Doc: "house-rules", Where: "contacts"}}

// RuleSplice says that no splice takes the wires.
var RuleSplice = &finding.Rule{ID: "size.splice", Severity: finding.Look, Title: "no splice takes the wires",
	Text:   "The copper areas of the wires add up to more or less than any splice of the catalogue takes.",
	Source: source.Ref{Kind: source.Standard, Doc: "NASA-STD-8739.4", Where: "19.11, sum of circular mils", Status: source.Seen}}

// socket is what a wire's end goes into.
type socket struct {
	cavity  *part.Cavity // nil: lug, splice or lead
	gender  string
	sealed  bool
	celsius float64 // rating of the connector, 0 unknown
	stud    string  // thread, for a lug
	splice  bool
	words   string
	place   finding.Place
	sort    int // sockets of one sort take the same wires; 0: any
}

// pair is a wire in a socket of some sort.
type pair struct {
	sort int
	wire *part.Wire
}

// sortOf numbers the sorts of sockets as they come.
func (z *sizer) sortOf(s *socket) int {
	key := "stud " + s.stud
	if s.cavity != nil {
		key = s.cavity.Size + "|" + strings.Join(s.cavity.Contacts, ",") + "|" + strings.Join(s.cavity.Seals, ",") + "|" + s.gender
		if s.sealed {
			key += "|sealed"
		}
	} else if s.stud == "" {
		return 0
	}
	n, ok := z.sorts[key]
	if !ok {
		n = len(z.sorts) + 1
		z.sorts[key] = n
	}
	return n
}

// fits is takes, asked once for each sort of socket and wire.
func (z *sizer) fits(s *socket, q *part.Wire) bool {
	if s.sort == 0 {
		return s.takes(z.c, q)
	}
	ok, known := z.taken[pair{s.sort, q}]
	if !known {
		ok = s.takes(z.c, q)
		z.taken[pair{s.sort, q}] = ok
	}
	return ok
}

// takes says whether some contact of the cavity takes the wire and seals on it.
func (s *socket) takes(c part.Catalogue, q *part.Wire) bool {
	switch {
	case s.cavity != nil:
		ks := c.ContactsFor(*s.cavity, s.gender, q.Gauge, q.Outside)
		for _, k := range ks {
			if ok, known := k.Seals(q.Outside); !s.sealed || !known || ok {
				return true
			}
		}
		return len(ks) == 0 && len(c.ContactsFor(*s.cavity, s.gender, "", 0)) == 0 && !knownCavity(c, s)
	case s.stud != "":
		return c.LugFor(s.stud, q.Gauge) != nil || !anyLug(c, s.stud)
	}
	return true
}

// knownCavity says whether the catalogue has any contact for the cavity.
func knownCavity(c part.Catalogue, s *socket) bool {
	for _, k := range c.Contacts {
		if k.Size == s.cavity.Size || slices.Contains(s.cavity.Contacts, k.ID) {
			return true
		}
	}
	return false
}

func anyLug(c part.Catalogue, stud string) bool {
	for _, l := range c.Lugs {
		if l.Stud == stud {
			return true
		}
	}
	return false
}

// socket reads what a wire's end goes into.
func (z *sizer) socket(e *plan.WireEnd) socket {
	s := z.read(e)
	s.sort = z.sortOf(&s)
	return s
}

func (z *sizer) read(e *plan.WireEnd) socket {
	switch e.Kind {
	case plan.AtSplice:
		return socket{splice: true, words: "splice"}
	case plan.AtCavity:
		x := &z.x.Crossings[e.Crossing]
		j := &z.x.Joins[x.Join]
		if j.Connector == nil {
			return socket{words: "join " + z.t.Joins[x.Join].Name + " without a connector"}
		}
		gender := "pin"
		if j.Sockets.Value == e.Half {
			gender = "socket"
		}
		return z.in(j.Connector, x.Cavity.Value, gender, finding.Place{Kind: "join", ID: z.t.Joins[x.Join].Name, Field: x.Cavity.Value})
	}
	if e.End < 0 {
		return socket{}
	}
	q := &z.e.List[e.End]
	if q.Stud >= 0 {
		return socket{stud: z.t.Studs[q.Stud].Thread, words: "stud " + z.t.Studs[q.Stud].Thread}
	}
	if q.Device < 0 {
		return socket{}
	}
	d := &z.t.Devices[q.Device]
	if q.Connector >= 0 && d.Connectors[q.Connector].Part != nil {
		k := d.Connectors[q.Connector].Part
		gender := k.Gender
		if gender == "" {
			gender = "socket" // the plug on the loom; live sides are given by the part
		}
		return z.in(k, q.Cavity, gender, finding.Place{Kind: "device", ID: d.Name, Field: q.Pin.Value})
	}
	if d.Part != nil && q.PinIndex >= 0 {
		if thread, ok := d.Part.Pins[q.PinIndex].Stud(); ok {
			return socket{stud: thread, words: "stud " + thread}
		}
	}
	return socket{words: "lead of " + d.Name}
}

func (z *sizer) in(k *part.Connector, name, gender string, place finding.Place) socket {
	for i := range k.Cavities {
		if k.Cavities[i].Name == name {
			c := &k.Cavities[i]
			return socket{cavity: c, gender: gender, sealed: k.Sealed, celsius: float64(k.Temperature), words: "cavity " + name + " size " + c.Size, place: place}
		}
	}
	return socket{words: "an unknown cavity"}
}

// contact is the part on a wire's end, nil where none is known or needed.
func (z *sizer) contact(i, side int) *part.Contact {
	s, q := &z.jobs[i].ends[side], z.jobs[i].wire()
	if s.cavity == nil || q == nil {
		return nil
	}
	k, known := z.best[pair{s.sort, q}]
	if !known {
		if ks := z.c.ContactsFor(*s.cavity, s.gender, q.Gauge, q.Outside); len(ks) > 0 {
			k = ks[0]
		}
		z.best[pair{s.sort, q}] = k
	}
	return k
}

// endParts lists what goes on a wire's end.
func (z *sizer) endParts(i, side int) plan.EndParts {
	s, q := &z.jobs[i].ends[side], z.jobs[i].wire()
	var p plan.EndParts
	switch {
	case s.cavity != nil:
		k := z.contact(i, side)
		if k == nil {
			if !knownCavity(z.c, s) {
				z.verdicts = append(z.verdicts, finding.Say(RuleContact, s.place, "no contact figures for "+s.words+"; the shop must enter them", "add the contact to Parts"))
			}
			return p
		}
		p.Contact, p.Strip, p.Tool = k.ID, k.StripMost, k.Tool
		p.Check = k.Source.Status == source.Memory || k.StripMost == 0
		if seal := z.c.SealFor(*s.cavity, q.Outside); seal != nil {
			p.Seal = seal.ID
		}
	case s.stud != "":
		if l := z.c.LugFor(s.stud, q.Gauge); l != nil {
			p.Lug, p.Strip, p.Tool = l.ID, l.Strip, l.Tool
			p.Check = l.Source.Status == source.Memory
		}
	}
	return p
}

// splice settles the part of a splice by the sum of copper areas.
func (z *sizer) splice(i int) settle.Value[string] {
	s := &z.w.Splices[i]
	var areas []quantity.Area
	sum := quantity.Area(0)
	for _, w := range s.Wires {
		q := z.jobs[w].wire()
		if q == nil {
			return settle.Value[string]{Reason: settle.Reason{Text: "a wire of the splice has no size"}}
		}
		areas = append(areas, q.Area)
		sum += q.Area
	}
	var entry design.TextEntry
	for k := range z.d.Splices {
		r := &z.d.Splices[k]
		if r.Circuit.Value == z.t.Circuits[s.Circuit].Name && s.Place >= 0 && r.Place.Value == z.t.Places[s.Place].Name {
			entry = r.Part
		}
	}
	because := []settle.Term{settle.Num("wires", float64(len(s.Wires)), ""), settle.Num("copper", quantity.RoundTo(sum.MM2(), 0.001), "mm²")}
	v := settle.Choose(entry, func() (string, settle.Reason, bool) {
		best := z.c.SpliceFor(areas...)
		if best == nil {
			return "", settle.Reason{Text: "no splice of the catalogue takes the sum of the wires", Because: because, Source: RuleSplice.Source}, false
		}
		return best.ID, settle.Reason{Text: "smallest splice that takes the sum of the wires", Because: because, Source: best.Source}, true
	})
	if !v.Settled() && entry.State == settle.Blank {
		z.verdicts = append(z.verdicts, finding.Say(RuleSplice, finding.Place{Kind: "circuit", ID: z.t.Circuits[s.Circuit].Name, Field: "splice"}, "splice at "+z.t.Places[s.Place].Name+": "+v.Reason.String(), "split it into two splices, or add a splice to Parts"))
	}
	return v
}
