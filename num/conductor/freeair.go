package conductor

import "math"

// anchor is the current of one size in free air at 100 °C rise.
type anchor struct {
	number int     // AWG
	amps   float64 // A at 100 °C rise
	ohm20  float64 // Ω/m, tin-plated maximum of the same size
}

// freeAir, thin to thick.
//
// amps: MIL-W-5088L Fig. 3 as read off by a third party, about ±3 % (seen).
// ohm20: MIL-DTL-29606A Table III-A, tin, for 26 to 0; drawing 55A8039 for 00 to
// 0000 (both seen). FAA AC 43.13-1B Table 11-9 has the same figures but for 24,
// where it prints the high-strength alloy.
var freeAir = [...]anchor{
	{26, 8, 133.5e-3}, {24, 10.7, 86.0e-3}, {22, 14, 53.1e-3}, {20, 18.4, 32.4e-3},
	{18, 24.6, 20.4e-3}, {16, 28.7, 15.8e-3}, {14, 39.6, 10.0e-3}, {12, 51.8, 6.63e-3},
	{10, 68, 4.13e-3}, {8, 103, 2.30e-3}, {6, 140, 1.46e-3}, {4, 189, 0.919e-3},
	{2, 260, 0.600e-3}, {1, 303, 0.489e-3}, {0, 352, 0.381e-3}, {-1, 400, 0.2986e-3},
	{-2, 480, 0.2329e-3}, {-3, 535, 0.1837e-3},
}

// slope is the exponent of the rise, MIL-W-5088L Fig. 3: 2.09 on its first
// page, 2.07 on its second (seen).
const slope = 2.08

// rise is the law of the chart's lines, I = I100·(dT/100)^(1/2.08). The chart
// shows 25 to 250 °C: below it the line is carried on to nought, above it the
// current at 250 °C stands.
func rise(amps100, dT float64) float64 {
	return amps100 * math.Pow(min(max(dT, 0), 250)/100, 1/slope)
}

// FreeAir is the continuous current of a single wire of the AWG size in free
// air, when the conductor may be dT °C hotter than the air. MIL-W-5088L Fig. 3,
// which is FAA AC 43.13-1B Figs 11-4a and b:
//
//	I = I100 · (dT/100)^(1/2.08)
//
// Without room to heat (dT ≤ 0) it is 0 A. It is not ok for a size the chart
// lacks (see FreeAirOf) and for NaN.
func FreeAir(gauge string, dT float64) (amps float64, ok bool) {
	n, ok := GaugeNumber(gauge)
	if !ok || math.IsNaN(dT) {
		return 0, false
	}
	for _, a := range freeAir {
		if a.number == n {
			return rise(a.amps, dT), true
		}
	}
	return 0, false
}

// FreeAirOf is FreeAir for a conductor that the chart doesn't name, such as
// metric cable, by its resistance ohm20 in Ω/m at 20 °C. It goes straight between
// the neighbouring sizes of the chart on logarithmic scales of resistance and
// current; judgement, since the heat made is I²R whatever the size is called.
// Beyond the ends (133.5 and 0.1837 mΩ/m) the last stretch is carried on and
// the answer is extrapolated.
func FreeAirOf(ohm20, dT float64) (amps float64, extrapolated bool, err error) {
	err = inRange("free-air current",
		limit{"resistance, Ω/m", ohm20, 1e-6, 10},
		limit{"temperature rise, °C", dT, -1000, 1000})
	if err != nil {
		return 0, false, err
	}
	last := len(freeAir) - 1
	i := 0
	for i < last-1 && ohm20 < freeAir[i+1].ohm20 {
		i++
	}
	a, b := freeAir[i], freeAir[i+1]
	f := math.Log(a.ohm20/ohm20) / math.Log(a.ohm20/b.ohm20)
	amps = rise(a.amps*math.Pow(b.amps/a.amps, f), dT)
	return amps, ohm20 > freeAir[0].ohm20 || ohm20 < freeAir[last].ohm20, nil
}
