package desk

import (
	"cmp"
	"slices"
	"strings"

	"keyon/model/design"
	"keyon/model/part"
	"keyon/model/settle"
)

// Choice is one thing that may stand in a cell.
type Choice struct {
	Text string `json:"text"`
	Note string `json:"note,omitempty"` // what it is
}

// mostChoices bounds a pick list: who needs more types a word.
const mostChoices = 60

// picks says that Pick has proposals for a column.
func picks(table string, c *design.Column) bool {
	switch c.Kind {
	case design.Ref, design.List, design.Choice, design.Flag:
		return true
	}
	switch table + "/" + c.Name {
	case "Circuits/from device", "Circuits/to device", "Circuits/from pin", "Circuits/to pin", "Circuits/wire", "Circuits/colour", "Circuits/gauge",
		"Devices/part", "Joins/part", "Joins/key", "Legs/sleeve", "Cables/part", "Parts/like", "Parts/connector", "Pins/role", "Feeds/pin", "Feeds/setting",
		"Loads/from pin", "Loads/to pin", "Wires/family", "Wires/gauge", "Wires/colour", "Stock/part", "Splices/part", "Studs/thread", "States/source", "Car/key", "Cavities/cavity", "Limits/limit":
		return true
	}
	return false
}

// Pick lists what may stand in a cell of a row, narrowed by the words typed
// so far. Parts are found by everyday words too.
func (v *View) Pick(at settle.Cell, words string) []Choice {
	t := design.ByName(at.Table)
	if t == nil {
		return nil
	}
	c := t.Column(at.Column)
	if c == nil {
		return nil
	}
	if kind, ok := partKinds[at.Table+"/"+at.Column]; ok {
		return v.parts(kind, words)
	}
	list, whole := v.choices(at, c)
	folded := strings.Fields(strings.ToLower(words))
	if c.Kind == design.List { // the name being typed is the last
		if i := strings.LastIndexAny(words, ",;\n"); i >= 0 {
			folded = strings.Fields(strings.ToLower(words[i+1:]))
		}
	}
	var first, rest []Choice
	for _, x := range list {
		text := strings.ToLower(x.Text + " " + x.Note)
		if slices.ContainsFunc(folded, func(w string) bool { return !strings.Contains(text, w) }) {
			continue
		}
		if len(folded) > 0 && strings.HasPrefix(strings.ToLower(x.Text), folded[0]) {
			first = append(first, x)
		} else {
			rest = append(rest, x)
		}
	}
	out := append(first, rest...)
	if !whole {
		out = out[:min(len(out), mostChoices)]
	}
	return out
}

// partKinds are the columns that hold parts of the catalogue; "" is any kind.
var partKinds = map[string]string{"Devices/part": "device", "Joins/part": "connector", "Parts/connector": "connector", "Legs/sleeve": "sleeve", "Cables/part": "cable", "Parts/like": "", "Stock/part": "", "Splices/part": "splice", "Feeds/setting": "fuse"}

func (v *View) parts(kind, words string) []Choice {
	hits := v.Catalogue.List(kind)
	if strings.TrimSpace(words) != "" {
		hits = slices.DeleteFunc(v.Catalogue.Search(words), func(h part.Hit) bool { return kind != "" && h.Kind != kind })
	}
	var out []Choice
	for _, h := range hits[:min(len(hits), mostChoices)] {
		out = append(out, Choice{h.ID, h.Title})
	}
	return out
}

