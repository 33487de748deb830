// Package edit changes projects and is the only one that does: single cells,
// blocks, rows, whole workbooks, foreign tables, and all of it back again.
//
// Every edit names the text it saw and is refused where something else stands
// there, so two people can work on one car. Each is one transaction and on the
// disk when it returns. Who and when come in as parameters. What an edit
// means for the plan is left to app/build.
package edit

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"
	"time"

	"keyon/model/design"
	"keyon/model/fault"
	"keyon/model/settle"
	"keyon/store/project"
)

// By is who edits, and when.
type By struct {
	Who  string
	When time.Time
}

// Car is an open project with its book in memory. Its methods may be called
// from several goroutines.
type Car struct {
	file  *project.Project
	mu    sync.Mutex
	book  *design.Book
	at    map[place]int // index of a row in its sheet
	stamp int64         // of the file when the book was read
}

type place struct{ table, row string }

// Open opens a project file.
func Open(path string) (*Car, error) { return with(project.Open(path)) }

// Create makes a project file, which must not exist, and opens it.
func Create(path string) (*Car, error) { return with(project.Create(path)) }

func with(p *project.Project, err error) (*Car, error) {
	if err != nil {
		return nil, err
	}
	c := &Car{file: p}
	if err := c.load(); err != nil {
		p.Close()
		return nil, err
	}
	return c, nil
}

// Close closes the file.
func (c *Car) Close() error { return c.file.Close() }

// File is the project file, for what only reads it: history, verify, backup,
// parts, revisions, plans.
func (c *Car) File() *project.Project { return c.file }

// Book is the present book. It is a copy that later edits don't touch.
func (c *Car) Book() *design.Book {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.book.Clone()
}

// Refresh reads the book again if another program has written to the file
// since, and tells whether one has.
func (c *Car) Refresh() (bool, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	v, err := c.file.Stamp()
	if err != nil || v == c.stamp {
		return false, err
	}
	return true, c.load()
}

func (c *Car) load() error {
	v, err := c.file.Stamp()
	if err != nil {
		return err
	}

	b, err := c.file.Load()
	if err != nil {
		return err
	}
	c.book, c.stamp = b, v
	c.index()
	return nil
}

func (c *Car) index() {
	c.at = map[place]int{}
	for i := range c.book.Sheets {
		s := &c.book.Sheets[i]
		for r := range s.Rows {
			c.at[place{s.Table.Name, s.Rows[r].UID}] = r
		}
	}
}

// Write is one cell to be changed. Saw is the text that stood there when the
// person looked, with or without the unit of its heading.
type Write struct {
	Cell settle.Cell
	Saw  string
	Text string
}

// Set changes one cell.
func (c *Car) Set(cell settle.Cell, saw, text string, by By) error {
	return c.Paste("cell", []Write{{cell, saw, text}}, by)
}

// Paste changes a block of cells as one edit: all, or none where one of them
// has moved on. Cells that hold the text already are left alone.
func (c *Car) Paste(what string, block []Write, by By) error {
	_, err := c.Block(what, block, nil, by)
	return err
}

// writes makes changes of a block; a cell may be in it more than once.
func (c *Car) writes(block []Write) ([]project.Change, error) {
	held := map[settle.Cell]design.Cell{}
	var changes []project.Change
	for _, w := range block {
		old, foreign, err := c.cell(w.Cell)
		if err != nil {
			return nil, err
		}
		if h, ok := held[w.Cell]; ok {
			old = h
		} else if w.Saw != old.Text && w.Saw != old.String() {
			return nil, fault.New(fault.Conflict, "look at it again and repeat the edit if it is still wanted",
				&Moved{Cell: w.Cell, Saw: w.Saw, Holds: old.String(), Text: w.Text})
		}
		is := design.Cell{Text: strings.ToValidUTF8(w.Text, "\uFFFD")}
		if is.Text == old.String() { // the unit of the heading stays
			is = old
		}
		held[w.Cell] = is
		if is != old {
			changes = append(changes, project.Change{Table: w.Cell.Table, Row: w.Cell.Row, Column: w.Cell.Column, Foreign: foreign, Old: old, New: is})
		}
	}
	return changes, nil
}

