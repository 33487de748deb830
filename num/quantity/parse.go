package quantity

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"
)

// Dim is the kind of a quantity: it decides which units a text may carry.
type Dim uint8

// The dimensions people type.
const (
	Number Dim = iota
	LengthDim
	AreaDim
	MassDim
	AmpereDim
	VoltDim
	OhmDim
	WattDim
	SecondDim
	CelsiusDim
	AngleDim
	SpeedDim // revolutions per minute
	TorqueDim
	ShareDim // a fraction, typed as 0.6 or 60 %
)

var dimNames = [...]string{"a number", "a length", "an area", "a mass", "a current", "a voltage", "a resistance", "a power", "a time", "a temperature", "an angle", "a speed", "a torque", "a share"}

// String names the dimension with its article, for messages.
func (d Dim) String() string { return dimNames[d] }

// Decimal says which character parts the whole number from its fraction.
type Decimal uint8

// Auto reads both, and refuses one comma before exactly three digits.
const (
	Auto Decimal = iota
	Point
	Comma
)

type unit struct {
	dim    Dim
	factor float64 // to SI
	offset float64 // added after the factor
}

// units maps spellings in lower case to their meaning. Factors are exact by
// definition (international inch and foot, pound of 1959) unless noted.
var units = map[string]unit{
	"m": {LengthDim, 1, 0}, "metre": {LengthDim, 1, 0}, "meter": {LengthDim, 1, 0}, "metres": {LengthDim, 1, 0}, "meters": {LengthDim, 1, 0},
	"mm": {LengthDim, 1e-3, 0}, "cm": {LengthDim, 1e-2, 0},
	"in": {LengthDim, 0.0254, 0}, "inch": {LengthDim, 0.0254, 0}, "inches": {LengthDim, 0.0254, 0}, `"`: {LengthDim, 0.0254, 0}, "″": {LengthDim, 0.0254, 0}, "”": {LengthDim, 0.0254, 0},
	"ft": {LengthDim, 0.3048, 0}, "foot": {LengthDim, 0.3048, 0}, "feet": {LengthDim, 0.3048, 0}, "'": {LengthDim, 0.3048, 0}, "′": {LengthDim, 0.3048, 0}, "’": {LengthDim, 0.3048, 0},
	"mm2": {AreaDim, 1e-6, 0}, "mm²": {AreaDim, 1e-6, 0}, "sqmm": {AreaDim, 1e-6, 0}, "cmil": {AreaDim, 5.067074790974977e-10, 0}, // cmil: π/4·(0.001 in)²
	"kg": {MassDim, 1, 0}, "g": {MassDim, 1e-3, 0}, "lb": {MassDim, 0.45359237, 0},
	"a": {AmpereDim, 1, 0}, "amp": {AmpereDim, 1, 0}, "amps": {AmpereDim, 1, 0}, "ma": {AmpereDim, 1e-3, 0},
	"v": {VoltDim, 1, 0}, "volt": {VoltDim, 1, 0}, "volts": {VoltDim, 1, 0}, "mv": {VoltDim, 1e-3, 0},
	"ohm": {OhmDim, 1, 0}, "ohms": {OhmDim, 1, 0}, "ω": {OhmDim, 1, 0}, "mohm": {OhmDim, 1e-3, 0}, "mω": {OhmDim, 1e-3, 0}, "kohm": {OhmDim, 1e3, 0}, "kω": {OhmDim, 1e3, 0},
	"w": {WattDim, 1, 0}, "watt": {WattDim, 1, 0}, "watts": {WattDim, 1, 0}, "kw": {WattDim, 1e3, 0},
	"s": {SecondDim, 1, 0}, "sec": {SecondDim, 1, 0}, "ms": {SecondDim, 1e-3, 0}, "min": {SecondDim, 60, 0}, "h": {SecondDim, 3600, 0},
	"c": {CelsiusDim, 1, 0}, "°c": {CelsiusDim, 1, 0}, "degc": {CelsiusDim, 1, 0}, "℃": {CelsiusDim, 1, 0}, "k": {CelsiusDim, 1, -273.15}, "f": {CelsiusDim, 5.0 / 9, -160.0 / 9}, "°f": {CelsiusDim, 5.0 / 9, -160.0 / 9}, "degf": {CelsiusDim, 5.0 / 9, -160.0 / 9},
	"deg": {AngleDim, 1, 0}, "°": {AngleDim, 1, 0},
	"rpm": {SpeedDim, 1, 0}, "1/min": {SpeedDim, 1, 0},
	"nm": {TorqueDim, 1, 0}, "n·m": {TorqueDim, 1, 0}, "inlb": {TorqueDim, 0.1129848290276167, 0}, "in-lb": {TorqueDim, 0.1129848290276167, 0},
	"%": {ShareDim, 0.01, 0},
}

