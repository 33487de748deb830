package edit

import (
	"fmt"

	"keyon/model/design"
	"keyon/model/fault"
	"keyon/model/settle"
	"keyon/num/quantity"
)

// Move is the edits that move every place of an assembly: x rearward, y to
// the driver's right, z up. Blank coordinates stay blank. The numbers are
// written in the unit their cell has.
func Move(b *design.Book, d *design.Design, assembly string, by [3]quantity.Length) ([]Write, error) {
	known := false
	for i := range d.Assemblies {
		known = known || d.Assemblies[i].Name == assembly
	}
	if !known {
		return nil, fault.New(fault.NotFound, "the table Assemblies lists them", fmt.Errorf("no assembly is called %q", assembly))
	}
	var out []Write
	for i := range d.Places {
		p := &d.Places[i]
		if p.Assembly.Value != assembly {
			continue
		}
		for axis, e := range []design.LengthEntry{p.X, p.Y, p.Z} {
			if e.State != settle.Given || by[axis] == 0 {
				continue
			}
			mm := quantity.Text((e.Value + by[axis]).MM(), 2)
			if d.Car.Units.Decimal == quantity.Comma {
				mm = comma(mm)
			}
			out = append(out, Write{Cell: e.At, Saw: e.Text, Text: mm + " mm"})
		}
	}
	return out, nil
}

func comma(s string) string {
	b := []byte(s)
	for i := range b {
		if b[i] == '.' {
			b[i] = ','
		}
	}
	return string(b)
}
