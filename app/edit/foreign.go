package edit

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"keyon/model/design"
	"keyon/model/fault"
	"keyon/model/finding"
	"keyon/model/part"
	"keyon/model/settle"
	"keyon/model/source"
	"keyon/num/quantity"
	"keyon/store/project"
	"keyon/store/workbook"
)

func foreignRule(id string, s finding.Severity, title, text string) *finding.Rule {
	return &finding.Rule{ID: id, Severity: s, Title: title, Text: text, Source: source.Ref{Kind: source.Judgement, Doc: "house-rules", Where: "foreign tables"}}
}

// Rules that taking a foreign table over can break.
var (
	RuleMeaning = foreignRule("foreign.heading", finding.Stop, "a foreign table lacks a column", "Nothing can be taken over until its headings are named.")
	RuleLine    = foreignRule("foreign.line", finding.Look, "a line of a foreign table is left out", "It names nothing that could be taken over.")
	RuleDecimal = foreignRule("foreign.decimal", finding.Note, "numbers are rewritten", "The foreign table has another decimal mark than the car.")
	Rules       = []*finding.Rule{RuleMeaning, RuleLine, RuleDecimal}
)

// Target is what a foreign table is taken over as.
type Target struct {
	Table string // Circuits, for a from–to list; Pins, for a pin-out
	Part  string // of Pins: the part they belong to; it is made where there is none
}

// RoleGuess is what the words of a pin-out seem to say about a pin.
type RoleGuess struct {
	UID  string // of the row of Pins
	Pin  string
	Said string // the words
	part.Guess
}

// ForeignPreview is a foreign table that has not been taken over.
type ForeignPreview struct {
	*Preview
	Target     Target
	Columns    map[string]string // what each heading was taken for
	Remembered bool              // the columns were named at an earlier time
	Roles      []RoleGuess       // to be confirmed; none is part of the changes

	memory *project.Memory
}

// ReadForeign reads the tables of a file whose headings are not ours.
func (c *Car) ReadForeign(name string, data []byte) ([]*workbook.Foreign, error) {
	return workbook.ReadForeign(name, data, c.decimal() == quantity.Comma)
}

// Foreign shows what a foreign table would add and change. columns says which
// column of ours a heading means; nil takes what was said for these headings
// before, or else guesses. Nothing is removed, and no filled cell is made
// blank.
func (c *Car) Foreign(f *workbook.Foreign, to Target, columns map[string]string) (*ForeignPreview, error) {
	if heads[to.Table] == nil {
		return nil, fault.New(fault.Invalid, "take it over as Circuits or as Pins", fmt.Errorf("a foreign table can't be taken over as %q", to.Table))
	}
	if to.Part = strings.TrimSpace(to.Part); to.Table == "Pins" && to.Part == "" {
		return nil, fault.New(fault.Invalid, "name the part that the pins belong to", fmt.Errorf("a pin-out without a part"))
	}
	p := &ForeignPreview{Target: to, Columns: columns}
	kind := slices.Clone(f.Headings)
	slices.Sort(kind)
	key := strings.Join(kind, "\x1f")
	if columns == nil {
		m, err := c.file.Mapping(key, to.Table)
		if err != nil {
			return nil, err
		}
		if p.Columns, p.Remembered = m, m != nil; m == nil {
			p.Columns = guessColumns(f, to.Table)
		}
	}
	if err := checkColumns(f, to.Table, p.Columns); err != nil {
		return nil, err
	}
	p.memory = &project.Memory{Headings: key, Target: to.Table, Columns: p.Columns}

	t := &taker{f: f, p: p, is: design.NewBook(), table: design.ByName(to.Table), dec: c.decimal()}
	c.mu.Lock()
	defer c.mu.Unlock()
	t.old = c.book
	t.run()
	return p, nil
}

