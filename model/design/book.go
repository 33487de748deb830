// Package design is what the user fixed: the tables of the workbook as typed
// text, and a typed view of them in which every cell is given, kept, blank or
// garbled.
//
// Book is the text: stores, imports and edits work on it. Read makes the
// Design that stages and checks work on. Names are resolved by stage/resolve.
package design

import (
	"cmp"
	"crypto/sha256"
	"encoding/base32"
	"encoding/binary"
	"slices"
	"strconv"
	"strings"

	"keyon/num/quantity"
)

// Cell is a cell as it was typed, with the unit of the header it was typed
// under. An empty text is a blank cell; Unit "" is the column's own.
type Cell struct {
	Text string
	Unit string
}

// String is the text with the unit of its header where it carries none of its
// own: what a person must see to read the cell right.
func (c Cell) String() string {
	if c.Unit == "" || strings.TrimSpace(c.Text) == "" || quantity.HasUnit(c.Text) {
		return c.Text
	}
	return c.Text + " " + c.Unit
}

// Row is one row of a table. Cells stand in the order of the table's columns;
// Extra in the order of Sheet.Extra.
type Row struct {
	UID   string // hidden; survives renames
	Cells []Cell
	Extra []string
	At    string // where it was read, such as "tern.xlsx Circuits!12"; not part of the design
}

// Sheet is one table's rows, with the names of foreign columns that came along.
type Sheet struct {
	Table *Table
	Extra []string
	Rows  []Row
}

// Book holds a sheet for every table of Tables, in that order.
type Book struct {
	Sheets []Sheet
}

// NewBook makes an empty book.
func NewBook() *Book {
	b := &Book{Sheets: make([]Sheet, len(Tables))}
	for i := range Tables {
		b.Sheets[i].Table = &Tables[i]
	}
	return b
}

// Sheet finds a table's sheet; nil for an unknown table.
func (b *Book) Sheet(table string) *Sheet {
	for i := range b.Sheets {
		if b.Sheets[i].Table.Name == table {
			return &b.Sheets[i]
		}
	}
	return nil
}

// Clone makes a copy that shares nothing that can be changed.
func (b *Book) Clone() *Book {
	c := &Book{Sheets: slices.Clone(b.Sheets)}
	for i := range c.Sheets {
		s := &c.Sheets[i]
		s.Extra = slices.Clone(s.Extra)
		s.Rows = slices.Clone(s.Rows)
		for r := range s.Rows {
			s.Rows[r].Cells = slices.Clone(s.Rows[r].Cells)
			s.Rows[r].Extra = slices.Clone(s.Rows[r].Extra)
		}
	}
	return c
}

// Text is the typed text of a cell; "" for an unknown column.
func (s *Sheet) Text(row int, column string) string {
	if i := s.Table.Index(column); i >= 0 && i < len(s.Rows[row].Cells) {
		return s.Rows[row].Cells[i].Text
	}
	return ""
}

// Add appends a row of column, text pairs and gives it a UID from what tells
// it apart. It is for examples, tests and generators; an unknown column panics.
func (s *Sheet) Add(pairs ...string) *Row {
	r := Row{Cells: make([]Cell, len(s.Table.Columns)), Extra: make([]string, len(s.Extra))}
	for i := 0; i+1 < len(pairs); i += 2 {
		c := s.Table.Index(pairs[i])
		if c < 0 {
			panic("design: table " + s.Table.Name + " has no column " + pairs[i])
		}
		r.Cells[c].Text = pairs[i+1]
	}
	s.Rows = append(s.Rows, r)
	return &s.Rows[len(s.Rows)-1]
}

// Key is what tells a row from the others of its table where it has no UID.
func (s *Sheet) Key(row int) string {
	parts := make([]string, len(s.Table.Match))
	for i, m := range s.Table.Match {
		parts[i] = strings.TrimSpace(s.Text(row, m))
	}
	return strings.Join(parts, "\x1f")
}

// Identify gives a UID to every row that has none. It follows from what tells
// the row apart (Table.Match) and, between rows alike in that, from their
// whole text, so the order of rows means nothing.
func (b *Book) Identify() {
	for i := range b.Sheets {
		b.Sheets[i].Identify(nil)
	}
}

// Identify gives a UID to every row of the sheet that has none, and none that
// a row of other (may be nil) has.
func (s *Sheet) Identify(other *Sheet) {
	used := make(map[string]bool, len(s.Rows))
	if other != nil {
		for _, r := range other.Rows {
			used[r.UID] = true
		}
	}
	var open []int
	for i, r := range s.Rows {
		if r.UID == "" {
			open = append(open, i)
		}
		used[r.UID] = true
	}
	if len(open) == 0 {
		return
	}
	keys := make(map[int]string, len(open))
	for _, i := range open {
		keys[i] = s.Key(i)
	}
	whole := func(i int) string {
		var t strings.Builder
		for _, c := range s.Rows[i].Cells {
			t.WriteString(c.Text)
			t.WriteByte(0x1f)
			t.WriteString(c.Unit)
			t.WriteByte(0x1e)
		}
		for _, e := range s.Rows[i].Extra {
			t.WriteString(e)
			t.WriteByte(0x1d)
		}
		return t.String()
	}
	slices.SortStableFunc(open, func(x, y int) int {
		if c := cmp.Compare(keys[x], keys[y]); c != 0 {
			return c
		}
		return cmp.Compare(whole(x), whole(y))
	})
	for _, i := range open {
		for n := 0; ; n++ {
			uid := UID(s.Table.Name, keys[i], n)
			if !used[uid] {
				used[uid], s.Rows[i].UID = true, uid
				break
			}
		}
	}
}

var uidLetters = base32.NewEncoding("0123456789abcdefghjkmnpqrstvwxyz").WithPadding(base32.NoPadding)

// UID is the identity of the n-th row of a table with that key text.
func UID(table, key string, n int) string {
	h := sha256.Sum256([]byte(table + "\x00" + key + "\x00" + strconv.Itoa(n)))
	return uidLetters.EncodeToString(h[:])[:12]
}

// Hash names the book's content: equal for equal tables whatever the order of
// their rows. Blank cells at the end of a row don't count.
func (b *Book) Hash() string {
	h := sha256.New()
	var buf []byte
	// each text with its length, so that no text can stand for two cells
	put := func(n int, texts ...string) {
		buf = binary.AppendUvarint(buf[:0], uint64(n))
		for _, t := range texts {
			buf = append(binary.AppendUvarint(buf, uint64(len(t))), t...)
		}
		h.Write(buf)
	}
	for i := range b.Sheets {
		s := &b.Sheets[i]
		order := make([]int, len(s.Rows))
		for j := range order {
			order[j] = j
		}
		slices.SortFunc(order, func(x, y int) int { return cmp.Compare(s.Rows[x].UID, s.Rows[y].UID) })
		put(len(s.Rows), s.Table.Name)
		put(len(s.Extra), s.Extra...)
		for _, j := range order {
			put(0, s.Rows[j].UID)
			for c, cell := range s.Rows[j].Cells {
				if cell.Text != "" {
					put(c, cell.Text, cell.Unit)
				}
			}
			for c, e := range s.Rows[j].Extra {
				if e != "" {
					put(c, e)
				}
			}
		}
	}
	return uidLetters.EncodeToString(h.Sum(nil))[:26]
}
