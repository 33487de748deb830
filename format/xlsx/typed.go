package xlsx

import (
	"math"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"
)

// Typer gives cells the text a person would have typed for them.
type Typer struct {
	Comma  bool // numbers are written with a decimal comma
	Date04 bool
	shown  map[string]int // style of a format in the scratch workbook
	book   *excelize.File
}

// Text is what a person would have typed: a number without the noise of its
// binary form and with the units its format shows, a date or a number with
// leading zeros as shown, a share in per cent.
func (t *Typer) Text(c Cell) string {
	if c.Kind != Number {
		return c.Text
	}
	v, err := strconv.ParseFloat(c.Text, 64)
	if err != nil || math.IsInf(v, 0) || math.IsNaN(v) {
		return c.Text
	}
	code, _, _ := strings.Cut(c.Format, ";")
	switch look := bare(code); {
	case strings.ContainsAny(look, "ymdhsYMDHS"):
		return t.show(v, c.Format)
	case strings.Contains(look, "%"):
		return t.number(v*100) + "%"
	case zeros(look) > 1:
		return t.show(v, c.Format)
	default:
		text := t.number(v)
		if unit := tail(code); unit != "" {
			text += " " + unit
		}
		return text
	}
}

// number prints the shortest decimal of the 15 digits a spreadsheet keeps.
func (t *Typer) number(v float64) string {
	s := strconv.FormatFloat(v, 'e', 14, 64)
	v, _ = strconv.ParseFloat(s, 64)
	s = strconv.FormatFloat(v, 'f', -1, 64)
	if s == "-0" {
		s = "0"
	}
	if t.Comma {
		s = strings.Replace(s, ".", ",", 1)
	}
	return s
}

// show prints a number as the spreadsheet does.
func (t *Typer) show(v float64, format string) string {
	if t.Date04 {
		v += 1462 // days from 1899-12-30 to 1904-01-01
	}
	if t.book == nil {
		t.book, t.shown = excelize.NewFile(), map[string]int{}
	}
	style, ok := t.shown[format]
	if !ok {
		style, _ = t.book.NewStyle(&excelize.Style{CustomNumFmt: &format})
		t.shown[format] = style
	}
	const sheet, cell = "Sheet1", "A1"
	if t.book.SetCellFloat(sheet, cell, v, -1, 64) != nil || t.book.SetCellStyle(sheet, cell, cell, style) != nil {
		return t.number(v)
	}
	s, err := t.book.GetCellValue(sheet, cell)
	if err != nil || s == "" {
		return t.number(v)
	}
	return s
}

// bare is a format without its literal texts, colours and conditions.
func bare(code string) string {
	var b strings.Builder
	for i := 0; i < len(code); i++ {
		switch code[i] {
		case '\\', '_', '*':
			i++
		case '"':
			for i++; i < len(code) && code[i] != '"'; i++ {
			}
		case '[':
			from := i
			for i++; i < len(code) && code[i] != ']'; i++ {
			}
			if in := strings.ToLower(code[from+1 : i]); in == "h" || in == "hh" || in == "m" || in == "mm" || in == "s" || in == "ss" {
				b.WriteString(in)
			}
		default:
			b.WriteByte(code[i])
		}
	}
	if s := b.String(); !strings.EqualFold(s, "general") {
		return s
	}
	return ""
}

// zeros counts the digits a format always shows before its fraction, zero
// where it parts thousands: 00 shows 01.
func zeros(look string) int {
	if strings.ContainsAny(look, ",?/E") {
		return 0
	}
	whole, _, _ := strings.Cut(look, ".")
	return strings.Count(whole, "0")
}

// tail is the quoted text at the end of a format, such as the mm of 0.0" mm".
func tail(code string) string {
	code = strings.TrimSpace(code)
	if !strings.HasSuffix(code, `"`) {
		return ""
	}
	code = code[:len(code)-1]
	return strings.TrimSpace(code[strings.LastIndexByte(code, '"')+1:])
}
