package workbook

import (
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"keyon/format/xlsx"
	"keyon/model/design"
	"keyon/model/fault"
	"keyon/model/finding"
	"keyon/model/settle"
	"keyon/num/quantity"
)

// MaxFile is the largest file that is read, in bytes.
const MaxFile = 512 << 20

// ReadPath reads an XLSX workbook, one CSV file named like its table, or a
// folder of CSV files. An error says that the file as a whole can't be read.
func ReadPath(name string) (*Reading, error) { return ReadPathIn(name, quantity.Auto) }

// ReadPathIn is ReadPath for a car with a decimal mark of its own: where the
// workbook doesn't name one, its true numbers are typed with that.
func ReadPathIn(name string, dec quantity.Decimal) (*Reading, error) {
	info, err := os.Stat(name)
	if err != nil {
		return nil, missing(name, err)
	}
	if info.IsDir() {
		return ReadFolder(filepath.Base(name), os.DirFS(name))
	}
	data, err := load(name, info)
	if err != nil {
		return nil, err
	}
	r, err := ReadIn(filepath.Base(name), data, dec)
	if err != nil {
		return nil, fmt.Errorf("read %s: %w", name, err)
	}
	return r, nil
}

func missing(name string, err error) error {
	if os.IsNotExist(err) {
		return fault.New(fault.NotFound, "check the name and the folder", fmt.Errorf("read %s: no such file or folder", name))
	}
	return fmt.Errorf("read %s: %w", name, err)
}

func load(name string, info fs.FileInfo) ([]byte, error) {
	if info.Size() > MaxFile {
		return nil, fault.New(fault.Invalid, "split it up", fmt.Errorf("read %s: %d MB; at most %d MB are read", name, info.Size()>>20, MaxFile>>20))
	}
	data, err := os.ReadFile(name)
	if err != nil {
		return nil, missing(name, err)
	}
	return data, nil
}

// Read reads a file's bytes: a CSV file if name ends so, else a workbook.
func Read(name string, data []byte) (*Reading, error) { return ReadIn(name, data, quantity.Auto) }

// ReadIn is Read for a car with a decimal mark of its own.
func ReadIn(name string, data []byte, dec quantity.Decimal) (*Reading, error) {
	if isCSV(name) {
		g, err := csvGrid(name, data)
		if err != nil {
			return nil, err
		}
		return assemble(name, []Grid{g}), nil
	}
	gs, err := grids(data, "car", func(car *Grid) bool {
		if said, is := comma(car); said {
			return is
		}
		return dec == quantity.Comma
	})
	if err != nil {
		return nil, err
	}
	return assemble(name, gs), nil
}

// ReadFolder reads a folder of CSV files named like the tables.
func ReadFolder(name string, folder fs.FS) (*Reading, error) {
	entries, err := fs.ReadDir(folder, ".")
	if err != nil {
		return nil, fmt.Errorf("read %s: %w", name, err)
	}
	var gs []Grid
	for _, e := range entries {
		if e.IsDir() || !isCSV(e.Name()) || strings.HasPrefix(e.Name(), ".") {
			continue
		}
		info, err := e.Info()
		if err != nil {
			return nil, fmt.Errorf("read %s: %w", name, err)
		}
		if info.Size() > MaxFile {
			return nil, fault.New(fault.Invalid, "split it up", fmt.Errorf("read %s: %d MB; at most %d MB are read", e.Name(), info.Size()>>20, MaxFile>>20))
		}
		data, err := fs.ReadFile(folder, e.Name())
		if err != nil {
			return nil, fmt.Errorf("read %s: %w", name, err)
		}
		g, err := csvGrid(e.Name(), data)
		if err != nil {
			return nil, fmt.Errorf("read %s: %w", path.Join(name, e.Name()), err)
		}
		gs = append(gs, g)
	}
	if gs == nil {
		return nil, fault.New(fault.Invalid, "give a folder with files such as Circuits.csv", fmt.Errorf("read %s: no CSV file in the folder", name))
	}
	return assemble(name, gs), nil
}

func isCSV(name string) bool {
	switch strings.ToLower(filepath.Ext(name)) {
	case ".csv", ".tsv":
		return true
	}
	return false
}

// comma reads the car's decimal key; said is false where there is none.
func comma(car *Grid) (said, is bool) {
	if car == nil {
		return false, false
	}
	for _, l := range car.Lines {
		for i, c := range l.Cells {
			if strings.EqualFold(strings.TrimSpace(c), "decimal") {
				for _, v := range l.Cells[i+1:] {
					if v = strings.ToLower(strings.TrimSpace(v)); v != "" {
						return true, v == "comma" || v == ","
					}
				}
			}
		}
	}
	return false, false
}

