package sheet

import (
	"regexp"
	"strconv"
	"strings"

	"keyon/format/page"
)

// FromTable returns a paper's table as a tab, so that both show the same.
//
// Group heads become a first column, named group, that each row repeats; totals
// are left out, since a tab is there to be sorted; boxes to tick are blank.
// Cells of a column that is set to the right or on its decimal point become
// numbers where they read as one and have no needless zero in front.
func FromTable(name, group string, t page.Table) Tab {
	out := Tab{Name: name}
	grouped := false
	for _, r := range t.Rows {
		grouped = grouped || r.Kind == page.GroupHead
	}
	if grouped {
		out.Columns = append(out.Columns, Column{Head: group})
	}
	for _, c := range t.Columns {
		out.Columns = append(out.Columns, Column{Head: c.Head, Unit: c.Unit})
	}
	of := Cell{}
	for _, r := range t.Rows {
		switch r.Kind {
		case page.GroupHead:
			of = Cell{}
			if len(r.Cells) > 0 {
				of = Text(r.Cells[0])
			}
			continue
		case page.Total:
			continue
		}
		var row []Cell
		if grouped {
			row = append(row, of)
		}
		for i, s := range r.Cells {
			if i < len(t.Columns) {
				row = append(row, typed(s, t.Columns[i].Align))
			}
		}
		out.Rows = append(out.Rows, row)
	}
	return out
}

func typed(s string, a page.Align) Cell {
	if s == "" || s == page.TickBox {
		return Cell{}
	}
	if plain := strings.Replace(s, "−", "-", 1); (a == page.Decimal || a == page.ToRight) && numeral.MatchString(plain) {
		v, _ := strconv.ParseFloat(plain, 64) // out of range is infinite, which Number tells
		return Number(v)
	}
	return Text(s)
}

var numeral = regexp.MustCompile(`^-?(0|[1-9][0-9]*)(\.[0-9]+)?$`)
