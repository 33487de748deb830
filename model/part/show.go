package part

import (
	"maps"
	"slices"
	"strconv"
	"strings"

	"keyon/model/source"
	"keyon/num/quantity"
)

// Line is one figure or fact of a part, ready to print. A figure nobody knows
// has the value "not known": the shop must enter it in Parts.
type Line struct {
	Label  string     `json:"label"`
	Value  string     `json:"value"`
	Unit   string     `json:"unit,omitempty"`
	Source source.Ref `json:"source"`
}

// NotKnown is the value of a figure the catalogue has not got.
const NotKnown = "not known"

// sheet collects the lines of one part.
type sheet struct {
	head   Head
	source source.Ref
	lines  []Line
}

// from is the source of the lines that follow: the row's, or what Check says
// of that figure.
func (s *sheet) from(figure string) { s.source = s.head.From(figure) }

func (s *sheet) say(label, value string) {
	if value != "" {
		s.lines = append(s.lines, Line{Label: label, Value: value, Source: s.source})
	}
}

// figure adds a number of which zero means that nobody knows it.
func (s *sheet) figure(label string, v float64, places int, unit string) {
	if v == 0 {
		r := s.source
		r.Status = source.Missing
		s.lines = append(s.lines, Line{label, NotKnown, "", r})
		return
	}
	s.lines = append(s.lines, Line{label, quantity.Text(v, places), unit, s.source})
}

func (s *sheet) mm(label string, l quantity.Length) { s.figure(label, l.MM(), 3, "mm") }

func (s *sheet) celsius(label string, t quantity.Celsius) { s.figure(label, float64(t), 0, "°C") }

// Show describes a part: one line a figure, with unit and source. It returns
// nil where there is no such part.
func (c Catalogue) Show(id ID) []Line {
	switch {
	case c.Devices[id] != nil:
		return c.showDevice(c.Devices[id])
	case c.Connector(id) != nil:
		return showConnector(c.Connector(id))
	case c.Contacts[id] != nil:
		return showContact(c.Contacts[id])
	}
	if w := c.wireByID(id); w != nil {
		return showWire(w)
	}
	if k := c.Seals[id]; k != nil {
		s := begin("seal", k.Head)
		s.say("fits contact sizes", strings.Join(k.Sizes, ", "))
		if !k.Plug {
			s.mm("wire diameter at least", k.Least)
			s.mm("wire diameter at most", k.Most)
		}
		return s.lines
	}
	if k := c.Cables[id]; k != nil {
		s := begin("cable", k.Head)
		for _, core := range k.Cores {
			s.say("core "+core.Name, core.Family+" "+core.Gauge+", "+core.Colour)
		}
		s.say("shield", map[bool]string{true: "yes", false: "no"}[k.Shielded])
		s.mm("outside diameter", k.Outside)
		s.figure("mass", float64(k.MassPerM)*1e3, 1, "g/m")
		s.celsius("temperature at most", k.Temperature)
		s.say("use", k.Use)
		return s.lines
	}
	if k := c.Sleeves[id]; k != nil {
		s := begin(k.Kind, k.Head)
		if k.Kind != "tape" {
			s.mm("goes over, at most", k.Expanded)
			s.mm("grips, at least", k.Recovered)
		}
		s.mm("wall", k.Wall)
		s.celsius("temperature at least", k.TempLeast)
		s.celsius("temperature at most", k.Temperature)
		return s.lines
	}
	if k := c.Lugs[id]; k != nil {
		s := begin("lug", k.Head)
		s.say("stud", k.Stud)
		s.say("conductor sizes", strings.Join(k.Gauges, ", "))
		s.mm("strip", k.Strip)
		s.say("tool", k.Tool)
		return s.lines
	}
	if k := c.Boots[id]; k != nil {
		s := begin("boot", k.Head)
		s.say("shell sizes", strings.Join(k.Shells, ", "))
		s.mm("entry", k.Entry)
		s.mm("outlet", k.Outlet)
		s.celsius("temperature at most", k.Temperature)
		return s.lines
	}
	if k := c.Fuses[id]; k != nil {
		s := begin("fuse", k.Head)
		s.figure("rating", float64(k.Rating), 1, "A")
		s.figure("resistance, cold", float64(k.Ohm)*1e3, 2, "mΩ")
		if !k.Breaker {
			s.figure("melting integral", k.Melting, 1, "A²s")
		}
		return s.lines
	}
	if k := c.Splices[id]; k != nil {
		s := begin("splice", k.Head)
		s.figure("copper area at least", k.Least.MM2(), 3, "mm²")
		s.figure("copper area at most", k.Most.MM2(), 3, "mm²")
		s.say("sealed", map[bool]string{true: "yes", false: "no"}[k.Sealed])
		s.mm("length", k.Length)
		s.from("temperature")
		s.celsius("temperature at most", k.Temperature)
		return s.lines
	}
	if k := c.Studs[id]; k != nil {
		s := begin("stud", k.Head)
		s.say("thread", k.Thread)
		s.figure("torque at least", k.TorqueLeast, 1, "N·m")
		s.figure("torque at most", k.TorqueMost, 1, "N·m")
		return s.lines
	}
	if f := factByID(id); f != nil {
		s := begin(f.Kind, f.Head)
		s.say("code", f.Code)
		if f.Unit != "" {
			s.figure("value", f.Value, 1, f.Unit)
		}
		return s.lines
	}
	return nil
}

func (c Catalogue) wireByID(id ID) *Wire {
	for _, list := range c.Wires {
		for _, w := range list {
			if w.ID == id {
				return w
			}
		}
	}
	return nil
}

