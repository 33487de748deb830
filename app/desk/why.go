package desk

import (
	"cmp"
	"errors"
	"time"

	"keyon/app/report"
	"keyon/model/fault"
	"keyon/model/settle"
)

// freshFor is how long an edit that depends on the plan waits for it.
const freshFor = 10 * time.Second

var (
	errGone  = errors.New("the cell is gone")
	errEarly = errors.New("the plan is not there yet")
)

// CellMoment is one edit of a cell.
type CellMoment struct {
	Who      string
	When     time.Time
	What     string
	Old, New string
}

// Why is all that is known about one cell.
type Why struct {
	Cell   settle.Cell
	Name   string // "Circuits FUEL PUMP / gauge"
	Help   string // of the column
	Text   string // as typed
	State  string
	Shown  string
	Reason string // of a value that was not typed
	Signs  []Finding
	Thing  string // with Field: what Chain explains further
	Field  string
}

// Why explains a cell.
func (v *View) Why(at settle.Cell) (*Why, error) {
	cell, ok := v.Find(at)
	if !ok {
		return nil, fault.New(fault.NotFound, "look at the table again", errGone)
	}
	w := &Why{Cell: at, Name: v.CellName()(at), Text: cell.Text, State: cell.State, Shown: cell.Shown}
	for _, c := range v.Sheet(at.Table).Columns {
		if c.Name == at.Column {
			w.Help = c.Help
		}
	}
	if s, ok := v.worked(at.Table).cells[at]; ok {
		if s.reason != nil {
			w.Reason = s.reason()
		}
		w.Thing, w.Field = s.thing, s.field
		w.Shown = cmp.Or(w.Shown, s.shown)
	}
	for _, f := range v.Opened() {
		if f.Cell == at {
			w.Signs = append(w.Signs, f)
		}
	}
	return w, nil
}

// Chain is the chain of reasons of a field of a thing, down to the sources.
func (v *View) Chain(thing, field string) (*report.Why, error) {
	if v.Plan == nil {
		return nil, fault.New(fault.Conflict, "try again in a moment", errEarly)
	}
	y, err := report.WhyOf(v.Report(), thing, field)
	if err != nil {
		return nil, fault.New(fault.NotFound, "", err)
	}
	return y, nil
}
