package build

import (
	"slices"
	"strconv"
	"strings"

	"keyon/model/plan"
	"keyon/model/settle"
)

// Choice is one choice of the program that people rely on from now: a row of
// the table Kept.
type Choice struct{ Kind, Thing, Field, Value, Loom string }

// Freeze lists every choice of a plan that touches a loom ("" for all looms):
// what is given needs no keeping, what is open can't be kept.
func Freeze(p *plan.Plan, loom string) []Choice {
	f := &freezer{p: p, t: &p.Things}
	touched := make([][]string, len(p.Things.Circuits)) // looms by circuit
	for i := range p.Wires.List {
		w := &p.Wires.List[i]
		if name := f.loom(w.Loom); name != "" && !slices.Contains(touched[w.Circuit], name) {
			touched[w.Circuit] = append(touched[w.Circuit], name)
		}
	}
	here := func(looms []string) bool { return loom == "" && len(looms) > 0 || slices.Contains(looms, loom) }
	for i := range p.Ends.List {
		e := &p.Ends.List[i]
		if !here(touched[e.Circuit]) {
			continue
		}
		f.name = touched[e.Circuit][0]
		switch {
		case e.Stud >= 0:
			f.keep("end", e.ID, "stud", e.Pin.Origin, f.t.Studs[e.Stud].Name)
		case e.Feed >= 0 && !declared(f.t, e):
			f.keep("end", e.ID, "feed", e.Pin.Origin, f.t.Feeds[e.Feed].Name)
		default:
			f.keep("end", e.ID, "pin", e.Pin.Origin, e.Pin.Value)
		}
	}
	for i := range p.Routes.List {
		if r := &p.Routes.List[i]; !r.Open && here(touched[r.Circuit]) {
			f.name = touched[r.Circuit][0]
			f.route(r)
		}
	}
	for i := range p.Cavities.Joins {
		j := &f.t.Joins[i]
		var looms []string
		for _, place := range []int{j.A, j.B} {
			if place >= 0 && f.t.Places[place].Loom >= 0 {
				looms = append(looms, f.loom(f.t.Places[place].Loom))
			}
		}
		if !here(looms) {
			continue
		}
		f.name = looms[0]
		q := &p.Cavities.Joins[i]
		f.keep("join", string(j.ID), "part", q.Part.Origin, q.Part.Value)
		f.keep("join", string(j.ID), "key", q.Key.Origin, q.Key.Value)
		f.keep("join", string(j.ID), "sockets", q.Sockets.Origin, q.Sockets.Value)
	}
	for i := range p.Cavities.Crossings {
		x := &p.Cavities.Crossings[i]
		if here(touched[x.Circuit]) {
			f.name = touched[x.Circuit][0]
			f.keep("crossing", string(f.t.Joins[x.Join].ID)+"/"+string(f.t.Circuits[x.Circuit].Key())+"/"+strconv.Itoa(x.N), "cavity", x.Cavity.Origin, x.Cavity.Value)
		}
	}
	for i := range p.Wires.List {
		w := &p.Wires.List[i]
		if name := f.loom(w.Loom); name == "" || loom != "" && name != loom {
			continue
		}
		f.name = f.loom(w.Loom)
		s, c := &p.Sizes.Wires[i], &p.Cuts.Wires[i]
		f.keep("wire", w.ID, "gauge", s.Gauge.Origin, s.Gauge.Value)
		f.keep("wire", w.ID, "family", s.Family.Origin, s.Family.Value)
		f.keep("wire", w.ID, "colour", s.Colour.Origin, s.Colour.Value)
		f.keep("wire", w.ID, "number", c.Number.Origin, c.Number.Value)
		f.keep("wire", w.ID, "label", c.Label.Origin, c.Label.Value)
	}
	for i := range f.t.Legs {
		if name := f.loom(f.t.Legs[i].Loom); name != "" && (loom == "" || name == loom) {
			f.name = name
			f.keep("leg", string(f.t.Legs[i].ID), "sleeve", p.Bundles.Legs[i].Sleeve.Origin, p.Bundles.Legs[i].Sleeve.Value)
		}
	}
	for i := range f.t.Feeds {
		for k := range p.Ends.List {
			if e := &p.Ends.List[k]; e.Feed == i && here(touched[e.Circuit]) {
				f.name = touched[e.Circuit][0]
				f.keep("feed", string(f.t.Feeds[i].ID), "setting", p.Sizes.Feeds[i].Setting.Origin, p.Sizes.Feeds[i].Setting.Value)
				break
			}
		}
	}
	return f.out
}

type freezer struct {
	p    *plan.Plan
	t    *plan.Things
	name string
	out  []Choice
}

func (f *freezer) loom(i int) string {
	if i < 0 {
		return ""
	}
	return f.t.Looms[i].Name
}

func (f *freezer) keep(kind, thing, field string, o settle.Origin, value string) {
	if o == settle.Worked || o == settle.FromKept {
		f.out = append(f.out, Choice{kind, thing, field, value, f.name})
	}
}

func (f *freezer) route(r *plan.Route) {
	var legs, joins, points []string
	for _, l := range r.Legs {
		legs = append(legs, string(f.t.Legs[l].ID))
	}
	for _, j := range r.Joins {
		joins = append(joins, string(f.t.Joins[j].ID))
	}
	for _, p := range r.Points {
		points = append(points, p.Kind+"@"+string(f.t.Places[p.Place].ID))
	}
	slices.Sort(legs)
	slices.Sort(joins)
	slices.Sort(points)
	key := string(f.t.Circuits[r.Circuit].Key())
	f.keep("circuit", key, "legs", r.Origin, strings.Join(legs, " ")+" | "+strings.Join(joins, " "))
	if len(points) > 0 {
		f.keep("circuit", key, "points", settle.Worked, strings.Join(points, " "))
	}
}

// declared says whether the design names the end.
func declared(t *plan.Things, e *plan.End) bool {
	return slices.ContainsFunc(t.Circuits[e.Circuit].Ends, func(x plan.DeclaredEnd) bool { return x.ID == e.ID })
}
