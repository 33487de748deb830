package quantity

import (
	"math"
	"strconv"
)

// Text prints x with at most places decimals and no trailing zeros.
func Text(x float64, places int) string {
	if math.IsNaN(x) {
		return "not a number"
	}
	s := strconv.FormatFloat(x, 'f', places, 64)
	for i := range s {
		if s[i] == '.' {
			for s[len(s)-1] == '0' {
				s = s[:len(s)-1]
			}
			if s[len(s)-1] == '.' {
				s = s[:len(s)-1]
			}
			break
		}
	}
	if s == "-0" {
		return "0"
	}
	return s
}

// Apart prints value and limit with the fewest decimals, at least places, at
// which they don't look equal unless they are.
func Apart(value, limit float64, places int) (v, l string) {
	for p := places; ; p++ {
		v, l = strconv.FormatFloat(value, 'f', p, 64), strconv.FormatFloat(limit, 'f', p, 64)
		if v != l || value == limit || p >= 12 || math.IsNaN(value) || math.IsNaN(limit) {
			return v, l
		}
	}
}

// System is how a car's papers print lengths and gauges.
type System struct {
	Inches  bool // lengths in inches instead of millimetres
	Metric  bool // conductor sizes in mm² instead of AWG
	Decimal Decimal
}

// Length prints l in the system's unit with the unit: "1250 mm", "49.2 in".
func (s System) Length(l Length) string {
	if s.Inches {
		return Text(float64(l/In), 2) + " in"
	}
	return Text(l.MM(), 1) + " mm"
}
