package audit

import (
	"math"
	"strconv"
	"strings"
)

// text is a cell without the blanks around it.
func text(row map[string]string, column string) string { return strings.TrimSpace(row[column]) }

// same tells names apart the way people do: blanks around and case don't count.
func same(a, b string) bool { return strings.EqualFold(strings.TrimSpace(a), strings.TrimSpace(b)) }

// millimetres of a unit that a length may be written in.
var millimetres = map[string]float64{"": 1, "mm": 1, "cm": 10, "m": 1000, "in": 25.4, "\"": 25.4, "ft": 304.8, "'": 304.8}

// amount reads a number and the unit behind it.
func (a *auditor) amount(s string) (v float64, unit string, ok bool) {
	s = strings.TrimSpace(s)
	if a.comma {
		s = strings.Replace(s, ",", ".", 1)
	}
	end := strings.IndexFunc(s, func(r rune) bool { return !strings.ContainsRune("+-.0123456789", r) })
	if end < 0 {
		end = len(s)
	}
	v, err := strconv.ParseFloat(s[:end], 64)
	return v, strings.TrimSpace(s[end:]), err == nil
}

// number is the amount of a cell, NaN where it holds none.
func (a *auditor) number(s string) float64 {
	if v, _, ok := a.amount(s); ok {
		return v
	}
	return math.NaN()
}

// length reads a length in mm; not ok for blank cells and for what people
// write that this reader doesn't know, such as feet with inches.
func (a *auditor) length(s string) (mm float64, ok bool) {
	v, unit, ok := a.amount(s)
	f, known := millimetres[strings.ToLower(unit)]
	return v * f, ok && known
}

// list parts a cell that holds several names.
func list(s string) []string {
	var out []string
	for _, x := range strings.FieldsFunc(s, func(r rune) bool { return r == ',' || r == ';' || r == '\n' }) {
		if x = strings.TrimSpace(x); x != "" {
			out = append(out, x)
		}
	}
	return out
}
