package part

import (
	"cmp"
	"slices"
	"strings"
)

// Hit is a part that was found.
type Hit struct {
	Kind  string `json:"kind"`
	ID    ID     `json:"id"`
	Title string `json:"title"`
	Own   bool   `json:"own,omitempty"`
}

// Kinds are the words for the kinds of parts, then of facts, in the order
// lists show them.
var Kinds = []string{"device", "connector", "contact", "seal", "plug", "wire", "cable", "sleeve", "lug", "boot", "fuse", "splice", "stud", "terminal", "colour", "crimp", "protection"}

// everyday leads from what people say to the words of the trade. Longer
// phrases stand before the words they contain.
var everyday = []struct{ said, trade string }{
	{"kill switch", "isolator"}, {"master switch", "isolator"}, {"cut-off switch", "isolator"}, {"cutoff switch", "isolator"}, {"battery switch", "isolator"}, {"cut off", "isolator"},
	{"fuse box", "fuse carrier"}, {"fusebox", "fuse carrier"},
	{"engine computer", "engine controller"}, {"ecu", "engine controller"}, {"ems", "engine controller"},
	{"power box", "output module"}, {"power module", "output module"}, {"solid state relay", "output module"},
	{"crank sensor", "crank trigger"}, {"cam sensor", "cam trigger"}, {"o2 sensor", "lambda"}, {"oxygen", "lambda"}, {"wideband", "lambda"}, {"egt", "thermocouple"},
	{"map sensor", "manifold"}, {"boost sensor", "manifold"}, {"tps", "throttle"}, {"drive by wire", "throttle"}, {"gas pedal", "accelerator pedal"},
	{"abs sensor", "wheel speed"}, {"thermostat", "temperature sensor"}, {"thermistor", "temperature sensor"}, {"sender", "sensor"}, {"strain gauge", "force"}, {"string pot", "travel sensor"},
	{"can bus", "data bus"}, {"canbus", "data bus"}, {"gps", "position receiver"}, {"dashboard", "display"}, {"dash", "display"}, {"push buttons", "keypad"},
	{"spark", "ignition"}, {"coil pack", "ignition coil"}, {"squirter", "injector"}, {"generator", "alternator"}, {"dynamo", "alternator"}, {"cranking motor", "starter"}, {"horn button", "switch"},
	{"stop light", "brake lamp"}, {"brake light", "brake lamp"}, {"rain light", "rain lamp"}, {"headlight", "headlamp"}, {"blinker", "indicator"}, {"turn signal", "indicator"}, {"light", "lamp"}, {"cooling fan", "radiator fan"},
	{"heat shrink", "heat-shrink"}, {"shrink tube", "heat-shrink"}, {"shrink", "heat-shrink"}, {"sheath", "braid"}, {"loom tube", "conduit"}, {"sleeving", "sleeve"}, {"insulating tape", "tape"},
	{"ring tongue", "ring terminal"}, {"eyelet", "ring terminal"}, {"crimp terminal", "contact"}, {"blanking", "sealing"}, {"bung", "sealing plug"}, {"blank", "sealing plug"},
	{"multi-plug", "connector"}, {"plug and socket", "connector"}, {"bulkhead plug", "circular connector"}, {"mil spec", "circular"}, {"milspec", "circular"}, {"butt connector", "splice"}, {"butt splice", "splice"},
	{"shielded wire", "braid, jacket"}, {"screened", "braid, jacket"}, {"shielded", "braid, jacket"}, {"earth", "ground"}, {"jump start", "start socket"}, {"screen heater", "heated screen"}, {"fire bottle", "extinguisher"},
}

// all lists every part and fact, by kind and then ID.
func (c Catalogue) all() []Hit {
	var list []Hit
	for _, d := range c.Devices {
		list = append(list, Hit{"device", d.ID, d.Title, d.Own})
	}
	for _, k := range c.Connectors {
		list = append(list, Hit{"connector", k.ID, k.Title, k.Own})
	}
	for _, k := range c.Contacts {
		list = append(list, Hit{"contact", k.ID, k.Title, k.Own})
	}
	for _, s := range c.Seals {
		kind := "seal"
		if s.Plug {
			kind = "plug"
		}
		list = append(list, Hit{kind, s.ID, s.Title, s.Own})
	}
	for _, f := range c.Families {
		for _, w := range c.Wires[f] {
			list = append(list, Hit{"wire", w.ID, w.Title, w.Own})
		}
	}
	for _, k := range c.Cables {
		list = append(list, Hit{"cable", k.ID, k.Title, k.Own})
	}
	for _, s := range c.Sleeves {
		list = append(list, Hit{"sleeve", s.ID, s.Kind + ", " + s.Title, s.Own})
	}
	for _, l := range c.Lugs {
		list = append(list, Hit{"lug", l.ID, l.Title, l.Own})
	}
	for _, b := range c.Boots {
		list = append(list, Hit{"boot", b.ID, b.Title, b.Own})
	}
	for _, f := range c.Fuses {
		list = append(list, Hit{"fuse", f.ID, f.Title, f.Own})
	}
	for _, s := range c.Splices {
		list = append(list, Hit{"splice", s.ID, s.Title, s.Own})
	}
	for _, s := range c.Studs {
		list = append(list, Hit{"stud", s.ID, s.Title, s.Own})
	}
	for _, f := range facts() {
		list = append(list, Hit{f.Kind, f.ID, f.Title, false})
	}
	slices.SortFunc(list, func(a, b Hit) int {
		return cmp.Or(cmp.Compare(slices.Index(Kinds, a.Kind), slices.Index(Kinds, b.Kind)), natural(a.ID, b.ID))
	})
	return list
}

