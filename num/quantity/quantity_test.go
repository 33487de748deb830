package quantity

import (
	"errors"
	"math"
	"testing"
)

// Expected values are the units' definitions worked by hand: inch 25.4 mm,
// foot 12 in (international, 1959); pound 0.45359237 kg; °F = (°F − 32)·5/9;
// circular mil π/4·(0.001 in)²; pound-force 4.4482216152605 N.
func TestUnits(t *testing.T) {
	for _, c := range []struct {
		text     string
		dim      Dim
		fallback string
		want     float64
	}{
		{"350", LengthDim, "mm", 0.35},
		{"350", LengthDim, "", 350},
		{"12 ft", LengthDim, "mm", 3.6576},
		{"12ft", LengthDim, "mm", 3.6576},
		{"0.5 in", LengthDim, "mm", 0.0127},
		{`6"`, LengthDim, "mm", 0.1524},
		{`2' 6"`, LengthDim, "mm", 0.762},
		{"2’6”", LengthDim, "mm", 0.762},
		{"2 ft 6 in", LengthDim, "mm", 0.762},
		{"2 Feet 6 Inches", LengthDim, "mm", 0.762},
		{`-2' 6"`, LengthDim, "mm", -0.762},
		{`3/8"`, LengthDim, "mm", 0.009525},
		{"1 1/4 in", LengthDim, "mm", 0.03175},
		{`2' 6 1/2"`, LengthDim, "mm", 0.7747},
		{"-1 1/4 in", LengthDim, "mm", -0.03175},
		{"12.5 CM", LengthDim, "mm", 0.125},
		{"\u00a05\u00a0mm\u00a0", LengthDim, "in", 0.005},
		{"1e3 mm", LengthDim, "", 1},
		{"1E-2", LengthDim, "m", 0.01},
		{"0.5 mm²", AreaDim, "mm2", 5e-7},
		{"1000 cmil", AreaDim, "mm2", 5.067074790974977e-7},
		{"2 lb", MassDim, "g", 0.90718474},
		{"250", AmpereDim, "mA", 0.25},
		{"12 mV", VoltDim, "V", 0.012},
		{"5 mΩ", OhmDim, "ohm", 0.005},
		{"5 mohm", OhmDim, "ohm", 0.005},
		{"1 MΩ", OhmDim, "ohm", 1e6},
		{"1 Mohm", OhmDim, "ohm", 1e6},
		{"4.7 kΩ", OhmDim, "ohm", 4700},
		{"55 W", WattDim, "W", 55},
		{"20", SecondDim, "ms", 0.02},
		{"2 min", SecondDim, "s", 120},
		{"212 °F", CelsiusDim, "°C", 100},
		{"-40 F", CelsiusDim, "°C", -40},
		{"373.15 K", CelsiusDim, "°C", 100},
		{"45°", AngleDim, "deg", 45},
		{"7500 rpm", SpeedDim, "rpm", 7500},
		{"10 in-lb", TorqueDim, "Nm", 1.129848290276167},
		{"60 %", ShareDim, "", 0.6},
		{"60%", ShareDim, "", 0.6},
		{"0.6", ShareDim, "", 0.6},
	} {
		got, err := Parse(c.text, c.dim, c.fallback, Auto)
		if err != nil || math.Abs(got-c.want) > 1e-12*math.Max(1, math.Abs(c.want)) {
			t.Errorf("Parse(%q, %s, %q) = %v, %v; want %v", c.text, c.dim, c.fallback, got, err, c.want)
		}
	}
}

