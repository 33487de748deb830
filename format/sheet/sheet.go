// Package sheet writes the tables of papers as workbooks (XLSX) and CSV files.
//
// It decides how typed cells become a sheet that a person can sort, print and
// hand on: text stays text and never becomes a formula, numbers are numbers
// with their unit in the head. It takes for granted that a row is in the order
// of its columns. It leaves the workbooks that people fill in to format/xlsx.
// The same book makes the same bytes: no clock is read.
package sheet

import (
	"fmt"
	"math"
	"regexp"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"

	"keyon/format/page"
)

// Cell is text, a number, or blank; the zero Cell is blank.
type Cell struct {
	kind   kind
	text   string
	number float64
}

type kind int

const (
	blank kind = iota
	text
	number
)

// Text returns a cell that holds s as it is, whatever it begins with.
func Text(s string) Cell { return Cell{kind: text, text: s} }

// Number returns a cell with a number; its unit stands in the head. What is no
// number (NaN, infinite) becomes the text "no number", so that it is seen.
func Number(v float64) Cell {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return Text("no number")
	}
	return Cell{kind: number, number: v}
}

// Texts returns a row of text cells.
func Texts(ss ...string) []Cell {
	out := make([]Cell, len(ss))
	for i, s := range ss {
		out[i] = Text(s)
	}
	return out
}

// Column of a sheet. The head reads "Head (Unit)". A column with Decimals
// shows its numbers with so many, without changing them. Width is in
// characters; zero takes it from the cells.
type Column struct {
	Head     string
	Unit     string
	Width    float64
	Decimals int
}

func (c Column) head() string {
	if c.Unit == "" {
		return c.Head
	}
	return c.Head + " (" + c.Unit + ")"
}

// Tab is one table: a head, frozen and repeated on each printed page, and rows.
type Tab struct {
	Name    string
	Columns []Column
	Rows    [][]Cell
}

// Book is a workbook. Date is given from outside as 2006-01-02 and may be
// blank. Paper is that of the print set-up; a blank one is A4.
type Book struct {
	Title, Author, Date string
	Paper               page.Size
	Tabs                []Tab
}

// limit of a cell's text, in UTF-16 units (ECMA-376 implementations; common practice).
const limit = 32767

// Write returns the book as XLSX. A book without tabs is refused. The names of tabs are cut and made unique where a workbook demands it.
func Write(b Book) ([]byte, error) {
	if len(b.Tabs) == 0 {
		return nil, fmt.Errorf("write workbook %q: no tabs", b.Title)
	}
	w := writer{f: excelize.NewFile(), book: b}
	defer w.f.Close()
	names := sheetNames(b.Tabs)
	w.try(w.f.SetSheetName("Sheet1", names[0]))
	for _, name := range names[1:] {
		_, err := w.f.NewSheet(name)
		w.try(err)
	}
	w.looks()
	for i, s := range b.Tabs {
		w.sheet(names[i], s)
	}
	w.props()
	buf, err := w.f.WriteToBuffer()
	w.try(err)
	if w.err != nil {
		return nil, fmt.Errorf("write workbook %q: %w", b.Title, w.err)
	}
	return buf.Bytes(), nil
}

// writer keeps the first error.
type writer struct {
	f      *excelize.File
	book   Book
	err    error
	head   int
	text   int
	quoted int
	plain  int
	number map[int]int // decimals → style
	rule   []excelize.Border
}

func (w *writer) try(err error) {
	if w.err == nil {
		w.err = err
	}
}

func (w *writer) style(s excelize.Style) int {
	id, err := w.f.NewStyle(&s)
	w.try(err)
	return id
}

