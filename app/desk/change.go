package desk

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"keyon/app/edit"
	"keyon/app/report"
	"keyon/model/design"
	"keyon/model/fault"
	"keyon/model/settle"
	"keyon/num/quantity"
	"keyon/store/project"
)

// Write is one cell to be changed, in a row of the table or of the plan.
type Write struct {
	Row    string `json:"row"`
	Column string `json:"column"`
	Saw    string `json:"saw"` // what stood there
	Text   string `json:"text"`
}

// Block is changes of one table that belong together: one undo takes them back.
type Block struct {
	Table  string              `json:"table"`
	What   string              `json:"what"`
	Writes []Write             `json:"writes"`
	Rows   []map[string]string `json:"rows"` // rows to be added: texts by column
}

// mostCells bounds one block; a car of 100,000 wires has fewer cells a table.
const mostCells = 2_000_000

// Done is an edit that is on the disk.
type Done struct {
	Edit int64    `json:"edit"`           // its number: the view with it has this or more
	Rows []string `json:"rows,omitempty"` // UIDs of the rows that were added
	What string   `json:"what,omitempty"` // its words
}

// Change makes the changes of a block, all or none. Where a cell holds another text than was seen nothing is changed;
// the error is then an edit.Moved with both texts.
func (k *Desk) Change(b Block, who string) (Done, error) {
	if len(b.Writes)+len(b.Rows) > mostCells {
		return Done{}, fault.New(fault.Invalid, "paste it in parts", fmt.Errorf("%d cells at once", len(b.Writes)))
	}
	k.editing.Lock()
	defer k.editing.Unlock()
	book := k.car.Book()
	sheet := book.Sheet(b.Table)
	if sheet == nil {
		return Done{}, fault.New(fault.Invalid, "", fmt.Errorf("there is no table %q", b.Table))
	}
	var writes []edit.Write
	var rows []edit.NewRow
	at := map[string]int{} // planned row → index in rows
	for _, w := range b.Writes {
		uid := w.Row
		if strings.HasPrefix(uid, planned) {
			cells := planRow(b.Table, uid)
			if cells == nil {
				return Done{}, fault.New(fault.Invalid, "", fmt.Errorf("%s has no row %q", b.Table, uid))
			}
			if uid = rowLike(sheet, cells); uid == "" { // else somebody gave a value there meanwhile
				i, ok := at[w.Row]
				if !ok {
					i = len(rows)
					at[w.Row], rows = i, append(rows, edit.NewRow{Table: b.Table, Cells: cells})
				}
				rows[i].Cells[w.Column] = w.Text
				continue
			}
		}
		writes = append(writes, edit.Write{Cell: settle.Cell{Table: b.Table, Row: uid, Column: w.Column}, Saw: w.Saw, Text: w.Text})
	}
	for _, r := range b.Rows {
		rows = append(rows, edit.NewRow{Table: b.Table, Cells: r})
	}
	rows = slices.DeleteFunc(rows, func(r edit.NewRow) bool { return onlyNames(b.Table, r.Cells) })
	what := b.What
	if what == "" {
		what = "cell"
	}
	return k.do(what, writes, rows, who)
}

// do makes changes of any tables as one edit. The caller holds editing.
func (k *Desk) do(what string, writes []edit.Write, rows []edit.NewRow, who string) (Done, error) {
	if len(writes)+len(rows) == 0 {
		return Done{Edit: k.edits.Load()}, nil
	}
	uids, err := k.car.Block(what, writes, rows, edit.By{Who: who, When: k.clock()})
	if err != nil {
		return Done{}, err
	}
	return Done{k.edited(who, what), uids, what}, nil
}

// rowLike is the row of a sheet that has these texts in the columns that name
// it, "" for none.
func rowLike(s *design.Sheet, cells map[string]string) string {
	for i := range s.Rows {
		if !slices.ContainsFunc(s.Table.Match, func(m string) bool { return strings.TrimSpace(s.Text(i, m)) != cells[m] }) {
			return s.Rows[i].UID
		}
	}
	return ""
}

// onlyNames says that a row of the plan got no text of its own.
func onlyNames(table string, cells map[string]string) bool {
	for c, text := range cells {
		if text != "" && !slices.Contains(design.ByName(table).Match, c) {
			return false
		}
	}
	return len(design.ByName(table).Match) > 0 && slices.Contains([]string{"Wires", "Cavities", "Splices"}, table) && table != "Splices"
}

