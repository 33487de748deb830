package part

import (
	"strconv"
	"strings"

	"keyon/num/quantity"
)

// stranded is the nominal copper area in mm² of a stranded AWG conductor:
// MIL-DTL-29606A Table III-A for 30 to 0 (37 strands at 12), drawing 55A8039
// for 00 to 0000. A solid wire of the same number has another area.
var stranded = map[Gauge]quantity.Area{
	"30": 0.0568, "28": 0.0887, "26": 0.1540, "24": 0.2407, "22": 0.3821, "20": 0.6162, "18": 0.9627, "16": 1.229, "14": 1.941, "12": 2.976, // mm²
	"10": 4.740, "8": 8.605, "6": 13.59, "4": 21.59, "2": 33.70, "1": 41.40, "0": 52.95, "00": 67.73, "000": 84.79, "0000": 107.4, // mm²
}

// AreaOf is the nominal copper area of a conductor size, AWG ("22", "00") or
// metric ("0.5mm2"); ok is false for sizes there is no table for.
func AreaOf(g Gauge) (quantity.Area, bool) {
	if a, ok := metricArea(g); ok {
		return a, true
	}
	a, ok := stranded[g]
	return a * quantity.MM2, ok
}

func metricArea(g Gauge) (quantity.Area, bool) {
	t, ok := strings.CutSuffix(g, "mm2")
	if !ok {
		return 0, false
	}
	v, err := strconv.ParseFloat(t, 64)
	return quantity.Area(v) * quantity.MM2, err == nil && v > 0
}