// tableOf finds the table a sheet or file is named for.
func tableOf(name string) *design.Table {
	n := fold(name)
	if isCSV(name) {
		n = fold(name[:len(name)-len(filepath.Ext(name))])
	}
	for i := range design.Tables {
		t := &design.Tables[i]
		if n == fold(t.Name) || n == fold(design.Singular(t.Name)) {
			return t
		}
	}
	return nil
}

func assemble(name string, gs []Grid) *Reading {
	r := &Reading{Book: design.NewBook(), File: name, seats: map[string]*seat{}}
	say := func(rule *finding.Rule, p finding.Place, what string, fixes ...string) {
		r.Findings = append(r.Findings, finding.Say(rule, p, what, fixes...))
	}
	known := false
	for i := range gs {
		g := &gs[i]
		t := tableOf(g.Sheet)
		at := finding.Place{Kind: "sheet", ID: g.Sheet}
		if t == nil {
			if len(g.Lines) > 0 {
				say(RuleUnknown, at, "the sheet is not one of the tables; it is not read", "name it like its table, or leave it")
			}
			continue
		}
		known = true
		if r.seats[t.Name] != nil {
			say(RuleTwice, at, fmt.Sprintf("the sheet is the table %s, as is the sheet %s before it; only that one is read", t.Name, r.seats[t.Name].sheet), "move its rows there and delete it, or rename it")
			continue
		}
		at.Cell.Table = t.Name
		if g.Hidden {
			say(RuleHidden, at, "the sheet is hidden and is read")
		}
		if g.Note != "" {
			say(RuleEncoding, at, g.Note, "save the file as UTF-8")
		}
		if g.Wide {
			say(RuleWide, at, fmt.Sprintf("cells stand right of column %s; they are not read", xlsx.Column(maxWidth-1)), "delete them")
		}
		for _, m := range clipList(g.Merged) {
			say(RuleMerged, at, m+" is merged; its value counts for the first cell only", "split the merged cells and fill each")
		}
		for _, c := range clipList(g.Unset) {
			say(RuleFormula, at, c+" has a formula without a stored value and is read as blank", "open the workbook in the spreadsheet program and save it")
		}
		r.table(t, g, say)
	}
	if !known {
		say(RuleColumn, finding.Place{Kind: "sheet", ID: name}, "no sheet is named like a table: Devices, Places, Legs, Circuits …", "name the sheets like their tables; for a list with other headings take it over as a foreign table")
	}
	return r
}

// clipList keeps a list of places short enough to read.
func clipList(l []string) []string {
	if len(l) > 10 {
		return append(slices.Clone(l[:10]), fmt.Sprintf("%d more like these: %s …", len(l)-10, l[10]))
	}
	return l
}

// headingRow finds the row of headings: the first row, or below a few lines
// of title the row with the most known headings.
func headingRow(t *design.Table, lines []Line) int {
	best, most := 0, 0
	for i := 0; i < len(lines) && i < 20; i++ {
		n := 0
		for _, c := range lines[i].Cells {
			if _, _, ok := t.Header(c); ok {
				n++
			}
		}
		if n > most && (i == 0 || n > 1 || len(t.Columns) == 1) {
			best, most = i, n
		}
		if i == 0 && n > 1 {
			break
		}
	}
	return best
}

// remark parts "length (furlong)" into the heading and what the brackets hold.
func remark(h string) (bare, in string) {
	for _, b := range []string{"()", "[]"} {
		if i := strings.LastIndexByte(h, b[0]); i > 0 && strings.HasSuffix(h, b[1:]) {
			return strings.TrimSpace(h[:i]), strings.TrimSpace(h[i+1 : len(h)-1])
		}
	}
	return h, ""
}

// nearest finds the column whose name a heading misses by one slip of the
// hand, or two in a long one; -1 for none.
func nearest(t *design.Table, heading string) int {
	h := []rune(fold(heading))
	best, least := -1, 1+min(len(h)/4, 2)
	for i := range t.Columns {
		for _, n := range append([]string{t.Columns[i].Name}, t.Columns[i].Alias...) {
			if d := slips([]rune(fold(n)), h); d < least {
				best, least = i, d
			}
		}
	}
	return best
}

// slips counts the letters to be put in, left out, replaced, or swapped with
// their neighbour to make b of a (optimal string alignment).
func slips(a, b []rune) int {
	prev, row, next := []int(nil), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range a {
		next[0] = i + 1
		for j := range b {
			cost := 1
			if a[i] == b[j] {
				cost = 0
			}
			next[j+1] = min(row[j]+cost, row[j+1]+1, next[j]+1)
			if i > 0 && j > 0 && a[i] == b[j-1] && a[i-1] == b[j] {
				next[j+1] = min(next[j+1], prev[j-1]+1)
			}
		}
		prev, row, next = row, next, make([]int, len(b)+1)
	}
	return row[len(b)]
}

type sayer func(rule *finding.Rule, p finding.Place, what string, fixes ...string)