// Seen is a cell as a person saw it.
type Seen struct {
	Row    string `json:"row"`
	Column string `json:"column"`
	Text   string `json:"text"`  // as typed
	Shown  string `json:"shown"` // what held where nothing was typed
}

// Give makes what was worked out, or kept, given: the value stays until a
// person changes it.
func (k *Desk) Give(table string, cells []Seen, who string) (Done, error) {
	v := k.Fresh(freshFor)
	if v.Plan == nil {
		return Done{}, fault.New(fault.Conflict, "try again in a moment", errors.New("the plan is not there yet"))
	}
	said := v.worked(table).cells
	b := Block{Table: table, What: "give"}
	for _, c := range cells {
		at := settle.Cell{Table: table, Row: c.Row, Column: c.Column}
		s, ok := said[at]
		switch {
		case c.Text != "": // given already
		case !ok || s.shown == "":
			return Done{}, fault.New(fault.Invalid, "type a value", fmt.Errorf("%s holds nothing that was worked out", v.CellName()(at)))
		case s.give == "":
			return Done{}, fault.New(fault.Invalid, "its wires differ: give each in the table Wires", fmt.Errorf("%s is %s: that is not one value", v.CellName()(at), s.shown))
		case s.shown != c.Shown:
			return Done{}, fault.New(fault.Conflict, "look at it again and give it if it is still wanted", &edit.Moved{Cell: at, Saw: c.Shown, Holds: s.shown, Text: c.Shown})
		default:
			b.Writes = append(b.Writes, Write{Row: c.Row, Column: c.Column, Text: s.give})
		}
	}
	return k.Change(b, who)
}

// Release makes cells blank, so that their values are worked out again. A
// value that was kept is kept no longer.
func (k *Desk) Release(table string, cells []Seen, who string) (Done, error) {
	v := k.Fresh(freshFor)
	said := v.worked(table).cells
	b := Block{Table: table, What: "release"}
	var drop []string
	for _, c := range cells {
		if c.Text != "" {
			b.Writes = append(b.Writes, Write{Row: c.Row, Column: c.Column, Saw: c.Text})
			continue
		}
		s := said[settle.Cell{Table: table, Row: c.Row, Column: c.Column}]
		if x, ok := v.Design.Kept[s.kept]; ok && s.origin == settle.FromKept {
			drop = append(drop, string(x.ID))
		}
	}
	n, err := k.Change(b, who)
	if err != nil || len(drop) == 0 {
		return n, err
	}
	k.editing.Lock()
	defer k.editing.Unlock()
	if err := k.car.Delete(v.Book, "Kept", drop, edit.By{Who: who, When: k.clock()}); err != nil {
		return Done{}, err
	}
	return Done{Edit: k.edited(who, "release"), What: "release"}, nil
}

// Delete removes rows as they were seen; where one has changed since, none is.
func (k *Desk) Delete(table string, rows []string, seen []Seen, who string) (Done, error) {
	k.editing.Lock()
	defer k.editing.Unlock()
	book := k.car.Book()
	s := book.Sheet(table)
	if s == nil {
		return Done{}, fault.New(fault.Invalid, "", fmt.Errorf("there is no table %q", table))
	}
	for _, c := range seen {
		r := slices.IndexFunc(s.Rows, func(r design.Row) bool { return r.UID == c.Row })
		i := s.Table.Index(c.Column)
		if r < 0 || i < 0 {
			continue
		}
		if is := s.Rows[r].Cells[i]; is.String() != c.Text && is.Text != c.Text {
			return Done{}, fault.New(fault.Conflict, "look at the row again and delete it if that is still wanted", &edit.Moved{Cell: settle.Cell{Table: table, Row: c.Row, Column: c.Column}, Saw: c.Text, Holds: is.String()})
		}
	}
	if err := k.car.Delete(book, table, rows, edit.By{Who: who, When: k.clock()}); err != nil {
		return Done{}, err
	}
	return Done{Edit: k.edited(who, "delete rows"), What: "delete rows"}, nil
}

// Undo takes back the person's last edit that still stands and says which.
func (k *Desk) Undo(who string) (Done, error) { return k.back(k.car.Undo, "undo ", who) }

// Redo does again what the person's last undo took back.
func (k *Desk) Redo(who string) (Done, error) { return k.back(k.car.Redo, "redo ", who) }