// KnownUnit reports whether text is a unit of dimension d, such as "ft".
func KnownUnit(text string, d Dim) bool {
	u, ok := lookup(text)
	return ok && u.dim == d
}

func lookup(text string) (unit, bool) {
	text = strings.TrimSpace(text)
	switch low := strings.ToLower(text); {
	case low != "mohm" && low != "mω":
		u, ok := units[low]
		return u, ok
	case text == "MOHM": // milli in capitals, or mega: nobody can tell
		return unit{}, false
	case text[0] == 'M':
		return unit{OhmDim, 1e6, 0}, true
	default:
		return units[low], true
	}
}

// Errors of Parse. The text that was typed is not repeated: a finding shows it.
var (
	ErrEmpty     = errors.New("nothing typed")
	ErrAmbiguous = errors.New("ambiguous: one comma before three digits; set decimal in the table Car")
	ErrNumber    = errors.New("not a number")
	ErrRange     = errors.New("out of range")
)

// Parse reads text as a quantity of dimension d in SI (°C for temperatures,
// the plain number for Number). A text without a unit takes fallback, the
// unit of its column. Feet and inches may stand together (2' 6", 2 ft 6 in),
// and a length may be a fraction (3/8", 1 1/4 in).
func Parse(text string, d Dim, fallback string, dec Decimal) (float64, error) {
	text = strings.TrimSpace(strings.ReplaceAll(text, "\u00a0", " "))
	if text == "" {
		return 0, ErrEmpty
	}
	if d == LengthDim {
		if v, ok, err := feetAndInches(text, dec); ok {
			return v, err
		}
	}
	digits, suffix := cutUnit(text)
	n, err := 0.0, error(nil)
	if d == LengthDim && strings.HasPrefix(suffix, "/") {
		n, suffix, err = fraction(digits, suffix[1:])
	} else {
		n, err = number(digits, dec)
	}
	if err != nil {
		return 0, err
	}
	if suffix == "" {
		suffix = fallback
	}
	if suffix == "" {
		return n, nil
	}
	u, ok := lookup(suffix)
	if !ok {
		return 0, fmt.Errorf("%q is not a unit of %s", suffix, d)
	}
	if u.dim != d {
		return 0, fmt.Errorf("%q is a unit of %s, not of %s", suffix, u.dim, d)
	}
	v := n*u.factor + u.offset
	if math.IsInf(v, 0) || math.IsNaN(v) {
		return 0, ErrRange
	}
	return v, nil
}

// feetAndInches reads 2' 6" and 2 ft 6 in; ok is false for other texts.
func feetAndInches(text string, dec Decimal) (v float64, ok bool, err error) {
	t := strings.ToLower(text)
	for _, foot := range []string{"feet", "foot", "ft", "'", "′", "’"} {
		feet, rest, found := strings.Cut(t, foot)
		rest = strings.TrimSpace(rest)
		if !found || rest == "" {
			continue
		}
		for _, inch := range []string{"inches", "inch", "in", `"`, "″", "”"} {
			inches, found := strings.CutSuffix(rest, inch)
			if !found {
				continue
			}
			f, err := number(strings.TrimSpace(feet), dec)
			if err != nil {
				return 0, true, err
			}
			inches = strings.TrimSpace(inches)
			i, err := number(inches, dec)
			if digits, suffix := cutUnit(inches); strings.HasPrefix(suffix, "/") {
				if i, suffix, err = fraction(digits, suffix[1:]); err == nil && suffix != "" {
					err = ErrNumber
				}
			}
			if err != nil {
				return 0, true, err
			}
			if i < 0 {
				return 0, true, ErrNumber
			}
			return f*float64(Ft) + math.Copysign(i, f)*float64(In), true, nil
		}
	}
	return 0, false, nil
}

