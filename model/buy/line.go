package buy

import (
	"cmp"
	"math"
	"slices"

	"keyon/model/design"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/model/settle"
	"keyon/num/quantity"
)

// Line is one thing to have on the bench.
type Line struct {
	Kind   string  // one of Kinds
	Part   string  // wire family, or part; "" where the shop chooses it by Note
	Gauge  string  // of wire
	Colour string  // of wire
	Note   string  // order number of a connector, what a boot must fit
	Metres float64 // of wire, cable and sleeve, up to 1 mm
	Pieces int     // of the rest
	Spare  float64 // metres or pieces on top
	Stock  float64 // metres or pieces that the shelf gives
	Buy    float64 // metres, up to 0.1 m, or pieces to buy
	Why    string  // where the spares come from
}

// Kinds of lines, in their order.
var Kinds = []string{"wire", "cable", "connector", "contact", "seal", "plug", "boot", "lug", "splice", "sleeve", "label", "fuse"}

// Long says that the line is counted in metres.
func (l *Line) Long() bool { return l.Kind == "wire" || l.Kind == "cable" || l.Kind == "sleeve" }

// Need is what the loom takes, without spares: metres or pieces.
func (l *Line) Need() float64 {
	if l.Long() {
		return l.Metres
	}
	return float64(l.Pieces)
}

// Figures of the count.
const (
	shrinkLoss = 0.15 // of a shrink sleeve's length, lost when it shrinks: 5 to 15 % by a maker's page, seen second-hand
	wireSpare  = 0.05 // of the metres: cutting to length, one wire spoilt; judgement
	fewParts   = 26   // contacts a size and connector up to which one spare goes along, above it two; MIL-DTL-38999N 3.4.3.3, seen
	plugSpare  = 0.1  // of the ways of a size, at least one plug; MIL-DTL-38999N 3.4.3.3, seen
)

// key tells lines apart.
type key struct{ kind, part, gauge, colour, note string }

// tally adds up lines.
type tally struct {
	lines map[key]*Line
}

func (t *tally) at(k key) *Line {
	l := t.lines[k]
	if l == nil {
		l = &Line{Kind: k.kind, Part: k.part, Gauge: k.gauge, Colour: k.colour, Note: k.note}
		t.lines[k] = l
	}
	return l
}

// add counts pieces, with the spares that go along by the standard.
func (t *tally) add(kind, id string, n int, spare float64) {
	if id != "" && n > 0 {
		l := t.at(key{kind: kind, part: id})
		l.Pieces += n
		l.Spare += spare
	}
}

// lines counts what a loom takes, with spares.
func lines(d *design.Design, c part.Catalogue, p *plan.Plan, loom int, x *Loom) []Line {
	t := tally{map[key]*Line{}}
	for _, i := range x.Wires {
		w, s := &p.Wires.List[i], &p.Sizes.Wires[i]
		if w.Cable < 0 && s.Wire != nil {
			t.at(key{kind: "wire", part: s.Wire.Family, gauge: s.Wire.Gauge, colour: s.Colour.Value}).Metres += float64(p.Cuts.Wires[i].Cut.Value)
		}
		for _, e := range []End{{i, false}, {i, true}} {
			at, parts := e.At(p)
			t.add("lug", parts.Lug, 1, 0)
			if at.Kind != plan.AtCavity && !inCavity(p, at) {
				t.add("contact", parts.Contact, 1, 0)
				t.add("seal", parts.Seal, 1, 0)
			}
		}
	}
	for i := range x.Cables {
		if q := p.Things.Cables[x.Cables[i].Cable].Part; q != nil {
			t.at(key{kind: "cable", part: q.ID}).Metres += float64(x.Cables[i].Cut)
		}
	}
	for k := range x.Connectors {
		t.connector(c, &x.Connectors[k])
	}
	for i := range p.Wires.Splices {
		if s := &p.Wires.Splices[i]; s.Loom == loom && p.Sizes.Splices[i].Settled() {
			t.add("splice", p.Sizes.Splices[i].Value, 1, 0)
		}
	}
	for _, l := range p.Things.Looms[loom].Legs {
		if id, cut := Covering(c, p, l); cut > 0 {
			t.at(key{kind: "sleeve", part: id}).Metres += float64(cut)
		}
	}
	for i := range x.Labels {
		t.add("label", x.Labels[i].Sleeve, x.Labels[i].Count(), 0)
	}
	for _, f := range x.Feeds {
		if s := &p.Sizes.Feeds[f]; s.Fuse != nil {
			t.add("fuse", s.Fuse.ID, 1, 0)
		}
	}
	return t.list(d)
}

