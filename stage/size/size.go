// Package size settles family, gauge and colour of each wire, the contacts on
// its ends, the splice parts and the setting of each feed.
//
// A wire takes the thinnest gauge at which, in every state, (a) its current
// is within its capacity for the lowest rating around it, (b) every load on
// its way loses no more than the drop allowed, (c) its feed protects it, (d)
// a contact at both ends takes it, (e) it is no thinner than its class
// allows; a stocked gauge up to two steps thicker goes first. Currents come
// from the network. It takes for granted that wires are split; lengths that
// are open leave a wire without drop.
package size

import (
	"keyon/model/design"
	"keyon/model/finding"
	"keyon/model/network"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/model/settle"
	"keyon/model/source"
	"keyon/num/conductor"
	"keyon/num/many"
	"keyon/num/quantity"
)

// Rules of the stage.
var Rules = []*finding.Rule{RuleGauge, RuleContact, RuleFeed, RuleSplice}

// RuleGauge says that no gauge does.
var RuleGauge = &finding.Rule{ID: "size.gauge", Severity: finding.Stop, Title: "no gauge does",
	Text:   "No wire of the catalogue fits the contacts at both ends and carries the current, or the one that was asked for is unknown.",
	Source: source.Ref{Kind: source.Standard, Doc: "AC 43.13-1B", Where: "11-66 to 11-69"}}

// rounds bounds the loop of currents and gauges. Gauges only grow, so it ends
// by itself; more rounds than this have not been seen to change anything.
const rounds = 5

// sizer carries the work of one run.
type sizer struct {
	d        *design.Design
	c        part.Catalogue
	t        *plan.Things
	e        *plan.Ends
	x        *plan.Cavities
	w        *plan.Wires
	jobs     []job // by wire
	legs     [][]int
	amps     [][]float64 // by state, by wire
	step     [][]int     // by leg, by state: loading in fifths, 1..5
	way      []way       // by load
	feed     []feedJob
	paths    *network.Ways
	nets     []*network.State // by state, once asked
	low      []float64        // by leg: its lowest rating while gauges stand still
	altitude float64          // factor for the car's height
	bundles  [][6]float64     // bundle factor by count and loading, as far as asked
	free     map[*part.Wire][]warm

	// What is asked for the same few things again and again.
	sorts    map[string]int // of sockets
	taken    map[pair]bool  // whether a socket takes a wire
	best     map[pair]*part.Contact
	least    map[string]float64 // copper by class
	verdicts []finding.Verdict
}

// job is one wire on its way to a size.
type job struct {
	candidates []*part.Wire // thinnest first
	at         int          // index of the present choice, -1: none does
	fixed      bool         // given or kept
	metres     float64
	long       bool    // metres is known
	factor     float64 // resistance hot over that at 20 °C, in its warmest state
	bind       bind
	family     settle.Value[string]
	gauge      design.GaugeEntry
	ends       [2]socket
	feed       int // feed it hangs on, -1
}

// bind is what made a wire as thick as it is.
type bind struct {
	text  string
	terms []settle.Term
	src   source.Ref
}

// wire is the present choice, nil for none.
func (j *job) wire() *part.Wire {
	if j.at < 0 || j.at >= len(j.candidates) {
		return nil
	}
	return j.candidates[j.at]
}

// raise takes the next thicker candidate; false where there is none.
func (j *job) raise(b bind) bool {
	if j.fixed || j.at < 0 || j.at+1 >= len(j.candidates) {
		return false
	}
	j.at++
	j.bind = b
	return true
}

// Run settles all sizes.
func Run(d *design.Design, c part.Catalogue, t plan.Things, e plan.Ends, x plan.Cavities, w plan.Wires) (plan.Sizes, []finding.Verdict) {
	z := &sizer{d: d, c: c, t: &t, e: &e, x: &x, w: &w, jobs: make([]job, len(w.List)), legs: make([][]int, len(t.Legs)), step: make([][]int, len(t.Legs)), paths: network.NewWays(&t, &e, &x, &w),
		altitude: conductor.Altitude(float64(d.Car.Altitude)), free: map[*part.Wire][]warm{},
		sorts: map[string]int{}, taken: map[pair]bool{}, best: map[pair]*part.Contact{}, least: map[string]float64{}}
	for i := range w.List {
		for _, l := range w.List[i].Legs {
			z.legs[l] = append(z.legs[l], i)
		}
	}
	for l := range z.step {
		z.step[l] = make([]int, len(t.States))
		for s := range z.step[l] {
			z.step[l][s] = 1
		}
	}
	given := map[string]*design.Wire{}
	for i := range d.Wires {
		given[d.Wires[i].Name] = &d.Wires[i]
	}
	stock := readStock(d)
	for i := range w.List {
		z.open(i, given[w.List[i].ID], stock)
	}
	z.hang()
	z.ways()
	m := network.New(&t, &e, &x, &w)
	for range rounds {
		z.currents(m)
		z.heat()
		changed := z.capacity()
		changed = z.drop() || changed
		changed = z.protect() || changed
		if !changed {
			break
		}
	}
	for i := range z.jobs {
		z.stocked(i, stock)
	}
	z.tell(m)
	return z.result(given), z.verdicts
}