func (w *writer) looks() {
	top := &excelize.Alignment{Vertical: "top", WrapText: true}
	w.head = w.style(excelize.Style{
		Font:      &excelize.Font{Bold: true, Family: "Calibri", Size: 11},
		Fill:      excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{"E8E8E8"}},
		Border:    []excelize.Border{{Type: "bottom", Style: 2, Color: "000000"}},
		Alignment: &excelize.Alignment{Vertical: "center", WrapText: true},
	})
	w.rule = []excelize.Border{{Type: "bottom", Style: 1, Color: "BBBBBB"}}
	w.text = w.style(excelize.Style{Alignment: top, Border: w.rule})
	w.plain = w.style(excelize.Style{Alignment: &excelize.Alignment{Vertical: "top"}, Border: w.rule})
	// A cell whose text begins like a formula is marked as text (format 49) and
	// quoted, so that it stays text when a person opens and leaves it.
	w.quoted = w.style(excelize.Style{Alignment: top, NumFmt: 49, Border: w.rule})
	if w.err == nil {
		yes := true
		w.f.Styles.CellXfs.Xf[w.quoted].QuotePrefix = &yes
	}
	w.number = map[int]int{0: w.plain}
}

func (w *writer) decimals(n int) int {
	id, ok := w.number[n]
	if !ok {
		format := "0." + strings.Repeat("0", min(n, 12))
		id = w.style(excelize.Style{Alignment: &excelize.Alignment{Vertical: "top"}, CustomNumFmt: &format, Border: w.rule})
		w.number[n] = id
	}
	return id
}

func (w *writer) sheet(name string, s Tab) {
	for i, c := range s.Columns {
		w.cell(name, i+1, 1, Text(c.head()), w.head)
		letter, err := excelize.ColumnNumberToName(i + 1)
		w.try(err)
		w.try(w.f.SetColWidth(name, letter, letter, width(s, i)))
	}
	for r, row := range s.Rows {
		for i := range max(len(row), len(s.Columns)) {
			c, look := Cell{}, w.text
			if i < len(row) {
				c = row[i]
			}
			switch {
			case c.kind == number && i < len(s.Columns):
				look = w.decimals(max(0, s.Columns[i].Decimals))
			case c.kind == number:
				look = w.plain
			case risky(c.text):
				look = w.quoted
			}
			w.cell(name, i+1, r+2, c, look)
		}
	}
	if len(s.Columns) == 0 {
		return
	}
	w.try(w.f.SetPanes(name, &excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}))
	w.print(name, s)
}

func (w *writer) cell(sheet string, col, row int, c Cell, look int) {
	at, err := excelize.CoordinatesToCellName(col, row)
	w.try(err)
	switch c.kind {
	case number:
		w.try(w.f.SetCellFloat(sheet, at, c.number, -1, 64))
	case text:
		w.try(w.f.SetCellStr(sheet, at, literal(Legal(c.text))))
	}
	w.try(w.f.SetCellStyle(sheet, at, at, look))
}

// print sets up the sheet for paper: as wide as one page, head on each.
func (w *writer) print(name string, s Tab) {
	const a4, letter = 9, 1 // ECMA-376, 18.3.1.63 pageSetup paperSize
	size, one, auto := a4, 1, 0
	if w.book.Paper == page.Letter || w.book.Paper == page.Letter.Landscape() {
		size = letter
	}
	orientation, total := "portrait", 0.0
	for i := range s.Columns {
		total += width(s, i)
	}
	if total > 95 { // characters that fit across an upright page at a readable size
		orientation = "landscape"
	}
	fit := true
	w.try(w.f.SetPageLayout(name, &excelize.PageLayoutOptions{Size: &size, Orientation: &orientation, FitToWidth: &one, FitToHeight: &auto}))
	w.try(w.f.SetSheetProps(name, &excelize.SheetPropsOptions{FitToPage: &fit}))
	title := strings.ReplaceAll(Legal(w.book.Title), "&", "&&")
	if rs := []rune(title); len(rs) > 100 {
		title = string(rs[:100])
	}
	w.try(w.f.SetHeaderFooter(name, &excelize.HeaderFooterOptions{OddFooter: "&L" + title + "&C&A&Rpage &P of &N"}))
	w.try(w.f.SetDefinedName(&excelize.DefinedName{Name: "_xlnm.Print_Titles", RefersTo: "'" + strings.ReplaceAll(name, "'", "''") + "'!$1:$1", Scope: name}))
}

