//go:build outside

package papers_test

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"keyon/app/report"
	"keyon/model/part"
)

func memory(s string, yes bool) string {
	if yes && s != "" {
		return s + " (check)"
	}
	return s
}

// crimped is what a cut list says at an end.
func (o *oracle) crimped(e *report.WireEnd) any {
	id := e.Contact + e.Lug
	check := false
	if k := o.c.Contacts[e.Contact]; k != nil {
		check = k.Source.Status == "memory" || k.StripMost == 0
	}
	if l := o.c.Lugs[e.Lug]; l != nil {
		check = l.Source.Status == "memory"
	}
	switch {
	case id != "":
		return memory(id, check)
	case e.Kind == "splice":
		return "splice"
	case e.Kind == "free":
		return "cut back, insulate"
	}
	return "–"
}

// cutList: wires by reel, cables cut once.
func (o *oracle) cutList(loom string) want {
	u := o.unit()
	out := want{tab: "Cut list", group: "Reel", heads: []string{"Wire", "Cut|", "of it tail|", "at end", "Label", "End 1", "Strip 1|", "Contact or lug 1", "End 2", "Strip 2|", "Contact or lug 2"}, units: []string{"", u, u, "", "", "", u, "", "", u, ""}}
	type reel struct{ family, gauge, colour string }
	sum := map[reel]float64{}
	n := map[reel]int{}
	for _, w := range o.ofLoom(loom) {
		if w.Cable == "" && w.CutMM > 0 && w.AreaMM2 > 0 {
			r := reel{w.Family, w.Gauge, w.Colour}
			sum[r] += w.CutMM
			n[r]++
		}
	}
	for _, w := range o.ofLoom(loom) {
		if w.CutMM == 0 || w.AreaMM2 == 0 && w.Cable == "" {
			continue
		}
		group := ""
		if w.Cable == "" {
			r := reel{w.Family, w.Gauge, w.Colour}
			plural := "s"
			if n[r] == 1 {
				plural = ""
			}
			group = fmt.Sprintf("%s, %s %s, %s: %d wire%s, %s %s", w.Family, o.size(w), o.sizeUnit(), show(dashed(w.Colour)), n[r], plural, trim(o.long(sum[r]/1e3), 3), o.longUnit())
		} else {
			cut := 0.0
			for _, x := range o.ofLoom(loom) { // our cars run a cable once through a loom
				if x.Cable == w.Cable {
					cut = max(cut, x.CutMM)
				}
			}
			for i := range o.d.Cables {
				if o.d.Cables[i].Name == w.Cable {
					group = fmt.Sprintf("Cable %s, %s: cut once at %s %s, cores:", w.Cable, o.d.Cables[i].Part.Value, o.lengthText(cut), o.unit())
				}
			}
		}
		out.rows = append(out.rows, wantRow{group, "", []any{w.Number, o.length(w.CutMM), o.lengthOrBlank(w.TailMM), o.tailAt(w), w.Label, w.From, o.lengthOrBlank(w.FromEnd.StripMM), o.crimped(&w.FromEnd), w.To, o.lengthOrBlank(w.ToEnd.StripMM), o.crimped(&w.ToEnd)}})
	}
	return out
}

// tailAt: the ends whose leg is finished on the car.
func (o *oracle) tailAt(w *report.Wire) string {
	s := ""
	if w.TailMM == 0 {
		return s
	}
	if w.FromEnd.Kind != "splice" && o.leg(w.Legs[0]).Finish == "car" {
		s = "1"
	}
	if w.ToEnd.Kind != "splice" && o.leg(w.Legs[len(w.Legs)-1]).Finish == "car" {
		s = strings.TrimPrefix(s+", 2", ", ")
	}
	return s
}

// covering is how long a leg's sleeve is cut, mm: what shrinks 15 % longer.
func (o *oracle) covering(l *report.Leg) float64 {
	mm := l.LengthMM
	if s := o.c.Sleeves[l.Sleeve]; s != nil && strings.HasSuffix(s.Kind, "heat-shrink") {
		mm /= 0.85
	}
	return math.Ceil(mm/5-1e-6) * 5
}

