// Package cut settles how long each wire is cut, its number, its label, and
// what is threaded on before a connector closes the way.
//
// Length = route × lay allowance + stand-offs and end allowances, and a tail
// where the end is finished on the car; rounded up to 5 mm. It takes for
// granted that legs have lengths: a wire along an open leg stays open.
package cut

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"keyon/model/design"
	"keyon/model/finding"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/model/settle"
	"keyon/model/source"
	"keyon/num/quantity"
)

// step is the named step of cut lengths.
const step = 5 // mm

// Defaults of the house; the names are those of the table Limits.
const (
	layShare    = 0.03 // "lay allowance": extra length of a wire in a twisted leg; trade rule, copper.csv twisting_loss, seen
	pairShare   = 0.02 // "pair allowance": on top for wires twisted together; pair with a lay of 16 diameters 1.9 %, physics
	connectorMM = 50   // "end allowance": at a connector, two re-terminations of 25 mm; AC 43.13-1B 11-118 gives the number, 25 mm is judgement
	standOffMM  = 40   // "stand-off": from the place of a connector into its rear; judgement
	spliceMM    = 20   // "splice allowance": each wire into a splice; judgement
	studMM      = 40   // "stud allowance": to a lug, with one re-termination; judgement
	tailMM      = 150  // "tail": left where an end is finished on the car; judgement
)

// allowances are the limits in force, in metres or as shares.
type allowances struct{ lay, pair, connector, standOff, splice, stud, tail float64 }

func read(d *design.Design) allowances {
	n := func(name string, fallback float64) float64 { v, _ := d.Number(name, fallback); return v }
	return allowances{n("lay allowance", layShare), n("pair allowance", pairShare), n("end allowance", connectorMM) / 1e3, n("stand-off", standOffMM) / 1e3, n("splice allowance", spliceMM) / 1e3, n("stud allowance", studMM) / 1e3, n("tail", tailMM) / 1e3}
}

// RuleShort says that a given cut length is less than the way needs.
var RuleShort = &finding.Rule{ID: "cut.short", Severity: finding.Stop, Title: "a given length is too short",
	Text:   "The wire doesn't reach: route, lay and end allowances add up to more.",
	Source: source.Ref{Kind: source.Standard, Doc: "AC 43.13-1B", Where: "11-118, slack", Status: source.Seen}}

// Rules of the stage.
var Rules = []*finding.Rule{RuleShort}

// Run settles lengths, numbers and labels of all wires.
func Run(d *design.Design, c part.Catalogue, t plan.Things, e plan.Ends, x plan.Cavities, w plan.Wires, s plan.Sizes, b plan.Bundles) (plan.Cuts, []finding.Verdict) {
	given := answers(d)
	a := read(d)
	out := plan.Cuts{Wires: make([]plan.Cut, len(w.List))}
	var verdicts []finding.Verdict
	for i := range w.List {
		verdicts = append(verdicts, length(d, &t, w, given[w.List[i].ID], a, i, &out.Wires[i])...)
	}
	number(d, &t, w, given, out.Wires)
	for i := range w.List {
		label(d, &t, w, given[w.List[i].ID], i, &out.Wires[i])
	}
	out.Thread = thread(&t, e, b)
	return out, verdicts
}

// answers are the rows of the table Wires by wire ID.
func answers(d *design.Design) map[string]*design.Wire {
	m := make(map[string]*design.Wire, len(d.Wires))
	for i := range d.Wires {
		m[d.Wires[i].Name] = &d.Wires[i]
	}
	return m
}

