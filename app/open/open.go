// Package open reads a car from wherever it is kept: a project file, a
// workbook, or a folder of CSV files. It only reads.
package open

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"keyon/app/build"
	"keyon/app/edit"
	"keyon/app/report"
	"keyon/model/design"
	"keyon/model/fault"
	"keyon/model/finding"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/model/settle"
	"keyon/store/project"
	"keyon/store/workbook"
)

// Car is a car that was read, with its design and where cells stand.
type Car struct {
	Path      string
	Book      *design.Book
	Design    *design.Design
	Catalogue part.Catalogue
	Findings  []finding.Verdict // of reading the sheets
	Cell      report.CellName
}

// Read reads a car. A project file is opened, read and closed again.
func Read(path string) (*Car, error) {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, fault.New(fault.NotFound, "write the name of a .keyon file, a workbook or a folder of CSV files; `keyon new` starts one", fmt.Errorf("open %s: there is no such file", path))
	case err != nil:
		return nil, fault.New(fault.Invalid, "", fmt.Errorf("open %s: %w", path, err))
	}
	c := &Car{Path: path, Catalogue: part.Embedded()}
	if !info.IsDir() && strings.EqualFold(filepath.Ext(path), project.Extension) {
		p, err := project.Open(path)
		if err != nil {
			return nil, err
		}
		defer p.Close()
		if c.Book, err = p.Load(); err != nil {
			return nil, err
		}
		c.Design = design.Read(c.Book)
		c.Cell = InBook(c.Book)
		return c, nil
	}
	r, err := workbook.ReadPath(path)
	if err != nil {
		return nil, err
	}
	c.Book, c.Findings, c.Cell = r.Book, r.Findings, r.Ref
	c.Design = design.Read(c.Book)
	return c, nil
}

// Plan plans the car and adds what reading its sheets found.
func (c *Car) Plan(mem *build.Memory) (*plan.Plan, error) {
	p, err := build.Run(c.Design, c.Catalogue, mem)
	if err != nil {
		return p, err
	}
	p.Verdicts = append(p.Verdicts, c.Findings...)
	finding.Sort(p.Verdicts)
	return p, nil
}

// InBook names cells by table, the row's own words and the column: "Circuits
// FUEL PUMP / gauge". A project has no sheet positions.
func InBook(b *design.Book) report.CellName {
	type at struct {
		table, row string
	}
	names := map[at]string{}
	for i := range b.Sheets {
		s := &b.Sheets[i]
		for r := range s.Rows {
			words := strings.Join(strings.FieldsFunc(s.Key(r), func(c rune) bool { return c == 0x1f }), " ")
			names[at{s.Table.Name, s.Rows[r].UID}] = words
		}
	}
	return func(c settle.Cell) string {
		return strings.TrimSpace(c.Table + " " + names[at{c.Table, c.Row}] + " / " + c.Column)
	}
}

// With is the car with some cells changed, on paper only: what if.
func (c *Car) With(writes []edit.Write) *Car {
	b := c.Book.Clone()
	type at struct{ table, row string }
	rows := map[at]*design.Row{}
	for i := range b.Sheets {
		s := &b.Sheets[i]
		for r := range s.Rows {
			rows[at{s.Table.Name, s.Rows[r].UID}] = &s.Rows[r]
		}
	}
	for _, w := range writes {
		s := b.Sheet(w.Cell.Table)
		r := rows[at{w.Cell.Table, w.Cell.Row}]
		if s == nil || r == nil {
			continue
		}
		if i := s.Table.Index(w.Cell.Column); i >= 0 && i < len(r.Cells) {
			r.Cells[i].Text = w.Text
		}
	}
	n := *c
	n.Book, n.Design = b, design.Read(b)
	return &n
}
