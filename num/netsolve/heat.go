package netsolve

import (
	"fmt"
	"math"
)

// Thermal gives the resistance and the temperature in °C at which an element
// comes to rest with this many amps through it. One that finds no rest returns
// a NaN or an infinity.
type Thermal func(e Elem, amps float64) (ohm, celsius float64)

// Warm is a steady state in which each conductor is as warm as its current
// makes it.
type Warm struct {
	Solution
	Ohm     []float64 // of each element asked for, in their order
	Celsius []float64
	Rounds  int // how often the net was solved
}

// Runaway tells that currents and temperatures found no rest together.
type Runaway struct {
	Name    string // the element that still warmed most
	Elem    Elem
	Celsius float64 // where it had come to
	Rounds  int
}

func (e *Runaway) Error() string {
	return fmt.Sprintf("netsolve: %s found no steady temperature in %d rounds and had come to %.0f °C", e.Name, e.Rounds, e.Celsius)
}

// warmRounds is how often a net is solved in search of its temperatures. A
// sound conductor settles in under ten; judgement.
const warmRounds = 60

// SolveWarm solves the net again and again, giving each of these elements the
// resistance that law finds for its current, until no temperature moves by more
// than 0.001 K, which leaves them within 0.01 K as long as each round undoes at
// least a tenth of what is left. The net keeps its own resistances.
func (n *Net) SolveWarm(opt Options, elems []Elem, law Thermal) (Warm, error) {
	cold := make([]float64, len(elems))
	for i, e := range elems {
		cold[i] = n.elems[e].ohm
	}
	defer func() {
		for i, e := range elems {
			n.SetOhm(e, cold[i])
		}
	}()

	warm := Warm{Ohm: append([]float64(nil), cold...), Celsius: make([]float64, len(elems))}
	for i := range warm.Celsius {
		warm.Celsius[i] = math.NaN()
	}
	for {
		sol, err := n.Solve(opt)
		if err != nil {
			return warm, err
		}
		warm.Solution = sol
		warm.Rounds++
		worst, most := -1, 0.0
		for i, e := range elems {
			ohm, celsius := law(e, sol.I[e])
			if !(ohm > 0 && ohm <= math.MaxFloat64) || math.IsNaN(celsius) || math.IsInf(celsius, 0) {
				return warm, &Runaway{Name: n.elems[e].name, Elem: e, Celsius: celsius, Rounds: warm.Rounds}
			}
			// Written so that the first round, with no temperature yet, counts.
			if change := math.Abs(celsius - warm.Celsius[i]); !(change <= most) {
				worst, most = i, change
			}
			warm.Ohm[i], warm.Celsius[i] = ohm, celsius
			n.SetOhm(e, ohm)
		}
		if worst < 0 || most <= 0.001 {
			return warm, nil
		}
		if warm.Rounds == warmRounds {
			e := elems[worst]
			return warm, &Runaway{Name: n.elems[e].name, Elem: e, Celsius: warm.Celsius[worst], Rounds: warm.Rounds}
		}
	}
}
