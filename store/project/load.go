package project

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"
	"unicode/utf8"

	"keyon/model/design"
	"keyon/model/fault"
)

// Stamp is a number that changes when another program writes to the file.
func (p *Project) Stamp() (v int64, err error) {
	err = p.db.QueryRow("PRAGMA data_version").Scan(&v)
	return v, damage(err)
}

// Load reads the book. Rows come in their order; cells of columns this
// program doesn't know stay in the file and out of the book.
func (p *Project) Load() (*design.Book, error) {
	b, err := p.load()
	if err != nil {
		return nil, fmt.Errorf("read project %s: %w", p.Path, damage(err))
	}
	return b, nil
}

func (p *Project) load() (*design.Book, error) {
	b := design.NewBook()
	rows, err := p.db.Query("SELECT tbl, name FROM foreign_column ORDER BY tbl, position")
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var table, name string
		if err := rows.Scan(&table, &name); err != nil {
			return nil, err
		}
		if s := b.Sheet(table); s != nil {
			s.Extra = append(s.Extra, name)
		}
	}
	if err := rows.Err(); err != nil {
		return nil, err
	}
	rows, err = p.db.Query("SELECT tbl, uid, cells, extra FROM row ORDER BY tbl, position, uid")
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var sheet *design.Sheet
	for rows.Next() {
		var table, uid string
		var cells, extra []byte
		if err := rows.Scan(&table, &uid, &cells, &extra); err != nil {
			return nil, err
		}
		if sheet == nil || sheet.Table.Name != table {
			if sheet = b.Sheet(table); sheet == nil {
				continue
			}
		}
		r := design.Row{UID: uid, Cells: make([]design.Cell, len(sheet.Table.Columns)), Extra: make([]string, len(sheet.Extra))}
		if err := fill(&r, sheet, cells, extra); err != nil {
			return nil, fault.New(fault.Corrupt, "keep the file as it is and go back to a copy", fmt.Errorf("table %s row %s: %w", table, uid, err))
		}
		sheet.Rows = append(sheet.Rows, r)
	}
	return b, rows.Err()
}

func fill(r *design.Row, s *design.Sheet, cells, extra []byte) error {
	if !fillPlain(r, s.Table, cells) {
		var m map[string]cellJSON
		if err := json.Unmarshal(cells, &m); err != nil {
			return err
		}
		for i := range s.Table.Columns {
			r.Cells[i] = design.Cell(m[s.Table.Columns[i].Name])
		}
	}
	if extra != nil {
		var texts []string
		if err := json.Unmarshal(extra, &texts); err != nil {
			return err
		}
		if len(texts) > len(r.Extra) {
			return fmt.Errorf("%d foreign cells for %d foreign columns", len(texts), len(r.Extra))
		}
		copy(r.Extra, texts)
	}
	return nil
}

// fillPlain reads the cells of nearly every row, {"a":"b","c":"d"} without
// units or escapes, several times faster than encoding/json; false for others.
func fillPlain(r *design.Row, t *design.Table, b []byte) bool {
	text := func() ([]byte, bool) {
		if len(b) == 0 || b[0] != '"' {
			return nil, false
		}
		n := bytes.IndexByte(b[1:], '"')
		if n < 0 || bytes.IndexByte(b[1:1+n], '\\') >= 0 {
			return nil, false
		}
		s := b[1 : 1+n]
		b = b[n+2:]
		return s, true
	}
	mark := func(c byte) bool {
		if len(b) == 0 || b[0] != c {
			return false
		}
		b = b[1:]
		return true
	}
	if !utf8.Valid(b) || !mark('{') {
		return false
	}
	for first := true; !mark('}'); first = false {
		if !first && !mark(',') {
			return false
		}
		key, ok := text()
		if !ok || !mark(':') {
			return false
		}
		value, ok := text()
		if !ok {
			return false
		}
		for i := range t.Columns {
			if t.Columns[i].Name == string(key) {
				r.Cells[i] = design.Cell{Text: string(value)}
				break
			}
		}
	}
	return len(b) == 0
}

// need appends the foreign columns that a row brings and the file lacks, in
// the order of their names.
func (w *writer) need(table string, texts map[string]string) error {
	var lack []string
	for name, t := range texts {
		if t != "" && !slices.Contains(w.columns[table], name) {
			lack = append(lack, name)
		}
	}
	slices.Sort(lack)
	return w.addColumns(table, lack)
}

func (w *writer) addColumns(table string, names []string) error {
	for _, name := range names {
		if slices.Contains(w.columns[table], name) {
			continue
		}
		if _, err := w.foreign.Exec(table, len(w.columns[table]), name); err != nil {
			return err
		}
		w.columns[table] = append(w.columns[table], name)
	}
	return nil
}
