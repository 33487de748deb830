package desk

import (
	"slices"
	"strings"

	"keyon/app/report"
	"keyon/draw"
)

// Walk is a circuit from end to end, as a person with a meter follows it.
type Walk struct {
	*report.Trace
	Steps    []Step
	Crosses  []string // joins on its way
	Feeds    []string
	Findings []Finding
	Others   []string // circuits twisted with it
}

// Step is a wire on the way. Start is set where the wire doesn't go on from
// the one before: a branch, or the beginning.
type Step struct {
	Start *Node
	Wire  report.Wire
	To    Node
}

// Node is a point on the way.
type Node struct {
	Kind  string // pin, join, splice, stud, lead, free
	Name  string // "controller/A:12"
	Plug  string // connector with a page, blank for none
	Far   string // the other half of a join
	Place string
	Note  string // what the end is
}

// Walk follows a circuit; nil where there is none of that name.
func (v *View) Walk(circuit string) *Walk {
	t := v.Trace(circuit)
	if t == nil {
		return nil
	}
	w := &Walk{Trace: t, Crosses: t.Joins}
	ends := map[string]report.End{}
	for _, e := range t.Ends {
		ends[e.ID] = e
		if e.Feed != "" && !slices.Contains(w.Feeds, e.Feed) {
			w.Feeds = append(w.Feeds, e.Feed)
		}
	}
	at := ""
	for _, x := range t.Wires {
		from, to := node(&x.FromEnd, x.From, ends), node(&x.ToEnd, x.To, ends)
		s := Step{Wire: x, To: to}
		if key(&x.FromEnd) != at {
			s.Start = &from
		} else if from.Kind == "join" && len(w.Steps) > 0 {
			w.Steps[len(w.Steps)-1].To.Far = from.Name
		}
		w.Steps = append(w.Steps, s)
		at = key(&x.ToEnd)
	}
	for _, f := range v.Opened() {
		if f.Place.Kind == "circuit" && f.Place.ID == circuit || f.Place.Kind == "wire" && slices.ContainsFunc(t.Wires, func(x report.Wire) bool { return x.ID == f.Place.ID }) {
			w.Findings = append(w.Findings, f)
		}
	}
	for _, c := range v.Report().Circuits {
		if c.Name == circuit && c.Twist != "" {
			for _, o := range v.Report().Circuits {
				if o.Twist == c.Twist && o.Name != circuit {
					w.Others = append(w.Others, o.Name)
				}
			}
		}
	}
	return w
}

// key is equal for the ends that a node joins: both halves of a join's
// contact, the wires of a splice, what shares a pin.
func key(e *report.WireEnd) string {
	switch {
	case e.Join != "":
		return "join\x1f" + e.Join + "\x1f" + e.Cavity
	case e.Splice != "":
		return "splice\x1f" + e.Splice
	}
	return strings.Join([]string{e.Kind, e.Device, e.Stud, e.Connector, e.Pin, e.Place}, "\x1f")
}

func node(e *report.WireEnd, name string, ends map[string]report.End) Node {
	n := Node{Kind: e.Kind, Name: name, Place: e.Place}
	switch {
	case e.Join != "":
		n.Kind, n.Plug = "join", e.Join+"/"+e.Half
	case e.Device != "" && e.Kind == "pin":
		n.Plug = e.Device
		if e.Connector != "" {
			n.Plug += "/" + e.Connector
		}
	}
	if x, ok := ends[e.End]; ok {
		n.Note = x.Role
		if x.Feed != "" {
			n.Note = strings.TrimPrefix(n.Note+", feed "+x.Feed, ", ")
		}
	}
	return n
}

// WireNamed is the circuit and ID of a wire by its number or ID.
func (v *View) WireNamed(name string) (circuit, id string, ok bool) {
	i, ok := v.index().wire[strings.TrimSpace(name)]
	if !ok {
		return "", "", false
	}
	w := &v.Plan.Wires.List[i]
	return v.Plan.Things.Circuits[w.Circuit].Name, w.ID, true
}

// FindPlugs are the connectors in whose name, place, part or loom every word
// stands.
func FindPlugs(list []draw.PlugName, words string) []draw.PlugName {
	want := strings.Fields(strings.ToLower(words))
	var out []draw.PlugName
	for _, p := range list {
		if every(want, strings.ToLower(strings.Join([]string{p.Name, p.Title, p.Place, p.Part, p.Loom}, " "))) {
			out = append(out, p)
		}
	}
	return out
}

// PlugsOf are the connectors of a device or join of that name.
func PlugsOf(list []draw.PlugName, name string) []draw.PlugName {
	var out []draw.PlugName
	for _, p := range list {
		if name != "" && deviceOf(p.Name) == name {
			out = append(out, p)
		}
	}
	return out
}

// FindCircuits are the circuits in whose name, class or joins every word stands.
func FindCircuits(list []report.Circuit, words string) []report.Circuit {
	want := strings.Fields(strings.ToLower(words))
	var out []report.Circuit
	for _, c := range list {
		if every(want, strings.ToLower(c.Name+" "+c.Class+" "+strings.Join(c.Joins, " "))) {
			out = append(out, c)
		}
	}
	return out
}

// LoomMap is a loom's legs drawn from above, as SVG; nil where its places are
// not known.
func (v *View) LoomMap(loom string) []byte {
	c := v.car()
	if c == nil {
		return nil
	}
	for i := range v.Plan.Things.Looms {
		if v.Plan.Things.Looms[i].Name != loom {
			continue
		}
		if d, ok := c.Above(i); ok {
			if b, err := drawing(d, "legs of "+loom+" from above, front to the left"); err == nil {
				return b
			}
		}
	}
	return nil
}
