package sheet

import (
	"bytes"
	"encoding/csv"
	"strconv"
	"strings"
)

// CSV returns a sheet as CSV: UTF-8, commas, one head line, "\n" at line
// ends (RFC 4180 but for the line ends).
//
// A spreadsheet may take a text that begins with = + - @ or a control for a
// formula. Such a text, and one that begins with an apostrophe, gets one
// apostrophe in front: Unguard takes it away again. Numbers are written as they
// are, so a program that reads them needs no care.
func CSV(s Tab) []byte {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	line := make([]string, len(s.Columns))
	for i, c := range s.Columns {
		line[i] = guard(c.head())
	}
	w.Write(line) // a bytes.Buffer never fails
	for _, row := range s.Rows {
		line = line[:0]
		for _, c := range row {
			line = append(line, c.csv())
		}
		for len(line) < len(s.Columns) {
			line = append(line, "")
		}
		w.Write(line)
	}
	w.Flush()
	return b.Bytes()
}

func (c Cell) csv() string {
	switch c.kind {
	case number:
		return strconv.FormatFloat(c.number, 'f', -1, 64)
	case text:
		return guard(c.text)
	}
	return ""
}

// risky tells whether a spreadsheet might read more than text into s.
func risky(s string) bool {
	return s != "" && strings.ContainsRune("=+-@\t\r\n", rune(s[0]))
}

func guard(s string) string {
	s = Legal(s)
	if risky(s) || strings.HasPrefix(s, "'") {
		return "'" + s
	}
	return s
}

// Unguard returns the text that CSV was given for a cell, after Legal.
func Unguard(s string) string { return strings.TrimPrefix(s, "'") }
