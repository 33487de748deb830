// Package conductor holds the laws of an electrical conductor: resistance,
// voltage drop, steady current capacity, heating, short time and melting.
//
// It decides nothing. It turns figures of one wire, or of one bundle, into
// amperes, volts, degrees and seconds, each by a law named in the comment with
// its source. The tables of those laws stand beside the code that reads them,
// each with source and status ("seen" was read in text, "memory" was not and
// should be checked against the document, "computed" follows from the others).
//
// It takes for granted that the caller knows the wire: its resistance at 20 °C
// from the maximum of its own standard, its diameters, its ratings. Which wire,
// which rating and which limit apply is left to the stages and checks.
//
// Units are SI: m, m², Ω/m, A, V, W/m, s; temperatures in °C. A figure that the
// trade knows in other units (k in A·√s/mm², areas in circular mil) says so.
// A one-line law given nonsense returns NaN, which fails every comparison; a
// law that looks up or solves returns a *RangeError with the number.
package conductor

import (
	"fmt"
	"math"
)

// Units the sources print.
const (
	Foot    = 0.3048                   // m
	Inch    = 0.0254                   // m
	CircMil = math.Pi / 4 * 645.16e-12 // m², a circle of 0.001 in diameter
	MM2     = 1e-6                     // m²
)

// A RangeError is a quantity outside the range in which a law holds.
type RangeError struct {
	Law      string  // the law, as in "heat balance"
	Quantity string  // what was out of range, with unit
	Value    float64 // what was given
	Min, Max float64 // the range, both ends allowed
}

func (e *RangeError) Error() string {
	return fmt.Sprintf("%s: %s is %g, allowed %g to %g", e.Law, e.Quantity, e.Value, e.Min, e.Max)
}

// limit is one row of a range check.
type limit struct {
	quantity        string
	value, min, max float64
}

// inRange reports the first row out of its range; NaN is always out.
func inRange(law string, rows ...limit) error {
	for _, r := range rows {
		if !(r.value >= r.min && r.value <= r.max) {
			return &RangeError{law, r.quantity, r.value, r.min, r.max}
		}
	}
	return nil
}
