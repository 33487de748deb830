package buy

import (
	"strings"

	"keyon/model/part"
	"keyon/model/plan"
)

// Label is what is printed once or several times.
type Label struct {
	Text   string
	Sleeve string // part of the mark sleeve; "" where no sleeve of the catalogue fits
	Where  []Spot
	Plug   int // index into Connectors of the loom for a connector's label, else -1
	Wire   int // index of the wire, else -1
}

// Spot is a place for labels of one text.
type Spot struct {
	Where string
	Count int
}

// Count is how many of the label are printed.
func (l *Label) Count() int {
	n := 0
	for _, s := range l.Where {
		n += s.Count
	}
	return n
}

// labels lists the labels of a loom: of its wires, then of its connectors.
func labels(c part.Catalogue, p *plan.Plan, loom *Loom) []Label {
	var out []Label
	for _, i := range loom.Wires {
		w, cut := &p.Wires.List[i], &p.Cuts.Wires[i]
		l := Label{Text: cut.Label.Value, Sleeve: markSleeve(c, p.Sizes.Wires[i].Wire), Plug: -1, Wire: i}
		from, to := cut.LabelAt[0], cut.LabelAt[1]
		switch {
		case from == to && strings.HasPrefix(from, "at the middle"): // one mark for both ends
			l.Where = []Spot{{from, 1}}
		case from == to && !strings.HasPrefix(from, "none"):
			l.Where = []Spot{{"both ends, " + strings.TrimSuffix(from, " of the end"), 2}}
		default:
			for k, where := range []string{from, to} {
				if where == "" || strings.HasPrefix(where, "none") {
					continue
				}
				if end := []*plan.WireEnd{&w.From, &w.To}[k]; strings.HasSuffix(where, " of the end") {
					where = strings.TrimSuffix(where, "the end") + p.EndName(end)
				}
				l.Where = append(l.Where, Spot{where, 1})
			}
		}
		if len(l.Where) > 0 {
			out = append(out, l)
		}
	}
	for k := range loom.Connectors {
		name := loom.Connectors[k].Name
		out = append(out, Label{Text: name, Where: []Spot{{"on the leg, behind " + name, 1}}, Plug: k, Wire: -1})
	}
	return out
}

// Fit of a mark sleeve: it slips on and grips (judgement; workmanship figures
// from memory).
const (
	slips = 1.2 // least expanded inside over the wire's outside
	grips = 0.9 // most recovered inside over it
)

// markSleeve is the smallest heat-shrink that slips over a wire and grips it.
func markSleeve(c part.Catalogue, w *part.Wire) string {
	if w == nil {
		return ""
	}
	for _, s := range c.SleevesOf("heat-shrink") {
		if s.Expanded.MM() >= slips*w.Outside.MM() && s.Recovered.MM() <= grips*w.Outside.MM() {
			return s.ID
		}
	}
	return ""
}