// Covering is a leg's sleeve and the length to cut it to, up to 5 mm: what
// shrinks is cut longer. The length is 0 for a leg without one.
func Covering(c part.Catalogue, p *plan.Plan, leg int) (id string, cut quantity.Length) {
	b, l := &p.Bundles.Legs[leg], p.Things.Legs[leg].Length
	if !b.Sleeve.Settled() || b.Sleeve.Value == "none" || b.Sleeve.Value == "" || len(b.Wires) == 0 || !l.Settled() {
		return "", 0
	}
	mm := l.Value.MM()
	if s := c.Sleeves[b.Sleeve.Value]; s != nil && (s.Kind == "heat-shrink" || s.Kind == "lined heat-shrink") {
		mm /= 1 - shrinkLoss
	}
	return b.Sleeve.Value, quantity.Length(quantity.RoundUp(mm, 5)) * quantity.MM
}

// inCavity says whether a wire's end sits in a cavity of a loom connector,
// where contact and seal are counted once.
func inCavity(p *plan.Plan, e *plan.WireEnd) bool {
	if e.Kind != plan.AtPin || e.End < 0 {
		return false
	}
	q := &p.Ends.List[e.End]
	return q.Device >= 0 && q.Connector >= 0 && p.Things.Devices[q.Device].Connectors[q.Connector].Part != nil
}

// connector counts a connector with what goes into it.
func (t *tally) connector(c part.Catalogue, k *Connector) {
	id := k.Part.ID
	if k.Part.Gender == "" && k.Gender != "" { // the catalogue's part for this side
		if side := id + map[string]string{"pin": "P", "socket": "S"}[k.Gender]; c.Connectors[side] != nil {
			id = side
		}
	}
	t.at(key{kind: "connector", part: id, note: k.Number()}).Pieces++
	if k.Part.ShellSize != "" {
		t.boot(c, k.Part)
	}
	for _, n := range Tally(k.Fills, func(f Fill) string { return f.Contact }) {
		spare := 1.0
		if n.Count > fewParts {
			spare = 2
		}
		t.add("contact", n.Part, n.Count, spare)
	}
	for _, n := range Tally(k.Fills, func(f Fill) string { return f.Seal }) {
		t.add("seal", n.Part, n.Count, 0)
	}
	for _, n := range Tally(k.Plugs, func(q Plug) string { return q.Part }) {
		ways := 0
		for i := range k.Part.Cavities {
			if s := c.PlugFor(k.Part.Cavities[i].Size); s != nil && s.ID == n.Part {
				ways++
			}
		}
		t.add("plug", n.Part, n.Count, max(1, math.Ceil(plugSpare*float64(ways)-1e-9)))
	}
	for _, q := range k.Plugs {
		if q.Part == "" {
			t.at(key{kind: "plug", note: "cavities of size " + q.Size + " of " + k.Part.ID}).Pieces++
		}
	}
}

// boot counts what closes the rear of a connector: the shop's boot for its
// shell, or by its thread.
func (t *tally) boot(c part.Catalogue, k *part.Connector) {
	best := ""
	for id, b := range c.Boots {
		if slices.Contains(b.Shells, k.ShellSize) && (best == "" || id < best) {
			best = id
		}
	}
	note := "shell size " + k.ShellSize
	if k.Panel.RearThread != "" {
		note += ", rear thread " + k.Panel.RearThread
	}
	t.at(key{kind: "boot", part: best, note: note}).Pieces++
}

// Number of one part.
type Number struct {
	Part  string
	Count int
}