// tools: contact or lug by gauge and family.
func (o *oracle) tools(loom string) want {
	out := want{tab: "Tools", heads: []string{"Contact or lug", "Wire", "Size", "Ends|", "Crimp tool, positioner, setting", "Strip", "Insert, extract", "Pull at least"}, units: []string{"", "", o.sizeUnit(), "", "", o.unit(), "", "N"}}
	type use struct{ id, family, gauge string }
	n := map[use]int{}
	size := map[use]string{}
	for _, w := range o.ofLoom(loom) {
		if w.AreaMM2 == 0 {
			continue
		}
		for _, e := range endsOf(w) {
			for _, id := range []string{e.at.Contact, e.at.Lug} {
				if id != "" {
					n[use{id, w.Family, w.Gauge}]++
					size[use{id, w.Family, w.Gauge}] = o.size(w)
				}
			}
		}
	}
	for u, ends := range n {
		tool, strip, insert := o.tooling(u.id)
		pull := ""
		if k := o.c.Contacts[u.id]; k != nil && k.Pull[u.gauge] > 0 {
			pull = memory(trim(k.Pull[u.gauge], 1), k.Source.Status == "memory" || slices.Contains(k.Check, "pull"))
		}
		out.rows = append(out.rows, wantRow{"", "", []any{u.id, u.family, size[u], number{float64(ends), 0}, dashed(tool), dashed(strip), dashed(insert), dashed(pull)}})
	}
	return out
}

func (o *oracle) tooling(id string) (tool, strip, insert string) {
	if k := o.c.Contacts[id]; k != nil {
		old := func(figure string) bool {
			return k.Source.Status == "memory" || slices.Contains(k.Check, figure)
		}
		if k.StripMost > 0 {
			strip = o.lengthText(float64(k.StripMost) * 1e3)
			if k.StripLeast > 0 && k.StripLeast < k.StripMost {
				strip = o.lengthText(float64(k.StripLeast)*1e3) + "–" + strip
			}
		}
		return memory(k.Tool, old("tool")), memory(strip, old("strip")), memory(k.Insert, old("insert"))
	}
	if l := o.c.Lugs[id]; l != nil {
		if l.Strip > 0 {
			strip = memory(o.lengthText(float64(l.Strip)*1e3), l.Source.Status == "memory")
		}
		return memory(l.Tool, l.Source.Status == "memory"), strip, ""
	}
	return "", "", ""
}

// label sheet, and the label file without the column of boxes.
func (o *oracle) labels(loom string) want {
	out := want{tab: "Label sheet", heads: []string{"Text", "Sleeve", "Where", "Count|"}, units: make([]string, 4)}
	unit := func(s string) string {
		if o.inch {
			return strings.ReplaceAll(s, "75 mm", "2.95 in")
		}
		return s
	}
	for _, w := range o.ofLoom(loom) {
		a, b := w.FromEnd.Label, w.ToEnd.Label
		where, n := "", 0
		one := func(e end, s string) string {
			if rest, ok := strings.CutSuffix(s, "the end"); ok {
				return rest + e.name
			}
			return s
		}
		ends := endsOf(w)
		switch noA, noB := strings.HasPrefix(a, "none"), strings.HasPrefix(b, "none"); {
		case a == b && a == "at the middle":
			where, n = a, 1
		case noA && noB:
			continue
		case a == b:
			where, n = "both ends, "+strings.TrimSuffix(a, " of the end"), 2
		case noA:
			where, n = one(ends[1], b), 1
		case noB:
			where, n = one(ends[0], a), 1
		default:
			where, n = one(ends[0], a)+"; "+one(ends[1], b), 2
		}
		out.rows = append(out.rows, wantRow{"", "", []any{w.Label, o.markSleeve(w), unit(where), number{float64(n), 0}}})
	}
	for _, name := range keys(o.sockets(loom)) {
		out.rows = append(out.rows, wantRow{"", "", []any{name, "connector label", "on the leg, behind " + name, number{1, 0}}})
	}
	return out
}

// markSleeve is the smallest shrink tube with at least 1.2 times the wire's
// outside before and at most 0.9 times after shrinking.
func (o *oracle) markSleeve(w *report.Wire) string {
	best := (*part.Sleeve)(nil)
	for _, s := range o.c.Sleeves {
		if s.Kind == "heat-shrink" && w.OutsideMM > 0 && float64(s.Expanded)*1e3 >= 1.2*w.OutsideMM && float64(s.Recovered)*1e3 <= 0.9*w.OutsideMM &&
			(best == nil || s.Expanded < best.Expanded || s.Expanded == best.Expanded && s.ID < best.ID) {
			best = s
		}
	}
	if best == nil {
		return "none fits"
	}
	return best.ID
}