// The rule of the car's decimal key: design, section 5.
func TestDecimal(t *testing.T) {
	bad := math.NaN()
	for _, c := range []struct {
		text               string
		auto, point, comma float64 // NaN: refused
	}{
		{"12", 12, 12, 12},
		{"-12", -12, -12, -12},
		{"+12", 12, 12, 12},
		{"1.5", 1.5, 1.5, bad},
		{"1,5", 1.5, bad, 1.5},
		{",5", 0.5, bad, 0.5},
		{".5", 0.5, 0.5, bad},
		{"5.", 5, 5, bad},
		{"0,25", 0.25, bad, 0.25},
		{"1,250", bad, 1250, 1.25},
		{"0,125", bad, bad, 0.125}, // no thousands begin with a lone 0, but one rule is easier to know than two
		{"1.250", 1.25, 1.25, 1250},
		{"1,2500", 1.25, bad, 1.25},
		{"1,250.5", 1250.5, 1250.5, bad},
		{"1.250,5", 1250.5, bad, 1250.5},
		{"1,234,567", 1234567, 1234567, bad},
		{"1.234.567", 1234567, bad, 1234567},
		{"1,234,567.8", 1234567.8, 1234567.8, bad},
		{"1.234.567,8", 1234567.8, bad, 1234567.8},
		{"12,34,567", bad, bad, bad},
		{"1.2.3", bad, bad, bad},
		{"1,2,3", bad, bad, bad},
		{"1..5", bad, bad, bad},
		{"", bad, bad, bad},
		{"-", bad, bad, bad},
		{"1 000", bad, bad, bad},
		{"1_000", bad, bad, bad},
		{"٣", bad, bad, bad},
		{"12e", bad, bad, bad},
		{"1e400", bad, bad, bad},
		{"inf", bad, bad, bad},
		{"NaN", bad, bad, bad},
		{"0x10", bad, bad, bad},
	} {
		for dec, want := range map[Decimal]float64{Auto: c.auto, Point: c.point, Comma: c.comma} {
			got, err := Parse(c.text, Number, "", dec)
			if math.IsNaN(want) != (err != nil) || err == nil && got != want {
				t.Errorf("%q by rule %d: %v, %v; want %v", c.text, dec, got, err, want)
			}
		}
	}
	if _, err := Parse("1,250 mm", LengthDim, "mm", Auto); !errors.Is(err, ErrAmbiguous) {
		t.Errorf("one comma before three digits: %v", err)
	}
}

func TestRefused(t *testing.T) {
	for _, c := range []struct {
		text string
		dim  Dim
		want string
	}{
		{"12 A", LengthDim, `"A" is a unit of a current, not of a length`},
		{"12 furlong", LengthDim, `"furlong" is not a unit of a length`},
		{"5 MOHM", OhmDim, `"MOHM" is not a unit of a resistance`},
		{"2,5x", Number, `"x" is not a unit of a number`},
		{`2' -6"`, LengthDim, "not a number"},
		{`1/0"`, LengthDim, "not a number"},
		{"1/2 A", AmpereDim, `"/2 A" is not a unit of a current`},
		{"  ", LengthDim, "nothing typed"},
	} {
		if _, err := Parse(c.text, c.dim, "", Auto); err == nil || err.Error() != c.want {
			t.Errorf("Parse(%q, %s): %v, want %s", c.text, c.dim, err, c.want)
		}
	}
}

func TestShow(t *testing.T) {
	for _, c := range []struct {
		x      float64
		places int
		want   string
	}{{1.5, 2, "1.5"}, {2, 2, "2"}, {-0.001, 2, "0"}, {100, 0, "100"}, {0.125, 3, "0.125"}, {math.NaN(), 1, "not a number"}} {
		if got := Text(c.x, c.places); got != c.want {
			t.Errorf("Text(%v, %d) = %q, want %q", c.x, c.places, got, c.want)
		}
	}
	for _, c := range []struct {
		v, l         float64
		places       int
		value, limit string
	}{{0.5001, 0.5, 2, "0.5001", "0.5000"}, {1.1, 0.5, 2, "1.10", "0.50"}, {0.5, 0.5, 2, "0.50", "0.50"}} {
		if v, l := Apart(c.v, c.l, c.places); v != c.value || l != c.limit {
			t.Errorf("Apart(%v, %v) = %q, %q; want %q, %q", c.v, c.l, v, l, c.value, c.limit)
		}
	}
	if got := (System{}).Length(1.25); got != "1250 mm" {
		t.Errorf("1.25 m is %q", got)
	}
	if got := (System{Inches: true}).Length(0.0254 * 49.2); got != "49.2 in" {
		t.Errorf("49.2 in is %q", got)
	}
}

// What has been rounded once stays: given back, it changes nothing.
func TestRoundOnce(t *testing.T) {
	for _, step := range []float64{0.005, 0.001, 0.1, 1, 5} {
		for i := range 2000 {
			x := float64(i) * 0.00137 * step * 7
			up, near := RoundUp(x, step), RoundTo(x, step)
			if RoundUp(up, step) != up || RoundTo(near, step) != near {
				t.Fatalf("%v by %v: %v then %v; %v then %v", x, step, up, RoundUp(up, step), near, RoundTo(near, step))
			}
			if up < x-2e-6*step || up >= x+step {
				t.Fatalf("RoundUp(%v, %v) = %v", x, step, up)
			}
		}
	}
}
