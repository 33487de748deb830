package resolve

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"keyon/model/design"
	"keyon/model/finding"
	"keyon/model/settle"
)

// names is what a column may name, and what was named in vain.
type names struct {
	kind   string // "place", as in "no place is called …"
	add    string // what to do instead of correcting the name
	of     map[string]int
	used   map[string]bool
	lost   map[string]bool // named by a row that could not be used and has its own finding
	cell   func(name string) settle.Cell
	missed []miss
	first  map[string]int // into missed
}

// miss is a name that leads nowhere, with the cells that hold it.
type miss struct {
	name  string
	at    []finding.Place
	texts []string // of those cells, for a list the whole of it
}

func newNames(kind, add string) *names {
	return &names{kind: kind, add: add, of: map[string]int{}, used: map[string]bool{}, lost: map[string]bool{}, first: map[string]int{}}
}

// look finds what an entry names: -1 for a blank or garbled entry, and for a
// name that leads nowhere, which is reported once at the end.
func (n *names) look(e design.TextEntry, p finding.Place) int {
	if !e.Is() {
		return -1
	}
	p.Cell = e.At
	return n.lookText(e.Value, e.Text, p)
}

// lookText is look for one name out of a cell's text.
func (n *names) lookText(name, text string, p finding.Place) int {
	if i, ok := n.of[name]; ok {
		n.used[name] = true
		return i
	}
	if n.lost[name] {
		return -1
	}
	i, ok := n.first[name]
	if !ok {
		i = len(n.missed)
		n.first[name] = i
		n.missed = append(n.missed, miss{name: name})
	}
	n.missed[i].at = append(n.missed[i].at, p)
	n.missed[i].texts = append(n.missed[i].texts, text)
	return -1
}

// mostCompared bounds the search for similar names: unknown names beyond it
// are reported without a proposal, so that a car whose table of places was
// lost is still read in linear time.
const mostCompared = 50

func (n *names) report() []finding.Verdict {
	if len(n.missed) == 0 {
		return nil
	}
	all := make([]string, 0, len(n.of))
	for name := range n.of {
		all = append(all, name)
	}
	slices.Sort(all)
	var vs []finding.Verdict
	for i, m := range n.missed {
		var close []string
		if i < mostCompared {
			close = near(m.name, all)
		}
		vs = append(vs, n.verdict(m, close))
	}
	return vs
}

func (n *names) verdict(m miss, close []string) finding.Verdict {
	// A name that two cells share and that nobody defines, beside a similar
	// one that nobody uses: the slip is in the row that defines it.
	if len(m.at) > 1 && len(close) == 1 && !n.used[close[0]] && n.cell != nil {
		c := n.cell(close[0])
		v := finding.Say(RuleName, finding.Place{Kind: n.kind, ID: close[0], Field: c.Column, Cell: c},
			"nothing names the "+n.kind+" "+quote(close[0])+", and "+strconv.Itoa(len(m.at))+" cells name "+quote(m.name)+", which does not exist")
		v.Related = m.at
		v.Fixes = []finding.Fix{{Text: "call it " + quote(m.name), Edit: &finding.Edit{Cell: c, Text: m.name}}}
		return v
	}
	what := "no " + n.kind + " is called " + quote(m.name)
	if more := len(m.at) - 1; more > 0 {
		what += "; " + plural(more, "more cell names", "more cells name") + " it"
	}
	v := finding.Say(RuleName, m.at[0], what)
	v.Related = m.at[1:]
	for _, c := range close {
		f := finding.Fix{Text: "write " + quote(c)}
		if len(close) == 1 && len(m.at) == 1 {
			f.Edit = &finding.Edit{Cell: m.at[0].Cell, Text: strings.Replace(m.texts[0], m.name, c, 1)}
		}
		v.Fixes = append(v.Fixes, f)
	}
	v.Fixes = append(v.Fixes, finding.Fix{Text: n.add})
	return v
}

func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
}

func quote(s string) string {
	if r := []rune(s); len(r) > 60 {
		s = string(r[:57]) + "…"
	}
	return strconv.Quote(s)
}

// near finds the names most similar to a wrong one, at most three, most
// similar first. Names that differ only in case, spaces and marks come before
// all others and alone.
func near(wrong string, all []string) []string {
	type hit struct {
		name     string
		distance int
	}
	var hits []hit
	w := fold(wrong)
	most := max(1, min(3, len(w)/4))
	for _, name := range all {
		f := fold(name)
		if d := len(f) - len(w); d > most || -d > most {
			continue
		}
		if d := distance(w, f, most); d <= most {
			hits = append(hits, hit{name, d})
		}
	}
	slices.SortStableFunc(hits, func(a, b hit) int { return cmp.Compare(a.distance, b.distance) })
	var out []string
	for i, h := range hits {
		if i == 3 || h.distance > hits[0].distance {
			break
		}
		out = append(out, h.name)
	}
	return out
}

func fold(s string) []rune {
	var out []rune
	for _, c := range strings.ToLower(s) {
		if !strings.ContainsRune(" -_./–\t\u00a0", c) {
			out = append(out, c)
		}
	}
	return out
}

