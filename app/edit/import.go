package edit

import (
	"fmt"
	"slices"

	"keyon/model/design"
	"keyon/model/fault"
	"keyon/model/finding"
	"keyon/model/settle"
	"keyon/num/quantity"
	"keyon/store/project"
	"keyon/store/workbook"
)

// Preview is an import that has not happened: what it would change, and what
// there is to say about it.
type Preview struct {
	*Changes
	Book     *design.Book      // the car as it would be
	Findings []finding.Verdict // of reading the sheets, then of their cells
	From     string            // name of the file

	ref     func(settle.Cell) string
	changes []project.Change
	columns []project.ForeignColumn
	stops   int // findings that forbid taking it
}

// Ref is where a cell of a finding was read; empty for one that was not.
func (p *Preview) Ref(cell settle.Cell) string {
	if p.ref == nil {
		return ""
	}
	return p.ref(cell)
}

// Read reads a workbook or a folder of CSV files for this car: true numbers of
// a workbook that names no decimal mark get the car's.
func (c *Car) Read(path string) (*workbook.Reading, error) {
	return workbook.ReadPathIn(path, c.decimal())
}

func (c *Car) decimal() quantity.Decimal {
	c.mu.Lock()
	defer c.mu.Unlock()
	b := design.NewBook()
	*b.Sheet("Car") = *c.book.Sheet("Car")
	return design.Read(b).Car.Units.Decimal
}

// Import shows what a workbook would change. Tables and columns that the
// workbook lacks stay as they are; rows it lacks of a table that it has would
// be removed.
func (c *Car) Import(r *workbook.Reading) *Preview {
	c.mu.Lock()
	defer c.mu.Unlock()
	p := &Preview{From: r.File, ref: r.Ref, Findings: slices.Clone(r.Findings)}
	for _, v := range r.Findings {
		if v.Severity() == finding.Stop {
			p.stops++
		}
	}
	has := func(table, column string) bool {
		if column == "" {
			return r.Has(table)
		}
		return r.HasColumn(table, column)
	}
	p.Changes = DiffBooks(c.book, r.Book, has)
	p.merge(c.book, r.Book)
	p.Findings = append(p.Findings, design.Read(p.Book).Findings...)
	return p
}

// merge makes the book as it would be, and the changes that lead there.
func (p *Preview) merge(old, is *design.Book) {
	p.Book = old.Clone()
	for i := range is.Sheets {
		from, to := &is.Sheets[i], p.Book.Sheet(is.Sheets[i].Table.Name)
		for _, e := range from.Extra {
			if !slices.Contains(to.Extra, e) {
				to.Extra = append(to.Extra, e)
				p.columns = append(p.columns, project.ForeignColumn{Table: to.Table.Name, Name: e})
			}
		}
	}
	removed := map[place]bool{}
	for _, r := range p.Rows {
		to := p.Book.Sheet(r.Table)
		ch := project.Change{Table: r.Table, Row: r.UID}
		if r.Kind == Removed {
			removed[place{r.Table, r.UID}] = true
			ch.Was = project.RowOf(to, r.old)
			p.changes = append(p.changes, ch)
			continue
		}
		if r.Kind == Added {
			r.old = len(to.Rows)
			to.Rows = append(to.Rows, design.Row{UID: r.UID, Cells: make([]design.Cell, len(to.Table.Columns))})
		}
		row := &to.Rows[r.old]
		row.At = r.At
		for _, cell := range r.Cells {
			if cell.Foreign {
				for len(row.Extra) < len(to.Extra) {
					row.Extra = append(row.Extra, "")
				}
				row.Extra[slices.Index(to.Extra, cell.Column)] = cell.New.Text
			} else {
				row.Cells[to.Table.Index(cell.Column)] = cell.New
			}
			if r.Kind == Changed {
				p.changes = append(p.changes, project.Change{Table: r.Table, Row: r.UID, Column: cell.Column, Foreign: cell.Foreign, Old: cell.Old, New: cell.New})
			}
		}
		if r.Kind == Added {
			ch.Is = project.RowOf(to, r.old)
			p.changes = append(p.changes, ch)
		}
	}
	for i := range p.Book.Sheets {
		s := &p.Book.Sheets[i]
		s.Rows = slices.DeleteFunc(s.Rows, func(r design.Row) bool { return removed[place{s.Table.Name, r.UID}] })
	}
}

// Take does what a preview showed, as one edit. It is refused where a sheet
// could not be read, or where the car has moved on since.
func (c *Car) Take(p *Preview, by By) error { return c.take(p, nil, by) }

func (c *Car) take(p *Preview, memory *project.Memory, by By) error {
	if p.stops > 0 {
		return fault.New(fault.Invalid, "mend what the findings name and import again", fmt.Errorf("import %s: %d findings stop it; nothing was changed", p.From, p.stops))
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	if len(p.changes) == 0 {
		return nil
	}
	return c.apply(project.Group{Who: by.Who, When: by.When, What: "import " + p.From, Columns: p.columns, Memory: memory}, p.changes)
}
