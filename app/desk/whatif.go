package desk

import (
	"errors"
	"fmt"
	"strings"

	"keyon/app/build"
	"keyon/app/edit"
	"keyon/app/open"
	"keyon/app/report"
	"keyon/model/fault"
	"keyon/model/part"
	"keyon/model/settle"
	"keyon/num/quantity"
)

// Try is a change on paper: an assembly moved, or one cell changed.
type Try struct {
	Assembly string
	By       [3]string // rearward, to the right, up; as typed
	Cell     settle.Cell
	Text     string
}

// Answer is what would follow.
type Answer struct {
	Try    Try
	What   string // in words, for the history
	Saw    string // the design it was worked out from
	Before Counts
	After  Counts
	*report.Diff
}

// WhatIf works out what would change. Nothing is written.
func (k *Desk) WhatIf(t Try) (*Answer, error) {
	v := k.Fresh(freshFor)
	if !v.Whole() {
		return nil, fault.New(fault.Conflict, "try again in a moment", errEarly)
	}
	writes, what, err := v.try(t)
	if err != nil {
		return nil, err
	}
	car := &open.Car{Path: v.Path, Book: v.Book, Design: v.Design, Catalogue: part.Embedded(), Cell: v.CellName()}
	car = car.With(writes)
	k.trying.Lock()
	defer k.trying.Unlock()
	if k.trialMem == nil {
		k.trialMem = build.NewMemory()
	}
	p, err := k.run(car.Design, car.Catalogue, k.trialMem)
	if err != nil {
		return nil, err
	}
	n := &View{Path: v.Path, Book: car.Book, Design: car.Design, Plan: p}
	n.Catalogue, _ = part.Embedded().With(n.Design)
	return &Answer{Try: t, What: what, Saw: v.Design.Hash, Before: v.Counts(""), After: n.Counts(""), Diff: report.Compare(v.Report(), n.Report())}, nil
}

// Keep does what a WhatIf showed, unless the car has changed since.
func (k *Desk) Keep(t Try, saw, who string) (Done, error) {
	v := k.Fresh(freshFor)
	if v.Design.Hash != saw {
		return Done{}, fault.New(fault.Conflict, "look at the answer again: it is worked out anew", errors.New("the car has changed since"))
	}
	writes, what, err := v.try(t)
	if err != nil {
		return Done{}, err
	}
	k.editing.Lock()
	defer k.editing.Unlock()
	return k.do(what, writes, nil, who)
}

// try turns a Try into writes.
func (v *View) try(t Try) ([]edit.Write, string, error) {
	if t.Assembly == "" {
		_, row := v.row(t.Cell.Table, t.Cell.Row)
		cell, ok := v.Find(t.Cell)
		switch {
		case !ok:
			return nil, "", fault.New(fault.NotFound, "choose the cell in its table", errGone)
		case row == nil:
			return nil, "", fault.New(fault.Invalid, "give a value in its row first", errors.New("only the plan has this row"))
		}
		return []edit.Write{{Cell: t.Cell, Saw: cell.Text, Text: t.Text}}, "try " + v.CellName()(t.Cell), nil
	}
	unit := "mm"
	if v.Design.Car.Units.Inches {
		unit = "in"
	}
	var by [3]quantity.Length
	for i, text := range t.By {
		if strings.TrimSpace(text) == "" {
			continue
		}
		x, err := quantity.Parse(text, quantity.LengthDim, unit, v.Design.Car.Units.Decimal)
		if err != nil {
			return nil, "", fault.New(fault.Usage, "write lengths such as 20, 20 mm or -1.5 in", fmt.Errorf("%s: %w", text, err))
		}
		by[i] = quantity.Length(x)
	}
	writes, err := edit.Move(v.Book, v.Design, t.Assembly, by)
	if err == nil && len(writes) == 0 {
		err = fault.New(fault.Invalid, "say how far, and give its places coordinates", fmt.Errorf("nothing of %s moves", t.Assembly))
	}
	return writes, "move " + t.Assembly, err
}
