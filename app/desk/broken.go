package desk

import (
	"keyon/model/plan"
	"keyon/model/settle"
)

// filled gives the tables that a broken stage left out the length that
// everybody counts on, each entry open, so that what was worked out shows.
func filled(p *plan.Plan) {
	t := &p.Things
	for i := len(p.Routes.List); i < len(t.Circuits); i++ {
		p.Routes.List = append(p.Routes.List, plan.Route{Circuit: i, Open: true})
	}
	p.Ends.Of = grown(p.Ends.Of, len(t.Circuits))
	p.Cavities.Joins = grown(p.Cavities.Joins, len(t.Joins))
	for len(p.Sizes.Wires) < len(p.Wires.List) {
		p.Sizes.Wires = append(p.Sizes.Wires, plan.WireSize{State: -1, WorstLeg: -1})
	}
	p.Sizes.Splices = grown[settle.Value[string]](p.Sizes.Splices, len(p.Wires.Splices))
	for len(p.Sizes.Feeds) < len(t.Feeds) {
		p.Sizes.Feeds = append(p.Sizes.Feeds, plan.FeedSize{State: -1, Weakest: -1})
	}
	p.Bundles.Legs = grown(p.Bundles.Legs, len(t.Legs))
	p.Cuts.Wires = grown(p.Cuts.Wires, len(p.Wires.List))
}

func grown[T any](list []T, n int) []T {
	return append(list, make([]T, max(0, n-len(list)))...)
}
