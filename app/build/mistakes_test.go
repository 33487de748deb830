package build_test

import (
	"maps"
	"slices"
	"strings"
	"testing"

	"keyon/app/build"
	"keyon/examples"
	"keyon/model/design"
	"keyon/model/finding"
	"keyon/model/settle"
	"keyon/store/workbook"
)

// mistake is one thing a person gets wrong on a car that is right. The first
// new finding must be of the rule, at the cell ("Circuits.gauge FAN 1": table,
// column, and what the row is called), about the thing. What else is new must
// be a consequence that is named here: a rule, or a rule and a thing.
type mistake struct {
	what              string
	make              func(b *design.Book)
	rule, cell, thing string
	also              []string
}

// find gives the rows of a table whose columns hold the texts.
func find(b *design.Book, table string, match ...string) []int {
	s := b.Sheet(table)
	var out []int
	for r := range s.Rows {
		hit := true
		for i := 0; i < len(match); i += 2 {
			hit = hit && s.Text(r, match[i]) == match[i+1]
		}
		if hit {
			out = append(out, r)
		}
	}
	if len(out) == 0 {
		panic(table + ": no row with " + strings.Join(match, " "))
	}
	return out
}

// write sets a column of the rows that match.
func write(table, column, text string, match ...string) func(*design.Book) {
	return func(b *design.Book) {
		s := b.Sheet(table)
		for _, r := range find(b, table, match...) {
			s.Rows[r].Cells[s.Table.Index(column)] = design.Cell{Text: text}
		}
	}
}

// drop deletes the rows that match.
func drop(table string, match ...string) func(*design.Book) {
	return func(b *design.Book) {
		s := b.Sheet(table)
		rows := find(b, table, match...)
		slices.Reverse(rows)
		for _, r := range rows {
			s.Rows = slices.Delete(s.Rows, r, r+1)
		}
	}
}

// add appends a row.
func add(table string, pairs ...string) func(*design.Book) {
	return func(b *design.Book) {
		b.Sheet(table).Add(pairs...)
		b.Identify()
	}
}

func both(fs ...func(*design.Book)) func(*design.Book) {
	return func(b *design.Book) {
		for _, f := range fs {
			f(b)
		}
	}
}

// TestMistakes plants mistakes one by one. The finding of the mistake comes
// first, at its cell, and nothing is new that it did not cause.
func TestMistakes(t *testing.T) {
	r, err := workbook.ReadFolder("tern", examples.Folder("tern"))
	if err != nil {
		t.Fatal(err)
	}
	good := r.Book
	good.Identify()
	_, plan := run(t, good, nil)
	before := map[string]int{}
	for _, v := range opened(plan.Verdicts) {
		before[about(v)]++
		if v.Severity() == finding.Stop {
			t.Fatalf("the good car has a stop: %s", v.What)
		}
	}
	covered := map[string]bool{}
	for _, m := range mistakes {
		covered[m.rule] = true
		t.Run(m.what, func(t *testing.T) {
			b := good.Clone()
			m.make(b)
			_, p := run(t, b, nil)
			said := maps.Clone(before)
			var fresh []*finding.Verdict
			for _, v := range opened(p.Verdicts) {
				if said[about(v)]--; said[about(v)] < 0 {
					fresh = append(fresh, v)
				}
			}
			if len(fresh) == 0 {
				t.Fatalf("nothing was said, want %s", m.rule)
			}
			first := fresh[0]
			if got := cellName(b, first.Place.Cell); first.Rule.ID != m.rule || !strings.HasPrefix(got, m.cell) || !strings.Contains(first.Place.ID+" "+first.What, m.thing) {
				t.Errorf("first is %s at %q: %s\nwant %s at %q about %q", first.Rule.ID, got, first.What, m.rule, m.cell, m.thing)
			}
			for _, v := range fresh[1:] {
				if !slices.ContainsFunc(m.also, func(a string) bool {
					rule, thing, _ := strings.Cut(a, " ")
					return rule == v.Rule.ID && strings.Contains(v.Place.ID+" "+v.What, thing)
				}) {
					t.Errorf("also %s at %q: %s", v.Rule.ID, cellName(b, v.Place.Cell), v.What)
				}
			}
		})
	}
	for _, r := range build.AllRules() {
		if !covered[r.ID] && !slices.Contains(elsewhere, r.ID) {
			t.Errorf("no mistake is planted for %s", r.ID)
		}
		if covered[r.ID] && slices.Contains(elsewhere, r.ID) {
			t.Errorf("%s is planted here and named as planted elsewhere", r.ID)
		}
	}
}

// opened are the verdicts that ask for something, in their order.
func opened(vs []finding.Verdict) (out []*finding.Verdict) {
	for i := range vs {
		if vs[i].Open() {
			out = append(out, &vs[i])
		}
	}
	return out
}

// about tells findings apart by what they are about; their numbers may move.
func about(v *finding.Verdict) string {
	return v.Rule.ID + "|" + v.Severity().String() + "|" + v.Place.Kind + "|" + v.Place.ID + "|" + v.Place.Field
}

// cellName is a cell as the lists of mistakes write it.
func cellName(b *design.Book, c settle.Cell) string {
	s := b.Sheet(c.Table)
	if s == nil {
		return ""
	}
	for r := range s.Rows {
		if s.Rows[r].UID == c.Row {
			return c.Table + "." + c.Column + " " + s.Text(r, s.Table.Columns[0].Name)
		}
	}
	return c.Table + "." + c.Column
}

// elsewhere are rules whose mistakes are planted in tests of their own.
var elsewhere = []string{
	"assign.feed", "assign.kept", "route.kept", "cross.kept", "cross.key", "complete.plug", // tests of assign, route, cross and complete
	"electrical.bank", "size.contact", "size.gauge", "bundle.sleeve", "size.splice", "buildable.figures", "buildable.entry", "buildable.splice", "buildable.bundle",
}
