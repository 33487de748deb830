package workbook

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"strings"

	"keyon/format/xlsx"
	"keyon/model/fault"
)

// Bounds of what a sheet may hold in memory.
const (
	maxWidth = 1024     // columns that are read
	maxCells = 40 << 20 // cells of all sheets, blank ones up to the last of their row included
)

// Line is one row of a sheet that has anything in it.
type Line struct {
	Number int // from 1
	Cells  []string
}

// Grid is a sheet, or a CSV file, as texts.
type Grid struct {
	Sheet  string // sheet or file name
	Hidden bool
	Lines  []Line
	Merged []string // ranges, such as B2:B4
	Unset  []string // cells with a formula but no value
	Wide   bool     // cells beyond the last column read
	Note   string   // how it was decoded where that is a guess
}

// grids reads every sheet of an XLSX workbook, in its order. comma says
// whether the sheets' true numbers are to be typed with a decimal comma; it
// is asked with the sheet named by first (folded), which is read first, or
// with nil where there is none.
func grids(data []byte, first string, comma func(*Grid) bool) ([]Grid, error) {
	f, err := xlsx.Open(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return nil, explain(err)
	}
	out := make([]Grid, len(f.Sheets))
	typer := &xlsx.Typer{Date04: f.Date04}
	cells := 0
	read := func(i int) error {
		g := &out[i]
		g.Sheet, g.Hidden = f.Sheets[i].Name, f.Sheets[i].Hidden
		merged, err := f.Rows(i, func(row int, cs []xlsx.Cell) error {
			width := 0
			for _, c := range cs {
				if c.Col >= maxWidth {
					g.Wide = true
				} else {
					width = max(width, c.Col+1)
				}
			}
			if cells += width; cells > maxCells {
				return xlsx.ErrTooBig
			}
			line := Line{row + 1, make([]string, width)}
			for _, c := range cs {
				if c.Col >= maxWidth {
					continue
				}
				if c.Unset {
					g.Unset = append(g.Unset, fmt.Sprint(xlsx.Column(c.Col), row+1))
					continue
				}
				line.Cells[c.Col] = typer.Text(c)
			}
			g.Lines = append(g.Lines, line)
			return nil
		})
		for _, m := range merged {
			g.Merged = append(g.Merged, fmt.Sprint(xlsx.Column(m.Col), m.Row+1, ":", xlsx.Column(m.LastCol), m.LastRow+1))
		}
		return err
	}
	done := slices.IndexFunc(f.Sheets, func(s xlsx.Sheet) bool { return fold(s.Name) == first })
	if done >= 0 {
		if err := read(done); err != nil {
			return nil, explain(err)
		}
		typer.Comma = comma(&out[done])
	} else {
		typer.Comma = comma(nil)
	}
	for i := range f.Sheets {
		if i != done {
			if err := read(i); err != nil {
				return nil, explain(err)
			}
		}
	}
	return out, nil
}

// explain turns what the format says into what a person can do.
func explain(err error) error {
	hint := ""
	switch {
	case errors.Is(err, xlsx.ErrPassword):
		hint = "open it in the spreadsheet program, remove the password and save it again"
	case errors.Is(err, xlsx.ErrOld), errors.Is(err, xlsx.ErrOpenDoc):
		hint = "open it in the spreadsheet program and save it as XLSX"
	case errors.Is(err, xlsx.ErrNotWorkbook):
		hint = "give an XLSX workbook, a CSV file or a folder of CSV files"
	case errors.Is(err, xlsx.ErrDamaged):
		hint = "copy the file again from where it came from, or open it in the spreadsheet program and save it again"
	case errors.Is(err, xlsx.ErrTooBig):
		hint = "delete what isn't needed from the workbook; empty rows and columns with formats count too"
	default:
		return err
	}
	return fault.New(fault.Invalid, hint, err)
}

// fold makes sheet names and file names comparable.
func fold(s string) string {
	return strings.Map(func(r rune) rune {
		switch r {
		case ' ', '_', '-', '.', '\t', '\u00a0':
			return -1
		}
		return r
	}, strings.ToLower(strings.TrimSpace(s)))
}