// tell takes currents, temperatures and loadings anew from the gauges that
// were chosen, beginning where every choice begins, so that the figures that
// are told follow from the choice and not from how it was found.
func (z *sizer) tell(m *network.Model) {
	for i := range z.jobs {
		z.jobs[i].factor = conductor.Copper.Factor(z.warmest(i))
	}
	z.currents(m)
	z.relax()
	z.heat()
	z.currents(m)
	z.relax()
	for f := range z.feed {
		z.weakest(f)
	}
}

// currents solves the network in every state with the present gauges.
func (z *sizer) currents(m *network.Model) {
	ohms := make([]float64, len(z.jobs))
	for i := range z.jobs {
		ohms[i] = z.ohm(i)
	}
	ohm := func(i int) float64 { return ohms[i] }
	if z.nets == nil {
		z.nets = make([]*network.State, len(z.t.States))
	}
	z.amps = make([][]float64, len(z.t.States))
	many.Do(len(z.t.States), func(s int) {
		z.amps[s] = make([]float64, len(z.jobs))
		net := z.nets[s]
		if net == nil {
			net = m.Of(s, ohm, network.Heating)
			z.nets[s] = net
		} else {
			// Which wires there are never changes here, only how thick they are.
			for i, el := range net.Wires {
				if el >= 0 {
					net.Net.SetOhm(el, ohm(i))
				}
			}
		}
		sol, err := net.Net.Solve(solveOptions)
		if err != nil {
			return // power reports the state; the other states size the wires
		}
		for i, el := range net.Wires {
			if el >= 0 {
				z.amps[s][i] = quantity.RoundTo(abs(sol.I[el]), 1e-9) // below that is the solver's noise
			}
		}
	})
}

// heat takes each conductor at the temperature it reaches in its warmest
// state, with the present gauges.
func (z *sizer) heat() {
	z.lows()
	for i := range z.jobs {
		j := &z.jobs[i]
		if q := j.wire(); q != nil {
			var w plan.WireSize
			z.worst(i, &w)
			hot := max(float64(w.Conductor), z.warmest(i))
			j.factor = conductor.Copper.Factor(min(hot, float64(q.Temperature)))
		}
	}
}

// warmest is the warmest air on a wire's way, °C.
func (z *sizer) warmest(i int) float64 {
	air := 20.0
	for _, l := range z.w.List[i].Legs {
		for s := range z.t.States {
			air = max(air, z.air(l, s))
		}
	}
	return air
}

func abs(x float64) float64 { return max(x, -x) }

// result writes the table.
func (z *sizer) result(given map[string]*design.Wire) plan.Sizes {
	out := plan.Sizes{Wires: make([]plan.WireSize, len(z.jobs)), Splices: make([]settle.Value[string], len(z.w.Splices)), Feeds: make([]plan.FeedSize, len(z.t.Feeds))}
	for i := range z.jobs {
		z.finish(i, given[z.w.List[i].ID], &out.Wires[i])
	}
	for i := range z.w.Splices {
		out.Splices[i] = z.splice(i)
	}
	for i := range z.feed {
		out.Feeds[i] = z.feed[i].FeedSize
	}
	return out
}

// finish writes one wire's row.
func (z *sizer) finish(i int, g *design.Wire, out *plan.WireSize) {
	j := &z.jobs[i]
	out.WorstLeg, out.State = -1, -1
	q := j.wire()
	out.Family, out.Wire = j.family, q
	out.Gauge = settle.Choose(j.gauge, func() (string, settle.Reason, bool) {
		if q == nil {
			return "", settle.Reason{Text: "no gauge fits"}, false
		}
		return q.Gauge, settle.Reason{Text: j.bind.text, Because: j.bind.terms, Source: j.bind.src}, true
	})
	if q == nil {
		return
	}
	for s := range z.amps {
		out.Amps = max(out.Amps, quantity.Ampere(z.amps[s][i]))
	}
	z.worst(i, out)
	for s := range z.amps {
		if v := quantity.Volt(z.amps[s][i] * z.ohm(i)); v > out.Drop {
			out.Drop = v
		}
	}
	out.Colour = z.colour(i, g)
	out.From, out.To = z.endParts(i, 0), z.endParts(i, 1)
}
