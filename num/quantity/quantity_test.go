package quantity

import (
	"errors"
	"math"
	"testing"
)

// TestParse: units against NIST SP 811 (2008), appendix B: inch 25.4 mm, foot
// 0.3048 m, circular mil 5.067075e-10 m2, pound-force inch 0.1129848 N·m,
// pound 0.45359237 kg, Fahrenheit; the rest is how people type.
func TestParse(t *testing.T) {
	for _, c := range []struct {
		text string
		d    Dim
		unit string
		dec  Decimal
		want float64
	}{
		{"1", LengthDim, "mm", Auto, 0.001},
		{"1 in", LengthDim, "mm", Auto, 0.0254},
		{`2' 6"`, LengthDim, "mm", Auto, 0.762},
		{"12 ft", LengthDim, "mm", Auto, 3.6576},
		{"1,5 m", LengthDim, "mm", Auto, 1.5},
		{"1,250", LengthDim, "mm", Point, 1.25},
		{"1,250", LengthDim, "mm", Comma, 0.00125},
		{"1000 cmil", AreaDim, "mm2", Auto, 5.067075e-7},
		{"1 lb", MassDim, "g", Auto, 0.45359237},
		{"212 °F", CelsiusDim, "°C", Auto, 100},
		{"300 K", CelsiusDim, "°C", Auto, 26.85},
		{"10 in-lb", TorqueDim, "Nm", Auto, 1.129848},
		{"60 %", ShareDim, "", Auto, 0.6},
		{"0.6", ShareDim, "", Auto, 0.6},
		{"450 mA", AmpereDim, "A", Auto, 0.45},
		{"5 min", SecondDim, "s", Auto, 300},
	} {
		got, err := Parse(c.text, c.d, c.unit, c.dec)
		if err != nil || math.Abs(got-c.want) > 1e-6*math.Abs(c.want) {
			t.Errorf("Parse(%q, %s, %q) = %v, %v; want %v", c.text, c.d, c.unit, got, err, c.want)
		}
	}
	for _, c := range []struct {
		text string
		d    Dim
		want error
	}{
		{"", LengthDim, ErrEmpty},
		{"1,250", LengthDim, ErrAmbiguous},
		{"long", LengthDim, ErrNumber},
		{"1e999", Number, ErrRange},
	} {
		if _, err := Parse(c.text, c.d, "", Auto); !errors.Is(err, c.want) {
			t.Errorf("Parse(%q): %v, want %v", c.text, err, c.want)
		}
	}
	if v, err := Parse("3 A", LengthDim, "mm", Auto); err == nil {
		t.Errorf("3 A read as a length of %v", v)
	}
}

func TestApart(t *testing.T) {
	for _, c := range []struct {
		value, limit float64
		v, l         string
	}{{0.51, 0.5, "0.51", "0.50"}, {0.5004, 0.5, "0.5004", "0.5000"}, {0.5, 0.5, "0.50", "0.50"}} {
		if v, l := Apart(c.value, c.limit, 2); v != c.v || l != c.l {
			t.Errorf("Apart(%v, %v) = %s, %s; want %s, %s", c.value, c.limit, v, l, c.v, c.l)
		}
	}
}

func TestRound(t *testing.T) {
	if x := RoundUp(1.001, 0.005); math.Abs(x-1.005) > 1e-12 {
		t.Errorf("RoundUp(1.001, 0.005) = %v", x)
	}
	if x := RoundUp(RoundUp(1.0, 0.005), 0.005); x != RoundUp(1.0, 0.005) {
		t.Errorf("rounding up twice moves %v", x)
	}
	if x := RoundTo(-2.5, 1); x != -3 {
		t.Errorf("RoundTo(-2.5, 1) = %v", x)
	}
}