// threads: by place, coverings first, each thing once, numbered.
func (o *oracle) threads(loom string) want {
	out := want{tab: "Thread-on", group: "End at", heads: []string{"No.|", "Goes on"}, units: make([]string, 2)}
	inLoom := map[string]bool{}
	for _, l := range o.p.Legs {
		inLoom[l.Name] = inLoom[l.Name] || l.Loom == loom
	}
	cover, rest := map[string][]string{}, map[string][]string{}
	for _, th := range o.p.Threads {
		if !inLoom[th.Leg] {
			continue
		}
		for _, item := range th.Items {
			if strings.HasPrefix(item, "covering ") {
				cover[th.Place] = append(cover[th.Place], item+", cut at "+o.lengthText(o.covering(o.leg(th.Leg)))+" "+o.unit()+", on leg "+th.Leg)
			} else if !slices.Contains(rest[th.Place], item) {
				rest[th.Place] = append(rest[th.Place], item)
			}
		}
	}
	for _, place := range slices.Compact(slices.Sorted(slices.Values(append(keys(cover), keys(rest)...)))) {
		for n, item := range append(slices.Clone(cover[place]), rest[place]...) {
			out.rows = append(out.rows, wantRow{"End at " + place, "", []any{number{float64(n + 1), 0}, item}})
		}
	}
	return out
}

// runs are the running dimensions of a loom's places from a datum, by the
// first way found; loops make more than one, and then the leg's own place in
// the list tells, so a loom with loops is measured over the legs printed.
func (o *oracle) leg(name string) *report.Leg {
	for i := range o.p.Legs {
		if o.p.Legs[i].Name == name {
			return &o.p.Legs[i]
		}
	}
	return nil
}

// traces: every wire of every circuit of the loom.
func (o *oracle) traces(loom string) want {
	out := want{tab: "Traces", group: "Circuit", heads: []string{"Wire", "From", "To", "Size", "Colour", "Cut|", "Over places", "Loom"}, units: []string{"", "", "", o.sizeUnit(), "", o.unit(), "", ""}}
	here := map[string]bool{}
	for _, w := range o.ofLoom(loom) {
		here[w.Circuit] = true
	}
	for i := range o.p.Wires {
		w := &o.p.Wires[i]
		if !here[w.Circuit] {
			continue
		}
		at := w.FromEnd.Place
		var over []string
		for n, name := range w.Legs {
			l := o.leg(name)
			if at == l.From {
				at = l.To
			} else {
				at = l.From
			}
			if n+1 < len(w.Legs) {
				over = append(over, at)
			}
		}
		var cut any = "open"
		if w.CutMM > 0 {
			cut = o.length(w.CutMM)
		}
		out.rows = append(out.rows, wantRow{w.Circuit + ", " + w.Class, "", []any{w.Number, w.From, w.To, o.size(w), dashed(w.Colour), cut, dashed(strings.Join(over, ", ")), dashed(w.Loom)}})
	}
	return out
}

// twists: wires of one twist group along the same legs.
func (o *oracle) twists(loom string) want {
	out := want{tab: "Twisted", heads: []string{"Group", "Wires", "Lay about|"}, units: []string{"", "", o.unit()}}
	of := map[string][]*report.Wire{}
	twist := map[string]string{}
	for _, c := range o.p.Circuits {
		twist[c.Name] = c.Twist
	}
	for _, w := range o.ofLoom(loom) {
		if g := twist[w.Circuit]; g != "" && w.Cable == "" && len(w.Legs) > 0 {
			k := g + "\x00" + strings.Join(slices.Sorted(slices.Values(w.Legs)), "\x00")
			of[k] = append(of[k], w)
		}
	}
	for _, k := range keys(of) {
		if len(of[k]) < 2 {
			continue
		}
		var numbers []string
		widest := 0.0
		for _, w := range of[k] {
			numbers = append(numbers, w.Number)
			widest = max(widest, w.OutsideMM)
		}
		group, _, _ := strings.Cut(k, "\x00")
		out.rows = append(out.rows, wantRow{"", "", []any{group, anyOrder(numbers), o.lengthOrBlank(math.Round(16*widest/5) * 5)}})
	}
	return out
}
