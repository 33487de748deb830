package resolve

import (
	"slices"

	"keyon/model/design"
	"keyon/model/finding"
	"keyon/model/plan"
)

// otherTables looks up the names in tables that hold answers and have no
// things of their own.
func (r *resolver) otherTables() {
	d := r.d
	for i := range d.Routes {
		x := &d.Routes[i]
		at := finding.Place{Kind: "route", ID: x.Circuit.Value}
		r.circuits.look(x.Circuit, field(at, "circuit"))
		from, to := r.places.look(x.From, field(at, "from")), r.places.look(x.To, field(at, "to"))
		if from >= 0 && to >= 0 && !slices.ContainsFunc(r.t.Legs, func(l plan.Leg) bool {
			return l.From == from && l.To == to || l.From == to && l.To == from
		}) {
			p := field(at, "to")
			p.Cell = x.To.At
			r.say(finding.Say(RuleName, p, "no leg runs from "+x.From.Value+" to "+x.To.Value, "name the two places of a leg"))
		}
	}
	for i := range d.Cavities {
		x := &d.Cavities[i]
		at := finding.Place{Kind: "cavity", ID: x.Join.Value + " " + x.Circuit.Value}
		r.joins.look(x.Join, field(at, "join"))
		r.circuits.look(x.Circuit, field(at, "circuit"))
	}
	for i := range d.Splices {
		x := &d.Splices[i]
		at := finding.Place{Kind: "splice", ID: x.Circuit.Value}
		r.circuits.look(x.Circuit, field(at, "circuit"))
		r.places.look(x.Place, field(at, "place"))
		partOf(r, r.c.Splices, x.Part, field(at, "part"), "splice")
	}
	for i := range d.Wires {
		r.circuits.look(d.Wires[i].Circuit, finding.Place{Kind: "wire", ID: d.Wires[i].Name, Field: "circuit"})
	}
	for i := range d.Bodies {
		x := &d.Bodies[i]
		at := finding.Place{Kind: "body", ID: x.Name}
		r.assemblies.look(x.Assembly, field(at, "assembly"))
		r.list(r.places, x.Points, field(at, "points"))
	}
	for i := range d.Links {
		r.list(r.states, d.Links[i].ClosedIn, finding.Place{Kind: "link", ID: d.Links[i].Part.Value, Field: "closed in"})
	}
	for i := range d.Legs {
		partOf(r, r.c.Sleeves, d.Legs[i].Sleeve, finding.Place{Kind: "leg", ID: legID(&d.Legs[i]), Field: "sleeve"}, "sleeve")
	}
}

// list looks up each name of a list cell.
func (r *resolver) list(n *names, e design.ListEntry, p finding.Place) {
	p.Cell = e.At
	for _, name := range e.Value {
		n.lookText(name, e.Text, p)
	}
}
