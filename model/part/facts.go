package part

import (
	"strings"
	"sync"

	"keyon/num/quantity"
)

// Fact is a published figure or code that belongs to no single part: a
// terminal number, a colour code, a crimp minimum, the protection of a size.
type Fact struct {
	Head
	Kind  string // terminal, colour, crimp, protection
	Code  string // the number, letters or conductor size
	Value float64
	Unit  string // of Value; "" where the title says it all
}

var facts = sync.OnceValue(loadFacts)

// Facts lists the facts of a kind in the order of their data file; all for "".
func Facts(kind string) []Fact {
	var list []Fact
	for _, f := range facts() {
		if kind == "" || f.Kind == kind {
			list = append(list, f)
		}
	}
	return list
}

func loadFacts() []Fact {
	origin := documents()
	var list []Fact
	add := func(r record, kind, code, title string, value float64, unit string) {
		f := Fact{Head: r.header("", title), Kind: kind, Code: code, Value: value, Unit: unit}
		f.ID = strings.Join(strings.Fields(f.Source.Doc+" "+code), " ")
		list = append(list, f)
	}
	each("terminals.csv", origin, func(r record) {
		add(r, "terminal", r.text("terminal"), r.text("meaning"), 0, "")
	})
	each("colours.csv", origin, func(r record) {
		add(r, "colour", r.text("symbol"), r.text("meaning"), 0, "")
	})
	each("crimps.csv", origin, func(r record) {
		code := r.text("gauge")
		if size, ok := strings.CutPrefix(r.text("table"), "contact "); ok {
			code = "contact " + size + " " + code
		}
		n := r.number("newton")
		add(r, "crimp", code, "crimp tensile at least "+quantity.Text(n, 1)+" N", n, "N")
	})
	each("protection.csv", origin, func(r record) {
		title := "fuse at most " + r.text("fuse_a") + " A"
		if b := r.text("breaker_a"); b != "" {
			title += ", breaker at most " + b + " A"
		}
		add(r, "protection", r.text("gauge"), title, r.number("fuse_a"), "A")
	})
	return list
}

func factByID(id ID) *Fact {
	for i, f := range facts() {
		if f.ID == id {
			return &facts()[i]
		}
	}
	return nil
}
