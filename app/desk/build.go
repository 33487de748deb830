package desk

import (
	"cmp"
	"slices"
	"strings"

	"keyon/app/report"
	"keyon/draw"
	"keyon/format/page"
	"keyon/format/svg"
	"keyon/model/buy"
	"keyon/num/quantity"
)

// car is what papers and pages are drawn from; nil without a whole plan.
func (v *View) car() *draw.Car {
	return v.drawn.get(func() *draw.Car {
		if !v.Whole() {
			return nil
		}
		return draw.New(v.Design, v.Catalogue, v.Plan, draw.Options{Size: page.A4})
	})
}

// Plugs lists the connectors that have wires.
func (v *View) Plugs() []draw.PlugName {
	if c := v.car(); c != nil {
		return c.Plugs()
	}
	return nil
}

// Plug is a connector with its drawing.
type Plug struct {
	draw.Plug
	Drawing  []byte // SVG, to be put into a page
	Findings []Finding
}

// Plug is the connector of that name; nil where none has wires.
func (v *View) Plug(name string) (*Plug, error) {
	c := v.car()
	if c == nil {
		return nil, nil
	}
	x, ok := c.Plug(name)
	if !ok {
		return nil, nil
	}
	p := &Plug{Plug: x}
	var err error
	if p.Drawing, err = drawing(x.Face, "face of "+name+", "+x.Side); err != nil {
		return nil, err
	}
	circuits := map[string]bool{}
	for _, q := range x.Pins {
		circuits[q.Circuit] = true
	}
	device := deviceOf(name)
	for _, f := range v.Opened() {
		if f.Severity == "note" {
			continue
		}
		if f.Place.ID == name || f.Place.Kind == "circuit" && circuits[f.Place.ID] || (f.Place.Kind == "device" || f.Place.Kind == "connector") && deviceOf(f.Place.ID) == device {
			p.Findings = append(p.Findings, f)
		}
	}
	return p, nil
}

// deviceOf is the device or join of a connector's or pin's name: "controller"
// of "controller/A" and of "controller:12".
func deviceOf(name string) string {
	if i := strings.IndexAny(name, "/:"); i >= 0 {
		return name[:i]
	}
	return name
}

// drawing is a picture as SVG for a page.
func drawing(d page.Drawing, title string) ([]byte, error) {
	return svg.Encode(page.Page{W: d.W, H: d.H, Marks: d.Marks}, svg.Options{Title: title, Inline: true})
}

// Jobs is what there is to do for a loom, in the order of work.
type Jobs struct {
	report.Loom
	Counts                     // findings that touch it
	Next       string          // what to do first
	Metres     float64         // of wire to cut
	Reels      []Reel          // wire by family, gauge and colour
	Connectors []draw.PlugName //
	Splices    int             //
	Cables     int             //
	Labels     int             //
	ToBuy      int             // lines of the buying list that the shelf does not serve
	OnCar      int             // legs finished on the car
	Open       []Finding       // stops and looks
}

// Reel is the wire of one reel.
type Reel struct {
	Family, Gauge, Colour string
	Pieces                int
	Metres                float64
}

// Looms lists the looms with what there is to do.
func (v *View) Looms() []Jobs {
	if v.Plan == nil {
		return nil
	}
	var out []Jobs
	for _, l := range v.Report().Looms {
		out = append(out, *v.Loom(l.Name))
	}
	return out
}

// Loom is a loom; nil where none is called so.
func (v *View) Loom(name string) *Jobs {
	if v.Plan == nil {
		return nil
	}
	r := v.Report()
	i := slices.IndexFunc(r.Looms, func(l report.Loom) bool { return l.Name == name })
	if i < 0 {
		return nil
	}
	j := &Jobs{Loom: r.Looms[i], Counts: v.Counts(name)}
	at := map[[3]string]int{}
	for _, w := range v.LoomWires(name) {
		k := [3]string{w.Family, w.Gauge, w.Colour}
		n, ok := at[k]
		if !ok {
			n = len(j.Reels)
			at[k], j.Reels = n, append(j.Reels, Reel{Family: w.Family, Gauge: w.Gauge, Colour: w.Colour})
		}
		j.Reels[n].Pieces++
		j.Reels[n].Metres += w.CutMM / 1e3
		j.Metres += w.CutMM / 1e3
	}
	slices.SortFunc(j.Reels, func(a, b Reel) int {
		return cmp.Or(cmp.Compare(a.Family, b.Family), buy.Natural(a.Gauge, b.Gauge), cmp.Compare(a.Colour, b.Colour))
	})
	for _, p := range v.Plugs() {
		if p.Loom == name {
			j.Connectors = append(j.Connectors, p)
		}
	}
	for _, s := range r.Splices {
		if s.Loom == name {
			j.Splices++
		}
	}
	for _, l := range v.LoomLegs(name) {
		if l.Finish == "car" {
			j.OnCar++
		}
	}
	if v.Whole() {
		b := v.bought()[i]
		j.Labels, j.Cables = len(b.Labels), len(b.Cables)
		for _, l := range b.Lines {
			if l.Buy > 0 {
				j.ToBuy++
			}
		}
	}
	for _, f := range v.Opened() {
		if f.Severity != "note" && slices.Contains(f.Looms, name) {
			j.Open = append(j.Open, f)
		}
	}
	return j
}

func (v *View) bought() []buy.Loom {
	return v.looms.get(func() []buy.Loom { return buy.Of(v.Design, v.Catalogue, v.Plan) })
}

// LoomWires are the wires of a loom in the order of their numbers.
func (v *View) LoomWires(loom string) []report.Wire {
	var out []report.Wire
	for _, w := range v.Report().Wires {
		if w.Loom == loom {
			out = append(out, w)
		}
	}
	slices.SortStableFunc(out, func(a, b report.Wire) int { return buy.Natural(a.Number, b.Number) })
	return out
}

// LoomLegs are the legs of a loom.
func (v *View) LoomLegs(loom string) []report.Leg {
	return slices.DeleteFunc(slices.Clone(v.Report().Legs), func(l report.Leg) bool { return l.Loom != loom })
}

// Trace follows a circuit from end to end; nil where there is none.
func (v *View) Trace(circuit string) *report.Trace {
	if v.Plan == nil {
		return nil
	}
	t, _ := report.TraceOf(v.Report(), circuit)
	return t
}

// Length is a length of so many millimetres in the car's unit.
func (v *View) Length(mm float64) string {
	return v.Design.Car.Units.Length(quantity.Length(mm / 1e3))
}
