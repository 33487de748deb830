// Package buy counts what a loom takes: wires, cable pieces, connectors with
// their contacts, seals and plugs, lugs, splices, sleeves, labels, fuses.
//
// Every paper, page and test that speaks of such counts asks here. It takes
// the plan as it is; what is open is not counted. Spares and what the shelf
// gives are settled here too, looms in their order.
package buy

import (
	"cmp"
	"slices"

	"keyon/model/design"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/num/quantity"
)

// Loom is what one loom takes.
type Loom struct {
	Wires      []int // in the order of their numbers
	Cables     []Piece
	Connectors []Connector
	Labels     []Label
	Feeds      []int // feeds whose device the loom ends at and that serve a circuit
	Lines      []Line
}

// End is one end of a wire.
type End struct {
	Wire int
	To   bool // the wire's To end; else From
}

// Far is the other end of the wire.
func (e End) Far() End { return End{e.Wire, !e.To} }

// At is where the end lies in a plan, and what goes on it.
func (e End) At(p *plan.Plan) (*plan.WireEnd, *plan.EndParts) {
	w, s := &p.Wires.List[e.Wire], &p.Sizes.Wires[e.Wire]
	if e.To {
		return &w.To, &s.To
	}
	return &w.From, &s.From
}

// Piece is a piece of cable, cut once, with its cores.
type Piece struct {
	Cable int
	Wires []int           // its cores
	Cut   quantity.Length // of the longest core; 0: open
}

// Of counts a whole car. What one loom takes from the shelf is gone for the
// looms after it.
func Of(d *design.Design, c part.Catalogue, p *plan.Plan) []Loom {
	out := make([]Loom, len(p.Things.Looms))
	for i := range p.Wires.List {
		if l := p.Wires.List[i].Loom; l >= 0 {
			out[l].Wires = append(out[l].Wires, i)
		}
	}
	connectors(c, p, out)
	feeds(p, out)
	shelf := onShelf(d)
	for l := range out {
		x := &out[l]
		slices.SortStableFunc(x.Wires, func(a, b int) int {
			return Natural(p.Cuts.Wires[a].Number.Value, p.Cuts.Wires[b].Number.Value)
		})
		x.Cables = pieces(p, x.Wires)
		x.Labels = labels(c, p, x)
		x.Lines = lines(d, c, p, l, x)
		for i := range x.Lines {
			shelf.serve(&x.Lines[i])
		}
	}
	return out
}

// feeds gives each loom the feeds at its devices.
func feeds(p *plan.Plan, out []Loom) {
	serves := make([]bool, len(p.Things.Feeds))
	for i := range p.Ends.List {
		if f := p.Ends.List[i].Feed; f >= 0 {
			serves[f] = true
		}
	}
	for f := range p.Things.Feeds {
		d := p.Things.Feeds[f].Device
		if d < 0 || !serves[f] || f >= len(p.Sizes.Feeds) || p.Things.Devices[d].Place < 0 {
			continue
		}
		if l := p.Things.Places[p.Things.Devices[d].Place].Loom; l >= 0 {
			out[l].Feeds = append(out[l].Feeds, f)
		}
	}
}

// pieces groups the cores of a loom's cables: cores that run along the same
// legs, or along part of them, are one piece; a core is in a piece once.
func pieces(p *plan.Plan, wires []int) []Piece {
	var cores []int
	for _, i := range wires {
		if p.Wires.List[i].Cable >= 0 {
			cores = append(cores, i)
		}
	}
	slices.SortStableFunc(cores, func(a, b int) int {
		x, y := &p.Wires.List[a], &p.Wires.List[b]
		return cmp.Or(cmp.Compare(x.Cable, y.Cable), cmp.Compare(len(y.Legs), len(x.Legs)))
	})
	var out []Piece
	for _, i := range cores {
		w := &p.Wires.List[i]
		at := slices.IndexFunc(out, func(x Piece) bool {
			return x.Cable == w.Cable && within(w.Legs, p.Wires.List[x.Wires[0]].Legs) &&
				!slices.ContainsFunc(x.Wires, func(j int) bool { return p.Wires.List[j].Core == w.Core })
		})
		if at < 0 {
			at = len(out)
			out = append(out, Piece{Cable: w.Cable})
		}
		out[at].Wires = append(out[at].Wires, i)
		out[at].Cut = max(out[at].Cut, p.Cuts.Wires[i].Cut.Value)
	}
	for i := range out {
		slices.Sort(out[i].Wires)
	}
	return out
}

func within(legs, of []int) bool {
	for _, l := range legs {
		if !slices.Contains(of, l) {
			return false
		}
	}
	return true
}

// Natural compares names so that A9 comes before A10.
func Natural(a, b string) int {
	for a != "" && b != "" {
		x, y := digits(a), digits(b)
		if x > 0 && y > 0 {
			if o := cmp.Or(cmp.Compare(x, y), cmp.Compare(a[:x], b[:y])); o != 0 {
				return o
			}
			a, b = a[x:], b[y:]
			continue
		}
		if a[0] != b[0] {
			return cmp.Compare(a, b)
		}
		a, b = a[1:], b[1:]
	}
	return cmp.Compare(len(a), len(b))
}

// digits is how many digits a text begins with.
func digits(s string) int {
	n := 0
	for n < len(s) && s[n] >= '0' && s[n] <= '9' {
		n++
	}
	return n
}
