package project

import (
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
)

// PlanKey is all that a plan follows from.
type PlanKey struct {
	Design    string // hash of the book
	Catalogue string // hash of the catalogue
	Program   string // version
}

// plansKept is how many plans stay in the file: the present one and a few
// that undo may lead back to.
const plansKept = 8

// Plan finds a kept plan; nil where there is none.
func (p *Project) Plan(k PlanKey) ([]byte, error) {
	var data []byte
	err := p.db.QueryRow("SELECT data FROM plan WHERE design = ? AND catalogue = ? AND program = ?", k.Design, k.Catalogue, k.Program).Scan(&data)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, nil
	}
	return data, damage(err)
}

// KeepPlan keeps a plan; the one kept longest ago makes room.
func (p *Project) KeepPlan(k PlanKey, data []byte) error {
	return p.within(func(tx *sql.Tx) error {
		if _, err := tx.Exec(`INSERT INTO plan (design, catalogue, program, data, used) VALUES (?, ?, ?, ?, (SELECT coalesce(max(used), 0) + 1 FROM plan))
			ON CONFLICT DO UPDATE SET data = excluded.data, used = excluded.used`, k.Design, k.Catalogue, k.Program, data); err != nil {
			return err
		}
		_, err := tx.Exec("DELETE FROM plan WHERE used <= (SELECT max(used) FROM plan) - ?", plansKept)
		return err
	})
}

// DropPlans throws all kept plans away.
func (p *Project) DropPlans() error {
	_, err := p.db.Exec("DELETE FROM plan")
	return damage(err)
}

// Mapping is how a foreign table with these headings was read before; nil
// where none was.
func (p *Project) Mapping(headings, target string) (map[string]string, error) {
	var text string
	err := p.db.QueryRow("SELECT columns FROM mapping WHERE headings = ? AND target = ?", headings, target).Scan(&text)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, nil
	}
	if err != nil {
		return nil, damage(err)
	}
	var m map[string]string
	if err := json.Unmarshal([]byte(text), &m); err != nil {
		return nil, fmt.Errorf("read mapping of %s: %w", p.Path, err)
	}
	return m, nil
}

// Memory is a mapping to be remembered with an edit.
type Memory struct {
	Headings, Target string
	Columns          map[string]string
}

func (m *Memory) write(tx *sql.Tx) error {
	b, err := encode(m.Columns)
	if err != nil {
		return err
	}
	_, err = tx.Exec("INSERT INTO mapping (headings, target, columns) VALUES (?, ?, ?) ON CONFLICT DO UPDATE SET columns = excluded.columns", m.Headings, m.Target, string(b))
	return err
}