// fraction reads what stands before and behind the stroke of 1 1/4 in: a
// whole number or none, the two numbers, and the unit.
func fraction(before, behind string) (v float64, suffix string, err error) {
	whole, over, mixed := strings.Cut(before, " ")
	if !mixed {
		whole, over = "0", before
	}
	under, suffix := cutUnit(strings.TrimSpace(behind))
	w, err1 := strconv.Atoi(whole)
	o, err2 := strconv.Atoi(strings.TrimSpace(over))
	u, err3 := strconv.Atoi(under)
	if err1 != nil || err2 != nil || err3 != nil || u <= 0 || mixed && o < 0 {
		return 0, "", ErrNumber
	}
	part := float64(o) / float64(u)
	if w < 0 {
		part = -part
	}
	return float64(w) + part, suffix, nil
}

// HasUnit reports whether text goes on after its number or fraction.
func HasUnit(text string) bool {
	_, suffix := cutUnit(strings.TrimSpace(text))
	if under, ok := strings.CutPrefix(suffix, "/"); ok {
		_, suffix = cutUnit(under)
	}
	return suffix != ""
}

// cutUnit parts "12.5 ft" into "12.5" and "ft". A unit begins at the first
// character that cannot belong to a number; an E between digits belongs.
func cutUnit(text string) (digits, suffix string) {
	r := []rune(text)
	for i, c := range r {
		if unicode.IsDigit(c) || strings.ContainsRune("+-., _", c) {
			continue
		}
		if (c == 'e' || c == 'E') && i > 0 && unicode.IsDigit(r[i-1]) && i+1 < len(r) && (unicode.IsDigit(r[i+1]) || (strings.ContainsRune("+-", r[i+1]) && i+2 < len(r) && unicode.IsDigit(r[i+2]))) {
			continue
		}
		return strings.TrimSpace(string(r[:i])), strings.TrimSpace(string(r[i:]))
	}
	return text, ""
}

// number reads digits by the decimal rule of the car.
func number(text string, dec Decimal) (float64, error) {
	commas, points := strings.Count(text, ","), strings.Count(text, ".")
	group, mark := "", "."
	switch {
	case commas == 0 && points == 0:
	case dec == Point, dec == Auto && points == 1 && commas > 0 && strings.LastIndex(text, ".") > strings.LastIndex(text, ","), dec == Auto && commas == 0 && points == 1:
		group, mark = ",", "."
	case dec == Comma, dec == Auto && commas == 1 && points > 0 && strings.LastIndex(text, ",") > strings.LastIndex(text, "."):
		group, mark = ".", ","
	case commas == 1:
		if len(text)-strings.Index(text, ",")-1 == 3 {
			return 0, ErrAmbiguous
		}
		mark = ","
	case points == 0:
		group, mark = ",", "."
	default:
		group, mark = ".", ","
	}
	whole, fraction, has := strings.Cut(text, mark)
	if has && (strings.Contains(fraction, mark) || group != "" && strings.Contains(fraction, group)) {
		return 0, ErrNumber
	}
	whole, ok := ungroup(whole, group)
	if !ok {
		return 0, ErrNumber
	}
	joined := whole
	if has {
		joined += "." + fraction
	}
	if joined == "" || joined == "." || strings.ContainsAny(joined, "_") {
		return 0, ErrNumber
	}
	for _, c := range joined {
		if c > unicode.MaxASCII {
			return 0, ErrNumber
		}
	}
	v, err := strconv.ParseFloat(joined, 64)
	if err != nil {
		if errors.Is(err, strconv.ErrRange) {
			return 0, ErrRange
		}
		return 0, ErrNumber
	}
	return v, nil
}

// ungroup takes the thousands marks out of a whole number; each group after
// the first must have three digits, and no thousands begin with a zero.
func ungroup(whole, group string) (string, bool) {
	if group == "" || !strings.Contains(whole, group) {
		return whole, true
	}
	parts := strings.Split(whole, group)
	if strings.HasPrefix(strings.TrimLeft(parts[0], "+-"), "0") {
		return "", false
	}
	for i, p := range parts {
		if i > 0 && len(p) != 3 || i == 0 && (len(strings.TrimLeft(p, "+-")) == 0 || len(strings.TrimLeft(p, "+-")) > 3) {
			return "", false
		}
	}
	return strings.Join(parts, ""), true
}