func (w *writer) props() {
	created := "2000-01-01T00:00:00Z"
	if _, err := time.Parse(time.DateOnly, w.book.Date); err == nil {
		created = w.book.Date + "T00:00:00Z"
	}
	w.try(w.f.SetDocProps(&excelize.DocProperties{
		Title: Legal(w.book.Title), Creator: Legal(w.book.Author), LastModifiedBy: Legal(w.book.Author), Created: created, Modified: created,
	}))
	w.try(w.f.SetAppProps(&excelize.AppProperties{Application: "keyon"}))
}

// width returns the width of a column in characters, at most 60.
func width(s Tab, i int) float64 {
	if s.Columns[i].Width > 0 {
		return math.Min(s.Columns[i].Width, 255)
	}
	most := 0
	see := func(t string) {
		for _, line := range strings.Split(t, "\n") {
			most = max(most, utf8.RuneCountInString(line))
		}
	}
	see(s.Columns[i].head() + " ")
	for _, row := range s.Rows {
		if i < len(row) {
			if row[i].kind == number {
				see(fmt.Sprintf("%.*f", max(2, s.Columns[i].Decimals), row[i].number))
			} else {
				see(row[i].text)
			}
		}
	}
	return math.Min(math.Max(float64(most)+2, 6), 60)
}

// Legal returns a text as a cell can hold it: what XML forbids is replaced by a
// visible sign, line ends are "\n", and what is longer than a cell is cut with
// "…" at its end.
func Legal(s string) string {
	s = strings.ReplaceAll(strings.ReplaceAll(s, "\r\n", "\n"), "\r", "\n")
	units := 0
	var b strings.Builder
	for _, r := range s {
		if r < ' ' && r != '\n' && r != '\t' || r == 0xFFFE || r == 0xFFFF {
			r = page.Missing
		}
		n := 1
		if r > 0xFFFF {
			n = 2
		}
		if units += n; units > limit-1 {
			b.WriteString(page.Dots)
			break
		}
		b.WriteRune(r)
	}
	return b.String()
}

var escapeForm = regexp.MustCompile(`^_x[0-9A-Fa-f]{4}_`)

// literal escapes underscores that a reader would take for the start of an
// escaped character, such as _x0041_ for "A" (ECMA-376 part 1, 22.9.2.19).
func literal(s string) string {
	if !strings.Contains(s, "_x") {
		return s
	}
	var b strings.Builder
	for i := range len(s) {
		if s[i] == '_' && escapeForm.MatchString(s[i:min(len(s), i+7)]) {
			b.WriteString("_x005F")
		}
		b.WriteByte(s[i])
	}
	return b.String()
}

// sheetNames returns names that a workbook accepts: at most 31 UTF-16 units, none of
// : \ / ? * [ ], no apostrophe at the ends, unique without regard to case
// (ECMA-376 implementations; common practice).
func sheetNames(tabs []Tab) []string {
	seen := map[string]bool{"history": true} // taken by the best known program
	out := make([]string, len(tabs))
	for i, s := range tabs {
		name := strings.Map(func(r rune) rune {
			if strings.ContainsRune(`:\/?*[]`, r) || r < ' ' || r > 0xFFFF {
				return '-'
			}
			return r
		}, Legal(s.Name))
		name = strings.Trim(name, "' ")
		if name == "" {
			name = "Sheet"
		}
		base := []rune(name)
		for n := 1; ; n++ {
			tail := ""
			if n > 1 {
				tail = fmt.Sprintf(" %d", n)
			}
			name = strings.TrimRight(string(base[:min(len(base), 31-len(tail))]), "' ") + tail
			if !seen[strings.ToLower(name)] {
				break
			}
		}
		seen[strings.ToLower(name)] = true
		out[i] = name
	}
	return out
}
