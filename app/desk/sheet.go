package desk

import (
	"slices"
	"strings"

	"keyon/model/design"
	"keyon/model/settle"
)

// Sheet is a table of the car as people work on it: what was typed, and
// beside it what was worked out. Wires, Cavities and Splices list what the
// plan has too, so that each of its values can be given.
type Sheet struct {
	Name    string
	Help    string
	Columns []Column
	Rows    []Row
}

// Column is a column of a sheet.
type Column struct {
	Name    string   `json:"name"`
	Unit    string   `json:"unit,omitempty"` // where neither cell nor heading says otherwise
	Kind    string   `json:"kind"`           // text, name, ref, amount, gauge, count, flag, choice, list, foreign
	Help    string   `json:"help,omitempty"`
	Choices []string `json:"choices,omitempty"`
	Pick    bool     `json:"pick,omitempty"`   // Pick proposes what may stand here
	Worked  bool     `json:"worked,omitempty"` // blank means "work it out"
	Must    bool     `json:"must,omitempty"`
}

// Row is a row of a sheet. The UID of one that only the plan has begins with
// "plan:": giving a value there adds a row to the table.
type Row struct {
	UID   string
	Cells []Cell
}

// Planned says that the row is not in the table: only the plan has it.
func (r *Row) Planned() bool { return strings.HasPrefix(r.UID, planned) }

const planned = "plan:"

// States of a cell.
const (
	isBlank   = "blank"
	isGiven   = "given"
	isKept    = "kept"
	isWorked  = "worked out"
	isOpen    = "open" // to be worked out, and could not be
	isGarbled = "garbled"
)

// Cell is a cell of a sheet.
type Cell struct {
	Text  string // as typed; an edit names it as what was seen
	State string
	Shown string // what holds where nothing is typed
	Sign  *Sign  // worst open finding here
}

// Value is what a reader sees in the cell.
func (c *Cell) Value() string {
	if c.Shown != "" {
		return c.Shown
	}
	return c.Text
}

var kinds = map[design.Kind]string{design.Text: "text", design.Name: "name", design.Ref: "ref", design.Amount: "amount", design.Gauge: "gauge", design.Count: "count", design.Flag: "flag", design.Choice: "choice", design.List: "list"}

// Sheet is a table of the view; nil for a name that is none.
func (v *View) Sheet(table string) *Sheet {
	return v.sheets.get(table, func() *Sheet { return v.sheet(table) })
}

func (v *View) sheet(table string) *Sheet {
	from := v.Book.Sheet(table)
	if from == nil {
		return nil
	}
	s := &Sheet{Name: table, Help: from.Table.Help}
	for i := range from.Table.Columns {
		c := &from.Table.Columns[i]
		s.Columns = append(s.Columns, Column{Name: c.Name, Unit: c.Unit, Kind: kinds[c.Kind], Help: c.Help, Choices: c.Choices, Pick: picks(table, c), Worked: c.Blank, Must: c.Must})
	}
	for _, e := range from.Extra {
		s.Columns = append(s.Columns, Column{Name: e, Kind: "foreign", Help: "a column of yours; the program only keeps it"})
	}
	worked, garbled, signs := v.worked(table), v.garbled(), v.signs()
	row := func(uid string, text func(column int) string) {
		r := Row{UID: uid, Cells: make([]Cell, len(s.Columns))}
		for c := range s.Columns {
			at := settle.Cell{Table: table, Row: uid, Column: s.Columns[c].Name}
			cell := Cell{Text: text(c), State: isBlank, Sign: signs[at]}
			if strings.TrimSpace(cell.Text) != "" {
				cell.State = isGiven
			}
			if w, ok := worked.cells[at]; ok && (cell.State == isBlank || w.alias) {
				cell.Shown = w.shown
				if cell.State == isBlank {
					cell.State = origins[w.origin]
				}
			}
			if garbled[at] {
				cell.State = isGarbled
			}
			r.Cells[c] = cell
		}
		s.Rows = append(s.Rows, r)
	}
	for i := range from.Rows {
		r := &from.Rows[i]
		row(r.UID, func(c int) string {
			switch n := c - len(from.Table.Columns); {
			case c < len(r.Cells):
				return r.Cells[c].String()
			case n >= 0 && n < len(r.Extra):
				return r.Extra[n]
			}
			return ""
		})
	}
	for _, uid := range worked.rows {
		row(uid, func(int) string { return "" })
	}
	return s
}

var origins = map[settle.Origin]string{settle.Open: isOpen, settle.FromUser: isGiven, settle.FromKept: isKept, settle.Worked: isWorked}

// garbled are the cells that can't be read.
func (v *View) garbled() map[settle.Cell]bool {
	out := map[settle.Cell]bool{}
	for i := range v.Design.Findings {
		if x := &v.Design.Findings[i]; x.Rule == design.RuleGarbled {
			out[x.Place.Cell] = true
		}
	}
	return out
}

// Tables are the names of the tables with their help and number of rows, in
// workbook order.
func (v *View) Tables() []TableInfo {
	signs := v.signs()
	worst := map[string]string{}
	count := map[string]int{}
	for at, s := range signs {
		count[at.Table] += 1 + s.More
		if w := worst[at.Table]; w == "" || rank(s.Severity) > rank(w) {
			worst[at.Table] = s.Severity
		}
	}
	var out []TableInfo
	for i := range v.Book.Sheets {
		s := &v.Book.Sheets[i]
		out = append(out, TableInfo{s.Table.Name, s.Table.Help, len(s.Rows), count[s.Table.Name], worst[s.Table.Name]})
	}
	return out
}

// TableInfo is a line of the list of tables.
type TableInfo struct {
	Name, Help string
	Rows       int
	Findings   int    // open ones at its cells
	Worst      string // their highest severity
}

func rank(severity string) int { return slices.Index([]string{"note", "look", "stop"}, severity) }

// Find is a cell of a view; ok is false where there is none.
func (v *View) Find(at settle.Cell) (cell Cell, ok bool) {
	s := v.Sheet(at.Table)
	if s == nil {
		return cell, false
	}
	c := slices.IndexFunc(s.Columns, func(c Column) bool { return c.Name == at.Column })
	r := slices.IndexFunc(s.Rows, func(r Row) bool { return r.UID == at.Row })
	if c < 0 || r < 0 {
		return cell, false
	}
	return s.Rows[r].Cells[c], true
}