// Tally counts things by part, in the order of part names; blank parts are
// left out.
func Tally[T any](list []T, of func(T) string) []Number {
	var out []Number
	for _, x := range list {
		id := of(x)
		if id == "" {
			continue
		}
		i := slices.IndexFunc(out, func(n Number) bool { return n.Part == id })
		if i < 0 {
			i = len(out)
			out = append(out, Number{Part: id})
		}
		out[i].Count++
	}
	slices.SortFunc(out, func(a, b Number) int { return cmp.Compare(a.Part, b.Part) })
	return out
}

// list settles the spares and orders the lines.
func (t *tally) list(d *design.Design) []Line {
	out := make([]Line, 0, len(t.lines))
	for _, l := range t.lines {
		l.spares(d)
		out = append(out, *l)
	}
	slices.SortFunc(out, func(a, b Line) int {
		return cmp.Or(cmp.Compare(slices.Index(Kinds, a.Kind), slices.Index(Kinds, b.Kind)), Natural(a.Part, b.Part), Natural(a.Gauge, b.Gauge), cmp.Compare(a.Colour, b.Colour), cmp.Compare(a.Note, b.Note))
	})
	return out
}

// spares settles what is bought on top: the car's share where it gives one,
// else by the standard and the house.
func (l *Line) spares(d *design.Design) {
	l.Metres = math.Ceil(l.Metres*1e3-1e-6) / 1e3
	share := d.Car.Spares
	up := func(x, step float64) float64 { return math.Ceil(x/step-1e-9) * step }
	switch {
	case l.Kind == "connector" || l.Kind == "boot":
	case share.State == settle.Given && l.Long():
		l.Spare, l.Why = math.Round(up(l.Metres*share.Value, 0.01)*100)/100, "the car's share of spares"
	case share.State == settle.Given:
		l.Spare, l.Why = up(l.Need()*share.Value, 1), "the car's share of spares"
	case l.Long():
		l.Spare, l.Why = math.Round(up(l.Metres*wireSpare, 0.01)*100)/100, "5 % (judgement)"
	case l.Kind == "contact":
		l.Spare, l.Why = max(l.Spare, 1), "1 a connector and size, 2 above 26 (MIL-DTL-38999N 3.4.3.3)"
	case l.Kind == "plug":
		l.Why = "10 % of the ways, at least 1 a connector and size (MIL-DTL-38999N 3.4.3.3)"
	case l.Kind == "label":
		l.Spare, l.Why = up(l.Need()*wireSpare, 1), "5 % (judgement)"
	default:
		l.Spare, l.Why = 1, "1 (judgement)"
	}
}

// shelf is what is left of the stock.
type shelf struct {
	d    *design.Design
	left []float64 // metres or pieces, by row of Stock
}

func onShelf(d *design.Design) *shelf {
	s := &shelf{d, make([]float64, len(d.Stock))}
	for i := range d.Stock {
		switch q := &d.Stock[i]; {
		case q.Metres.State == settle.Given:
			s.left[i] = float64(q.Metres.Value)
		case q.Pieces.State == settle.Given:
			s.left[i] = float64(q.Pieces.Value)
		}
	}
	return s
}

// serve takes a line from the shelf and settles what is to buy.
func (s *shelf) serve(l *Line) {
	need := l.Need() + l.Spare
	for i := range s.d.Stock {
		q := &s.d.Stock[i]
		if l.Part == "" || q.Part.Value != l.Part && q.Part.Value != l.Note || q.Gauge.Is() && q.Gauge.Value != l.Gauge || q.Colour.Is() && q.Colour.Value != l.Colour || (q.Metres.State == settle.Given) != l.Long() {
			continue
		}
		n := min(s.left[i], need-l.Stock)
		s.left[i] -= n
		l.Stock += n
	}
	l.Stock = math.Round(l.Stock*1e3) / 1e3
	l.Buy = max(0, need-l.Stock)
	if l.Long() {
		l.Buy = math.Round(math.Ceil(l.Buy*10-1e-6)) / 10
	}
}
