package conductor

import "math"

// Drop is the voltage lost in V along a conductor: I · R20 · L · Factor(t), with
// ohm20 in Ω/m, length in m out and back (or one way, if the way back is
// counted as its own resistance), t the conductor's temperature in °C.
func Drop(m Metal, amps, ohm20, length, t float64) float64 {
	return amps * ohm20 * length * m.Factor(t)
}

// LongestRun is the length in m, out and back, at which the drop reaches volts:
//
//	L = V / (I·R20) · (Z + 20)/(Z + T)
//
// FAA AC 43.13-1B CHG 1 p. 11-22. It is infinite without current.
func LongestRun(m Metal, volts, amps, ohm20, t float64) float64 {
	if !(volts >= 0 && amps >= 0 && ohm20 > 0) {
		return math.NaN()
	}
	if amps == 0 {
		return math.Inf(1)
	}
	return volts / (amps * ohm20 * m.Factor(t))
}

// DropAreaABYC is the copper area in m² that ABYC E-11 asks for:
//
//	CM = K · I · L / E      K = 10.75 Ω·cmil/ft (memory), L in ft out and back
//
// with length in m and volts the drop allowed.
func DropAreaABYC(amps, length, volts float64) float64 {
	if !(amps >= 0 && length >= 0 && volts > 0) {
		return math.NaN()
	}
	return 10.75 * amps * (length / Foot) / volts * CircMil
}

// PartLoad is the temperature in °C of a conductor that carries the share 0 to 1
// (or more) of its capacity in air of the ambient temperature, when the full
// capacity would bring it to its rating:
//
//	T2 = T1 + (TR - T1) · (I2/Imax)^2.08
//
// This is the free-air chart read backwards (computed), the best estimate.
func PartLoad(ambient, rating, share float64) float64 {
	return partLoad(ambient, rating, share, slope)
}

// PartLoadFAA is the estimate of FAA AC 43.13-1B CHG 1 p. 11-23:
//
//	T2 = T1 + (TR - T1) · √(I2/Imax)
//
// The symbols are seen, the algebra is from memory. It is hot on purpose: at
// half the capacity it gives 71 % of the rise where physics gives 24 %.
func PartLoadFAA(ambient, rating, share float64) float64 {
	return partLoad(ambient, rating, share, 0.5)
}

func partLoad(ambient, rating, share, power float64) float64 {
	if !(share >= 0 && rating >= ambient) {
		return math.NaN()
	}
	return ambient + (rating-ambient)*math.Pow(share, power)
}