// checkColumns refuses a mapping that names what isn't there.
func checkColumns(f *workbook.Foreign, table string, columns map[string]string) error {
	bad := func(format string, args ...any) error {
		return fault.New(fault.Invalid, "name the headings again", fmt.Errorf(format, args...))
	}
	by := map[string]string{}
	for _, h := range slices.Sorted(maps.Keys(columns)) {
		col := columns[h]
		if !slices.Contains(f.Headings, h) {
			return bad("the table has no heading %q", h)
		}
		if design.ByName(table).Index(col) < 0 && (table != "Circuits" || col != fromEnd && col != toEnd) {
			return bad("%s has no column %q", table, col)
		}
		if col == "part" && table == "Pins" {
			return bad("the part is named for the whole pin-out")
		}
		if by[col] != "" {
			return bad("the headings %q and %q are both named %q", by[col], h, col)
		}
		by[col] = h
	}
	return nil
}

// taker works one preview out.
type taker struct {
	f     *workbook.Foreign
	p     *ForeignPreview
	old   *design.Book
	is    *design.Book
	table *design.Table
	dec   quantity.Decimal

	at    map[string]int // position of the heading that means a column
	unit  map[string]string
	lines []int // line of each row made
	said  []string
	told  []finding.Verdict
}

func (t *taker) say(r *finding.Rule, field, what string, fixes ...string) {
	t.told = append(t.told, finding.Say(r, finding.Place{Kind: "sheet", ID: t.f.Sheet, Field: field}, what, fixes...))
}

func (t *taker) run() {
	t.at, t.unit = map[string]int{}, map[string]string{}
	for i, h := range t.f.Headings {
		if col, ok := t.p.Columns[h]; ok {
			t.at[col], t.unit[col] = i, unitOf(h, t.table, col)
		}
	}
	t.meaning()
	if len(t.told) == 0 {
		t.rows()
	}
	p := &Preview{From: t.f.Sheet, Findings: t.told}
	for _, v := range t.told {
		if v.Severity() == finding.Stop {
			p.stops++
		}
	}
	t.p.Preview = p
	given := map[string]bool{"part": true, "kind": true, "circuit": true}
	for col := range t.at {
		given[col] = true
	}
	for _, c := range []string{"from device", "from pin"} {
		given[c] = given[c] || given[fromEnd]
	}
	for _, c := range []string{"to device", "to pin"} {
		given[c] = given[c] || given[toEnd]
	}
	given["note"] = given["note"] || given["role"] // what no role is called is a note
	p.Changes = diff(t.old, t.is, func(table, column string) bool {
		return (table == t.table.Name || table == "Parts" && len(t.is.Sheet("Parts").Rows) > 0) && (column == "" || given[column])
	}, false)
	p.Rows = slices.DeleteFunc(p.Rows, func(r RowChange) bool { return r.Kind == Removed })
	for i := range p.Rows {
		r := &p.Rows[i]
		r.Cells = slices.DeleteFunc(r.Cells, func(c CellChange) bool { return c.New.Text == "" })
	}
	p.Rows = slices.DeleteFunc(p.Rows, func(r RowChange) bool { return r.Kind == Changed && len(r.Cells) == 0 })
	p.merge(t.old, t.is)

	line := map[string]int{}
	for i, r := range t.is.Sheet(t.table.Name).Rows {
		line[r.UID] = t.lines[i]
	}
	p.ref = func(c settle.Cell) string {
		n, ok := line[c.Row]
		if !ok || c.Table != t.table.Name {
			return ""
		}
		i, ok := t.at[c.Column]
		switch {
		case ok:
		case strings.HasPrefix(c.Column, "from "):
			i, ok = t.at[fromEnd]
		case strings.HasPrefix(c.Column, "to "):
			i, ok = t.at[toEnd]
		}
		if !ok {
			return t.f.At(n)
		}
		return t.f.At(n, i)
	}
	for _, v := range design.Read(p.Book).Findings {
		if _, ok := line[v.Place.Cell.Row]; ok && v.Place.Cell.Table == t.table.Name {
			p.Findings = append(p.Findings, v)
		}
	}
	t.roles()
}

