package size

import (
	"slices"

	"keyon/model/design"
	"keyon/model/settle"
	"keyon/model/source"
)

// colours of classes by IEC 60757 code; the choice is judgement, with red for
// power and black for ground as common practice.
var colours = map[string]string{"power": "RD", "ground": "BK", "sensor supply": "OG", "sensor return": "BN", "signal": "WH", "low-level": "BU", "data": "YE", "ignition": "VT", "injection": "GN", "heavy": "RD", "extinguisher": "PK", "thermocouple": "GN", "shield": "GY", "coax": "BK"}

// second is the colour of the other wires of a twisted group.
var second = map[string]string{"data": "GN", "low-level": "BK", "signal": "BK", "power": "BK"}

// colour settles a wire's colour: given, the core's, a stocked one, or the
// class's.
func (z *sizer) colour(i int, g *design.Wire) settle.Value[string] {
	w := &z.w.List[i]
	c := &z.t.Circuits[w.Circuit]
	var entry design.TextEntry
	if w.Row >= 0 {
		entry = z.d.Circuits[c.Rows[w.Row].Design].Colour
	}
	if g != nil && g.Colour.State != settle.Blank {
		entry = g.Colour
	}
	return settle.Choose(z.d.Keep(entry, "wire", w.ID, "colour"), func() (string, settle.Reason, bool) {
		src := source.Ref{Kind: source.Practice, Doc: "house-rules", Where: "colours, IEC 60757 codes"}
		if w.Cable >= 0 {
			if p := z.t.Cables[w.Cable].Part; p != nil {
				for _, k := range p.Cores {
					if k.Name == w.Core && k.Colour != "" {
						return k.Colour, settle.Reason{Text: "colour of the core", Source: p.Source}, true
					}
				}
			}
		}
		class := c.Class.Value
		colour, ok := colours[class]
		if !ok {
			colour = "WH"
		}
		if class == "heavy" && grounded(z, w.Circuit) {
			colour = "BK"
		}
		if c.Twist != "" && len(c.Kin) > 1 && slices.Index(c.Kin, w.Circuit)%2 == 1 && second[class] != "" {
			return second[class], settle.Reason{Text: "second wire of its twist group", Source: src}, true
		}
		return colour, settle.Reason{Text: "colour of class " + class, Source: src}, true
	})
}

// grounded says whether a circuit ends on a ground stud or ground pins only.
func grounded(z *sizer, circuit int) bool {
	for _, i := range z.e.Of[circuit] {
		e := &z.e.List[i]
		if e.Stud >= 0 && z.t.Studs[e.Stud].Use != "supply" || e.Role == "ground" {
			return true
		}
	}
	return false
}
