package project

import (
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"keyon/model/design"
	"keyon/model/fault"
)

const timeFormat = time.RFC3339Nano

// Apply makes the changes in one transaction, all or none, and gives the
// number of their group. A change that doesn't find what it replaces is a
// Clash, of kind fault.Conflict.
func (p *Project) Apply(g Group, changes []Change) (int64, error) {
	if len(changes) == 0 {
		return 0, fault.New(fault.Invalid, "", errors.New("an edit without changes"))
	}
	for _, c := range changes {
		if err := c.check(); err != nil {
			return 0, err
		}
	}
	err := p.within(func(tx *sql.Tx) error {
		w, err := newWriter(tx)
		if err != nil {
			return err
		}
		defer w.close()
		if g.ID, err = w.group(g); err != nil {
			return err
		}
		if g.Memory != nil {
			if err := g.Memory.write(tx); err != nil {
				return err
			}
		}
		for _, c := range g.Columns {
			if err := w.addColumns(c.Table, []string{c.Name}); err != nil {
				return err
			}
		}
		for _, c := range changes {
			if err := w.change(g.ID, c); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		if clash, ok := errors.AsType[*Clash](err); ok {
			return 0, fault.New(fault.Conflict, "look at it again and repeat the edit if it is still wanted", clash)
		}
		return 0, fmt.Errorf("write to project %s: %w", p.Path, err)
	}
	return g.ID, nil
}

// writer holds the statements of one transaction.
type writer struct {
	tx                                *sql.Tx
	get, add, put, del, note, foreign *sql.Stmt
	columns                           map[string][]string // foreign columns by table
	last                              map[string]int64    // last position by table
}

func newWriter(tx *sql.Tx) (*writer, error) {
	w := &writer{tx: tx, columns: map[string][]string{}, last: map[string]int64{}}
	for _, s := range []struct {
		into *(*sql.Stmt)
		text string
	}{
		{&w.get, "SELECT position, cells, extra FROM row WHERE tbl = ? AND uid = ?"},
		{&w.add, "INSERT INTO row (tbl, uid, position, cells, extra) VALUES (?, ?, ?, ?, ?) ON CONFLICT DO NOTHING"},
		{&w.put, "UPDATE row SET position = ?3, cells = ?4, extra = ?5 WHERE tbl = ?1 AND uid = ?2"},
		{&w.del, "DELETE FROM row WHERE tbl = ? AND uid = ?"},
		{&w.note, "INSERT INTO history (edit, kind, tbl, uid, col, old, new) VALUES (?, ?, ?, ?, ?, ?, ?)"},
		{&w.foreign, "INSERT INTO foreign_column (tbl, position, name) VALUES (?, ?, ?)"},
	} {
		st, err := tx.Prepare(s.text)
		if err != nil {
			return nil, err
		}
		*s.into = st
	}
	rows, err := tx.Query("SELECT tbl, name FROM foreign_column ORDER BY tbl, position")
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var t, n string
		if err := rows.Scan(&t, &n); err != nil {
			return nil, err
		}
		w.columns[t] = append(w.columns[t], n)
	}
	return w, rows.Err()
}

func (w *writer) close() {
	for _, s := range []*sql.Stmt{w.get, w.add, w.put, w.del, w.note, w.foreign} {
		s.Close()
	}
}

func (w *writer) group(g Group) (int64, error) {
	var undoes *int64
	if g.Undoes != 0 {
		undoes = &g.Undoes
	}
	r, err := w.tx.Exec("INSERT INTO edit (who, at, what, undoes) VALUES (?, ?, ?, ?)", g.Who, g.When.UTC().Format(timeFormat), g.What, undoes)
	if err != nil {
		return 0, err
	}
	return r.LastInsertId()
}

// row reads a row of the file; nil where there is none.
func (w *writer) row(table, uid string) (*Row, error) {
	var position int64
	var cells string
	var extra *string
	err := w.get.QueryRow(table, uid).Scan(&position, &cells, &extra)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	return parseRow(position, cells, extra, w.columns[table])
}

func parseRow(position int64, cells string, extra *string, columns []string) (*Row, error) {
	var m map[string]cellJSON
	if err := json.Unmarshal([]byte(cells), &m); err != nil {
		return nil, fault.New(fault.Corrupt, "", err)
	}
	r := &Row{position, fromJSON(m), map[string]string{}}
	if extra != nil {
		var texts []string
		if err := json.Unmarshal([]byte(*extra), &texts); err != nil {
			return nil, fault.New(fault.Corrupt, "", err)
		}
		if len(texts) > len(columns) {
			return nil, fault.New(fault.Corrupt, "", errors.New("a row has more foreign cells than its table has foreign columns"))
		}
		for i, t := range texts {
			if t != "" {
				r.Extra[columns[i]] = t
			}
		}
	}
	return r, nil
}

// store writes a row by one of the statements add and put, and tells whether
// it did; foreign columns it has and the file lacks are appended.
func (w *writer) store(by *sql.Stmt, table, uid string, r *Row) (bool, error) {
	cells, err := encode(toJSON(r.Cells))
	if err != nil {
		return false, err
	}
	if err := w.need(table, r.Extra); err != nil {
		return false, err
	}
	extra, err := w.extra(table, r.Extra)
	if err != nil {
		return false, err
	}
	done, err := by.Exec(table, uid, r.Position, string(cells), extra)
	if err != nil {
		return false, err
	}
	n, err := done.RowsAffected()
	return n == 1, err
}

func (w *writer) extra(table string, texts map[string]string) (*string, error) {
	var list []string
	for i, c := range w.columns[table] {
		if t := texts[c]; t != "" {
			for len(list) < i {
				list = append(list, "")
			}
			list = append(list, t)
		}
	}
	if list == nil {
		return nil, nil
	}
	b, err := encode(list)
	s := string(b)
	return &s, err
}

func (w *writer) end(table string) (int64, error) {
	last, ok := w.last[table]
	if !ok {
		if err := w.tx.QueryRow("SELECT coalesce(max(position), 0) FROM row WHERE tbl = ?", table).Scan(&last); err != nil {
			return 0, err
		}
	}
	w.last[table] = last + 1
	return last + 1, nil
}

func (w *writer) change(group int64, c Change) error {
	if c.Whole() {
		return w.whole(group, c)
	}
	now, err := w.row(c.Table, c.Row)
	if err != nil {
		return err
	}
	if now == nil {
		return &Clash{Change: c, Gone: true}
	}
	kind := "cell"
	holds := now.Cells[c.Column]
	if c.Foreign {
		kind, holds, c.New.Unit = "foreign", design.Cell{Text: now.Extra[c.Column]}, ""
	}
	if holds != c.Old {
		return &Clash{Change: c, Holds: holds.String()}
	}
	if c.New.Text == "" {
		c.New.Unit = ""
	}
	if c.Foreign {
		set(now.Extra, c.Column, c.New.Text, c.New.Text == "")
	} else {
		set(now.Cells, c.Column, c.New, c.New.Text == "")
	}
	if _, err := w.store(w.put, c.Table, c.Row, now); err != nil {
		return err
	}
	old, err := cellText(c.Old)
	if err != nil {
		return err
	}
	to, err := cellText(c.New)
	if err != nil {
		return err
	}
	_, err = w.note.Exec(group, kind, c.Table, c.Row, c.Column, old, to)
	return err
}

// whole adds, removes or replaces a row.
func (w *writer) whole(group int64, c Change) error {
	c.Was, c.Is = c.Was.tidy(), c.Is.tidy()
	var now *Row
	if c.Was != nil {
		var err error
		if now, err = w.row(c.Table, c.Row); err != nil {
			return err
		}
		if now == nil {
			return &Clash{Change: c, Gone: true}
		}
		if !same(now, c.Was) {
			return &Clash{Change: c}
		}
	}
	if c.Is == nil {
		if _, err := w.del.Exec(c.Table, c.Row); err != nil {
			return err
		}
	} else {
		is, by := c.Is, w.put
		if now != nil {
			is.Position = now.Position
		} else {
			by = w.add
			if is.Position == 0 {
				var err error
				if is.Position, err = w.end(c.Table); err != nil {
					return err
				}
			}
		}
		if done, err := w.store(by, c.Table, c.Row, is); err != nil {
			return err
		} else if !done {
			return &Clash{Change: c, Gone: true}
		}
	}
	old, err := rowText(now)
	if err != nil {
		return err
	}
	to, err := rowText(c.Is)
	if err != nil {
		return err
	}
	_, err = w.note.Exec(group, "row", c.Table, c.Row, "", old, to)
	return err
}
