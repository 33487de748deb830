package project

import (
	"bytes"
	"compress/gzip"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"time"

	"keyon/model/design"
	"keyon/model/fault"
)

// PartCopy is the figures of a part as they were when it was used.
type PartCopy struct {
	Kind string // "connector", "wire" …
	Name string
	Data []byte // JSON
}

// UseParts copies the parts in use into the file, in place of those that
// were. Parts of frozen revisions stay.
func (p *Project) UseParts(parts []PartCopy) error {
	err := p.within(func(tx *sql.Tx) error {
		if _, err := tx.Exec("DELETE FROM part_used"); err != nil {
			return err
		}
		for _, c := range parts {
			hash, err := putPart(tx, c)
			if err != nil {
				return err
			}
			if _, err := tx.Exec("INSERT INTO part_used (kind, name, hash) VALUES (?, ?, ?)", c.Kind, c.Name, hash); err != nil {
				return err
			}
		}
		_, err := tx.Exec("DELETE FROM part WHERE hash NOT IN (SELECT hash FROM part_used UNION SELECT hash FROM revision_part)")
		return err
	})
	if err != nil {
		return fmt.Errorf("copy parts into %s: %w", p.Path, err)
	}
	return nil
}

func putPart(tx *sql.Tx, c PartCopy) (string, error) {
	hash := partHash(c.Data)
	data := c.Data
	if data == nil {
		data = []byte{} // NULL is no part
	}
	_, err := tx.Exec("INSERT INTO part (hash, data) VALUES (?, ?) ON CONFLICT DO NOTHING", hash, data)
	return hash, err
}

// PartsUsed are the copied parts, by kind and name.
func (p *Project) PartsUsed() ([]PartCopy, error) {
	return p.copies("SELECT u.kind, u.name, c.data FROM part_used u JOIN part c ON c.hash = u.hash ORDER BY u.kind, u.name")
}

func (p *Project) copies(query string, args ...any) ([]PartCopy, error) {
	rows, err := p.db.Query(query, args...)
	if err != nil {
		return nil, fmt.Errorf("read parts of %s: %w", p.Path, damage(err))
	}
	defer rows.Close()
	var out []PartCopy
	for rows.Next() {
		var c PartCopy
		if err := rows.Scan(&c.Kind, &c.Name, &c.Data); err != nil {
			return nil, err
		}
		out = append(out, c)
	}
	return out, rows.Err()
}

// Revision is a frozen state of a loom.
type Revision struct {
	Loom, Letter string
	Who          string
	When         time.Time
	Program      string // version that froze it
}

// Freeze keeps the book and the parts as a revision of a loom. A revision is
// never replaced.
func (p *Project) Freeze(r Revision, b *design.Book, parts []PartCopy) error {
	data, err := packBook(b)
	if err != nil {
		return err
	}
	return p.within(func(tx *sql.Tx) error {
		var n int
		if err := tx.QueryRow("SELECT count(*) FROM revision WHERE loom = ? AND letter = ?", r.Loom, r.Letter).Scan(&n); err != nil {
			return err
		}
		if n > 0 {
			return fault.New(fault.Conflict, "take the next letter", fmt.Errorf("loom %s already has a revision %s", r.Loom, r.Letter))
		}
		if _, err := tx.Exec("INSERT INTO revision (loom, letter, who, at, program, book) VALUES (?, ?, ?, ?, ?, ?)", r.Loom, r.Letter, r.Who, r.When.UTC().Format(timeFormat), r.Program, data); err != nil {
			return err
		}
		for _, c := range parts {
			hash, err := putPart(tx, c)
			if err != nil {
				return err
			}
			if _, err := tx.Exec("INSERT INTO revision_part (loom, letter, kind, name, hash) VALUES (?, ?, ?, ?, ?)", r.Loom, r.Letter, c.Kind, c.Name, hash); err != nil {
				return err
			}
		}
		return nil
	})
}

// Revisions lists the frozen revisions, by loom and in the order they were
// frozen.
func (p *Project) Revisions() ([]Revision, error) {
	var out []Revision
	err := p.each("SELECT loom, letter, who, at, program FROM revision ORDER BY loom, rowid", func(rows *sql.Rows) error {
		var r Revision
		var at string
		err := rows.Scan(&r.Loom, &r.Letter, &r.Who, &at, &r.Program)
		if err == nil {
			r.When, err = time.Parse(timeFormat, at)
		}
		out = append(out, r)
		return err
	})
	return out, damage(err)
}

// Frozen opens a revision: the book and the parts as they were.
func (p *Project) Frozen(loom, letter string) (*design.Book, []PartCopy, error) {
	var data []byte
	err := p.db.QueryRow("SELECT book FROM revision WHERE loom = ? AND letter = ?", loom, letter).Scan(&data)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, nil, fault.New(fault.NotFound, "", fmt.Errorf("loom %s has no revision %s", loom, letter))
	}
	if err != nil {
		return nil, nil, damage(err)
	}
	b, err := unpackBook(data)
	if err != nil {
		return nil, nil, fault.New(fault.Corrupt, "go back to a copy", fmt.Errorf("revision %s of loom %s: %w", letter, loom, err))
	}
	parts, err := p.copies("SELECT r.kind, r.name, c.data FROM revision_part r JOIN part c ON c.hash = r.hash WHERE r.loom = ? AND r.letter = ? ORDER BY r.kind, r.name", loom, letter)
	return b, parts, err
}

type sheetJSON struct {
	Table string     `json:"table"`
	Extra []string   `json:"extra,omitempty"`
	Rows  []lineJSON `json:"rows"`
}

type lineJSON struct {
	UID   string              `json:"uid"`
	Cells map[string]cellJSON `json:"cells"`
	Extra []string            `json:"extra,omitempty"`
}

func packBook(b *design.Book) ([]byte, error) {
	var sheets []sheetJSON
	for i := range b.Sheets {
		s := &b.Sheets[i]
		if len(s.Rows) == 0 {
			continue
		}
		out := sheetJSON{Table: s.Table.Name, Extra: s.Extra}
		for r := range s.Rows {
			out.Rows = append(out.Rows, lineJSON{s.Rows[r].UID, toJSON(RowOf(s, r).Cells), s.Rows[r].Extra})
		}
		sheets = append(sheets, out)
	}
	text, err := encode(sheets)
	if err != nil {
		return nil, err
	}
	var packed bytes.Buffer
	z := gzip.NewWriter(&packed)
	if _, err := z.Write(text); err != nil {
		return nil, err
	}
	err = z.Close()
	return packed.Bytes(), err
}

func unpackBook(data []byte) (*design.Book, error) {
	z, err := gzip.NewReader(bytes.NewReader(data))
	if err != nil {
		return nil, err
	}
	text, err := io.ReadAll(z)
	if err != nil {
		return nil, err
	}
	var sheets []sheetJSON
	if err := json.Unmarshal(text, &sheets); err != nil {
		return nil, err
	}
	b := design.NewBook()
	for _, in := range sheets {
		s := b.Sheet(in.Table)
		if s == nil {
			continue
		}
		s.Extra = in.Extra
		for _, line := range in.Rows {
			r := design.Row{UID: line.UID, Cells: make([]design.Cell, len(s.Table.Columns)), Extra: make([]string, len(s.Extra))}
			for i := range s.Table.Columns {
				r.Cells[i] = design.Cell(line.Cells[s.Table.Columns[i].Name])
			}
			copy(r.Extra, line.Extra)
			s.Rows = append(s.Rows, r)
		}
	}
	return b, nil
}
