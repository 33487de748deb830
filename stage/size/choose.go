package size

import (
	"fmt"
	"slices"
	"strings"

	"keyon/model/design"
	"keyon/model/finding"
	"keyon/model/network"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/model/settle"
	"keyon/model/source"
	"keyon/num/conductor"
)

// preferred are the families taken where the design names none, in order:
// the light general-purpose wire first, then what stands more heat, then the
// thick sizes. Judgement; the car's key "family" goes before them.
var preferred = []string{"AS22759/32", "AS22759/16", "AS22759/41", "AS22759/34", "AS22759/44", "AS22759/43"}

// leastGauge is the thinnest gauge of a class (judgement: what stands handling
// on a car; "least gauge CLASS" in the table Limits overrides it). An AWG
// number; thicker is smaller.
var leastGauge = map[string]string{"power": "22", "ground": "22", "heavy": "8", "ignition": "22", "injection": "22", "extinguisher": "22"}

const leastOther = "24"

var classSource = source.Ref{Kind: source.Judgement, Doc: "house-rules", Where: "least gauge of a class"}

// shelf is the stocked wire: gauge by family, and colours of each.
type shelf struct {
	gauges  map[string]map[string]bool
	colours map[string][]string // by family + " " + gauge
}

func readStock(d *design.Design) shelf {
	s := shelf{map[string]map[string]bool{}, map[string][]string{}}
	for i := range d.Stock {
		k := &d.Stock[i]
		if !k.Gauge.Is() || k.Metres.State == settle.Given && k.Metres.Value <= 0 {
			continue
		}
		f := k.Part.Value
		if s.gauges[f] == nil {
			s.gauges[f] = map[string]bool{}
		}
		s.gauges[f][k.Gauge.Value] = true
		if k.Colour.Is() {
			s.colours[f+" "+k.Gauge.Value] = append(s.colours[f+" "+k.Gauge.Value], k.Colour.Value)
		}
	}
	return s
}

// open reads a wire's entries and lists its candidates.
func (z *sizer) open(i int, g *design.Wire, stock shelf) {
	j, w := &z.jobs[i], &z.w.List[i]
	j.at = -1
	j.factor = conductor.Copper.Factor(z.warmest(i))
	j.metres, j.long = network.Metres(z.t, w)
	j.ends = [2]socket{z.socket(&w.From), z.socket(&w.To)}
	var family, gauge design.TextEntry
	if w.Row >= 0 {
		row := &z.d.Circuits[z.t.Circuits[w.Circuit].Rows[w.Row].Design]
		family, gauge = row.Wire, row.Gauge
	}
	if g != nil {
		if g.Family.State != settle.Blank {
			family = g.Family
		}
		if g.Gauge.State != settle.Blank {
			gauge = g.Gauge
		}
	}
	family = z.d.Keep(family, "wire", w.ID, "family")
	gauge = z.d.Keep(gauge, "wire", w.ID, "gauge")
	j.gauge = gauge
	if gauge.State == settle.Garbled || family.State == settle.Garbled {
		return
	}
	if w.Cable >= 0 {
		z.core(j, w)
		return
	}
	place := finding.Place{Kind: "wire", ID: w.ID, Field: "gauge", Cell: gauge.At}
	families := z.families(family, stock)
	for _, f := range families {
		all := z.c.Wires[f]
		var fit []*part.Wire
		for _, q := range all {
			if q.Outside <= 0 || q.OhmPerM <= 0 {
				continue // the figures are missing: the shop must enter them
			}
			if gauge.Is() && q.Gauge == gauge.Value || !gauge.Is() && z.allowed(w, q) && z.fits(&j.ends[0], q) && z.fits(&j.ends[1], q) {
				fit = append(fit, q)
			}
		}
		j.candidates = append(j.candidates, fit...)
		if len(fit) > 0 && (gauge.Is() || family.Is()) {
			break
		}
	}
	// Other families only carry on where the first has nothing thicker.
	j.candidates = ascending(j.candidates)
	j.family = settle.Choose(family, func() (string, settle.Reason, bool) {
		return "", settle.Reason{Text: "first family of the house's order that has the size", Source: source.Ref{Kind: source.Judgement, Doc: "house-rules", Where: "wire families"}}, true
	})
	if len(j.candidates) == 0 {
		if fromRow := g == nil || g.Family.State == settle.Blank; fromRow && family.State == settle.Given && len(z.c.Wires[family.Value]) == 0 {
			return // resolve has said that there is no such family
		}
		what := "no wire of " + strings.Join(families, ", ") + " fits the contacts of both ends (" + j.ends[0].words + "; " + j.ends[1].words + ")"
		if gauge.Is() {
			what = "no wire of gauge " + gauge.Value + " in " + strings.Join(families, ", ")
		} else if family.Is() && len(z.c.Wires[family.Value]) == 0 {
			what = "the wire family " + family.Value + " is in no catalogue"
			place.Field, place.Cell = "wire", family.At
		}
		z.verdicts = append(z.verdicts, finding.Say(RuleGauge, place, z.t.Circuits[w.Circuit].Name+": "+what, "name another family or gauge, or add the wire to Parts"))
		return
	}
	j.at, j.fixed = 0, gauge.Is()
	c := z.t.Circuits[w.Circuit].Class.Value
	j.bind = bind{"thinnest that class " + c + " and the contacts of both ends take", nil, classSource}
}

