package edit

import (
	"cmp"
	"slices"
	"strings"

	"keyon/model/design"
)

// Kind is what happens to a row.
type Kind string

// What happens to rows.
const (
	Added   Kind = "added"
	Changed Kind = "changed"
	Removed Kind = "removed"
)

// How a row was found again.
type How string

// Ways to find a row again, surest first.
const (
	ByKey  How = "key"  // the hidden column
	ByName How = "name" // all that tells its rows apart
	ByPart How = "part" // its own name only, alone on both sides
)

// CellChange is one cell that differs.
type CellChange struct {
	Column  string
	Foreign bool
	Old     design.Cell
	New     design.Cell
}

// RowChange is one row that differs.
type RowChange struct {
	Kind  Kind
	Table string
	UID   string
	Name  string // what a person calls it
	How   How    // of a changed row
	At    string // where the new row was read
	Cells []CellChange

	old, is int // rows in the old and the new sheet, or -1
}

// Changes is how one book leads to another.
type Changes struct {
	Rows    []RowChange
	Matched map[How]int // rows found again, the same ones too
}

// Count is the number of rows of a kind.
func (c *Changes) Count(k Kind) int {
	n := 0
	for _, r := range c.Rows {
		if r.Kind == k {
			n++
		}
	}
	return n
}

// DiffBooks compares two books, table by table in workbook order. Rows are
// found again by their key, else by what tells rows of their table apart,
// else by the row's own name where it stands once on either side. Only
// tables and columns that has names are compared; nil means all. A cell whose
// unit stands in the heading equals one that carries the unit itself. Rows of
// the new book take the UIDs they have in the old one.
func DiffBooks(old, new *design.Book, has func(table, column string) bool) *Changes {
	if has == nil {
		has = func(string, string) bool { return true }
	}
	return diff(old, new, has, true)
}

// diff compares; loose finds rows again by the first part of their name too.
func diff(old, new *design.Book, has func(table, column string) bool, loose bool) *Changes {
	c := &Changes{Matched: map[How]int{}}
	for i := range new.Sheets {
		if s := &new.Sheets[i]; has(s.Table.Name, "") {
			c.sheet(old.Sheet(s.Table.Name), s, has, loose)
		}
	}
	return c
}

func (c *Changes) sheet(old, is *design.Sheet, has func(table, column string) bool, loose bool) {
	match, how := pair(old, is, loose)
	taken := make([]bool, len(old.Rows))
	for _, o := range match {
		if o >= 0 {
			taken[o] = true
		}
	}
	for i, o := range match {
		if o >= 0 {
			is.Rows[i].UID = old.Rows[o].UID
		}
	}
	is.Identify(old)
	for i := range is.Rows {
		o := match[i]
		r := RowChange{Kind: Added, Table: is.Table.Name, UID: is.Rows[i].UID, Name: name(is, i), At: is.Rows[i].At, old: o, is: i}
		if o >= 0 {
			c.Matched[how[i]]++
			r.Kind, r.How = Changed, how[i]
		}
		r.Cells = cells(old, o, is, i, has)
		if o < 0 || len(r.Cells) > 0 {
			c.Rows = append(c.Rows, r)
		}
	}
	for o := range old.Rows {
		if !taken[o] {
			c.Rows = append(c.Rows, RowChange{Kind: Removed, Table: old.Table.Name, UID: old.Rows[o].UID, Name: name(old, o), old: o, is: -1})
		}
	}
}

// name is what a person calls a row.
func name(s *design.Sheet, i int) string {
	var parts []string
	for _, m := range s.Table.Match {
		if t := strings.TrimSpace(s.Text(i, m)); t != "" {
			parts = append(parts, t)
		}
	}
	return strings.Join(parts, " ")
}