// Moved says that a cell no longer holds what the person saw.
type Moved struct {
	Cell             settle.Cell
	Saw, Holds, Text string
}

func (m *Moved) Error() string {
	return fmt.Sprintf("%s column %s holds %q, not %q as you saw it; %q was not written", m.Cell.Table, m.Cell.Column, m.Holds, m.Saw, m.Text)
}

// cell finds a cell of the book.
func (c *Car) cell(at settle.Cell) (cell design.Cell, foreign bool, err error) {
	s := c.book.Sheet(at.Table)
	if s == nil {
		return cell, false, fault.New(fault.Invalid, "", fmt.Errorf("there is no table %q", at.Table))
	}
	r, ok := c.at[place{at.Table, at.Row}]
	if !ok {
		return cell, false, fault.New(fault.Conflict, "look at the table again", fmt.Errorf("the row is not in %s any more", at.Table))
	}
	if i := s.Table.Index(at.Column); i >= 0 {
		if i < len(s.Rows[r].Cells) {
			cell = s.Rows[r].Cells[i]
		}
		return cell, false, nil
	}
	if i := slices.Index(s.Extra, at.Column); i >= 0 {
		if i < len(s.Rows[r].Extra) {
			cell.Text = s.Rows[r].Extra[i]
		}
		return cell, true, nil
	}
	return cell, false, fault.New(fault.Invalid, "", fmt.Errorf("%s has no column %q", at.Table, at.Column))
}

// NewRow is a row to be added: texts by column, foreign ones included.
type NewRow struct {
	Table string
	Cells map[string]string
}

// Add adds rows behind the others and gives their UIDs.
func (c *Car) Add(rows []NewRow, by By) ([]string, error) {
	return c.Block("add rows", nil, rows, by)
}

// Block changes cells and adds rows as one edit, as a pasted block does that
// is longer than its table. It gives the UIDs of the new rows.
func (c *Car) Block(what string, cells []Write, rows []NewRow, by By) ([]string, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	changes, err := c.writes(cells)
	if fault.Of(err) == fault.Conflict {
		// somebody may have written through another program: look again
		if lerr := c.load(); lerr != nil {
			return nil, lerr
		}
		changes, err = c.writes(cells)
	}
	if err != nil {
		return nil, err
	}
	uids, added, err := c.added(rows)
	if err != nil {
		return nil, err
	}
	if changes = append(changes, added...); len(changes) == 0 {
		return nil, nil
	}
	return uids, c.apply(project.Group{Who: by.Who, When: by.When, What: what}, changes)
}

// added makes changes of new rows.
func (c *Car) added(rows []NewRow) ([]string, []project.Change, error) {
	if len(rows) == 0 {
		return nil, nil, nil
	}
	b := c.book.Clone()
	for _, n := range rows {
		s := b.Sheet(n.Table)
		if s == nil {
			return nil, nil, fault.New(fault.Invalid, "", fmt.Errorf("there is no table %q", n.Table))
		}
		r := design.Row{Cells: make([]design.Cell, len(s.Table.Columns)), Extra: make([]string, len(s.Extra))}
		blank := true
		for column, text := range n.Cells {
			text = strings.ToValidUTF8(text, "\uFFFD")
			blank = blank && text == ""
			if i := s.Table.Index(column); i >= 0 {
				r.Cells[i].Text = text
			} else if i := slices.Index(s.Extra, column); i >= 0 {
				r.Extra[i] = text
			} else {
				return nil, nil, fault.New(fault.Invalid, "", fmt.Errorf("%s has no column %q", n.Table, column))
			}
		}
		if blank {
			return nil, nil, fault.New(fault.Invalid, "fill in a cell", fmt.Errorf("a row of %s without any text", n.Table))
		}
		s.Rows = append(s.Rows, r)
	}
	// a row is told from rows alike by its text, so a row that was removed and
	// is added again gets its UID back, and with it its history
	b.Identify()
	counts := map[string]int{}
	for _, n := range rows {
		counts[n.Table]++
	}
	var changes []project.Change
	uids := make([]string, len(rows))
	for i, n := range rows {
		s := b.Sheet(n.Table)
		at := len(s.Rows) - counts[n.Table]
		counts[n.Table]--
		uids[i] = s.Rows[at].UID
		changes = append(changes, project.Change{Table: n.Table, Row: uids[i], Is: project.RowOf(s, at)})
	}
	return uids, changes, nil
}

