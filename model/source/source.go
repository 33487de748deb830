// Package source says where a figure or a rule comes from. Every reason, rule
// and catalogue figure carries a Ref; the documents are listed in
// docs/sources.md.
package source

// Kind is how a figure is known.
type Kind string

// The kinds, from the firmest to the softest. Judgement prints as such.
const (
	Standard  Kind = "standard"
	Datasheet Kind = "datasheet"
	Physics   Kind = "physics"
	Practice  Kind = "common practice"
	Bench     Kind = "bench"
	Judgement Kind = "judgement"
	User      Kind = "user" // somebody typed it
)

// Status is how sure we are of the figure, as the reference tables say it.
type Status string

// Figures whose status is Memory print with the word "check".
const (
	Seen     Status = "seen"
	Memory   Status = "memory"
	Computed Status = "computed"
	Missing  Status = "missing"
)

// Ref points at a document and a place in it.
type Ref struct {
	Kind   Kind   `json:"kind"`
	Doc    string `json:"doc"`             // key of docs/sources.md, or the standard's number
	Where  string `json:"where,omitempty"` // clause, table or page
	Status Status `json:"status,omitempty"`
}

// String is the form printed behind a rule: "standard: AC 43.13-1B, Table 11-9".
func (r Ref) String() string {
	s := string(r.Kind)
	if r.Doc != "" {
		s += ": " + r.Doc
	}
	if r.Where != "" {
		s += ", " + r.Where
	}
	if r.Status == Memory {
		s += " (check)"
	}
	return s
}
