package project

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"unicode/utf8"

	"keyon/model/design"
	"keyon/model/fault"
)

// cellJSON is a cell as the file keeps it: a text, or a pair with its unit.
type cellJSON design.Cell

func (c cellJSON) MarshalJSON() ([]byte, error) {
	if c.Unit == "" {
		return encode(c.Text)
	}
	return encode([2]string{c.Text, c.Unit})
}

func (c *cellJSON) UnmarshalJSON(b []byte) error {
	if len(b) > 0 && b[0] == '[' {
		var pair []string
		if err := json.Unmarshal(b, &pair); err != nil {
			return err
		}
		if len(pair) != 2 {
			return errors.New("a cell that is neither a text nor a text with its unit")
		}
		c.Text, c.Unit = pair[0], pair[1]
		return nil
	}
	c.Unit = ""
	return json.Unmarshal(b, &c.Text)
}

// rowJSON is a whole row as the history keeps it.
type rowJSON struct {
	Position int64               `json:"position"`
	Cells    map[string]cellJSON `json:"cells"`
	Extra    map[string]string   `json:"extra,omitempty"`
}

// encode is JSON without the escapes meant for web pages; keys are sorted.
func encode(v any) ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(v); err != nil {
		return nil, err
	}
	return bytes.TrimSuffix(b.Bytes(), []byte("\n")), nil
}

func cellText(c design.Cell) (*string, error) {
	if c.Text == "" {
		return nil, nil
	}
	b, err := encode(cellJSON(c))
	s := string(b)
	return &s, err
}

func textCell(s *string) (design.Cell, error) {
	var c cellJSON
	if s == nil {
		return design.Cell{}, nil
	}
	err := json.Unmarshal([]byte(*s), &c)
	return design.Cell(c), err
}

func rowText(r *Row) (*string, error) {
	if r == nil {
		return nil, nil
	}
	b, err := encode(rowJSON{r.Position, toJSON(r.Cells), r.Extra})
	s := string(b)
	return &s, err
}

func textRow(s *string) (*Row, error) {
	if s == nil {
		return nil, nil
	}
	var r rowJSON
	if err := json.Unmarshal([]byte(*s), &r); err != nil {
		return nil, err
	}
	return &Row{r.Position, fromJSON(r.Cells), r.Extra}, nil
}

func toJSON(m map[string]design.Cell) map[string]cellJSON {
	out := make(map[string]cellJSON, len(m))
	for k, c := range m {
		if c.Text != "" {
			out[k] = cellJSON(c)
		}
	}
	return out
}

func fromJSON(m map[string]cellJSON) map[string]design.Cell {
	out := make(map[string]design.Cell, len(m))
	for k, c := range m {
		out[k] = design.Cell(c)
	}
	return out
}

// tidy is the row without its blank cells; nil stays nil.
func (r *Row) tidy() *Row {
	if r == nil {
		return nil
	}
	out := &Row{r.Position, map[string]design.Cell{}, map[string]string{}}
	for k, c := range r.Cells {
		if c.Text != "" {
			out.Cells[k] = c
		}
	}
	for k, t := range r.Extra {
		if t != "" {
			out.Extra[k] = t
		}
	}
	return out
}

// same reports whether two rows hold the same text. Positions don't count.
func same(a, b *Row) bool {
	if len(a.Cells) != len(b.Cells) || len(a.Extra) != len(b.Extra) {
		return false
	}
	for k, c := range a.Cells {
		if b.Cells[k] != c {
			return false
		}
	}
	for k, t := range a.Extra {
		if b.Extra[k] != t {
			return false
		}
	}
	return true
}

// check refuses what no file could give back: unknown names, broken text.
func (c Change) check() error {
	t := design.ByName(c.Table)
	if t == nil {
		return fault.New(fault.Invalid, "", fmt.Errorf("there is no table %q", c.Table))
	}
	if c.Row == "" {
		return fault.New(fault.Invalid, "", fmt.Errorf("a change of table %s names no row", c.Table))
	}
	texts := []string{c.Row, c.Column, c.New.Text, c.New.Unit}
	if c.Whole() {
		if c.Was == nil && c.Is == nil {
			return fault.New(fault.Invalid, "", fmt.Errorf("a change of table %s row %s changes nothing", c.Table, c.Row))
		}
		if c.Is != nil {
			for k, cell := range c.Is.Cells {
				if t.Column(k) == nil {
					return fault.New(fault.Invalid, "", fmt.Errorf("table %s has no column %q", c.Table, k))
				}
				texts = append(texts, cell.Text, cell.Unit)
			}
			for k, text := range c.Is.Extra {
				texts = append(texts, k, text)
			}
		}
	} else if !c.Foreign && t.Column(c.Column) == nil {
		return fault.New(fault.Invalid, "", fmt.Errorf("table %s has no column %q", c.Table, c.Column))
	}
	for _, s := range texts {
		if !utf8.ValidString(s) {
			return fault.New(fault.Invalid, "", fmt.Errorf("table %s row %s: a text that is not UTF-8", c.Table, c.Row))
		}
	}
	return nil
}