// pair finds for each new row the old row it was, or -1.
func pair(old, is *design.Sheet, loose bool) (match []int, how []How) {
	match, how = make([]int, len(is.Rows)), make([]How, len(is.Rows))
	free := make([]bool, len(old.Rows))
	uid := make(map[string]int, len(old.Rows))
	for o := range old.Rows {
		free[o] = true
		uid[old.Rows[o].UID] = o
	}
	join := func(i, o int, h How) { match[i], how[i], free[o] = o, h, false }
	for i := range is.Rows {
		match[i] = -1
		if o, ok := uid[is.Rows[i].UID]; ok && is.Rows[i].UID != "" && free[o] {
			join(i, o, ByKey)
		}
	}
	// groups of rows of one name that are still single
	groups := func(key func(s *design.Sheet, i int) string) (news, olds map[string][]int, order []string) {
		news, olds = map[string][]int{}, map[string][]int{}
		for i := range is.Rows {
			if k := key(is, i); match[i] < 0 && k != "" {
				if news[k] == nil {
					order = append(order, k)
				}
				news[k] = append(news[k], i)
			}
		}
		for o := range old.Rows {
			if k := key(old, o); free[o] && k != "" {
				olds[k] = append(olds[k], o)
			}
		}
		return news, olds, order
	}
	news, olds, order := groups(func(s *design.Sheet, i int) string {
		if k := s.Key(i); strings.Trim(k, "\x1f") != "" {
			return k
		}
		return ""
	})
	for _, k := range order {
		// rows of one name and one text first, then by order
		for _, i := range news[k] {
			for _, o := range olds[k] {
				if free[o] && slices.Equal(old.Rows[o].Cells, is.Rows[i].Cells) {
					join(i, o, ByName)
					break
				}
			}
		}
		rest := slices.DeleteFunc(slices.Clone(olds[k]), func(o int) bool { return !free[o] })
		for _, i := range news[k] {
			if match[i] < 0 && len(rest) > 0 {
				join(i, rest[0], ByName)
				rest = rest[1:]
			}
		}
	}
	if first := is.Table.Match[0]; loose && len(is.Table.Match) > 1 && is.Table.Column(first).Kind == design.Name {
		news, olds, order = groups(func(s *design.Sheet, i int) string { return strings.TrimSpace(s.Text(i, first)) })
		for _, k := range order {
			if len(news[k]) == 1 && len(olds[k]) == 1 {
				join(news[k][0], olds[k][0], ByPart)
			}
		}
	}
	return match, how
}

// cells lists the cells that differ between an old row (-1: none) and a new.
func cells(old *design.Sheet, o int, is *design.Sheet, i int, has func(table, column string) bool) []CellChange {
	var out []CellChange
	at := func(s *design.Sheet, r, c int) design.Cell {
		if r < 0 || c >= len(s.Rows[r].Cells) {
			return design.Cell{}
		}
		return s.Rows[r].Cells[c]
	}
	for c := range is.Table.Columns {
		n := is.Table.Columns[c].Name
		if !has(is.Table.Name, n) {
			continue
		}
		if a, b := at(old, o, c), at(is, i, c); a.String() != b.String() {
			out = append(out, CellChange{n, false, a, b})
		}
	}
	extra := func(s *design.Sheet, r int, name string) design.Cell {
		c := slices.Index(s.Extra, name)
		if r < 0 || c < 0 || c >= len(s.Rows[r].Extra) {
			return design.Cell{}
		}
		return design.Cell{Text: s.Rows[r].Extra[c]}
	}
	for _, n := range is.Extra {
		if a, b := extra(old, o, n), extra(is, i, n); a != b {
			out = append(out, CellChange{n, true, a, b})
		}
	}
	return out
}

// Sort orders changes by table as in the workbook, then by name.
func (c *Changes) Sort() {
	rank := func(table string) int {
		return slices.IndexFunc(design.Tables, func(t design.Table) bool { return t.Name == table })
	}
	slices.SortStableFunc(c.Rows, func(a, b RowChange) int {
		return cmp.Or(cmp.Compare(rank(a.Table), rank(b.Table)), cmp.Compare(a.Name, b.Name), cmp.Compare(a.UID, b.UID))
	})
}
