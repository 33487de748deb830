package conductor

import "math"

// AdiabaticK is the k of k²S² ≥ I²t in A·√s/mm², for a conductor that starts at
// from °C and may reach to °C with no heat lost, up to about 5 s:
//
//	k = K · √ln((β + to)/(β + from))     K = 226, β = 234.5 copper; 148, 228 aluminium
//
// IEC 60949; 226, 148 and 234.5 seen, 228 memory.
func AdiabaticK(m Metal, from, to float64) float64 {
	if !(from > -m.Beta && to >= from) {
		return math.NaN()
	}
	return m.K * math.Sqrt(math.Log((m.Beta+to)/(m.Beta+from)))
}

// Withstand is the I²t in A²s that k (A·√s/mm²) allows an area in m².
func Withstand(k, area float64) float64 {
	s := k * area / MM2
	return s * s
}

// Onderdonk is the current in A that melts a copper conductor of the area in m²
// after the seconds (up to about 10), starting at ambient °C:
//
//	I = A · √(log10((1083 - Ta)/(234 + Ta) + 1) / (33·t))     A in circular mil
//
// (seen). It is the adiabatic integral up to melting and has no original paper.
func Onderdonk(area, ambient, seconds float64) float64 {
	if !(area > 0 && ambient > -234 && ambient <= 1083 && seconds > 0) {
		return math.NaN()
	}
	return area / CircMil * math.Sqrt(math.Log10((1083-ambient)/(234+ambient)+1)/(33*seconds))
}

// Preece is the current in A that in the long run melts a bare copper wire of
// the diameter in m in free air: I = 10244 · d^1.5, d in inches (seen).
func Preece(diameter float64) float64 {
	return 10244 * math.Pow(diameter/Inch, 1.5)
}