// choices are all that may stand in a cell; whole says that the list is short.
func (v *View) choices(at settle.Cell, c *design.Column) (list []Choice, whole bool) {
	words := func(texts ...string) []Choice {
		var out []Choice
		for _, t := range texts {
			out = append(out, Choice{Text: t})
		}
		return out
	}
	switch c.Kind {
	case design.Choice:
		return words(c.Choices...), true
	case design.Flag:
		return words("yes", "no"), true
	}
	if len(c.Choices) > 0 {
		return words(c.Choices...), true
	}
	if c.Ref != "" {
		return v.rowNames(c.Ref), false
	}
	switch at.Column {
	case "from device", "to device":
		return slices.Concat(v.rowNames("Devices"), v.rowNames("Studs"), v.rowNames("Feeds")), false
	case "from pin", "to pin", "pin":
		return v.pins(at), false
	case "gauge":
		return words(v.gauges()...), true
	case "wire", "family":
		return words(v.Catalogue.Families...), true
	case "colour":
		var out []Choice
		for _, f := range part.Facts("colour") {
			if f.Source.Doc == "IEC 60757" || strings.HasPrefix(f.ID, "IEC 60757") {
				out = append(out, Choice{f.Code, f.Title})
			}
		}
		return out, true
	case "role":
		var out []Choice
		for _, r := range part.Roles() {
			out = append(out, Choice{Text: string(r)})
		}
		return out, true
	case "source":
		return words("battery", "alternator"), true
	case "thread":
		return words("M5", "M6", "M8", "M10", "M12", "10-32", "1/4-20", "5/16-18", "3/8-16"), true
	case "key":
		if at.Table == "Car" {
			return words("name", "decimal", "units", "gauge", "volts", "family", "altitude", "paper", "spares", "race number"), true
		}
		return words("N", "A", "B", "C", "D", "E"), true
	}
	return nil, true
}

// rowNames are the names of a table's rows, each once, with a word on what it is.
func (v *View) rowNames(table string) []Choice {
	s := v.Book.Sheet(table)
	if s == nil {
		return nil
	}
	note := map[string]string{"Devices": "part", "Studs": "place", "Feeds": "device", "Places": "zone", "Parts": "title", "Circuits": "class", "Joins": "kind", "Cables": "part"}[table]
	seen := map[string]bool{}
	var out []Choice
	for i := range s.Rows {
		name := strings.TrimSpace(s.Text(i, s.Table.Match[0]))
		if name == "" || seen[name] {
			continue
		}
		seen[name] = true
		c := Choice{Text: name}
		if note != "" {
			c.Note = s.Text(i, note)
		}
		if table == "Devices" {
			if t := v.Catalogue.Title(c.Note); t != "" {
				c.Note = t
			}
		}
		out = append(out, c)
	}
	slices.SortStableFunc(out, func(a, b Choice) int { return strings.Compare(strings.ToLower(a.Text), strings.ToLower(b.Text)) })
	return out
}

// pins are the pins of the device that the row names beside the cell.
func (v *View) pins(at settle.Cell) []Choice {
	s, row := v.row(at.Table, at.Row)
	if row == nil {
		return nil
	}
	column := "device"
	if at.Table == "Circuits" {
		column = strings.TrimSuffix(at.Column, "pin") + "device"
	}
	i := s.Table.Index(column)
	if i < 0 || i >= len(row.Cells) {
		return nil
	}
	name := strings.TrimSpace(row.Cells[i].Text)
	id := name // Pins and Links name the part itself
	for k := range v.Design.Devices {
		if v.Design.Devices[k].Name == name && v.Design.Devices[k].Part.Is() {
			id = v.Design.Devices[k].Part.Value
			break
		}
	}
	d := v.Catalogue.Devices[id]
	if d == nil {
		return nil
	}
	used := v.used(name)
	var out []Choice
	for k := range d.Pins {
		p := &d.Pins[k]
		note := strings.TrimSpace(string(p.Role) + " " + p.Index)
		if by := used[p.Name]; by != "" {
			note += ", used by " + by
		}
		out = append(out, Choice{p.Name, strings.TrimPrefix(note, ", ")})
	}
	return out
}

// used are the circuits at a device's pins.
func (v *View) used(device string) map[string]string {
	out := map[string]string{}
	if v.Plan == nil {
		return out
	}
	t := &v.Plan.Things
	i, ok := t.DeviceOf[device]
	if !ok {
		return out
	}
	for k := range v.Plan.Ends.List {
		if e := &v.Plan.Ends.List[k]; e.Device == i && e.Pin.Settled() {
			out[e.Pin.Value] = t.Circuits[e.Circuit].Name
		}
	}
	return out
}

// gauges are the conductor sizes of the catalogue's wires, thinnest first.
func (v *View) gauges() []string {
	var all []*part.Wire
	for _, f := range v.Catalogue.Families {
		all = append(all, v.Catalogue.Wires[f]...)
	}
	slices.SortStableFunc(all, func(a, b *part.Wire) int { return cmp.Compare(a.Area, b.Area) })
	var out []string
	for _, w := range all {
		if !slices.Contains(out, w.Gauge) {
			out = append(out, w.Gauge)
		}
	}
	return out
}