// length settles route, length, tail and what to cut.
func length(d *design.Design, t *plan.Things, w plan.Wires, g *design.Wire, a allowances, i int, out *plan.Cut) []finding.Verdict {
	wire := &w.List[i]
	var route, laid float64
	for _, l := range wire.Legs {
		leg := &t.Legs[l]
		if !leg.Length.Settled() {
			out.Cut.Reason.Text = "the leg " + leg.Name + " has no length"
			return nil
		}
		n := float64(leg.Length.Value)
		route += n
		if leg.Build == "twisted" {
			n *= 1 + a.lay
		}
		if t.Circuits[wire.Circuit].Twist != "" && wire.Cable < 0 {
			n *= 1 + a.pair
		}
		laid += n
	}
	terms := []settle.Term{settle.Num("route", route*1e3, "mm"), settle.Num("laid", quantity.RoundTo(laid*1e3, 0.1), "mm")}
	sum, tail := laid, 0.0
	for side, end := range []*plan.WireEnd{&wire.From, &wire.To} {
		var more float64
		switch end.Kind {
		case plan.AtPin, plan.AtCavity:
			more = a.connector + a.standOff
		case plan.AtSplice:
			more = a.splice
		default:
			more = a.stud
		}
		sum += more
		terms = append(terms, settle.Num([]string{"at its start", "at its end"}[side], more*1e3, "mm"))
		if end.Kind != plan.AtSplice && onCar(t, wire, side) {
			tail += a.tail
		}
	}
	if tail > 0 {
		terms = append(terms, settle.Num("tail", tail*1e3, "mm"))
	}
	mm := func(m float64) quantity.Length { return quantity.Length(quantity.RoundUp(m*1e3, step)) * quantity.MM }
	out.Route = quantity.Length(quantity.RoundTo(route*1e3, 0.1)) * quantity.MM
	out.Length, out.Tail = mm(sum), quantity.Length(tail)
	var entry design.LengthEntry
	if g != nil {
		entry = g.Length
	}
	out.Cut = settle.Choose(entry, func() (quantity.Length, settle.Reason, bool) {
		return mm(sum + tail), settle.Reason{Text: "route with lay, end allowances and tail, up to 5 mm", Because: terms,
			Source: source.Ref{Kind: source.Judgement, Doc: "house-rules", Where: "cut allowances; slack by AC 43.13-1B 11-118"}}, true
	})
	if entry.State != settle.Given {
		return nil
	}
	place := finding.Place{Kind: "wire", ID: wire.ID, Field: "length", Cell: entry.At}
	have, need := quantity.Apart(entry.Value.MM(), out.Length.MM(), 0)
	v := finding.Judge(RuleShort, place, entry.Value.MM(), finding.Limit{Value: out.Length.MM(), Unit: "mm"}, "cut length "+have+" mm, at least "+need+" mm", terms...)
	v.Fixes = []finding.Fix{{Text: "leave the length blank to have it worked out", Edit: &finding.Edit{Cell: entry.At}}}
	return []finding.Verdict{v}
}

// onCar says whether the leg at that end of the wire is finished on the car.
func onCar(t *plan.Things, w *plan.Wire, side int) bool {
	if len(w.Legs) == 0 {
		return false
	}
	return t.Legs[w.Legs[[]int{0, len(w.Legs) - 1}[side]]].OnCar
}