func (r *Reading) table(t *design.Table, g *Grid, say sayer) {
	s := &seat{sheet: g.Sheet, heading: 1, columns: make([]int, len(t.Columns))}
	for i := range s.columns {
		s.columns[i] = -1
	}
	r.seats[t.Name] = s
	if len(g.Lines) == 0 {
		return
	}
	place := func(column, field string) finding.Place {
		return finding.Place{Kind: "sheet", ID: g.Sheet, Field: field, Cell: settle.Cell{Table: t.Name, Column: column}}
	}
	top := headingRow(t, g.Lines)
	head, lines := g.Lines[top], g.Lines[top+1:]
	s.heading = head.Number
	if top > 0 {
		say(RuleTop, place("", ""), fmt.Sprintf("the headings stand in row %d; what stands above is not read", head.Number))
	}
	width := len(head.Cells)
	for _, l := range lines {
		width = max(width, len(l.Cells))
	}
	units := make([]string, len(t.Columns))
	key, foreign := -1, []int{}
	sheet := r.Book.Sheet(t.Name)
	for c := range width {
		h := ""
		if c < len(head.Cells) {
			h = strings.TrimSpace(head.Cells[c])
		}
		if fold(h) == fold(KeyHeading(t)) && key < 0 {
			key = c
			continue
		}
		if i, unit, ok := t.Header(h); ok {
			if first := s.columns[i]; first >= 0 {
				say(RuleHeading, place(t.Columns[i].Name, h), fmt.Sprintf("the columns %s and %s are both %q; only the first is read", xlsx.Column(first), xlsx.Column(c), t.Columns[i].Name), "delete or rename one of the two")
			} else {
				s.columns[i], units[i] = c, unit
			}
			continue
		}
		if h == "" {
			if !slices.ContainsFunc(lines, func(l Line) bool { return c < len(l.Cells) && l.Cells[c] != "" }) {
				continue
			}
			h = "column " + xlsx.Column(c)
		}
		if bare, unit := remark(h); unit != "" {
			if i, _, ok := t.Header(bare); ok && s.columns[i] < 0 {
				say(RuleUnit, place(t.Columns[i].Name, h), fmt.Sprintf("the heading %q names %q, which is not a unit of %s; the column is not read", h, unit, t.Columns[i].Dim), "name a unit in the heading, or none")
				continue
			}
		}
		name := h
		for n := 2; slices.Contains(sheet.Extra, name); n++ {
			name = fmt.Sprintf("%s (%d)", h, n)
		}
		foreign, sheet.Extra = append(foreign, c), append(sheet.Extra, name)
	}
	for i, c := range foreign {
		if near := nearest(t, sheet.Extra[i]); near >= 0 && s.columns[near] < 0 {
			say(RuleNear, finding.Place{Kind: "sheet", ID: g.Sheet, Field: sheet.Extra[i], Cell: settle.Cell{Table: t.Name}},
				fmt.Sprintf("the heading %q of column %s is not one of the table's; there is one %q", sheet.Extra[i], xlsx.Column(c), t.Columns[near].Name), fmt.Sprintf("write %q if it is meant", t.Columns[near].Name))
		}
	}
	missing := false
	for i := range t.Columns {
		if c := &t.Columns[i]; c.Must && s.columns[i] < 0 && len(lines) > 0 {
			missing = true
			say(RuleColumn, place(c.Name, c.Name), fmt.Sprintf("the sheet has no column %q, which every row needs", c.Name), fmt.Sprintf("give row %d a heading %q", head.Number, c.Name))
		}
	}
	if missing {
		return
	}
	keys := map[string]int{}
	for _, l := range lines {
		get := func(c int) string {
			if c >= 0 && c < len(l.Cells) {
				return l.Cells[c]
			}
			return ""
		}
		row := design.Row{Cells: make([]design.Cell, len(t.Columns)), Extra: make([]string, len(foreign)), At: fmt.Sprintf("%s %s!%d", r.File, g.Sheet, l.Number)}
		blank := true
		for i, c := range s.columns {
			if text := get(c); text != "" {
				row.Cells[i] = design.Cell{Text: text, Unit: units[i]}
				blank = blank && strings.TrimSpace(text) == ""
			}
		}
		for i, c := range foreign {
			row.Extra[i] = get(c)
			blank = blank && strings.TrimSpace(row.Extra[i]) == ""
		}
		if blank {
			continue
		}
		if row.UID = strings.TrimSpace(get(key)); row.UID != "" {
			if first, twice := keys[row.UID]; twice {
				say(RuleKey, place("", ""), fmt.Sprintf("row %d has the key of row %d; it counts as a row of its own", l.Number, first))
				row.UID = ""
			} else {
				keys[row.UID] = l.Number
			}
		}
		sheet.Rows = append(sheet.Rows, row)
	}
}
