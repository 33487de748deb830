package report

import (
	"cmp"
	"slices"
	"strconv"
)

// Diff is what changed from one plan to another: `keyon diff --json`, and the
// answer to "what would change if".
type Diff struct {
	Version int       `json:"version"`
	Changes []Altered `json:"changes"`
	Added   []Finding `json:"findings_added"`
	Gone    []Finding `json:"findings_gone"`
	Papers  []string  `json:"stale_papers"`
	Looms   []string  `json:"looms"`
	Same    bool      `json:"same"`
}

// Altered is one field of one thing. A thing that came has no old value in
// its field "wire", "splice", …; one that went no new value.
type Altered struct {
	Kind  string `json:"kind"`
	ID    string `json:"id"`
	Name  string `json:"name"`
	Field string `json:"field"`
	Old   string `json:"old"`
	New   string `json:"new"`
	Loom  string `json:"loom,omitempty"`
}

// field is a named text of a thing.
type field struct{ name, text string }

// thing is what is compared: an ID that lasts, and texts that may differ.
type thing struct {
	kind, id, name, loom string
	fields               []field
}

// Compare lists what differs, in a fixed order.
func Compare(a, b *Plan) *Diff {
	d := &Diff{Version: Version, Changes: []Altered{}, Papers: []string{}, Looms: []string{}}
	old, is := things(a), things(b)
	byID := func(ts []thing) map[string]*thing {
		m := make(map[string]*thing, len(ts))
		for i := range ts {
			m[ts[i].kind+"\x00"+ts[i].id] = &ts[i]
		}
		return m
	}
	was, now := byID(old), byID(is)
	for i := range old {
		t := &old[i]
		n := now[t.kind+"\x00"+t.id]
		if n == nil {
			d.Changes = append(d.Changes, Altered{t.kind, t.id, t.name, t.kind, t.name, "", t.loom})
			continue
		}
		for k, f := range t.fields {
			if g := n.fields[k]; f.text != g.text {
				d.Changes = append(d.Changes, Altered{t.kind, t.id, n.name, f.name, f.text, g.text, n.loom})
			}
		}
	}
	for i := range is {
		if t := &is[i]; was[t.kind+"\x00"+t.id] == nil {
			d.Changes = append(d.Changes, Altered{t.kind, t.id, t.name, t.kind, "", t.name, t.loom})
		}
	}
	d.Added, d.Gone = newFindings(a.Findings, b.Findings), newFindings(b.Findings, a.Findings)
	d.stale()
	d.Same = len(d.Changes) == 0 && len(d.Added) == 0 && len(d.Gone) == 0
	return d
}

func things(p *Plan) []thing {
	var ts []thing
	n := func(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }
	for _, w := range p.Wires {
		at := func(e WireEnd) string {
			return e.Kind + " " + e.Device + e.Join + e.Stud + e.Splice + " " + e.Connector + " " + e.Cavity + " " + e.Contact + e.Lug
		}
		name := w.Number
		if name == "" {
			name = w.ID
		}
		ts = append(ts, thing{"wire", w.ID, name + " " + w.Circuit, w.Loom, []field{
			{"cut mm", n(w.CutMM)}, {"length mm", n(w.LengthMM)}, {"tail mm", n(w.TailMM)}, {"gauge", w.Gauge}, {"family", w.Family}, {"colour", w.Colour}, {"label", w.Label}, {"number", w.Number}, {"from", at(w.FromEnd)}, {"to", at(w.ToEnd)}, {"way", words(w.Legs)}}})
	}
	for _, l := range p.Legs {
		ts = append(ts, thing{"leg", l.Name, l.Name, l.Loom, []field{{"length mm", n(l.LengthMM)}, {"diameter mm", n(l.DiameterMM)}, {"sleeve", l.Sleeve}}})
	}
	for _, s := range p.Splices {
		ts = append(ts, thing{"splice", s.ID, s.Circuit + " at " + s.Place, s.Loom, []field{{"part", s.Part}, {"wires", strconv.Itoa(len(s.Wires))}}})
	}
	for _, e := range p.Ends {
		ts = append(ts, thing{"end", e.ID, e.Circuit + " at " + e.Device + e.Stud, "", []field{{"pin", e.Pin}, {"feed", e.Feed}, {"stud", e.Stud}}})
	}
	for _, c := range p.Cavities {
		id := c.Join + " " + c.Circuit + " " + strconv.Itoa(c.N)
		ts = append(ts, thing{"cavity", id, id, "", []field{{"cavity", c.Cavity}, {"size", c.Size}}})
	}
	for _, j := range p.Joins {
		ts = append(ts, thing{"join", j.Name, j.Name, "", []field{{"part", j.Part}, {"key", j.Key}, {"sockets", j.Sockets}}})
	}
	for _, f := range p.Feeds {
		ts = append(ts, thing{"feed", f.Name, f.Name, "", []field{{"setting", f.Setting}}})
	}
	return ts
}

func words(list []string) string {
	s := ""
	for i, w := range list {
		if i > 0 {
			s += ", "
		}
		s += w
	}
	return s
}

// newFindings lists the open findings of b that a does not have.
func newFindings(a, b []Finding) []Finding {
	key := func(f *Finding) string { return f.Rule + "\x00" + f.Kind + "\x00" + f.ID + "\x00" + f.Field }
	had := map[string]bool{}
	for i := range a {
		if !a[i].OK && a[i].Waived == "" {
			had[key(&a[i])] = true
		}
	}
	out := []Finding{}
	for i := range b {
		if !b[i].OK && b[i].Waived == "" && !had[key(&b[i])] {
			out = append(out, b[i])
		}
	}
	return out
}

// stale names the papers that a change makes wrong.
func (d *Diff) stale() {
	looms, papers := map[string]bool{}, map[[2]string]bool{}
	for _, c := range d.Changes {
		if c.Loom != "" {
			looms[c.Loom] = true
		}
		for _, p := range papersOf(c) {
			papers[[2]string{c.Loom, p}] = true
		}
	}
	for l := range looms {
		d.Looms = append(d.Looms, l)
	}
	slices.Sort(d.Looms)
	keys := make([][2]string, 0, len(papers))
	for k := range papers {
		keys = append(keys, k)
	}
	slices.SortFunc(keys, func(a, b [2]string) int { return cmp.Or(cmp.Compare(a[0], b[0]), cmp.Compare(a[1], b[1])) })
	for _, k := range keys {
		if k[0] == "" {
			d.Papers = append(d.Papers, k[1])
			continue
		}
		d.Papers = append(d.Papers, k[0]+": "+k[1])
	}
}

// papersOf says which papers print a field.
func papersOf(c Altered) []string {
	switch c.Kind {
	case "wire":
		switch c.Field {
		case "cut mm", "length mm", "tail mm":
			return []string{"cut list"}
		case "label", "number":
			return []string{"cut list", "label sheet", "pin sheets"}
		}
		return []string{"cut list", "pin sheets", "buying list", "ring-out sheet", "circuit traces"}
	case "leg":
		return []string{"breakout list", "buying list"}
	case "splice":
		return []string{"splice sheet", "buying list"}
	case "end", "cavity", "join":
		return []string{"pin sheets of both sides"}
	case "feed":
		return []string{"feed sheet"}
	}
	return nil
}
