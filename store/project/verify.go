package project

import (
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"fmt"
	"slices"

	"keyon/model/design"
)

// Problem is something that is not as the program would have written it.
type Problem struct {
	What string
	Fix  string
}

// Verify checks the whole file: that the database is sound, that every row
// belongs to a known table and can be read, that replaying the history gives
// the text the cells hold, and that copied parts are what their hash says. An
// error means that it could not be checked at all.
func (p *Project) Verify() ([]Problem, error) {
	var out []Problem
	say := func(fix, format string, args ...any) {
		if len(out) < 100 {
			out = append(out, Problem{fmt.Sprintf(format, args...), fix})
		}
	}
	for _, c := range []func(say sayer) error{p.sound, p.readable, p.replays, p.parts} {
		if err := c(say); err != nil {
			if len(out) > 0 { // a damaged file breaks later checks too
				say("go back to a copy", "%v", err)
				break
			}
			return nil, fmt.Errorf("verify project %s: %w", p.Path, damage(err))
		}
	}
	return out, nil
}

type sayer func(fix, format string, args ...any)

// each calls f for every row of a query.
func (p *Project) each(query string, f func(*sql.Rows) error) error {
	rows, err := p.db.Query(query)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		if err := f(rows); err != nil {
			return err
		}
	}
	return rows.Err()
}

func (p *Project) sound(say sayer) error {
	if err := p.each("PRAGMA integrity_check(20)", func(r *sql.Rows) error {
		var s string
		err := r.Scan(&s)
		if s != "ok" {
			say("go back to a copy", "the database is damaged: %s", s)
		}
		return err
	}); err != nil {
		return err
	}
	return p.each("PRAGMA foreign_key_check", func(r *sql.Rows) error {
		var table, parent string
		var id, key any
		err := r.Scan(&table, &id, &parent, &key)
		say("go back to a copy", "a row of %s names a row of %s that is not there", table, parent)
		return err
	})
}

func (p *Project) readable(say sayer) error {
	columns, err := p.foreignColumns()
	if err != nil {
		return err
	}
	return p.each("SELECT tbl, uid, position, cells, extra FROM row ORDER BY tbl, position, uid", func(r *sql.Rows) error {
		var table, uid, cells string
		var position int64
		var extra *string
		if err := r.Scan(&table, &uid, &position, &cells, &extra); err != nil {
			return err
		}
		t := design.ByName(table)
		if t == nil {
			say("open it with the program that wrote it", "a row %s stands in the table %q, which is not known", uid, table)
			return nil
		}
		row, err := parseRow(position, cells, extra, columns[table])
		if err != nil {
			say("go back to a copy", "table %s row %s can't be read: %v", table, uid, err)
			return nil
		}
		if uid == "" {
			say("go back to a copy", "table %s has a row without a UID", table)
		}
		for _, c := range sortedKeys(row.Cells) {
			if t.Column(c) == nil {
				say("open it with the program that wrote it", "table %s row %s has a cell in the column %q, which is not known", table, uid, c)
			}
			if row.Cells[c].Text == "" {
				say("go back to a copy", "table %s row %s column %s is stored though it is blank", table, uid, c)
			}
		}
		return nil
	})
}

func (p *Project) foreignColumns() (map[string][]string, error) {
	out := map[string][]string{}
	err := p.each("SELECT tbl, name FROM foreign_column ORDER BY tbl, position", func(r *sql.Rows) error {
		var t, n string
		err := r.Scan(&t, &n)
		out[t] = append(out[t], n)
		return err
	})
	return out, err
}

func sortedKeys[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}

// replays makes the rows from the history and compares them with those that
// are there.
func (p *Project) replays(say sayer) error {
	type key struct{ table, uid string }
	rows := map[key]*Row{}
	const fix = "go back to a copy; somebody may have written to the file with another program"
	err := p.each("SELECT kind, tbl, uid, col, old, new, id FROM history ORDER BY id", func(r *sql.Rows) error {
		var id int64
		c, err := scanChange(r, &id)
		if err != nil {
			say(fix, "history entry can't be read: %v", err)
			return nil
		}
		k := key{c.Table, c.Row}
		now := rows[k]
		switch {
		case c.Whole():
			if (now == nil) != (c.Was == nil) || now != nil && !same(now, c.Was) {
				say(fix, "history entry %d: table %s row %s was not what the entry says", id, c.Table, c.Row)
			}
			if c.Is == nil {
				delete(rows, k)
				break
			}
			is := *c.Is
			if is.Extra == nil {
				is.Extra = map[string]string{}
			}
			rows[k] = &is
		case now == nil:
			say(fix, "history entry %d: table %s row %s was not there", id, c.Table, c.Row)
		case c.Foreign:
			if now.Extra[c.Column] != c.Old.Text {
				say(fix, "history entry %d: table %s row %s column %s held %q, not %q", id, c.Table, c.Row, c.Column, now.Extra[c.Column], c.Old.Text)
			}
			set(now.Extra, c.Column, c.New.Text, c.New.Text == "")
		default:
			if now.Cells[c.Column] != c.Old {
				say(fix, "history entry %d: table %s row %s column %s held %q, not %q", id, c.Table, c.Row, c.Column, now.Cells[c.Column], c.Old)
			}
			set(now.Cells, c.Column, c.New, c.New.Text == "")
		}
		return nil
	})
	if err != nil {
		return err
	}
	columns, err := p.foreignColumns()
	if err != nil {
		return err
	}
	err = p.each("SELECT tbl, uid, position, cells, extra FROM row", func(r *sql.Rows) error {
		var table, uid, cells string
		var position int64
		var extra *string
		if err := r.Scan(&table, &uid, &position, &cells, &extra); err != nil {
			return err
		}
		row, err := parseRow(position, cells, extra, columns[table])
		if err != nil {
			return nil // told by readable
		}
		k := key{table, uid}
		if made := rows[k]; made == nil {
			say(fix, "table %s row %s is in no history", table, uid)
		} else if !same(made, row) {
			say(fix, "table %s row %s differs from what its history gives", table, uid)
		}
		delete(rows, k)
		return nil
	})
	var lost []string
	for k := range rows {
		lost = append(lost, fmt.Sprintf("table %s row %s is lost: its history has it", k.table, k.uid))
	}
	slices.Sort(lost)
	for _, l := range lost {
		say(fix, "%s", l)
	}
	return err
}

func set[V any](m map[string]V, k string, v V, blank bool) {
	if blank {
		delete(m, k)
	} else {
		m[k] = v
	}
}

func (p *Project) parts(say sayer) error {
	return p.each("SELECT hash, data FROM part ORDER BY hash", func(r *sql.Rows) error {
		var hash string
		var data []byte
		if err := r.Scan(&hash, &data); err != nil {
			return err
		}
		if partHash(data) != hash {
			say("go back to a copy", "the copied part %s is not what was copied", hash)
		}
		return nil
	})
}

func partHash(data []byte) string {
	h := sha256.Sum256(data)
	return hex.EncodeToString(h[:])
}
