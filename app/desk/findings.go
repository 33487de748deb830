package desk

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"

	"keyon/model/finding"
	"keyon/model/settle"
	"keyon/num/quantity"
)

// Finding is a verdict as a page shows it.
type Finding struct {
	Key      string // the same from view to view, unique in one
	Rule     *finding.Rule
	Severity string
	OK       bool
	Place    finding.Place
	Thing    string // what the place is called: "wire E014 gauge"
	What     string
	Cell     settle.Cell // to go to; Table blank: none
	CellName string
	Number   *float64
	Value    string // with unit, blank where the rule has no number
	Limit    string // "at most 0.5 V"
	Margin   float64
	Terms    []settle.Term
	Fixes    []finding.Fix
	Looms    []string
	Related  []finding.Place
	Waived   string
}

// Open says that it asks for something.
func (f Finding) Open() bool { return !f.OK && f.Waived == "" }

// HasMargin says that value and limit are numbers.
func (f Finding) HasMargin() bool { return !math.IsNaN(f.Margin) && f.Limit != "" }

// Counts are the open findings by severity, the accepted and the passed ones.
type Counts struct{ Stop, Look, Note, Waived, Passed int }

// Open is how many are open.
func (c Counts) Open() int { return c.Stop + c.Look + c.Note }

// Counts counts the findings of a loom; blank for the whole car.
func (v *View) Counts(loom string) (c Counts) {
	if v.Plan == nil {
		return v.past().count(loom)
	}
	for i := range v.Plan.Verdicts {
		x := &v.Plan.Verdicts[i]
		if loom != "" && !slices.Contains(x.Looms, loom) {
			continue
		}
		switch {
		case x.OK:
			c.Passed++
		case x.Waived != "":
			c.Waived++
		case x.Rule.Severity == finding.Stop:
			c.Stop++
		case x.Rule.Severity == finding.Look:
			c.Look++
		default:
			c.Note++
		}
	}
	return c
}

// Opened are the open findings, stops first.
func (v *View) Opened() []Finding {
	return v.lazy.opened.get(func() []Finding {
		if v.Plan == nil {
			return v.past().Findings
		}
		return v.list(func(x *finding.Verdict) bool { return x.Open() })
	})
}

// Verdicts are all findings, the passed and accepted ones too.
func (v *View) Verdicts() []Finding {
	return v.lazy.findings.get(func() []Finding {
		if v.Plan == nil {
			return v.past().Findings
		}
		return v.list(func(*finding.Verdict) bool { return true })
	})
}

func (v *View) list(want func(*finding.Verdict) bool) []Finding {
	seen := map[string]int{}
	name := v.CellName()
	var out []Finding
	for i := range v.Plan.Verdicts {
		x := &v.Plan.Verdicts[i]
		if !want(x) {
			continue
		}
		f := Finding{Rule: x.Rule, Severity: x.Rule.Severity.String(), OK: x.OK, Place: x.Place, Thing: v.thing(x.Place), What: x.What, Cell: x.Place.Cell, Margin: x.Margin(), Terms: x.Terms, Fixes: x.Fixes, Looms: x.Looms, Related: x.Related, Waived: x.Waived, Number: x.Value}
		if f.Cell.Table != "" {
			f.CellName = name(f.Cell)
		}
		if x.Value != nil && x.Limit != nil {
			value, limit := quantity.Apart(*x.Value, x.Limit.Value, 2)
			f.Value, f.Limit = strings.TrimSpace(value+" "+x.Limit.Unit), bound(x.Limit.AtMost)+strings.TrimSpace(limit+" "+x.Limit.Unit)
		}
		key := strings.Join([]string{x.Rule.ID, x.Place.Kind, x.Place.ID, x.Place.Field, x.Place.Cell.Row}, "\x1f")
		n := seen[key]
		seen[key]++
		f.Key = key
		if n > 0 {
			f.Key += "\x1f" + strconv.Itoa(n)
		}
		out = append(out, f)
	}
	return out
}

func bound(atMost bool) string {
	if atMost {
		return "at most "
	}
	return "at least "
}

// thing is what people call a place: its kind, name and field.
func (v *View) thing(p finding.Place) string {
	id := p.ID
	if p.Kind == "wire" {
		if i, ok := v.index().wire[id]; ok {
			id = v.wireName(i)
		}
	}
	words := []string{p.Kind, id, p.Field}
	return strings.Join(slices.DeleteFunc(words, func(s string) bool { return s == "" }), " ")
}

// wireName is a wire's number, or its ID while it has none.
func (v *View) wireName(i int) string {
	if i < len(v.Plan.Cuts.Wires) {
		return cmp.Or(v.Plan.Cuts.Wires[i].Number.Value, v.Plan.Wires.List[i].ID)
	}
	return v.Plan.Wires.List[i].ID
}

// Sign is the worst open finding at a cell.
type Sign struct {
	Severity string
	What     string
	More     int // further findings at the cell
}

// signs are the cells with open findings.
func (v *View) signs() map[settle.Cell]*Sign {
	return v.lazy.at.get(func() map[settle.Cell]*Sign {
		out := map[settle.Cell]*Sign{}
		for _, f := range v.Opened() { // stops come first
			if f.Cell.Table == "" {
				continue
			}
			if s := out[f.Cell]; s != nil {
				s.More++
				continue
			}
			out[f.Cell] = &Sign{Severity: f.Severity, What: f.Rule.Title + ": " + f.What}
		}
		return out
	})
}

// Group is the findings of one rule, worst first.
type Group struct {
	Rule     *finding.Rule
	Severity string
	Findings []Finding
}

// Grouped gathers findings by rule, in the order the rules first come.
func Grouped(list []Finding) []Group {
	at := map[string]int{}
	var out []Group
	for _, f := range list {
		i, ok := at[f.Rule.ID]
		if !ok {
			i = len(out)
			at[f.Rule.ID] = i
			out = append(out, Group{Rule: f.Rule, Severity: f.Severity})
		}
		out[i].Findings = append(out[i].Findings, f)
	}
	return out
}

// Filter narrows findings. Blank fields narrow nothing.
type Filter struct {
	Severity, Loom, Rule, Words string
}

// Pick are the findings that pass a filter.
func (q Filter) Pick(list []Finding) []Finding {
	words := strings.Fields(strings.ToLower(q.Words))
	var out []Finding
	for _, f := range list {
		switch {
		case q.Severity != "" && q.Severity != f.Severity,
			q.Rule != "" && q.Rule != f.Rule.ID,
			q.Loom != "" && !slices.Contains(f.Looms, q.Loom):
			continue
		}
		text := strings.ToLower(f.Rule.ID + " " + f.Rule.Title + " " + f.Thing + " " + f.What)
		if !slices.ContainsFunc(words, func(w string) bool { return !strings.Contains(text, w) }) {
			out = append(out, f)
		}
	}
	return out
}

// Margins are the verdicts with numbers, the least margin first.
func (v *View) Margins() []Finding {
	out := slices.DeleteFunc(slices.Clone(v.Verdicts()), func(f Finding) bool { return !f.HasMargin() })
	slices.SortStableFunc(out, func(a, b Finding) int { return cmp.Compare(a.Margin, b.Margin) })
	return out
}

// Accepted are the waived findings.
func (v *View) Accepted() []Finding {
	return slices.DeleteFunc(slices.Clone(v.Verdicts()), func(f Finding) bool { return f.OK || f.Waived == "" })
}

// Finding finds an open finding by its key.
func (v *View) Finding(key string) (Finding, bool) {
	for _, f := range v.Opened() {
		if f.Key == key {
			return f, true
		}
	}
	return Finding{}, false
}
