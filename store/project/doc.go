// Package project keeps a car in one SQLite file: the tables as typed text,
// their history, the parts in use, frozen revisions, and plans that may be
// thrown away.
//
// It decides what is on the disk and when: an edit is one transaction, and
// once Apply returns it survives a killed process and a pulled plug. Each
// change names the text it replaces and is refused where that is no longer
// there. Who may edit and what an edit means is left to app/edit, the only
// caller that writes. Time and names come in as parameters.
package project

import (
	"fmt"
	"time"

	"keyon/model/design"
)

// Group is what one person did at one moment: one line of the history.
// Columns and Memory are written with it and don't come back with it.
type Group struct {
	ID     int64
	Who    string
	When   time.Time
	What   string // a few words: "cell", "import tern.xlsx"
	Undoes int64  // the group it takes back, or 0

	Columns []ForeignColumn // to be there after it, in this order behind those that are
	Memory  *Memory         // how a foreign table was read, remembered with the edit
}

// ForeignColumn is a column of a table that the program doesn't know.
type ForeignColumn struct{ Table, Name string }

// Change is one change of a book: of a cell, of a cell in a foreign column,
// or of a whole row.
type Change struct {
	Table   string
	Row     string // UID
	Column  string // "" for a whole row
	Foreign bool   // Column is a foreign one; the cells have no unit
	Old     design.Cell
	New     design.Cell
	Was     *Row // of a whole row: nil where it is added
	Is      *Row // nil where it is removed
}

// Row is a whole row with its place among the others.
type Row struct {
	Position int64 // 0: after the last
	Cells    map[string]design.Cell
	Extra    map[string]string // by name of the foreign column
}

// Whole reports whether the change is of a whole row.
func (c Change) Whole() bool { return c.Column == "" }

// Inverse takes the change back.
func (c Change) Inverse() Change {
	c.Old, c.New, c.Was, c.Is = c.New, c.Old, c.Is, c.Was
	return c
}

// Clash says that something no longer holds what an edit saw.
type Clash struct {
	Change Change
	Holds  string // what the cell holds
	Gone   bool   // the row is not there, or is there already where one was to be added
}

func (c *Clash) Error() string {
	where := fmt.Sprintf("%s row %s", c.Change.Table, c.Change.Row)
	switch {
	case c.Gone && c.Change.Was == nil && c.Change.Whole():
		return where + " is there already"
	case c.Gone:
		return where + " is not there any more"
	case c.Change.Whole():
		return where + " has been edited meanwhile"
	}
	return fmt.Sprintf("%s column %s holds %q, not %q as when it was last seen", where, c.Change.Column, c.Holds, c.Change.Old)
}

// RowOf makes the Row of a book's row.
func RowOf(s *design.Sheet, i int) *Row {
	r := &s.Rows[i]
	out := &Row{Cells: map[string]design.Cell{}, Extra: map[string]string{}}
	for c, cell := range r.Cells {
		if cell.Text != "" {
			out.Cells[s.Table.Columns[c].Name] = cell
		}
	}
	for c, text := range r.Extra {
		if text != "" && c < len(s.Extra) {
			out.Extra[s.Extra[c]] = text
		}
	}
	return out
}
