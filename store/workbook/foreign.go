package workbook

import (
	"fmt"
	"slices"
	"strings"

	"keyon/format/xlsx"
	"keyon/model/fault"
)

// Foreign is a table whose headings are not ours: a from–to list or a pin-out
// as somebody else wrote it.
type Foreign struct {
	File, Sheet string
	Headings    []string // one a column, each different; "column C" where there is none
	Lines       []Line   // below the headings, as wide as they are
	Heading     int      // line number of the headings
}

// ReadForeign reads every sheet of a workbook, or a CSV file, that has at
// least two lines. comma says how true numbers of a workbook are written.
func ReadForeign(name string, data []byte, comma bool) ([]*Foreign, error) {
	var gs []Grid
	if isCSV(name) {
		g, err := csvGrid(name, data)
		if err != nil {
			return nil, err
		}
		gs = []Grid{g}
	} else {
		var err error
		if gs, err = grids(data, "", func(*Grid) bool { return comma }); err != nil {
			return nil, err
		}
	}
	var out []*Foreign
	for i := range gs {
		if f := foreignTable(name, &gs[i]); f != nil {
			out = append(out, f)
		}
	}
	if out == nil {
		return nil, fault.New(fault.Invalid, "give a table with a row of headings and rows below it", fmt.Errorf("%s holds no table", name))
	}
	return out, nil
}

// Pasted reads a block of cells as a spreadsheet program puts it on the
// clipboard, or CSV text.
func Pasted(text string) (*Foreign, error) {
	g := textGrid("pasted text", text, false)
	if f := foreignTable("", &g); f != nil {
		return f, nil
	}
	return nil, fault.New(fault.Invalid, "paste a row of headings and the rows below it", fmt.Errorf("the pasted text holds no table"))
}

// foreignTable finds the headings: the first line that fills nearly as many
// cells as the fullest of the lines at the top. Lines above are titles.
func foreignTable(file string, g *Grid) *Foreign {
	count := func(l Line) (n int) {
		for _, c := range l.Cells {
			if strings.TrimSpace(c) != "" {
				n++
			}
		}
		return n
	}
	most := 0
	for _, l := range g.Lines[:min(len(g.Lines), 30)] {
		most = max(most, count(l))
	}
	top := slices.IndexFunc(g.Lines, func(l Line) bool { return count(l) >= 2 && 5*count(l) >= 3*most })
	if top < 0 || top+1 >= len(g.Lines) {
		return nil
	}
	f := &Foreign{File: file, Sheet: g.Sheet, Heading: g.Lines[top].Number}
	width := 0
	for _, l := range g.Lines[top:] {
		width = max(width, len(l.Cells))
	}
	for c := range width {
		h := ""
		if c < len(g.Lines[top].Cells) {
			h = strings.Join(strings.Fields(g.Lines[top].Cells[c]), " ")
		}
		if h == "" {
			h = "column " + xlsx.Column(c)
		}
		name := h
		for n := 2; slices.Contains(f.Headings, name); n++ {
			name = fmt.Sprintf("%s (%d)", h, n)
		}
		f.Headings = append(f.Headings, name)
	}
	for _, l := range g.Lines[top+1:] {
		cells := make([]string, width)
		for i, c := range l.Cells {
			cells[i] = strings.TrimSpace(c)
		}
		f.Lines = append(f.Lines, Line{l.Number, cells})
	}
	return f
}

// At is where a line stands, and with a column from 0 where a cell does.
func (f *Foreign) At(line int, column ...int) string {
	ref := fmt.Sprintf("%s!%d", f.Sheet, line)
	if len(column) > 0 && column[0] >= 0 {
		ref = fmt.Sprintf("%s!%s%d", f.Sheet, xlsx.Column(column[0]), line)
	}
	if f.File != "" && f.File != f.Sheet {
		ref = f.File + " " + ref
	}
	return ref
}
