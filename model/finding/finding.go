// Package finding holds rules and their verdicts: what a rule says about a
// thing, with value, limit, margin, source and what to do.
//
// Passes are verdicts too. Waivers and order are decided here; what a rule
// judges lives with the rule.
package finding

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"

	"keyon/model/settle"
	"keyon/model/source"
)

// Severity says what to do.
type Severity uint8

// Stop: don't build it so. Look: a person decides. Note: worth knowing.
const (
	Note Severity = iota
	Look
	Stop
)

var severityNames = [...]string{"note", "look", "stop"}

// String is the word.
func (s Severity) String() string { return severityNames[s] }

// MarshalText gives JSON the word.
func (s Severity) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// ParseSeverity reads the word.
func ParseSeverity(text string) (Severity, bool) {
	i := slices.Index(severityNames[:], strings.ToLower(strings.TrimSpace(text)))
	return Severity(max(i, 0)), i >= 0
}

// Rule is a constant next to its code, listed in its package's Rules.
type Rule struct {
	ID       string // family.word; never renamed, never reused
	Severity Severity
	Grave    float64 // so many times its limit a value is a stop, whatever Severity says; 0: never
	Title    string
	Text     string
	Source   source.Ref
}

// Place is the thing a verdict is about, and the cell to go to.
type Place struct {
	Kind  string      // circuit, device, leg, wire, … the glossary's words
	ID    string      // the stable ID or the name
	Field string      // which property of it
	Cell  settle.Cell // where a person can change it, empty where nothing is typed
}

// Edit is one change of the design that would mend a finding.
type Edit struct {
	Cell settle.Cell `json:"cell"`
	Text string      `json:"text"`
}

// Fix is a verb phrase, with the edit that does it where it is a single one.
type Fix struct {
	Text string `json:"text"`
	Edit *Edit  `json:"edit,omitempty"`
}

// Limit is the bound a value is held to.
type Limit struct {
	AtMost bool    // else at least
	Value  float64 // in Unit
	Unit   string
}

// Verdict is what a rule says about a place.
type Verdict struct {
	Rule    *Rule
	Place   Place
	Related []Place
	OK      bool
	What    string   // the sentence: "voltage drop 1.10 V, at most 0.50 V"
	Value   *float64 // in Limit.Unit, nil where the rule has no number
	Limit   *Limit
	Terms   []settle.Term
	Fixes   []Fix
	Looms   []string // looms the place belongs to, filled by the build
	Waived  string   // reason of the waiver that covers it
}

// Margin is how far the value is inside its limit, negative outside, as a
// share of the limit (of 1 for a zero limit); NaN without numbers.
func (v Verdict) Margin() float64 {
	if v.Value == nil || v.Limit == nil {
		return math.NaN()
	}
	m := *v.Value - v.Limit.Value
	if v.Limit.AtMost {
		m = -m
	}
	if l := math.Abs(v.Limit.Value); l > 0 {
		m /= l
	}
	return m
}

// Severity is what to do about the verdict: what its rule says, and stop where
// the value is beyond what the rule calls grave.
func (v Verdict) Severity() Severity {
	if v.Rule.Grave > 0 && v.Margin() < 1-v.Rule.Grave {
		return Stop
	}
	return v.Rule.Severity
}

// Judge makes a verdict from a value and a limit: OK is margin ≥ 0, so NaN fails.
func Judge(r *Rule, p Place, value float64, l Limit, what string, terms ...settle.Term) Verdict {
	v := Verdict{Rule: r, Place: p, What: what, Value: &value, Limit: &l, Terms: terms}
	v.OK = v.Margin() >= 0
	return v
}

// Say makes a failed verdict that has no number.
func Say(r *Rule, p Place, what string, fixes ...string) Verdict {
	v := Verdict{Rule: r, Place: p, What: what}
	for _, f := range fixes {
		v.Fixes = append(v.Fixes, Fix{Text: f})
	}
	return v
}

// Pass makes a passed verdict without a number.
func Pass(r *Rule, p Place, what string) Verdict {
	return Verdict{Rule: r, Place: p, What: what, OK: true}
}