// families in order of preference for a wire.
func (z *sizer) families(entry design.TextEntry, stock shelf) []string {
	if entry.Is() {
		return []string{entry.Value}
	}
	var list []string
	if z.d.Car.Family.Is() {
		list = append(list, z.d.Car.Family.Value)
	}
	for _, f := range z.c.Families { // sorted, so ties are stable
		if len(stock.gauges[f]) > 0 && !slices.Contains(list, f) {
			list = append(list, f)
		}
	}
	for _, f := range preferred {
		if !slices.Contains(list, f) && len(z.c.Wires[f]) > 0 {
			list = append(list, f)
		}
	}
	return list
}

// ascending keeps the order of families for the thin sizes and lets a later
// family carry on with thicker sizes only.
func ascending(list []*part.Wire) []*part.Wire {
	var out []*part.Wire
	for _, q := range list {
		if len(out) == 0 || q.Area > out[len(out)-1].Area*1.01 {
			out = append(out, q)
		}
	}
	return out
}

// allowed says whether a gauge is thick enough for the circuit's class.
func (z *sizer) allowed(w *plan.Wire, q *part.Wire) bool {
	class := z.t.Circuits[w.Circuit].Class.Value
	a, known := z.least[class]
	if !known {
		a = z.leastArea(class)
		z.least[class] = a
	}
	return float64(q.Area) >= a
}

// leastArea is the least copper of a class in m², 0 for any.
func (z *sizer) leastArea(class string) float64 {
	least, ok := leastGauge[class]
	if !ok {
		least = leastOther
	}
	if l, ok := z.d.Limits["least gauge "+class]; ok && l.Value.Is() {
		if g, ok := design.ParseGauge(l.Value.Value, z.d.Car.Units.Metric, z.d.Car.Units.Decimal); ok {
			least = g
		}
	}
	a, ok := part.AreaOf(least)
	if !ok {
		return 0
	}
	return float64(a) * 0.9 // families differ by some percent for one gauge
}

// core settles a wire that is a core of a bought cable: never resized.
func (z *sizer) core(j *job, w *plan.Wire) {
	p := z.t.Cables[w.Cable].Part
	if p == nil {
		return
	}
	gauge, family, text := p.Drain, "", "core of cable "+z.t.Cables[w.Cable].Name
	if len(p.Cores) > 0 {
		family = p.Cores[0].Family
		if gauge == "" { // the braid carries it; its ends are pigtails of the core's wire
			gauge, text = p.Cores[0].Gauge, "screen of cable "+z.t.Cables[w.Cable].Name+", pigtails as its cores"
		}
	}
	for _, k := range p.Cores {
		if k.Name == w.Core {
			gauge, family, text = k.Gauge, k.Family, "core of cable "+z.t.Cables[w.Cable].Name
		}
	}
	q := z.c.WireOf(family, gauge)
	if q == nil {
		z.verdicts = append(z.verdicts, finding.Say(RuleGauge, finding.Place{Kind: "cable", ID: z.t.Cables[w.Cable].Name, Field: "part"}, fmt.Sprintf("core %s: no figures for gauge %s of %s", w.Core, gauge, family), "enter the core's wire in Parts"))
		return
	}
	j.candidates, j.at, j.fixed = []*part.Wire{q}, 0, true
	j.bind = bind{text, nil, p.Source}
	j.family = settle.Value[string]{Value: family, Origin: settle.Worked, Reason: settle.Reason{Text: j.bind.text, Source: p.Source}}
}

// stocked moves a wire to a stocked gauge up to two steps thicker, and names
// its family.
func (z *sizer) stocked(i int, stock shelf) {
	j := &z.jobs[i]
	q := j.wire()
	if q == nil {
		return
	}
	if !j.fixed && !stock.gauges[q.Family][q.Gauge] {
		for k := 1; k <= 2 && j.at+k < len(j.candidates); k++ {
			if n := j.candidates[j.at+k]; stock.gauges[n.Family][n.Gauge] {
				j.bind.text = "in stock; needed is gauge " + q.Gauge + " (" + j.bind.text + ")"
				j.at += k
				q = n
				break
			}
		}
	}
	if j.family.Origin == settle.Worked {
		j.family.Value = q.Family
	}
}
