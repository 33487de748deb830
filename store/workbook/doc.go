// Package workbook reads and writes the tables a person fills in: an XLSX
// workbook, or a folder of CSV files, and design.Book.
//
// Reading decides which sheet is which table and which column which, and
// keeps every cell as the text a person typed or would have typed. What can't
// be told is a finding at its sheet or heading. Whether a cell makes sense is
// left to design.Read.
package workbook

import (
	"strconv"
	"strings"

	"keyon/format/xlsx"
	"keyon/model/design"
	"keyon/model/finding"
	"keyon/model/settle"
	"keyon/model/source"
)

func rule(id string, s finding.Severity, title, text string) *finding.Rule {
	return &finding.Rule{ID: id, Severity: s, Title: title, Text: text, Source: source.Ref{Kind: source.Judgement, Doc: "house-rules", Where: "sheets"}}
}

// Rules that reading sheets can break.
var (
	RuleTwice    = rule("sheet.twice", finding.Stop, "two sheets are one table", "Only the first is read.")
	RuleHeading  = rule("sheet.heading", finding.Stop, "two columns are one", "Only the first is read.")
	RuleColumn   = rule("sheet.column", finding.Stop, "a column that every row needs is missing", "No row of the sheet can be used without it.")
	RuleUnit     = rule("sheet.unit", finding.Stop, "a heading names a unit that its column can't have", "The column is not read.")
	RuleNear     = rule("sheet.near", finding.Look, "a heading is nearly one of ours", "The column is kept as it is and means nothing to the program.")
	RuleUnknown  = rule("sheet.unknown", finding.Note, "a sheet is no table of ours", "It is not read.")
	RuleHidden   = rule("sheet.hidden", finding.Note, "a hidden sheet is read", "What stands in it counts like the rest.")
	RuleMerged   = rule("sheet.merged", finding.Look, "cells are merged", "The value counts for the top left cell only; the others are blank.")
	RuleFormula  = rule("sheet.formula", finding.Look, "a formula has no value", "The cell is read as blank.")
	RuleTop      = rule("sheet.top", finding.Note, "lines above the headings", "They are not read.")
	RuleKey      = rule("sheet.key", finding.Note, "two rows have one key", "The later row counts as a row of its own, as after copying a row.")
	RuleEncoding = rule("sheet.encoding", finding.Note, "a file is not UTF-8", "It is read as Windows-1252; umlauts and signs may be wrong.")
	RuleWide     = rule("sheet.wide", finding.Look, "columns beyond the last that is read", "They are not read.")
	Rules        = []*finding.Rule{RuleTwice, RuleHeading, RuleColumn, RuleUnit, RuleNear, RuleUnknown, RuleHidden, RuleMerged, RuleFormula, RuleTop, RuleKey, RuleEncoding, RuleWide}
)

// KeyHeading heads the hidden column of UIDs: key, or row key in tables that
// have a column key of their own.
func KeyHeading(t *design.Table) string {
	if t.Column("key") != nil {
		return "row key"
	}
	return "key"
}

// Reading is a book as it was read, and where everything stood.
type Reading struct {
	Book     *design.Book
	Findings []finding.Verdict
	File     string
	seats    map[string]*seat
}

// seat is where a table was read.
type seat struct {
	sheet   string // as spelled in the file
	heading int    // line number of the headings, from 1
	columns []int  // position in the sheet of each column of the table, or -1
	rows    map[string]int
}

// Has reports whether the file has the table at all.
func (r *Reading) Has(table string) bool { return r.seats[table] != nil }

// HasColumn reports whether the file has a column of a table.
func (r *Reading) HasColumn(table, column string) bool {
	s, t := r.seats[table], design.ByName(table)
	if s == nil || t == nil {
		return false
	}
	i := t.Index(column)
	return i >= 0 && s.columns[i] >= 0
}

// Ref is where a cell was read, such as "tern.xlsx Circuits!H12"; its heading
// for a cell without a row, its row for a cell without a column.
func (r *Reading) Ref(cell settle.Cell) string {
	s := r.seats[cell.Table]
	if s == nil {
		return r.File
	}
	ref := r.File + " " + s.sheet
	line := s.heading
	if cell.Row != "" {
		sheet := r.Book.Sheet(cell.Table)
		if len(s.rows) != len(sheet.Rows) {
			s.rows = make(map[string]int, len(sheet.Rows))
			for i, row := range sheet.Rows {
				s.rows[row.UID] = i
			}
		}
		i, ok := s.rows[cell.Row]
		if !ok || i >= len(sheet.Rows) || sheet.Rows[i].UID != cell.Row {
			return ref
		}
		ref = sheet.Rows[i].At
		_, number, _ := strings.Cut(ref[strings.LastIndexByte(ref, '!'):], "!")
		line, _ = strconv.Atoi(number)
	}
	c := design.ByName(cell.Table).Index(cell.Column)
	if c < 0 || s.columns[c] < 0 {
		return ref
	}
	return r.File + " " + s.sheet + "!" + xlsx.Column(s.columns[c]) + strconv.Itoa(line)
}