// List is every part of a kind; all parts for "".
func (c Catalogue) List(kind string) []Hit {
	list := c.all()
	if kind == "" {
		return list
	}
	return slices.DeleteFunc(list, func(h Hit) bool { return h.Kind != kind })
}

// Search lists the parts in whose kind, name or title every word stands,
// best first: the exact name, then the shop's own, then names that begin
// with the words, then the rest. Everyday words find their twins of the
// trade. A full part number of a series III circular finds its arrangement.
func (c Catalogue) Search(words string) []Hit {
	text := strings.ToLower(strings.Join(strings.Fields(words), " "))
	if text == "" {
		return nil
	}
	if id, _, ok := CircularID(text); ok && c.Connectors[id] != nil {
		return []Hit{{"connector", id, c.Connectors[id].Title, false}}
	}
	hits := c.match(text)
	for _, e := range everyday {
		if at := strings.Index(" "+text+" ", " "+e.said+" "); at >= 0 {
			twin := strings.TrimSpace((" " + text + " ")[:at] + " " + e.trade + " " + (" " + text + " ")[at+len(e.said)+2:])
			for _, h := range c.match(twin) {
				if !slices.Contains(hits, h) {
					hits = append(hits, h)
				}
			}
			break
		}
	}
	return hits
}

func (c Catalogue) match(text string) []Hit {
	type scored struct {
		Hit
		score int
	}
	var found []scored
	want := strings.Fields(text)
	for _, h := range c.all() {
		id := strings.ToLower(h.ID)
		in := h.Kind + " " + id + " " + strings.ToLower(h.Title)
		if !every(want, in) {
			continue
		}
		s := wholeWords(want, in)
		switch {
		case id == text:
			s += 300
		case h.Own:
			s += 200
		case strings.HasPrefix(id, want[0]):
			s += 100
		}
		found = append(found, scored{h, s})
	}
	slices.SortStableFunc(found, func(a, b scored) int { return cmp.Compare(b.score, a.score) })
	list := make([]Hit, len(found))
	for i, f := range found {
		list[i] = f.Hit
	}
	return list
}

// wholeWords counts the words that stand in the text as a whole.
func wholeWords(words []string, in string) int {
	n := 0
	tokens := strings.FieldsFunc(in, func(r rune) bool { return r == ' ' || r == '-' || r == ',' })
	for _, w := range words {
		if slices.Contains(tokens, w) {
			n++
		}
	}
	return n
}

func every(words []string, in string) bool {
	for _, w := range words {
		if !strings.Contains(in, w) {
			return false
		}
	}
	return true
}

// Title is a part's title, whatever its kind; "" where there is no such part.
// Of several kinds with one name the first of Kinds.
func (c Catalogue) Title(id ID) string {
	if d := c.Devices[id]; d != nil {
		return d.Title
	}
	if k := c.Connector(id); k != nil {
		return k.Title
	}
	if k := c.Contacts[id]; k != nil {
		return k.Title
	}
	if s := c.Seals[id]; s != nil {
		return s.Title
	}
	if w := c.wireByID(id); w != nil {
		return w.Title
	}
	if k := c.Cables[id]; k != nil {
		return k.Title
	}
	if s := c.Sleeves[id]; s != nil {
		return s.Title
	}
	if l := c.Lugs[id]; l != nil {
		return l.Title
	}
	if b := c.Boots[id]; b != nil {
		return b.Title
	}
	if f := c.Fuses[id]; f != nil {
		return f.Title
	}
	if s := c.Splices[id]; s != nil {
		return s.Title
	}
	if s := c.Studs[id]; s != nil {
		return s.Title
	}
	return ""
}

// Near is the name of that kind ("" for any) that a mistyped name most likely
// means: at most two letters off, or equal but for spaces, hyphens and
// capitals. "" where none is near.
func (c Catalogue) Near(id, kind string) ID {
	best, least := "", 3
	for _, h := range c.List(kind) {
		if fold(h.ID) == fold(id) {
			return h.ID
		}
		if d := distance(strings.ToLower(id), strings.ToLower(h.ID), least); d < least && d*3 < len(h.ID) {
			best, least = h.ID, d
		}
	}
	return best
}

// distance is the number of letters to change, add or drop between a and b
// (Levenshtein); at least most where it is that or more.
func distance(a, b string, most int) int {
	if len(a)-len(b) >= most || len(b)-len(a) >= most {
		return most
	}
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		corner := row[0]
		row[0] = i + 1
		for j := range len(b) {
			d := corner
			if a[i] != b[j] {
				d++
			}
			corner = row[j+1]
			row[j+1] = min(d, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(b)]
}

// natural orders texts with numbers in them by value: 9-35 before 11-35.
func natural(a, b string) int {
	for a != "" && b != "" {
		na, ra := leading(a)
		nb, rb := leading(b)
		if na >= 0 && nb >= 0 {
			if na != nb {
				return cmp.Compare(na, nb)
			}
			a, b = ra, rb
			continue
		}
		if a[0] != b[0] {
			return cmp.Compare(a[0], b[0])
		}
		a, b = a[1:], b[1:]
	}
	return cmp.Compare(len(a), len(b))
}

// leading is the number a text begins with, -1 for none, and what follows.
func leading(s string) (n int, rest string) {
	i := 0
	for i < len(s) && i < 9 && s[i] >= '0' && s[i] <= '9' {
		n = n*10 + int(s[i]-'0')
		i++
	}
	if i == 0 {
		return -1, s
	}
	return n, s[i:]
}