// number gives each wire its short number: loom letter and the next free
// count. A number once kept or given is never given to another wire, not even
// after its wire is gone.
func number(d *design.Design, t *plan.Things, w plan.Wires, given map[string]*design.Wire, cuts []plan.Cut) {
	last := map[string]int{} // highest count by letter
	used := map[string]bool{}
	note := func(n string) {
		used[n] = true
		letter := strings.TrimRight(n, "0123456789")
		if k, err := strconv.Atoi(n[len(letter):]); err == nil {
			last[letter] = max(last[letter], k)
		}
	}
	for k, v := range d.Kept {
		if k.Kind == "wire" && k.Field == "number" && v.Value != "" {
			note(v.Value)
		}
	}
	entries := make([]design.TextEntry, len(cuts))
	for i := range w.List {
		var e design.TextEntry
		if g := given[w.List[i].ID]; g != nil {
			e = g.Number
		}
		if entries[i] = d.Keep(e, "wire", w.List[i].ID, "number"); entries[i].Is() && entries[i].State == settle.Given {
			used[entries[i].Value] = true
		}
	}
	order := make([]int, len(cuts))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return w.List[a].Loom - w.List[b].Loom })
	count := map[string]int{}
	for _, i := range order {
		letter := "X"
		if l := w.List[i].Loom; l >= 0 {
			letter = t.Looms[l].Letter
		}
		cuts[i].Number = settle.Choose(entries[i], func() (string, settle.Reason, bool) {
			for {
				count[letter]++
				n := fmt.Sprintf("%s%03d", letter, last[letter]+count[letter])
				if !used[n] {
					return n, settle.Reason{Text: "loom letter and the next free number", Source: source.Ref{Kind: source.Judgement, Doc: "house-rules", Where: "wire numbers"}}, true
				}
			}
		})
		if entries[i].State == settle.Given {
			count[letter]++ // a given number takes the count it would have had
		}
	}
}

// label settles the text at both ends and says where it sits.
func label(d *design.Design, t *plan.Things, w plan.Wires, g *design.Wire, i int, out *plan.Cut) {
	var e design.TextEntry
	if g != nil {
		e = g.Label
	}
	out.Label = settle.Choose(d.Keep(e, "wire", w.List[i].ID, "label"), func() (string, settle.Reason, bool) {
		return out.Number.Value + " " + t.Circuits[w.List[i].Circuit].Name, settle.Reason{Text: "number and circuit", Source: source.Ref{Kind: source.Judgement, Doc: "house-rules", Where: "labels"}}, true
	})
	where := func(end *plan.WireEnd) string {
		switch {
		case end.Kind == plan.AtSplice:
			return "flag beside the splice"
		case out.Length > 0 && out.Length < 75*quantity.MM: // AC 43.13-1B 11-208: under 3 in none
			return "none, shorter than 75 mm"
		case out.Length > 0 && out.Length < 180*quantity.MM: // 3 to 7 in: one mark at the middle
			return "at the middle"
		}
		return "within 75 mm of the end" // first mark within 3 in
	}
	out.LabelAt = [2]string{where(&w.List[i].From), where(&w.List[i].To)}
}

// thread lists, for each leg end that carries connectors, what goes on before
// they do: the covering first, then what sits nearer the connector.
func thread(t *plan.Things, e plan.Ends, b plan.Bundles) []plan.Thread {
	at := make([][]string, len(t.Places)) // connectors by place
	for i := range t.Devices {
		for _, c := range t.Devices[i].Connectors {
			if c.Place >= 0 && c.Part != nil {
				name := t.Devices[i].Name
				if c.Name != "" {
					name += "/" + c.Name
				}
				at[c.Place] = append(at[c.Place], name)
			}
		}
	}
	for i := range t.Joins {
		j := &t.Joins[i]
		if j.Kind == "stud" || j.Kind == "grommet" {
			continue
		}
		if j.A >= 0 {
			at[j.A] = append(at[j.A], j.Name+"/a")
		}
		if j.B >= 0 {
			at[j.B] = append(at[j.B], j.Name+"/b")
		}
	}
	var out []plan.Thread
	for l := range t.Legs {
		for _, place := range []int{t.Legs[l].From, t.Legs[l].To} {
			if place < 0 || len(at[place]) == 0 || l >= len(b.Legs) || len(b.Legs[l].Wires) == 0 {
				continue
			}
			th := plan.Thread{Leg: l, Place: place}
			if s := b.Legs[l].Sleeve; s.Settled() && s.Value != "none" {
				th.Items = append(th.Items, "covering "+s.Value)
			}
			for _, c := range at[place] {
				th.Items = append(th.Items, "label sleeve of "+c, "boot or backshell of "+c)
			}
			out = append(out, th)
		}
	}
	return out
}
