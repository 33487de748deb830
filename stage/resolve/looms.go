package resolve

import (
	"slices"
	"strconv"

	"keyon/model/design"
	"keyon/model/finding"
	"keyon/model/plan"
	"keyon/model/settle"
)

// theLooms parts the legs into looms: legs that meet at a place are one loom,
// a join has two places and parts it. Looms stand in the order of their first
// legs.
func (r *resolver) theLooms() {
	root := make([]int, len(r.t.Places))
	for i := range root {
		root[i] = i
	}
	find := func(i int) int {
		for root[i] != i {
			root[i] = root[root[i]]
			i = root[i]
		}
		return i
	}
	for _, l := range r.t.Legs {
		if l.From >= 0 && l.To >= 0 {
			a, b := find(l.From), find(l.To)
			root[max(a, b)] = min(a, b)
		}
	}
	loomOf := map[int]int{}
	for i := range r.t.Legs {
		l := &r.t.Legs[i]
		at := max(l.From, l.To)
		if at < 0 {
			continue
		}
		k, ok := loomOf[find(at)]
		if !ok {
			k = len(r.t.Looms)
			loomOf[find(at)] = k
			r.t.Looms = append(r.t.Looms, plan.Loom{ID: string(l.ID), TwinOf: -1})
		}
		l.Loom = k
		r.t.Looms[k].Legs = append(r.t.Looms[k].Legs, i)
		for _, p := range []int{l.From, l.To} {
			if p >= 0 && r.t.Places[p].Loom < 0 {
				r.t.Places[p].Loom = k
				r.t.Looms[k].Places = append(r.t.Looms[k].Places, p)
			}
		}
	}
	for i := range r.t.Looms {
		slices.Sort(r.t.Looms[i].Places)
	}
	r.nameLooms()
}

// nameLooms gives each loom the name its legs carry, and a letter.
func (r *resolver) nameLooms() {
	owner := map[string]int{} // by name
	for k := range r.t.Looms {
		m := &r.t.Looms[k]
		name := r.legsName(m)
		if name == "" {
			continue
		}
		if _, taken := owner[name]; taken {
			for _, i := range m.Legs {
				if e := r.d.Legs[i].Loom; e.Is() && e.Value == name {
					r.say(finding.Say(RuleLoom, finding.Place{Kind: "leg", ID: legID(&r.d.Legs[i]), Field: "loom", Cell: e.At},
						"no leg connects "+r.t.Legs[i].Name+" with the other legs of the loom "+quote(name), "add the leg that is missing", "give it a loom of its own"))
					break
				}
			}
			continue
		}
		owner[name] = k
		m.Name = name
		if i, ok := r.looms.of[name]; ok {
			row := &r.d.Looms[i]
			m.ID, m.Serial, m.Release = string(row.ID), row.Serial.Value, row.Release.Value
		}
	}
	for k := range r.t.Looms {
		m := &r.t.Looms[k]
		for n := k + 1; m.Name == ""; n++ {
			if name := "L" + strconv.Itoa(n); !has(owner, name) {
				m.Name, owner[name] = name, k
			}
		}
	}
	for i := range r.d.Looms {
		row := &r.d.Looms[i]
		twin := r.looms.look(row.TwinOf, finding.Place{Kind: "loom", ID: row.Name, Field: "twin of"})
		k, built := owner[row.Name]
		if twin >= 0 && built {
			if other, ok := owner[r.d.Looms[twin].Name]; ok {
				r.t.Looms[k].TwinOf = other
			}
		}
	}
	r.letters(owner)
}

func has(m map[string]int, name string) bool {
	_, ok := m[name]
	return ok
}

func legID(l *design.Leg) string { return l.From.Value + " " + l.To.Value }

// legsName is the name most of a loom's legs carry. Legs that say otherwise
// are reported.
func (r *resolver) legsName(m *plan.Loom) string {
	count := map[string]int{}
	name := ""
	for _, i := range m.Legs {
		e := r.d.Legs[i].Loom
		if !e.Is() {
			continue
		}
		// A house without a table of looms names them on the legs alone.
		if len(r.d.Looms) > 0 && r.looms.look(e, finding.Place{Kind: "leg", ID: legID(&r.d.Legs[i]), Field: "loom"}) < 0 {
			continue
		}
		count[e.Value]++
		if c := count[e.Value]; c > count[name] || c == count[name] && e.Value < name {
			name = e.Value
		}
	}
	for _, i := range m.Legs {
		if e := r.d.Legs[i].Loom; e.Is() && e.Value != name && count[e.Value] > 0 {
			r.say(finding.Say(RuleLoom, finding.Place{Kind: "leg", ID: legID(&r.d.Legs[i]), Field: "loom", Cell: e.At},
				r.t.Legs[i].Name+" is named "+quote(e.Value)+", but no join parts it from the loom "+quote(name), "write "+quote(name), "put a join between them"))
		}
	}
	return name
}

// alphabet leaves out the letters that read as digits.
const alphabet = "ABCDEFGHJKLMNPQRSTUVWXYZ"

// letters gives each loom a letter of its own: given, kept, or the first free
// one in the order of looms.
func (r *resolver) letters(owner map[string]int) {
	used := map[string]bool{}
	for i := range r.d.Looms {
		row := &r.d.Looms[i]
		k, built := owner[row.Name]
		if !built || !row.Letter.Is() {
			continue
		}
		if l := row.Letter.Value; used[l] {
			r.say(finding.Say(RuleLoom, finding.Place{Kind: "loom", ID: row.Name, Field: "letter", Cell: row.Letter.At},
				"the letter "+quote(l)+" belongs to another loom already", "choose another letter, or leave it blank"))
		} else {
			used[l] = true
			r.t.Looms[k].Letter = l
		}
	}
	for k := range r.t.Looms {
		m := &r.t.Looms[k]
		e := r.d.Keep(design.TextEntry{}, "loom", m.ID, "letter")
		if m.Letter == "" && e.State == settle.Kept && !used[e.Value] {
			used[e.Value] = true
			m.Letter = e.Value
		}
	}
	next := 0
	for k := range r.t.Looms {
		for m := &r.t.Looms[k]; m.Letter == ""; next++ {
			if l := letter(next); !used[l] {
				used[l] = true
				m.Letter = l
			}
		}
	}
}

// letter is A, B … Z without I and O, then AA, AB …
func letter(n int) string {
	s := ""
	for n++; n > 0; n = (n - 1) / len(alphabet) {
		s = string(alphabet[(n-1)%len(alphabet)]) + s
	}
	return s
}