// Open reports whether the verdict asks for something: failed and not waived.
func (v Verdict) Open() bool { return !v.OK && v.Waived == "" }

// Once makes one of the open verdicts of a rule on a field at one cell, such as
// those of all wires that a given gauge makes: the worst stays and names how many more
// there are, which become related places. Verdicts without a cell stay.
func Once(vs []Verdict) []Verdict {
	type key struct {
		rule  *Rule
		cell  settle.Cell
		field string
	}
	at := map[key]int{}
	out, more := vs[:0:0], []int{} // by index of out: how many more
	for _, v := range vs {
		k := key{v.Rule, v.Place.Cell, v.Place.Field}
		i, seen := at[k]
		switch loose := !v.Open() || v.Place.Cell.Row == ""; {
		case loose || !seen:
			if !loose {
				at[k] = len(out)
			}
			out, more = append(out, v), append(more, 0)
		default:
			if v.Margin() < out[i].Margin() {
				v, out[i] = out[i], v
				out[i].Related = append(out[i].Related, v.Related...)
			}
			out[i].Related = append(out[i].Related, v.Place)
			more[i]++
		}
	}
	for i, n := range more {
		if n == 0 {
			continue
		}
		out[i].What += "; and " + strconv.Itoa(n) + " more like it"
	}
	return out
}

// families in the order of the pipeline: what is read and settled first may be
// the cause of what is found later.
var families = []string{"sheet", "table", "part", "resolve", "assign", "route", "cross", "size", "power", "bundle", "cut",
	"complete", "electrical", "signal", "buildable", "crossplug", "surroundings", "waiver"}

// family is where a rule's family stands in the pipeline; unknown ones come last.
func family(rule string) int {
	name, _, _ := strings.Cut(rule, ".")
	if i := slices.Index(families, name); i >= 0 {
		return i
	}
	return len(families)
}

// Sort orders verdicts: open before passed, stops first, then causes before
// what may follow from them, then by rule, place and cell, so that any row
// order of the design gives the same list.
func Sort(vs []Verdict) {
	// Verdicts are large and many: their order is found on short keys, and then
	// each moves once. Rules and kinds of place are few, so they are numbered.
	type group struct{ rule, kind string }
	type key struct {
		rank, group int
		id          string
		at          int
	}
	number := map[group]int{}
	var groups []group
	for i := range vs {
		g := group{vs[i].Rule.ID, vs[i].Place.Kind}
		if _, ok := number[g]; !ok {
			number[g] = 0
			groups = append(groups, g)
		}
	}
	slices.SortFunc(groups, func(a, b group) int {
		return cmp.Or(cmp.Compare(family(a.rule), family(b.rule)), cmp.Compare(a.rule, b.rule), cmp.Compare(a.kind, b.kind))
	})
	for i, g := range groups {
		number[g] = i
	}
	keys := make([]key, len(vs))
	for i := range vs {
		v := &vs[i]
		keys[i] = key{10*b2i(!v.Open()) - int(v.Severity()), number[group{v.Rule.ID, v.Place.Kind}], v.Place.ID, i}
	}
	slices.SortFunc(keys, func(a, b key) int {
		switch {
		case a.rank != b.rank:
			return cmp.Compare(a.rank, b.rank)
		case a.group != b.group:
			return cmp.Compare(a.group, b.group)
		}
		if c := cmp.Compare(a.id, b.id); c != 0 {
			return c
		}
		return cmp.Or(
			cmp.Compare(vs[a.at].Place.Field, vs[b.at].Place.Field),
			cmp.Compare(vs[a.at].What, vs[b.at].What),
			cmp.Compare(a.at, b.at), // equal ones stay in the order they were said
		)
	})
	sorted := make([]Verdict, len(vs))
	for i, k := range keys {
		sorted[i] = vs[k.at]
	}
	copy(vs, sorted)
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}

// Worst is the highest severity among open verdicts; ok is false for none.
func Worst(vs []Verdict) (s Severity, ok bool) {
	for _, v := range vs {
		if v.Open() {
			s, ok = max(s, v.Severity()), true
		}
	}
	return s, ok
}