func (k *Desk) back(f func(edit.By) (string, error), word, who string) (Done, error) {
	k.editing.Lock()
	defer k.editing.Unlock()
	what, err := f(edit.By{Who: who, When: k.clock()})
	if err != nil {
		return Done{}, err
	}
	return Done{Edit: k.edited(who, word+what), What: what}, nil
}

// Waive accepts a finding, up to the value it has.
func (k *Desk) Waive(key, reason, name, who string) (Done, error) {
	f, ok := k.Fresh(freshFor).Finding(key)
	switch {
	case !ok:
		return Done{}, fault.New(fault.NotFound, "look at the findings again", errors.New("the finding is not open any more"))
	case strings.TrimSpace(reason) == "":
		return Done{}, fault.New(fault.Invalid, "say why it may stay so", errors.New("a finding is accepted with a reason"))
	case strings.TrimSpace(name) == "":
		return Done{}, fault.New(fault.Invalid, "say who accepts it", errors.New("a finding is accepted by somebody"))
	}
	row := map[string]string{"rule": f.Rule.ID, "thing": f.Place.ID, "field": f.Place.Field, "reason": reason, "name": name}
	if f.Number != nil {
		row["number"] = strconv.FormatFloat(*f.Number, 'g', -1, 64)
		if k.Now().Design.Car.Units.Decimal == quantity.Comma {
			row["number"] = strings.Replace(row["number"], ".", ",", 1)
		}
	}
	return k.Change(Block{Table: "Waivers", What: "accept a finding", Rows: []map[string]string{row}}, who)
}

// Fix does the edit that a finding carries.
func (k *Desk) Fix(key string, fix int, who string) (Done, error) {
	v := k.Fresh(freshFor)
	f, ok := v.Finding(key)
	if !ok || fix < 0 || fix >= len(f.Fixes) || f.Fixes[fix].Edit == nil {
		return Done{}, fault.New(fault.NotFound, "look at the findings again", errors.New("the finding is not open any more"))
	}
	e := f.Fixes[fix].Edit
	_, row := v.row(e.Cell.Table, e.Cell.Row)
	if row == nil {
		return Done{}, fault.New(fault.NotFound, "look at the table again", errors.New("the row is gone"))
	}
	saw := ""
	if i := design.ByName(e.Cell.Table).Index(e.Cell.Column); i >= 0 && i < len(row.Cells) {
		saw = row.Cells[i].String()
	}
	return k.Change(Block{Table: e.Cell.Table, What: f.Fixes[fix].Text, Writes: []Write{{e.Cell.Row, e.Cell.Column, saw, e.Text}}}, who)
}

// History lists the last n edits of everybody, newest first.
func (k *Desk) History(n int) ([]edit.Moment, error) { return k.car.History(n) }

// CellHistory lists what a cell held, newest first.
func (k *Desk) CellHistory(at settle.Cell, n int) ([]CellMoment, error) {
	entries, err := k.car.File().History(at.Table, at.Row, at.Column, n)
	if err != nil {
		return nil, err
	}
	var out []CellMoment
	for _, e := range entries {
		m := CellMoment{Who: e.Group.Who, When: e.Group.When, What: e.Group.What}
		c := e.Change
		switch {
		case c.Was == nil && c.Is == nil:
			m.Old, m.New = c.Old.String(), c.New.String()
		default:
			if c.Was != nil {
				cell := c.Was.Cells[at.Column]
				m.Old = cell.String()
			}
			if c.Is != nil {
				cell := c.Is.Cells[at.Column]
				m.New = cell.String()
			}
		}
		out = append(out, m)
	}
	return out, nil
}

// ChangeWords says what one change of an edit did.
func ChangeWords(c project.Change, name report.CellName) string {
	row := func(r *project.Row) string {
		t := design.ByName(c.Table)
		if t == nil {
			return ""
		}
		var words []string
		for _, m := range t.Match {
			if text := strings.TrimSpace(r.Cells[m].Text); text != "" {
				words = append(words, text)
			}
		}
		return strings.Join(words, " ")
	}
	quoted := func(s string) string {
		if s == "" {
			return "blank"
		}
		return "“" + s + "”"
	}
	switch {
	case c.Is != nil && c.Was == nil:
		return c.Table + " " + row(c.Is) + ": added"
	case c.Was != nil && c.Is == nil:
		return c.Table + " " + row(c.Was) + ": deleted"
	}
	return name(settle.Cell{Table: c.Table, Row: c.Row, Column: c.Column}) + ": " + quoted(c.Old.String()) + " → " + quoted(c.New.String())
}
