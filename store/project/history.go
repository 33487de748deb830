package project

import (
	"database/sql"
	"fmt"
	"time"
)

// Groups lists the edits of one person, or of all where who is empty, oldest
// first.
func (p *Project) Groups(who string) ([]Group, error) {
	rows, err := p.db.Query("SELECT id, who, at, what, coalesce(undoes, 0) FROM edit WHERE ?1 = '' OR who = ?1 ORDER BY id", who)
	if err != nil {
		return nil, fmt.Errorf("read history of %s: %w", p.Path, damage(err))
	}
	defer rows.Close()
	var out []Group
	for rows.Next() {
		var g Group
		var at string
		if err := rows.Scan(&g.ID, &g.Who, &at, &g.What, &g.Undoes); err != nil {
			return nil, err
		}
		if g.When, err = time.Parse(timeFormat, at); err != nil {
			return nil, fmt.Errorf("read history of %s: %w", p.Path, err)
		}
		out = append(out, g)
	}
	return out, rows.Err()
}

// Entry is a change with the group it belongs to.
type Entry struct {
	Group  Group
	Change Change
}

// History lists changes, newest first, at most n. Table, row and column
// narrow it where they are not empty; a whole row's coming and going counts
// for each of its columns.
func (p *Project) History(table, row, column string, n int) ([]Entry, error) {
	return p.entries(`SELECT h.kind, h.tbl, h.uid, h.col, h.old, h.new, e.id, e.who, e.at, e.what, coalesce(e.undoes, 0)
		FROM history h JOIN edit e ON e.id = h.edit
		WHERE (?1 = '' OR h.tbl = ?1) AND (?2 = '' OR h.uid = ?2) AND (?3 = '' OR h.col = ?3 OR h.kind = 'row')
		ORDER BY h.id DESC LIMIT ?4`, table, row, column, n)
}

// Changes lists the changes of a group in the order they were made, at most n
// of them (all where n is below zero), and tells how many there are.
func (p *Project) Changes(group int64, n int) ([]Change, int, error) {
	es, err := p.entries(`SELECT h.kind, h.tbl, h.uid, h.col, h.old, h.new, e.id, e.who, e.at, e.what, coalesce(e.undoes, 0)
		FROM history h JOIN edit e ON e.id = h.edit WHERE e.id = ? ORDER BY h.id LIMIT ?`, group, n)
	if err != nil {
		return nil, 0, err
	}
	out := make([]Change, len(es))
	for i, e := range es {
		out[i] = e.Change
	}
	count := 0
	err = p.db.QueryRow("SELECT count(*) FROM history WHERE edit = ?", group).Scan(&count)
	return out, count, damage(err)
}

func (p *Project) entries(query string, args ...any) ([]Entry, error) {
	rows, err := p.db.Query(query, args...)
	if err != nil {
		return nil, fmt.Errorf("read history of %s: %w", p.Path, damage(err))
	}
	defer rows.Close()
	var out []Entry
	for rows.Next() {
		var e Entry
		var at string
		if e.Change, err = scanChange(rows, &e.Group.ID, &e.Group.Who, &at, &e.Group.What, &e.Group.Undoes); err != nil {
			return nil, fmt.Errorf("read history of %s: %w", p.Path, err)
		}
		if e.Group.When, err = time.Parse(timeFormat, at); err != nil {
			return nil, fmt.Errorf("read history of %s: %w", p.Path, err)
		}
		out = append(out, e)
	}
	return out, rows.Err()
}

// scanChange reads kind, tbl, uid, col, old, new and whatever follows them.
func scanChange(rows *sql.Rows, more ...any) (Change, error) {
	var c Change
	var kind string
	var from, to *string
	if err := rows.Scan(append([]any{&kind, &c.Table, &c.Row, &c.Column, &from, &to}, more...)...); err != nil {
		return c, err
	}
	var err error
	if kind == "row" {
		if c.Was, err = textRow(from); err == nil {
			c.Is, err = textRow(to)
		}
		return c, err
	}
	c.Foreign = kind == "foreign"
	if c.Old, err = textCell(from); err == nil {
		c.New, err = textCell(to)
	}
	return c, err
}
