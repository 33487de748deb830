// Package settle leads from what stands in a cell to a settled value: given
// stays, kept stays unless it became wrong, blank is worked out with a
// reason, garbled is left alone.
package settle

import (
	"keyon/model/source"
	"keyon/num/quantity"
)

// State is what a cell holds. There is no fifth state: zero is a value, and
// an empty cell is blank.
type State uint8

// The states of an entry.
const (
	Blank State = iota
	Given
	Kept // chosen by the program earlier and relied on since
	Garbled
)

// Cell is where an entry stands in the design.
type Cell struct {
	Table  string `json:"table,omitempty"`
	Row    string `json:"row,omitempty"` // UID of the row
	Column string `json:"column,omitempty"`
}

// Entry is the typed view of a cell.
type Entry[T any] struct {
	State State
	Value T
	Text  string // as typed
	At    Cell
}

// Is reports whether the entry fixes a value: given or kept.
func (e Entry[T]) Is() bool { return e.State == Given || e.State == Kept }

// Or is the entry's value, or v where nothing is fixed.
func (e Entry[T]) Or(v T) T {
	if e.Is() {
		return e.Value
	}
	return v
}

// Origin is how a value came to be.
type Origin uint8

// Open is the zero value: nothing is settled, and what depends on it is
// skipped in silence because the cause has been reported once.
const (
	Open Origin = iota
	FromUser
	FromKept
	Worked
)

var originNames = [...]string{"open", "given", "kept", "worked out"}

// String is the word papers and JSON use.
func (o Origin) String() string { return originNames[o] }

// MarshalText gives JSON the word.
func (o Origin) MarshalText() ([]byte, error) { return []byte(o.String()), nil }

// Term is one number of a reason, ready to print and to calculate with.
type Term struct {
	Name  string  `json:"name"`
	Value float64 `json:"value"`
	Unit  string  `json:"unit,omitempty"`
}

// Reason lets a person repeat the sum by hand.
type Reason struct {
	Text    string     `json:"text"`
	Because []Term     `json:"because,omitempty"`
	Source  source.Ref `json:"source"`
}

// Num makes a term.
func Num(name string, value float64, unit string) Term { return Term{name, value, unit} }

// String prints the reason on one line.
func (r Reason) String() string {
	s := r.Text
	for i, t := range r.Because {
		if i == 0 {
			s += ": "
		} else {
			s += ", "
		}
		s += t.Name + " " + quantity.Text(t.Value, 4)
		if t.Unit != "" {
			s += " " + t.Unit
		}
	}
	if src := r.Source.String(); src != "" {
		s += " (" + src + ")"
	}
	return s
}

// Value is a settled value with its origin and reason.
type Value[T any] struct {
	Value  T      `json:"value"`
	Origin Origin `json:"origin"`
	Reason Reason `json:"reason"`
}

// Settled reports whether there is a value at all.
func (v Value[T]) Settled() bool { return v.Origin != Open }

// GivenReason and KeptReason are the reasons of entries that fix a value.
var (
	GivenReason = Reason{Text: "given", Source: source.Ref{Kind: source.User}}
	KeptReason  = Reason{Text: "kept from an earlier plan", Source: source.Ref{Kind: source.User}}
)

// Choose settles an entry. work is called for a blank entry only; its last
// result says whether it found a value, and the reason is kept either way.
func Choose[T any](e Entry[T], work func() (T, Reason, bool)) Value[T] {
	switch e.State {
	case Given:
		return Value[T]{e.Value, FromUser, GivenReason}
	case Kept:
		return Value[T]{e.Value, FromKept, KeptReason}
	case Garbled:
		return Value[T]{Reason: Reason{Text: "the cell can't be read"}}
	}
	v, r, ok := work()
	if !ok {
		var none T
		return Value[T]{none, Open, r}
	}
	return Value[T]{v, Worked, r}
}
