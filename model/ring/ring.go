// Package ring says what a loom is rung out with: every path from one end
// that a probe reaches to another, how it is measured, and what passes.
//
// It decides the method of a path and its limit, no finer than the method
// reads. It takes lengths, sizes and currents of the plan as they are. Probes
// reach contacts, lugs and flying leads, never a splice. Results of
// measurements are the record's.
package ring

import (
	"cmp"
	"math"
	"slices"

	"keyon/model/buy"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/model/source"
	"keyon/num/quantity"
)

// Method of measuring, by what the path carries (common practice): a beep
// tells that there is copper; two leads, zeroed, tell a tenth of an ohm; a
// lamp as load tells that all strands carry; four leads tell a milliohm.
type Method uint8

// The methods, coarsest first.
const (
	Beep Method = iota
	TwoWire
	Lamp
	FourWire
)

var words = [...]string{"beep", "two-wire, zeroed", "lamp load", "four-wire"}

// String is the word on papers.
func (m Method) String() string { return words[m] }

// From which current a path is measured how; judgement.
const (
	twoWireFrom  quantity.Ampere = 1  // A
	lampFrom     quantity.Ampere = 5  // A
	fourWireFrom quantity.Ampere = 20 // A
)

// Of the methods.
const (
	TwoWireStep  = 0.1         // Ω, a hand meter's last digit with its leads zeroed; common practice
	FourWireStep = 0.001       // Ω, a milliohm meter; common practice
	LampStep     = 0.05        // V, read across the path while the lamp burns; judgement
	LampAmps     = 21.0 / 12.0 // A, a 21 W lamp on a 12 V battery
	Allowed      = 1.2         // limit over what wire and contacts have at 20 °C: meter, crimp and temperature; judgement
)

// Path is what lies between two probes.
type Path struct {
	Circuit  int
	From, To buy.End
	Wires    []int // from From to To
	Method   Method
	Ohm      float64 // at 20 °C, wires at their greatest, half of each end's contact; NaN where a figure is missing
	Limit    float64 // Ω for the resistance methods, V for the lamp; 0 for the beep, NaN where Ohm is
	Check    bool    // a figure is from memory
}

// Reads is what the meter should show.
func (p *Path) Reads() string {
	switch {
	case p.Method == Beep:
		return "beeps"
	case math.IsNaN(p.Limit):
		return "no figure for the limit"
	}
	mark := ""
	if p.Check {
		mark = " (check)"
	}
	switch p.Method {
	case TwoWire:
		return "at most " + quantity.Text(p.Limit, 1) + " Ω" + mark
	case Lamp:
		return "burns bright, at most " + quantity.Text(p.Limit, 2) + " V" + mark
	}
	return "at most " + quantity.Text(p.Limit*1e3, 0) + " mΩ" + mark
}

// Paths lists a loom's paths. Of ends that splices join, each is measured
// against the first: the one nearest the circuit's source.
func Paths(c part.Catalogue, p *plan.Plan, wires []int) []Path {
	n := network{p: p, at: map[int][]buy.End{}}
	order := make(map[int]int, len(wires))
	for k, i := range wires {
		order[i] = k
		for _, e := range []buy.End{{Wire: i}, {Wire: i, To: true}} {
			if q, _ := e.At(p); q.Kind == plan.AtSplice && q.Splice >= 0 {
				n.at[q.Splice] = append(n.at[q.Splice], e)
			}
		}
	}
	seen := map[int]bool{}
	var out []Path
	for _, i := range wires {
		if seen[i] {
			continue
		}
		group := n.group(i)
		for _, w := range group {
			seen[w] = true
		}
		start, ok := n.start(group)
		if !ok {
			continue
		}
		n.walk(start, nil, map[int]bool{}, func(end buy.End, way []int) {
			out = append(out, path(c, p, start, end, way))
		})
	}
	slices.SortStableFunc(out, func(a, b Path) int { return cmp.Compare(order[a.Wires[0]], order[b.Wires[0]]) })
	return out
}

// network is the wires of a loom with their splices.
type network struct {
	p  *plan.Plan
	at map[int][]buy.End // by splice
}

// probe says whether a probe reaches an end.
func (n *network) probe(e buy.End) bool {
	q, _ := e.At(n.p)
	return q.Kind != plan.AtSplice && q.Kind != plan.AtFree
}

// group is a wire with all that splices join to it.
func (n *network) group(wire int) []int {
	list := []int{wire}
	for k := 0; k < len(list); k++ {
		for _, e := range []buy.End{{Wire: list[k]}, {Wire: list[k], To: true}} {
			q, _ := e.At(n.p)
			if q.Kind != plan.AtSplice {
				continue
			}
			for _, o := range n.at[q.Splice] {
				if !slices.Contains(list, o.Wire) {
					list = append(list, o.Wire)
				}
			}
		}
	}
	slices.Sort(list)
	return list
}

// start is the probe end to measure from: the first From end, which lies
// nearest the source, else any probe end.
func (n *network) start(group []int) (buy.End, bool) {
	for _, to := range []bool{false, true} {
		for _, w := range group {
			if e := (buy.End{Wire: w, To: to}); n.probe(e) {
				return e, true
			}
		}
	}
	return buy.End{}, false
}

// walk goes from a probe end along its wire and through splices to every
// other probe end. Where wires run side by side between splices, the first is
// taken: the limit then errs to the high side.
func (n *network) walk(from buy.End, way []int, seen map[int]bool, found func(end buy.End, way []int)) {
	way = append(slices.Clone(way), from.Wire)
	seen[from.Wire] = true
	far := from.Far()
	q, _ := far.At(n.p)
	if q.Kind != plan.AtSplice {
		if n.probe(far) {
			found(far, way)
		}
		return
	}
	for _, e := range n.at[q.Splice] {
		if !seen[e.Wire] {
			n.walk(e, way, seen, found)
		}
	}
}

func path(c part.Catalogue, p *plan.Plan, from, to buy.End, way []int) Path {
	x := Path{Circuit: p.Wires.List[from.Wire].Circuit, From: from, To: to, Wires: way}
	var amps quantity.Ampere
	for _, i := range way { // the wire that carries most says how well the path must be known
		s, cut := &p.Sizes.Wires[i], &p.Cuts.Wires[i]
		amps = max(amps, s.Amps)
		if s.Wire == nil || s.Wire.OhmPerM <= 0 || !cut.Cut.Settled() {
			x.Ohm = math.NaN()
			continue
		}
		x.Ohm += float64(s.Wire.OhmPerM) * float64(cut.Cut.Value)
		x.Check = x.Check || s.Wire.Resistance.Status == source.Memory
	}
	for _, e := range []buy.End{from, to} {
		_, parts := e.At(p)
		if k := c.Contacts[parts.Contact]; k != nil {
			x.Ohm += float64(k.Ohm) / 2
			x.Check = x.Check || k.Ohm > 0 && k.From("ohm").Status == source.Memory
		}
	}
	switch {
	case amps >= fourWireFrom:
		x.Method, x.Limit = FourWire, quantity.RoundUp(x.Ohm*Allowed, FourWireStep)
	case amps >= lampFrom:
		x.Method, x.Limit = Lamp, quantity.RoundUp(x.Ohm*Allowed*LampAmps, LampStep)
	case amps >= twoWireFrom:
		x.Method, x.Limit = TwoWire, quantity.RoundUp(x.Ohm*Allowed, TwoWireStep)
	}
	return x
}
