package conductor

import "math"

// A Metal is what the laws need to know of a conductor's metal.
type Metal struct {
	Name    string
	Rho     float64 // resistivity at 20 °C, Ω·m
	Zero    float64 // °C below zero at which the straight line of resistance reaches nought
	Heat    float64 // heat capacity, J/(K·m³)
	Melting float64 // °C
	K       float64 // factor of the adiabatic equation, A·√s/mm²
	Beta    float64 // °C, the temperature constant that belongs to K
}

// Copper is annealed copper of 100 % IACS conductivity, plated or not.
var Copper = Metal{
	Name:    "copper",
	Rho:     1 / 58e6, // Ω·m; IACS, 58 MS/m at 20 °C, ndt-ed.org (seen)
	Zero:    234.5,    // FAA AC 43.13-1B CHG 1 p. 11-22 (seen)
	Heat:    3.45e6,   // J/(K·m³); IEC 60949 (memory)
	Melting: 1083,     // °C; as used by the Onderdonk formula (seen)
	K:       226,      // A·√s/mm²; IEC 60949 (seen)
	Beta:    234.5,    // °C; IEC 60949 (seen)
}

// Aluminium is electrical-grade aluminium.
var Aluminium = Metal{
	Name:    "aluminium",
	Rho:     2.8264e-8, // Ω·m at 20 °C; IEC 60889 (memory)
	Zero:    238.1,     // FAA AC 43.13-1B CHG 1 p. 11-22 (seen)
	Heat:    2.5e6,     // J/(K·m³); IEC 60949 (memory)
	Melting: 660,       // °C (memory)
	K:       148,       // A·√s/mm²; IEC 60949 (seen)
	Beta:    228,       // °C; IEC 60949 (memory)
}

// Factor is the resistance at t °C over that at 20 °C:
//
//	R(T)/R20 = (Z + T) / (Z + 20)     Z = 234.5 copper, 238.1 aluminium
//
// FAA AC 43.13-1B CHG 1 p. 11-22, given there for the length of a run. Straight
// from about -50 to 250 °C. NaN at or below the temperature where the line
// reaches nought.
func (m Metal) Factor(t float64) float64 {
	if !(t > -m.Zero) {
		return math.NaN()
	}
	return (m.Zero + t) / (m.Zero + 20)
}

// Ohm20 is the resistance per metre at 20 °C of a solid conductor of the area
// in m². Stranded wire has 5 to 20 % more for its nominal area: take the
// maximum of its standard instead.
func (m Metal) Ohm20(area float64) float64 {
	if !(area > 0) {
		return math.NaN()
	}
	return m.Rho / area
}