// distance is the number of single letters to insert, delete, replace or swap
// with their neighbour that leads from a to b; above most it is only known to
// be above.
func distance(a, b []rune, most int) int {
	last, now, next := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range now {
		now[j] = j
	}
	for i := 1; i <= len(a); i++ {
		next[0] = i
		least := i
		for j := 1; j <= len(b); j++ {
			d := now[j-1]
			if a[i-1] != b[j-1] {
				d++
			}
			d = min(d, now[j]+1, next[j-1]+1)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				d = min(d, last[j-2]+1)
			}
			next[j] = d
			least = min(least, d)
		}
		if least > most {
			return most + 1
		}
		last, now, next = now, next, last
	}
	return now[len(b)]
}

// defined gathers the names a table defines, in row order, and the names of
// rows that could not be used: what refers to those is open in silence.
func defined[T any](r *resolver, table, column string, rows []T, of func(*T) (string, design.ID)) *names {
	n := newNames(design.Singular(table), "add it to the table "+table)
	uid := make(map[string]design.ID, len(rows))
	for i := range rows {
		if name, id := of(&rows[i]); uid[name] == "" {
			n.of[name], uid[name] = len(n.of), id
		}
	}
	n.cell = func(name string) settle.Cell {
		return settle.Cell{Table: table, Row: string(uid[name]), Column: column}
	}
	for _, f := range r.d.Findings {
		if f.Place.Kind == n.kind {
			if _, there := n.of[f.Place.ID]; !there {
				n.lost[f.Place.ID] = true
			}
		}
	}
	r.all = append(r.all, n)
	return n
}

// index gathers the names of every table.
func (r *resolver) index() {
	d := r.d
	r.zones = defined(r, "Zones", "zone", d.Zones, func(x *design.Zone) (string, design.ID) { return x.Name, x.ID })
	r.assemblies = defined(r, "Assemblies", "assembly", d.Assemblies, func(x *design.Assembly) (string, design.ID) { return x.Name, x.ID })
	r.places = defined(r, "Places", "place", d.Places, func(x *design.Place) (string, design.ID) { return x.Name, x.ID })
	r.looms = defined(r, "Looms", "loom", d.Looms, func(x *design.Loom) (string, design.ID) { return x.Name, x.ID })
	r.joins = defined(r, "Joins", "join", d.Joins, func(x *design.Join) (string, design.ID) { return x.Name, x.ID })
	r.studs = defined(r, "Studs", "stud", d.Studs, func(x *design.Stud) (string, design.ID) { return x.Name, x.ID })
	r.feeds = defined(r, "Feeds", "feed", d.Feeds, func(x *design.Feed) (string, design.ID) { return x.Name, x.ID })
	r.cables = defined(r, "Cables", "cable", d.Cables, func(x *design.Cable) (string, design.ID) { return x.Name, x.ID })
	r.states = defined(r, "States", "state", d.States, func(x *design.State) (string, design.ID) { return x.Name, x.ID })
	r.devices = defined(r, "Devices", "device", d.Devices, func(x *design.Device) (string, design.ID) { return x.Name, x.ID })
	r.circuits = defined(r, "Circuits", "circuit", d.Circuits, func(x *design.Circuit) (string, design.ID) { return x.Name, x.ID })
	r.indexEnds()
	r.indexParts()
}

// indexEnds gathers what a side of a circuit may name. A name of two kinds is
// reported and means the first.
func (r *resolver) indexEnds() {
	n := newNames("device, stud or feed", "add it to the table Devices, Studs or Feeds")
	kinds := []*names{r.devices, r.studs, r.feeds}
	owner := map[string]*names{}
	n.cell = func(name string) settle.Cell { return owner[name].cell(name) }
	for _, k := range kinds {
		for name := range k.lost {
			n.lost[name] = true
		}
		for name := range k.of {
			if first := owner[name]; first != nil {
				c := k.cell(name)
				r.say(finding.Say(RuleTwin, finding.Place{Kind: k.kind, ID: name, Field: c.Column, Cell: c},
					"a "+first.kind+" and a "+k.kind+" are both called "+quote(name)+"; circuits that name it mean the "+first.kind, "rename the "+k.kind))
				continue
			}
			owner[name], n.of[name] = k, 0
		}
	}
	r.ends = n
	r.all = append(r.all, n)
}

// end finds what a side of a circuit names; all -1 for none.
func (r *resolver) end(e design.TextEntry, p finding.Place) (device, stud, feed int) {
	device, stud, feed = -1, -1, -1
	if r.ends.look(e, p) < 0 {
		return
	}
	if i, ok := r.devices.of[e.Value]; ok {
		device = i
	} else if i, ok := r.studs.of[e.Value]; ok {
		stud = i
	} else {
		feed = r.feeds.of[e.Value]
	}
	return
}

// device finds a device. A name nobody knows is told together with the
// circuits that name it.
func (r *resolver) device(e design.TextEntry, p finding.Place) int {
	_, known := r.ends.of[e.Value]
	if _, device := r.devices.of[e.Value]; device || !known {
		i, _, _ := r.end(e, p)
		return i
	}
	return r.devices.look(e, p)
}

func (r *resolver) reportMissing() {
	for _, n := range r.all {
		r.vs = append(r.vs, n.report()...)
	}
}