// meaning tells which columns nothing can be taken over without.
func (t *taker) meaning() {
	has := func(cols ...string) bool {
		return slices.ContainsFunc(cols, func(c string) bool { _, ok := t.at[c]; return ok })
	}
	need := func(what string, cols ...string) {
		if !has(cols...) {
			t.say(RuleMeaning, "", fmt.Sprintf("no heading is named as %s; the headings are %s", what, strings.Join(t.f.Headings, ", ")), "say which heading is "+what)
		}
	}
	if t.table.Name == "Pins" {
		need("pin", "pin", "cavity")
		return
	}
	need("from device", "from device", fromEnd)
	need("to device", "to device", toEnd)
}

// rows makes a row of each line.
func (t *taker) rows() {
	comma, rewritten := commas(t.f), 0
	sheet := t.is.Sheet(t.table.Name)
	for _, l := range t.f.Lines {
		texts := map[string]string{} // by column of ours
		for col, i := range t.at {
			texts[col] = l.Cells[i]
		}
		said, ok, what := "", false, "device"
		if t.table.Name == "Pins" {
			what = "pin"
			said, ok = t.pin(texts)
		} else {
			ok = circuit(texts)
		}
		if !ok {
			t.say(RuleLine, t.f.At(l.Number), fmt.Sprintf("line %d names no %s: %s", l.Number, what, clip(strings.Join(strings.Fields(strings.Join(l.Cells, " ")), " "))))
			continue
		}
		row := design.Row{Cells: make([]design.Cell, len(t.table.Columns)), At: t.f.At(l.Number)}
		for i := range t.table.Columns {
			col := &t.table.Columns[i]
			text := texts[col.Name]
			if text == "" {
				continue
			}
			if col.Kind == design.Amount || col.Kind == design.Gauge {
				if s := rewrite(text, comma, t.dec); s != text {
					text = s
					rewritten++
				}
			}
			row.Cells[i] = design.Cell{Text: text, Unit: t.unit[col.Name]}
		}
		sheet.Rows = append(sheet.Rows, row)
		t.lines, t.said = append(t.lines, l.Number), append(t.said, said)
	}
	if rewritten > 0 {
		t.say(RuleDecimal, "", fmt.Sprintf("%d numbers have another decimal mark than the car and are rewritten", rewritten))
	}
	if name := t.p.Target.Part; name != "" && len(sheet.Rows) > 0 && !slices.ContainsFunc(t.old.Sheet("Parts").Rows, func(r design.Row) bool { return strings.TrimSpace(r.Cells[0].Text) == name }) {
		t.is.Sheet("Parts").Add("part", name, "kind", "device")
	}
}

// pin completes a row of Pins and gives the words about its role, surest
// first. A role that is said in words of its own waits for a person's yes;
// the words become the note.
func (t *taker) pin(texts map[string]string) (said string, ok bool) {
	if texts["pin"] == "" {
		texts["pin"] = texts["cavity"]
	}
	if texts["pin"] == "" {
		return "", false
	}
	said = texts["role"] + "\x1f" + texts["pin"] + "\x1f" + texts["note"]
	texts["part"] = t.p.Target.Part
	if r, named := part.ParseRole(texts["role"]); !named || r == part.Plain {
		if texts["note"] == "" {
			texts["note"] = texts["role"]
		}
		delete(texts, "role")
	}
	return said, true
}

// circuit completes a row of Circuits: ends written in one cell, and a name
// after its first end where it has none.
func circuit(texts map[string]string) bool {
	for side, together := range map[string]string{"from": fromEnd, "to": toEnd} {
		if text := texts[together]; text != "" {
			texts[side+" device"], texts[side+" pin"] = cutEnd(text)
		}
	}
	end := "from"
	if texts["from device"] == "" {
		end = "to"
	}
	if texts[end+" device"] == "" {
		return false
	}
	if texts["circuit"] == "" {
		texts["circuit"] = strings.TrimSpace(texts[end+" device"] + " " + texts[end+" pin"])
	}
	return true
}

// commas reports whether the numbers of a foreign table have decimal commas:
// some cell is digits, a comma, and not three digits, and none has a point so.
func commas(f *workbook.Foreign) bool {
	comma := false
	for _, l := range f.Lines {
		for _, c := range l.Cells {
			if w, d, ok := strings.Cut(c, ","); ok && digits(w) && digits(d) && len(d) != 3 {
				comma = true
			}
			if w, d, ok := strings.Cut(c, "."); ok && digits(w) && digits(d) && len(d) != 3 {
				return false
			}
		}
	}
	return comma
}