// Delete removes rows. saw is the book the person looked at: a row that has
// been edited since is not removed, and then none is.
func (c *Car) Delete(saw *design.Book, table string, uids []string, by By) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	s := saw.Sheet(table)
	if s == nil {
		return fault.New(fault.Invalid, "", fmt.Errorf("there is no table %q", table))
	}
	var changes []project.Change
	for _, uid := range uids {
		i := slices.IndexFunc(s.Rows, func(r design.Row) bool { return r.UID == uid })
		if i < 0 {
			return fault.New(fault.Conflict, "look at the table again", fmt.Errorf("the row %s is not in %s", uid, table))
		}
		changes = append(changes, project.Change{Table: table, Row: uid, Was: project.RowOf(s, i)})
	}
	if len(changes) == 0 {
		return nil
	}
	return c.apply(project.Group{Who: by.Who, When: by.When, What: "delete rows"}, changes)
}

// apply writes changes to the file and, once they are there, to the book.
func (c *Car) apply(g project.Group, changes []project.Change) error {
	if strings.TrimSpace(g.Who) == "" {
		return fault.New(fault.Invalid, "say who edits", errors.New("an edit without a name"))
	}
	if _, err := c.file.Apply(g, changes); err != nil {
		if fault.Of(err) == fault.Conflict {
			err = errors.Join(err, c.load()) // another program wrote to the file
		}
		return err
	}
	if g.Columns != nil {
		return c.load()
	}
	removed := map[place]bool{}
	for _, ch := range changes {
		if ch.Is != nil && ch.Is.Position != 0 || ch.Was != nil && ch.Is != nil {
			return c.load() // a row comes back to its place
		}
		if ch.Is == nil && ch.Was != nil {
			removed[place{ch.Table, ch.Row}] = true
		}
	}
	for _, ch := range changes {
		s := c.book.Sheet(ch.Table)
		switch {
		case ch.Is != nil:
			c.at[place{ch.Table, ch.Row}] = len(s.Rows)
			r := design.Row{UID: ch.Row, Cells: make([]design.Cell, len(s.Table.Columns)), Extra: make([]string, len(s.Extra))}
			for i := range r.Cells {
				r.Cells[i] = ch.Is.Cells[s.Table.Columns[i].Name]
			}
			for i := range r.Extra {
				r.Extra[i] = ch.Is.Extra[s.Extra[i]]
			}
			s.Rows = append(s.Rows, r)
		case ch.Whole():
		case ch.Foreign:
			r := &s.Rows[c.at[place{ch.Table, ch.Row}]]
			r.Extra[slices.Index(s.Extra, ch.Column)] = ch.New.Text
		default:
			s.Rows[c.at[place{ch.Table, ch.Row}]].Cells[s.Table.Index(ch.Column)] = ch.New
		}
	}
	if len(removed) > 0 {
		for i := range c.book.Sheets {
			s := &c.book.Sheets[i]
			s.Rows = slices.DeleteFunc(s.Rows, func(r design.Row) bool { return removed[place{s.Table.Name, r.UID}] })
		}
		c.index()
	}
	return nil
}