func begin(kind string, h Head) *sheet {
	s := &sheet{head: h, source: h.Source}
	s.say("part", h.ID)
	s.say("kind", kind)
	s.say("title", h.Title)
	s.say("note", h.Note)
	return s
}

func showWire(w *Wire) []Line {
	s := begin("wire", w.Head)
	s.say("family", w.Family)
	s.say("gauge", w.Gauge)
	s.say("coating", w.Coating)
	s.mm("outside diameter", w.Outside)
	s.mm("outside diameter at most", w.OutsideMost)
	s.figure("mass", float64(w.MassPerM)*1e3, 2, "g/m")
	s.from("temperature")
	s.celsius("temperature at most", w.Temperature)
	s.from("volts")
	s.figure("volts at most", float64(w.Volts), 0, "V")
	s.source = w.Resistance
	s.say("strands", w.Strands)
	s.figure("copper area", w.Area.MM2(), 4, "mm²")
	s.mm("conductor diameter", w.Conductor)
	s.figure("resistance at 20 °C at most", float64(w.OhmPerM)*1e3, 4, "mΩ/m")
	return s.lines
}

func showContact(k *Contact) []Line {
	s := begin("contact", k.Head)
	s.say("size", k.Size)
	s.say("gender", k.Gender)
	s.say("conductor sizes", strings.Join(k.Gauges, ", "))
	s.mm("wire diameter at least", k.WireLeast)
	s.mm("wire diameter at most", k.WireMost)
	s.figure("amps", float64(k.Amps), 1, "A")
	s.figure("resistance at most", float64(k.Ohm)*1e3, 2, "mΩ")
	s.from("strip")
	s.mm("strip at least", k.StripLeast)
	s.mm("strip at most", k.StripMost)
	s.from("tool")
	s.say("crimp tool", k.Tool)
	s.from("insert")
	s.say("insertion and extraction tool", k.Insert)
	s.from("pull")
	for _, g := range slices.Sorted(maps.Keys(k.Pull)) {
		s.figure("crimp tensile at least, "+g, k.Pull[g], 1, "N")
	}
	return s.lines
}

func showConnector(k *Connector) []Line {
	s := begin("connector", k.Head)
	s.say("standard", k.Standard)
	s.say("plug number", k.Number(Plug, k.Gender, ""))
	s.say("wall half number", k.Number(Wall, k.Gender, ""))
	s.say("jam nut half number", k.Number(JamNut, k.Gender, ""))
	s.say("shell size", k.ShellSize)
	s.say("gender", k.Gender)
	s.say("availability", k.Availability)
	s.say("keys", strings.Join(k.Keys, ", "))
	sizes := map[string]int{}
	for _, v := range k.Cavities {
		sizes[v.Size]++
	}
	for _, size := range slices.Sorted(maps.Keys(sizes)) {
		s.say("cavities of size "+size, strconv.Itoa(sizes[size]))
	}
	if k.Shell.Doc != "" {
		s.head.Source = k.Shell
	}
	s.from("shell")
	s.mm("largest diameter", k.Outside)
	s.mm("largest bundle behind it", k.Entry)
	s.from("temperature")
	s.celsius("temperature at most", k.Temperature)
	s.from("shell")
	s.figure("volts at most", float64(k.Volts), 0, "V")
	s.say("panel hole", k.Cutout)
	s.say("torque", k.Torque)
	return s.lines
}

func (c Catalogue) showDevice(d *Device) []Line {
	s := begin(d.Kind, d.Head)
	for _, k := range d.Connectors {
		s.say(strings.TrimSpace("connector "+k.Name), strings.TrimSpace(k.Part+" "+k.Key))
	}
	if d.CaseAmps > 0 {
		s.figure("whole device at most", float64(d.CaseAmps), 1, "A")
	}
	for _, g := range slices.Sorted(maps.Keys(d.GroupAmps)) {
		s.figure(g+" at most", float64(d.GroupAmps[g]), 1, "A")
	}
	for _, p := range d.Pins {
		t := []string{strings.TrimSpace(p.Connector + " " + p.Cavity), string(p.Role)}
		if p.Amps > 0 {
			t = append(t, "at most "+quantity.Text(float64(p.Amps), 3)+" A")
		}
		t = append(t, p.Contact, p.Reads, p.Note)
		s.say("pin "+p.Name, strings.Join(slices.DeleteFunc(t, func(x string) bool { return x == "" }), ", "))
	}
	for _, l := range d.Links {
		t := string(l.Kind)
		if l.Ohm > 0 {
			t += " " + quantity.Text(float64(l.Ohm), 4) + " Ω"
		}
		if len(l.ClosedIn) > 0 {
			t += ", closed in " + strings.Join(l.ClosedIn, ", ")
		}
		if l.Works != "" {
			t += ", worked by " + l.Works
		}
		s.say("inside, "+l.From+" to "+l.To, t)
	}
	for _, l := range d.Loads {
		s.source = l.Source
		t := "mean " + quantity.Text(float64(l.Mean), 3) + " A, peak " + quantity.Text(float64(l.Peak), 3) + " A"
		if l.Inrush > 0 {
			t += ", inrush " + quantity.Text(float64(l.Inrush), 3) + " A for " + quantity.Text(float64(l.InrushTime)*1e3, 0) + " ms"
		}
		if l.LeastVolts > 0 {
			t += ", needs " + quantity.Text(float64(l.LeastVolts), 2) + " V"
		}
		if l.State != "" {
			t += ", " + l.State
		}
		s.say("load, "+l.From+" to "+l.To, t)
	}
	return s.lines
}
