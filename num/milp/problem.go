// Package milp solves small optimisation problems in whole numbers to a proven
// optimum: pins, cavities, gauges, cutting stock.
//
// It decides the value of every variable so that all rows hold and the sum of
// costs is least, and it always says how good its answer is: the best found and
// a bound that no answer can beat. It takes for granted that costs are whole
// numbers, that every variable has two finite bounds, and that a row is kept
// when it is kept within Slack. Searches stop on a counted budget. What the
// variables mean is for the caller.
package milp

import (
	"fmt"
	"math"
)

// Slack is how far a row's sum may be off, in parts of its largest coefficient or
// right-hand side, because sums of fractions are rounded.
const Slack = 1e-9

// Kind is the sense of a row.
type Kind uint8

// Kinds of rows.
const (
	AtMost Kind = iota
	AtLeast
	Equal
)

// Term is a coefficient times a variable.
type Term struct {
	Var  int
	Coef float64
}

// Problem is a set of variables and rows. The zero Problem is empty and ready
// for use.
type Problem struct {
	names  []string
	cost   []int64
	lo, hi []int64
	rows   []row
}

type row struct {
	kind  Kind
	rhs   float64
	terms []Term  // each variable once, none zero
	tol   float64 // by how much the sum may be off
}

// Var adds a variable that is 0 or 1 and returns its number, counted from 0.
func (p *Problem) Var(name string, cost int64) int { return p.Int(name, cost, 0, 1) }

// Int adds a variable with whole values from lo to hi, which are at most 2⁵² in
// size. With lo above hi the problem is infeasible.
func (p *Problem) Int(name string, cost, lo, hi int64) int {
	const most = 1 << 52
	if lo < -most || hi > most || cost < -most || cost > most {
		panic(fmt.Sprintf("milp: variable %s with cost %d and bounds %d to %d is beyond ±2^52", name, cost, lo, hi))
	}
	p.names = append(p.names, name)
	p.cost = append(p.cost, cost)
	p.lo = append(p.lo, lo)
	p.hi = append(p.hi, hi)
	return len(p.names) - 1
}

// Row adds a row: the sum of the terms is at most, at least or equal to rhs. A
// variable may stand in several terms. A term of no variable of p, or a number
// that is none, is a mistake of the caller and panics.
func (p *Problem) Row(kind Kind, rhs float64, terms ...Term) {
	bad := math.IsNaN(rhs) || math.IsInf(rhs, 0)
	sum := make(map[int]float64, len(terms)) // looked up only
	for _, t := range terms {
		if t.Var < 0 || t.Var >= len(p.names) {
			panic(fmt.Sprintf("milp: row with variable %d of %d", t.Var, len(p.names)))
		}
		bad = bad || math.IsNaN(t.Coef) || math.IsInf(t.Coef, 0)
		sum[t.Var] += t.Coef
	}
	if bad {
		panic("milp: row with a coefficient that is no number")
	}
	r := row{kind: kind, rhs: rhs, tol: Slack * math.Abs(rhs)}
	for _, t := range terms {
		if c := sum[t.Var]; c != 0 {
			r.terms = append(r.terms, Term{t.Var, c})
			r.tol = max(r.tol, Slack*math.Abs(c))
			sum[t.Var] = 0
		}
	}
	p.rows = append(p.rows, r)
}

// Name returns the name of a variable.
func (p *Problem) Name(v int) string { return p.names[v] }

// Vars returns how many variables there are.
func (p *Problem) Vars() int { return len(p.names) }

// Status says what a result is worth.
type Status uint8

// Statuses. Optimal is proven. Feasible is the best found when the budget ended,
// Unknown is a budget that ended before any answer was found.
const (
	Optimal Status = iota
	Feasible
	Infeasible
	Unknown
)

func (s Status) String() string {
	return [...]string{"optimal", "feasible", "infeasible", "unknown"}[s]
}

// Result is what Solve found.
type Result struct {
	Status Status
	X      []int64 // value of each variable; nil where Infeasible or Unknown
	Cost   int64   // of X
	Bound  int64   // no answer costs less; equal to Cost where Optimal
	Work   int     // pivots of the simplex method and nodes of the tree
}

// hold says whether rows hold for whole values x.
func hold(rows []row, x []float64) bool {
	for i := range rows {
		r := &rows[i]
		sum := -r.rhs
		for _, t := range r.terms {
			sum += t.Coef * x[t.Var]
		}
		if r.kind != AtLeast && sum > r.tol || r.kind != AtMost && sum < -r.tol {
			return false
		}
	}
	return true
}
