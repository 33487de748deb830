package draw

import (
	"math"
	"slices"

	"keyon/format/page"
	"keyon/format/sheet"
	"keyon/num/quantity"
)

// table is a table of a paper; print and workbook show the same cells.
type table struct {
	id    string // of the printed table
	name  string // of the workbook's tab
	group string // head of the workbook's column for the group titles; "" where there are no groups
	of    string // group of all rows, where print says it elsewhere
	cols  []page.Column
	tick  bool // a last column of boxes, in print only
	plain bool // rules instead of shaded rows
	size  float64
	tall  float64
	rows  []row
}

type row struct {
	id    string
	head  bool // a group title, in print only
	group string
	cells []cell
}

// cell is text, or a number with what is printed of it.
type cell struct {
	print string
	book  sheet.Cell
}

func txt(s string) cell { return cell{s, sheet.Text(s)} }

func dash(s string) cell { return cell{orDash(s), sheet.Text(s)} }

// num is a number with at most so many decimals; NaN is blank.
func num(v float64, places int) cell {
	if math.IsNaN(v) {
		return cell{}
	}
	return cell{quantity.Text(v, places), sheet.Number(quantity.RoundTo(v, math.Pow10(-places)))}
}

func count(n int) cell { return num(float64(n), 0) }

func orDash(s string) string {
	if s == "" {
		return "–"
	}
	return s
}

// add appends a row.
func (t *table) add(id string, cells ...cell) {
	g := ""
	if n := len(t.rows); n > 0 {
		g = t.rows[n-1].group
	}
	t.rows = append(t.rows, row{id: id, group: g, cells: cells})
}

// head starts a group of rows.
func (t *table) head(title string) {
	t.rows = append(t.rows, row{head: true, group: title})
}

func (t *table) empty() bool { return len(t.rows) == 0 }

// block is the table in print.
func (t *table) block() page.Table {
	b := page.Table{ID: t.id, Columns: t.cols, Size: t.size, Tall: t.tall, Zebra: !t.plain}
	if t.tick {
		b.Columns = append(b.Columns[:len(b.Columns):len(b.Columns)], page.Column{Head: "Done", Width: 11})
	}
	for _, r := range t.rows {
		if r.head {
			b.Rows = append(b.Rows, page.Row{Kind: page.GroupHead, Cells: []string{r.group}})
			continue
		}
		out := page.Row{ID: r.id}
		for _, c := range r.cells {
			out.Cells = append(out.Cells, c.print)
		}
		if t.tick {
			out.Cells = append(out.Cells, page.TickBox)
		}
		b.Rows = append(b.Rows, out)
	}
	return b
}

// tab is the table in the workbook.
func (t *table) tab() sheet.Tab {
	out := sheet.Tab{Name: t.name}
	if t.group != "" {
		out.Columns = append(out.Columns, sheet.Column{Head: t.group})
	}
	for _, c := range t.cols {
		out.Columns = append(out.Columns, sheet.Column{Head: c.Head, Unit: c.Unit})
	}
	for _, r := range t.rows {
		if r.head {
			continue
		}
		var line []sheet.Cell
		if t.group != "" {
			line = append(line, sheet.Text(t.of+r.group))
		}
		for _, c := range r.cells {
			line = append(line, c.book)
		}
		out.Rows = append(out.Rows, line)
	}
	return out
}

// collected adds tabs to a book; tables of one name, from papers of one kind,
// share a tab.
func collected(book []sheet.Tab, tabs []sheet.Tab) []sheet.Tab {
	for _, t := range tabs {
		i := slices.IndexFunc(book, func(b sheet.Tab) bool { return b.Name == t.Name && slices.Equal(b.Columns, t.Columns) })
		if i < 0 {
			book = append(book, t)
			continue
		}
		book[i].Rows = append(book[i].Rows, t.Rows...)
	}
	return book
}
