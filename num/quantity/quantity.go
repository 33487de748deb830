// Package quantity holds the physical quantities the program works with, in
// SI inside, and how people write them: units typed any way, comma or point.
//
// It takes for granted that a number outside its physical range (a negative
// length, say) is judged by whoever knows what it stands for.
package quantity

import "math"

// Length is in metres.
type Length float64

// Area is in square metres.
type Area float64

// Mass is in kilograms.
type Mass float64

// Ampere is an electric current.
type Ampere float64

// Volt is an electric potential difference.
type Volt float64

// Ohm is an electric resistance.
type Ohm float64

// Watt is a power.
type Watt float64

// Second is a duration.
type Second float64

// Celsius is a temperature on the Celsius scale; differences are in kelvin.
type Celsius float64

// Units to multiply with: 3 * MM is three millimetres.
const (
	MM  Length = 1e-3
	CM  Length = 1e-2
	In  Length = 0.0254 // exactly, international inch
	Ft  Length = 0.3048 // exactly, international foot
	MM2 Area   = 1e-6
	G   Mass   = 1e-3
)

// MM is the length in millimetres.
func (l Length) MM() float64 { return float64(l) * 1e3 }

// MM2 is the area in square millimetres.
func (a Area) MM2() float64 { return float64(a) * 1e6 }

// Drop is Ohm's law: the voltage that current i leaves across resistance r.
func Drop(r Ohm, i Ampere) Volt { return Volt(float64(r) * float64(i)) }

// Heat is Joule's law: the power that current i turns into heat in r.
func Heat(r Ohm, i Ampere) Watt { return Watt(float64(r) * float64(i) * float64(i)) }

// RoundTo rounds x to the nearest multiple of step, halves away from zero.
// A step of zero or less leaves x as it is.
func RoundTo(x, step float64) float64 {
	if step <= 0 || math.IsInf(x, 0) || math.IsNaN(x) {
		return x
	}
	// A step such as 0.001 has no exact value, its inverse has.
	if inverse := math.Round(1 / step); step < 1 && math.Abs(inverse*step-1) < 1e-12 {
		return math.Round(x*inverse) / inverse
	}
	return math.Round(x/step) * step
}

// RoundUp rounds x up to a multiple of step; a value within a millionth of a
// step above a multiple counts as that multiple, so that a value that has
// been rounded once stays.
func RoundUp(x, step float64) float64 {
	if step <= 0 || math.IsInf(x, 0) || math.IsNaN(x) {
		return x
	}
	return math.Ceil(x/step-1e-6) * step
}
