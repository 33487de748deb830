package build

import (
	"cmp"
	"math"
	"reflect"

	"keyon/model/design"
	"keyon/model/finding"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/num/many"
	"keyon/stage/route"
)

// mostPasses bounds Settle.
const mostPasses = 6

// Settle repeats the pipeline on a better guess: routes price with gauges and
// holes with diameters that come later. The guess only prices. A pass is
// progress only if (stops, cost, changes from kept) falls or a hole's budget
// shrank; the best pass is kept, and why it ended is in the plan's Passes.
func Settle(d *design.Design, c part.Catalogue, mem *Memory) (*plan.Plan, error) {
	var best *plan.Plan
	var passes []plan.Pass
	guess := plan.Guess{}
	end := func(why string) (*plan.Plan, error) {
		passes[len(passes)-1].Why = why
		best.Passes = passes
		return best, nil
	}
	for {
		p, err := pass(d, c, guess, mem)
		if err != nil {
			return p, err
		}
		// Only route reads the guess: if it answers a better one the same, so
		// does all below. It is asked beside the checks.
		next, shrank := improve(guess, p)
		var routes plan.Routes
		var errs [2]error
		many.Do(2, func(i int) {
			if i == 0 {
				errs[i] = judge(d, c, p, mem)
				return
			}
			errs[i] = guarded("stage route", func() { routes, _ = route.Run(d, p.Things, p.Ends, next) })
		})
		if err := cmp.Or(errs[0], errs[1]); err != nil {
			return p, err
		}
		now := plan.Pass{Stops: stops(p), Cost: cost(p), Changes: int64(len(p.Changed))}
		better := best == nil || less(now, passes)
		if now.Kept = better; better {
			for i := range passes {
				passes[i].Kept = false
			}
			best = p
		}
		passes = append(passes, now)
		switch {
		case !better && !shrank:
			return end("no better than the pass before")
		case len(passes) == mostPasses:
			return end("the budget of passes is spent")
		case reflect.DeepEqual(routes, p.Routes):
			return end("a better guess changes no way")
		}
		guess = next
	}
}

// less compares a pass with the best of those before.
func less(now plan.Pass, before []plan.Pass) bool {
	for _, b := range before {
		if !b.Kept {
			continue
		}
		switch {
		case now.Stops != b.Stops:
			return now.Stops < b.Stops
		case now.Cost != b.Cost:
			return now.Cost < b.Cost
		}
		return now.Changes < b.Changes
	}
	return true
}

func stops(p *plan.Plan) (n int64) {
	for _, v := range p.Verdicts {
		if v.Severity() == finding.Stop && v.Open() {
			n++
		}
	}
	return n
}

// cost is what the loom costs in milligrams of finished wire; a splice counts
// as 10 g and a contact at a join as 2 g (judgement: house-rules, about the
// price of the wire they save).
func cost(p *plan.Plan) int64 {
	var mg float64
	for i, w := range p.Sizes.Wires {
		if w.Wire != nil {
			mg += float64(w.Wire.MassPerM) * float64(p.Cuts.Wires[i].Cut.Value) * 1e6
		}
	}
	mg += 10e3*float64(len(p.Wires.Splices)) + 2*2e3*float64(len(p.Cavities.Crossings))
	return int64(math.Round(mg))
}

// improve makes the next guess from a finished pass; shrank says whether a
// hole came out with less room than guessed.
func improve(g plan.Guess, p *plan.Plan) (next plan.Guess, shrank bool) {
	next = plan.Guess{Gauge: map[string]plan.GaugeGuess{}, Hole: map[string]float64{}}
	for i := range p.Wires.List {
		s := &p.Sizes.Wires[i]
		if s.Wire == nil {
			continue
		}
		key := string(p.Things.Circuits[p.Wires.List[i].Circuit].Key())
		old := next.Gauge[key]
		if od := s.Wire.Outside.MM(); od > old.OutsideMM {
			next.Gauge[key] = plan.GaugeGuess{OutsideMM: od, KgPerM: float64(s.Wire.MassPerM), Amps: float64(s.Amps)}
		}
	}
	for i, l := range p.Things.Legs {
		if l.Hole <= 0 || i >= len(p.Bundles.Legs) || p.Bundles.Legs[i].Diameter <= 0 {
			continue
		}
		// The share of a circle that this packing filled is what a hole can hold.
		b := p.Bundles.Legs[i]
		var filled float64
		for _, it := range b.Items {
			filled += it.Outside.MM() * it.Outside.MM()
		}
		fill := filled / (b.Diameter.MM() * b.Diameter.MM())
		room := (l.Hole - (b.Covered - b.Diameter)).MM()
		free := math.Pi / 4 * (fill*room*room - filled)
		if old, ok := g.Hole[string(l.ID)]; ok {
			free = min(free, old)
			shrank = shrank || free < old-1e-9
		} else if free < 0 {
			shrank = true
		}
		next.Hole[string(l.ID)] = free
	}
	return next, shrank
}