func digits(s string) bool { return s != "" && strings.Trim(s, "0123456789") == "" }

// rewrite gives a number of the foreign table the decimal mark of the car.
func rewrite(text string, comma bool, dec quantity.Decimal) string {
	switch {
	case comma && dec != quantity.Comma && strings.Count(text, ",") == 1 && !strings.Contains(text, "."):
		return strings.Replace(text, ",", ".", 1)
	case !comma && dec == quantity.Comma && strings.Count(text, ".") == 1 && !strings.Contains(text, ","):
		return strings.Replace(text, ".", ",", 1)
	}
	return text
}

// cutEnd parts ECU:A12, ECU.A12, ECU/A12, ECU-A12 and ECU A12 at the last mark.
func cutEnd(text string) (device, pin string) {
	for _, marks := range []string{":", "./", "-", " "} {
		if i := strings.LastIndexAny(text, marks); i > 0 && i+1 < len(text) {
			return strings.TrimSpace(text[:i]), strings.TrimSpace(text[i+1:])
		}
	}
	return text, ""
}

func clip(s string) string {
	if r := []rune(s); len(r) > 60 {
		return string(r[:57]) + "…"
	}
	return s
}

// roles guesses the role of each pin that has none.
func (t *taker) roles() {
	if t.table.Name != "Pins" {
		return
	}
	given := map[string]string{}
	s := t.p.Book.Sheet("Pins")
	for i := range s.Rows {
		given[s.Rows[i].UID] = strings.TrimSpace(s.Text(i, "role"))
	}
	is := t.is.Sheet("Pins")
	for i := range is.Rows {
		uid := is.Rows[i].UID
		if given[uid] != "" {
			continue
		}
		texts := strings.Split(t.said[i], "\x1f")
		texts = slices.DeleteFunc(texts, func(s string) bool { return s == "" })
		if g, ok := part.GuessRole(texts...); ok {
			t.p.Roles = append(t.p.Roles, RoleGuess{uid, is.Text(i, "pin"), strings.Join(texts, ", "), g})
		}
	}
}

// TakeForeign takes a foreign table over as one edit, with the roles that a
// person confirmed, as they stand in the preview or corrected. What its
// headings were named is remembered for tables with the same headings.
func (c *Car) TakeForeign(p *ForeignPreview, confirmed []RoleGuess, by By) error {
	changes := slices.Clone(p.changes)
	for _, g := range confirmed {
		if !slices.ContainsFunc(p.Roles, func(r RoleGuess) bool { return r.UID == g.UID }) {
			return fault.New(fault.Invalid, "", fmt.Errorf("no role was proposed for the pin %q", g.Pin))
		}
		if _, ok := part.ParseRole(string(g.Role)); !ok {
			return fault.New(fault.Invalid, "take a role of the list", fmt.Errorf("%q is no role of a pin", g.Role))
		}
		s := p.Book.Sheet("Pins")
		row := slices.IndexFunc(s.Rows, func(r design.Row) bool { return r.UID == g.UID })
		add := slices.IndexFunc(changes, func(ch project.Change) bool { return ch.Row == g.UID && ch.Is != nil })
		if add >= 0 {
			is := *changes[add].Is
			is.Cells = maps.Clone(is.Cells)
			changes[add].Is = &is
		}
		for _, w := range [][2]string{{"role", string(g.Role)}, {"index", g.Index}, {"group", g.Group}} {
			if w[1] == "" || s.Text(row, w[0]) != "" {
				continue
			}
			if add >= 0 {
				changes[add].Is.Cells[w[0]] = design.Cell{Text: w[1]}
			} else {
				changes = append(changes, project.Change{Table: "Pins", Row: g.UID, Column: w[0], New: design.Cell{Text: w[1]}})
			}
		}
	}
	take := *p.Preview
	take.changes = changes
	return c.take(&take, p.memory, by)
}
