package part

import (
	"slices"
	"strconv"
	"strings"

	"keyon/model/design"
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

// awgOrder is the sizes there are tables for, thinnest first.
var awgOrder = []Gauge{"30", "28", "26", "24", "22", "20", "18", "16", "14", "12", "10", "8", "6", "4", "2", "1", "0", "00", "000", "0000"}

// metricOrder is the nominal areas of ISO 6722-1, JIS C 3406 and IEC 60228
// that a metric range runs over.
var metricOrder = []Gauge{"0.13mm2", "0.22mm2", "0.35mm2", "0.5mm2", "0.75mm2", "0.85mm2", "1mm2", "1.25mm2", "1.5mm2", "2mm2", "2.5mm2", "3mm2", "4mm2", "5mm2", "6mm2", "8mm2", "10mm2", "15mm2", "16mm2", "20mm2", "25mm2", "30mm2", "35mm2", "40mm2", "50mm2", "60mm2", "70mm2", "85mm2", "95mm2", "100mm2", "120mm2"}

// ParseGauges reads the sizes a contact or lug takes: "22", "24, 22, 20",
// "24-20", "0.35-0.5 mm2". A range runs over the standard sizes between its
// ends, which may stand in either order.
func ParseGauges(text string, units quantity.System) ([]Gauge, bool) {
	var list []Gauge
	add := func(g Gauge) {
		if !slices.Contains(list, g) {
			list = append(list, g)
		}
	}
	for item := range strings.FieldsFuncSeq(text, func(r rune) bool { return r == ';' || r == '\n' || r == ',' && units.Decimal != quantity.Comma }) {
		item = strings.TrimSpace(strings.ReplaceAll(item, "–", "-"))
		if item == "" {
			continue
		}
		from, to, isRange := strings.Cut(item, "-")
		if !isRange {
			g, ok := design.ParseGauge(item, units.Metric, units.Decimal)
			if !ok {
				return nil, false
			}
			add(g)
			continue
		}
		// The unit behind the second size holds for both.
		if strings.Contains(strings.ToLower(to), "mm") && !strings.Contains(strings.ToLower(from), "mm") {
			from += "mm2"
		}
		a, okA := design.ParseGauge(from, units.Metric, units.Decimal)
		b, okB := design.ParseGauge(to, units.Metric, units.Decimal)
		if !okA || !okB {
			return nil, false
		}
		order := awgOrder
		if _, metric := metricArea(a); metric {
			order = metricOrder
		}
		i, j := slices.Index(order, a), slices.Index(order, b)
		if i < 0 || j < 0 {
			return nil, false
		}
		for _, g := range order[min(i, j) : max(i, j)+1] {
			add(g)
		}
	}
	return list, len(list) > 0
}
