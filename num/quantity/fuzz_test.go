package quantity

import (
	"math"
	"strconv"
	"testing"
)

// FuzzParse reads any text as any quantity: no panic, no infinity, and a number
// printed in full reads as itself.
func FuzzParse(f *testing.F) {
	for _, s := range []string{"", "12 ft", `2' 6"`, "1,250", "1.250,5", "-3e-2", "60 %", "1e999", "°C", "12 mm2", "\u00a05", "0x1p4", "1_000", "٣", "infinity", "nan", "1'", `'"`} {
		f.Add(s, uint8(LengthDim), "mm", uint8(Auto))
		f.Add(s, uint8(Number), "", uint8(Comma))
	}
	f.Fuzz(func(t *testing.T, text string, d uint8, unit string, dec uint8) {
		dim := Dim(d % uint8(len(dimNames)))
		v, err := Parse(text, dim, unit, Decimal(dec%3))
		HasUnit(text)
		if err != nil {
			return
		}
		if math.IsInf(v, 0) || math.IsNaN(v) {
			t.Fatalf("Parse(%q, %s, %q) = %v", text, dim, unit, v)
		}
		if again, err := Parse(strconv.FormatFloat(v, 'g', -1, 64), Number, "", Point); err != nil || again != v {
			t.Fatalf("%v reads as %v, %v", v, again, err)
		}
	})
}
