// Package xlsx reads and writes the cells of an Office Open XML workbook
// (ECMA-376): texts, numbers with their number format, formulas by their
// stored value, merged and hidden things, and nothing else.
//
// A file is judged before it is believed: sizes, ratios and counts have
// bounds, so a hostile file costs little. What a cell means is left to the
// caller.
package xlsx

import "errors"

// Errors of Open and Rows. ErrDamaged also stands for a file cut short.
var (
	ErrNotWorkbook = errors.New("not an XLSX workbook")
	ErrOld         = errors.New("an old binary workbook (XLS)")
	ErrOpenDoc     = errors.New("an OpenDocument file")
	ErrPassword    = errors.New("the workbook is protected by a password")
	ErrDamaged     = errors.New("the workbook is damaged or cut short")
	ErrTooBig      = errors.New("the workbook unpacks to more than this program reads")
)

// Bounds of what is read. A sheet has at most 1,048,576 rows and 16,384
// columns (ECMA-376 part 1, 18.3.1.73 and 18.3.1.13 as implemented).
const (
	maxRows     = 1 << 20
	maxColumns  = 1 << 14
	maxUnpacked = 1 << 30  // bytes over all parts that are read
	freeRatio   = 16 << 20 // bytes that may be unpacked whatever the ratio
	maxRatio    = 200      // unpacked to packed; deflate itself ends near 1030
	maxCells    = 20 << 20
	MaxText     = 32767 // UTF-16 units a cell may hold
)

// Kind is what a cell holds.
type Kind uint8

// Kinds of cells. A formula has the kind of its stored value.
const (
	Text Kind = iota
	Number
	Flag
	Fault // an error value such as #REF!
)

// Cell is one cell that is not empty.
type Cell struct {
	Col     int // from 0
	Kind    Kind
	Text    string // the text, the number as stored, TRUE or FALSE, the error
	Format  string // number format of a Number
	Formula bool
	Unset   bool // a formula without a stored value
}

// Range is a block of cells, from 0, ends included.
type Range struct{ Row, Col, LastRow, LastCol int }

// Sheet is a worksheet's name and state.
type Sheet struct {
	Name   string
	Hidden bool
	part   string
}

// Column is the letter name of a column from 0: A, Z, AA.
func Column(col int) string {
	var b []byte
	for col++; col > 0; col = (col - 1) / 26 {
		b = append(b, byte('A'+(col-1)%26))
	}
	for i, j := 0, len(b)-1; i < j; i, j = i+1, j-1 {
		b[i], b[j] = b[j], b[i]
	}
	return string(b)
}

// reference reads "AB12" into column and row from 0; a missing row or column
// is -1.
func reference(ref string) (col, row int) {
	col, row = 0, 0
	i := 0
	for ; i < len(ref) && (ref[i] >= 'A' && ref[i] <= 'Z' || ref[i] == '$'); i++ {
		if ref[i] != '$' && col <= maxColumns {
			col = col*26 + int(ref[i]-'A') + 1
		}
	}
	for ; i < len(ref); i++ {
		if ref[i] == '$' {
			continue
		}
		if ref[i] < '0' || ref[i] > '9' || row > maxRows {
			return col - 1, -1
		}
		row = row*10 + int(ref[i]-'0')
	}
	return col - 1, row - 1
}
