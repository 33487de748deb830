// Package sums answers one-off questions without a car: wire, bundle. The
// command line and the page ask the same functions, and the laws are those
// the stages use.
package sums

import (
	"fmt"

	"keyon/model/fault"
	"keyon/model/settle"
	"keyon/num/quantity"
)

// Version of the JSON answers.
const Version = 1

// Reasons are the steps of a sum, each repeatable by hand.
type Reasons []string

func (r *Reasons) add(x settle.Reason) { *r = append(*r, x.String()) }

// ask reads one quantity of a question.
func ask(name, text string, d quantity.Dim, unit string) (float64, error) {
	v, err := quantity.Parse(text, d, unit, quantity.Auto)
	if err != nil {
		return 0, fault.New(fault.Usage, "write "+d.String()+" such as "+example[d], fmt.Errorf("%s %q: %w", name, text, err))
	}
	return v, nil
}

var example = map[quantity.Dim]string{quantity.LengthDim: "5m, 350mm, 12ft or 20in", quantity.AmpereDim: "20A", quantity.VoltDim: "0.5V", quantity.CelsiusDim: "50C or 122F", quantity.ShareDim: "60% or 0.6", quantity.Number: "8"}
