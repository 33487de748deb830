package desk

import (
	"cmp"
	"slices"
	"strings"

	"keyon/app/build"
)

// Hit is a thing that a search found.
type Hit struct {
	Kind string `json:"kind"` // circuit, plug, device, wire, leg, place, loom, join, stud, feed, cable, part, rule, table, text
	Name string `json:"name"`
	Note string `json:"note,omitempty"`
	Row  string `json:"row,omitempty"` // UID, of a thing that is a row of Table
	In   string `json:"in,omitempty"`  // table
}

// entry is a thing with the words it is found by.
type entry struct {
	Hit
	words string
	order int
}

// mostHits bounds an answer.
const mostHits = 60

// Search finds things by name, number and everyday word: every word must
// stand in its name or note, whole names first.
func (v *View) Search(words string) []Hit {
	text := strings.ToLower(strings.Join(strings.Fields(words), " "))
	if text == "" {
		return nil
	}
	// everyday words lead to parts, and parts to the devices that are such
	twins := map[string]bool{}
	hits := v.Catalogue.Search(text)
	for _, h := range hits {
		if h.Kind == "device" {
			twins[h.ID] = true
		}
	}
	want := strings.Fields(text)
	type scored struct {
		entry
		score int
	}
	var found []scored
	for _, e := range v.entries() {
		score := 0
		switch name := strings.ToLower(e.Name); {
		case name == text:
			score = 400
		case strings.HasPrefix(name, text):
			score = 300
		case every(want, name):
			score = 200
		case every(want, e.words):
			score = 100
		case e.Kind == "device" && twins[e.words[strings.LastIndexByte(e.words, '\x1f')+1:]]:
			score = 90
		default:
			continue
		}
		found = append(found, scored{e, score})
	}
	slices.SortStableFunc(found, func(a, b scored) int {
		return cmp.Or(cmp.Compare(b.score, a.score), cmp.Compare(a.order, b.order), cmp.Compare(len(a.Name), len(b.Name)))
	})
	var out []Hit
	for _, f := range found[:min(len(found), mostHits)] {
		out = append(out, f.Hit)
	}
	for _, h := range hits[:min(len(hits), 12)] {
		out = append(out, Hit{Kind: "part", Name: h.ID, Note: h.Kind + ", " + h.Title})
	}
	return out
}

func every(words []string, in string) bool {
	return !slices.ContainsFunc(words, func(w string) bool { return !strings.Contains(in, w) })
}

// searched are the tables whose rows are things with a name, with the column
// that says what they are.
var searched = []struct{ table, kind, note string }{
	{"Devices", "device", "part"}, {"Joins", "join", "kind"}, {"Looms", "loom", "letter"}, {"Places", "place", "zone"}, {"Studs", "stud", "place"},
	{"Feeds", "feed", "device"}, {"Cables", "cable", "part"}, {"Assemblies", "assembly", "metal"}, {"Zones", "zone", "ambient"}, {"States", "state", "source"}, {"Limits", "limit", "value"},
}

// entries are all things of the car, and its rules.
func (v *View) entries() []entry {
	return v.find.get(func() []entry {
		var out []entry
		add := func(order int, h Hit, more string) {
			out = append(out, entry{h, strings.ToLower(h.Kind + " " + h.Name + " " + h.Note + " " + more), order})
		}
		seen := map[string]bool{}
		for i, c := range v.Book.Sheet("Circuits").Rows {
			s := v.Book.Sheet("Circuits")
			if name := strings.TrimSpace(s.Text(i, "circuit")); name != "" && !seen[name] {
				seen[name] = true
				add(0, Hit{Kind: "circuit", Name: name, Note: join(" to ", s.Text(i, "from device"), s.Text(i, "to device")), In: "Circuits", Row: c.UID}, s.Text(i, "note"))
			}
		}
		for _, p := range v.Plugs() {
			add(1, Hit{Kind: "plug", Name: p.Name, Note: p.Title}, p.Part+" "+p.Loom)
		}
		for _, k := range searched {
			s := v.Book.Sheet(k.table)
			had := map[string]bool{}
			for i := range s.Rows {
				name := strings.TrimSpace(s.Text(i, s.Table.Match[0]))
				if name == "" || had[name] {
					continue
				}
				had[name] = true
				note := s.Text(i, k.note)
				part := ""
				if k.table == "Devices" {
					part = "\x1f" + note
					if t := v.Catalogue.Title(note); t != "" {
						note = t
					}
				}
				add(2, Hit{Kind: k.kind, Name: name, Note: note, In: k.table, Row: s.Rows[i].UID}, "")
				if part != "" {
					out[len(out)-1].words += part
				}
			}
		}
		if v.Whole() {
			for i := range v.Plan.Wires.List {
				w := &v.Plan.Wires.List[i]
				add(3, Hit{Kind: "wire", Name: v.wireName(i), Note: v.Plan.Things.Circuits[w.Circuit].Name + ", " + v.Plan.EndName(&w.From) + " to " + v.Plan.EndName(&w.To), In: "Wires", Row: planned + w.ID}, w.ID+" "+v.Plan.Cuts.Wires[i].Label.Value)
			}
			for i := range v.Plan.Things.Legs {
				l := &v.Plan.Things.Legs[i]
				add(4, Hit{Kind: "leg", Name: l.Name, In: "Legs", Row: string(l.ID)}, "")
			}
		}
		for _, r := range build.AllRules() {
			add(5, Hit{Kind: "rule", Name: r.ID, Note: r.Title}, "")
		}
		for i := range v.Book.Sheets {
			t := v.Book.Sheets[i].Table
			add(6, Hit{Kind: "table", Name: t.Name, Note: t.Help, In: t.Name}, "")
		}
		return out
	})
}

func join(sep string, words ...string) string {
	return strings.Join(slices.DeleteFunc(words, func(s string) bool { return s == "" }), sep)
}
