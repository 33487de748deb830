package part

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"keyon/model/design"
	"keyon/model/finding"
	"keyon/model/settle"
	"keyon/model/source"
)

// Rules that the shop's own parts can break.
var (
	RuleUnknown = &finding.Rule{ID: "part.unknown", Severity: finding.Stop, Title: "a part that isn't there",
		Text:   "A part names another one that is neither in the catalogue nor in the table Parts.",
		Source: source.Ref{Kind: source.Judgement, Doc: "house-rules", Where: "parts"}}
	RuleLoop = &finding.Rule{ID: "part.loop", Severity: finding.Stop, Title: "parts are like each other in a ring",
		Text:   "Following the column like leads back to the part it started from; nothing is taken over.",
		Source: source.Ref{Kind: source.Judgement, Doc: "house-rules", Where: "parts"}}
	RuleGauge = &finding.Rule{ID: "part.gauge", Severity: finding.Stop, Title: "a conductor size can't be read",
		Text:   "A wire has one size, a contact or lug one or several: 22, or 24-20, or 0.35 mm2, 0.5 mm2.",
		Source: source.Ref{Kind: source.Judgement, Doc: "house-rules", Where: "parts"}}
	RulePin = &finding.Rule{ID: "part.pin", Severity: finding.Stop, Title: "a pin has no place on its part",
		Text:   "A row of Pins or Links must belong to one of the shop's own devices or connectors, and name a connector, a cavity and pins that it has; two pins can't share a cavity.",
		Source: source.Ref{Kind: source.Judgement, Doc: "house-rules", Where: "parts"}}
	RuleRole = &finding.Rule{ID: "part.role", Severity: finding.Look, Title: "a role nobody knows",
		Text:   "A pin without a known role is left out when pins are chosen, and its circuits are not judged by it.",
		Source: source.Ref{Kind: source.Judgement, Doc: "house-rules", Where: "parts"}}
	RuleReplaces = &finding.Rule{ID: "part.replaces", Severity: finding.Note, Title: "an own part has a catalogue part's name",
		Text:   "The shop's row is used in its place.",
		Source: source.Ref{Kind: source.Judgement, Doc: "house-rules", Where: "parts"}}
	Rules = []*finding.Rule{RuleUnknown, RuleLoop, RuleGauge, RulePin, RuleRole, RuleReplaces}
)

// overlay is the catalogue while the shop's parts join it.
type overlay struct {
	c       Catalogue
	design  *design.Design
	rows    map[string]*design.Part
	pins    map[string][]*design.Pin
	links   map[string][]*design.Link
	state   map[string]progress
	touched map[string]bool // wire families to sort again
	said    []finding.Verdict
}

type progress uint8

const (
	untouched progress = iota
	making
	made
)

// With is the catalogue and the shop's own parts, in the order of their
// names. A blank figure is taken over from the part named under like. What
// can't be read was reported when the table was read and counts as blank
// here; what doesn't fit together is a finding at its cell. A row of kind tool
// is only a name for the shop's own lists.
func (c Catalogue) With(d *design.Design) (Catalogue, []finding.Verdict) {
	if len(d.Parts) == 0 && len(d.Pins) == 0 && len(d.Links) == 0 {
		return c, nil
	}
	o := overlay{
		c: c.clone(), design: d, rows: map[string]*design.Part{}, state: map[string]progress{}, touched: map[string]bool{},
		pins: map[string][]*design.Pin{}, links: map[string][]*design.Link{},
	}
	for i := range d.Parts {
		o.rows[d.Parts[i].Name] = &d.Parts[i]
	}
	o.sortRows()
	// Cavities need the contacts, devices the connectors.
	for _, kinds := range [][]string{{"contact", "seal", "plug", "wire", "cable", "sleeve", "lug", "boot", "fuse", "splice", "stud"}, {"connector"}, {"device"}} {
		for i := range d.Parts {
			if slices.Contains(kinds, d.Parts[i].Kind.Or("")) {
				o.make(&d.Parts[i])
			}
		}
	}
	for f := range o.touched {
		sortWires(o.c.Wires[f])
	}
	o.c.index()
	h := sha256.New()
	fmt.Fprintf(h, "%s%v%v%v", c.hash, d.Parts, d.Pins, d.Links)
	o.c.hash = hex.EncodeToString(h.Sum(nil))[:24]
	return o.c, o.said
}

// clone copies the maps; the parts themselves are shared and never changed.
func (c Catalogue) clone() Catalogue {
	c.Devices, c.Connectors, c.Contacts, c.Seals = maps.Clone(c.Devices), maps.Clone(c.Connectors), maps.Clone(c.Contacts), maps.Clone(c.Seals)
	c.Wires, c.Cables, c.Sleeves, c.Lugs = maps.Clone(c.Wires), maps.Clone(c.Cables), maps.Clone(c.Sleeves), maps.Clone(c.Lugs)
	c.Boots, c.Fuses, c.Splices, c.Studs = maps.Clone(c.Boots), maps.Clone(c.Fuses), maps.Clone(c.Splices), maps.Clone(c.Studs)
	return c
}

// sortRows hands the rows of Pins and Links to their parts.
func (o *overlay) sortRows() {
	owner := func(part settle.Entry[string], pin string) (string, bool) {
		name := part.Or("")
		row := o.rows[name]
		if row == nil {
			what, fix := name+" is not in the table Parts", "add the part to Parts"
			if o.c.Title(name) != "" {
				what, fix = name+" is a catalogue part: its pins are fixed", "make an own part in Parts that is like "+name
			}
			o.say(RulePin, "pin", strings.TrimSpace(name+" "+pin), "part", part.At, what, fix)
			return "", false
		}
		if k := row.Kind.Or(""); k != "device" && k != "connector" {
			o.say(RulePin, "pin", name+" "+pin, "part", part.At, name+" is a "+k+"; only devices and connectors have pins", "change the kind in Parts, or delete the row")
			return "", false
		}
		return name, true
	}
	for i := range o.design.Pins {
		p := &o.design.Pins[i]
		if name, ok := owner(p.Part, p.Pin.Or("")); ok {
			o.pins[name] = append(o.pins[name], p)
		}
	}
	for i := range o.design.Links {
		l := &o.design.Links[i]
		if name, ok := owner(l.Part, ""); ok {
			o.links[name] = append(o.links[name], l)
		}
	}
}

func (o *overlay) say(r *finding.Rule, kind, id, field string, at settle.Cell, what string, fixes ...string) {
	o.said = append(o.said, finding.Say(r, finding.Place{Kind: kind, ID: id, Field: field, Cell: at}, what, fixes...))
}

// make builds one part, those it is like first.
func (o *overlay) make(p *design.Part) {
	if o.state[p.Name] != untouched {
		return
	}
	o.state[p.Name] = making
	defer func() { o.state[p.Name] = made }()
	if like := o.rows[p.Like.Or("")]; like != nil && like != p {
		if o.state[like.Name] == making {
			o.say(RuleLoop, "part", p.Name, "like", p.Like.At, p.Name+" is like "+like.Name+", which is like "+p.Name+" again", "leave like blank in one of them")
		}
		o.make(like)
	}
	if o.c.Title(p.Name) != "" {
		o.say(RuleReplaces, "part", p.Name, "part", beside(p.Kind, "part"), p.Name+" stands in the catalogue too; the shop's own is used")
	}
	switch p.Kind.Or("") {
	case "device":
		o.device(p)
	case "connector":
		o.connector(p)
	case "contact":
		o.contact(p)
	case "seal", "plug":
		o.seal(p)
	case "wire":
		o.wire(p)
	case "cable":
		k := base(o, p, o.c.Cables)
		fill(&k.Outside, p.Diameter)
		fillAs(&k.MassPerM, p.Mass)
		fillAs(&k.Temperature, p.Temperature)
		k.Head = head(p, k.Head)
		o.c.Cables[p.Name] = k
	case "sleeve":
		k := base(o, p, o.c.Sleeves)
		fill(&k.Kind, p.Family)
		fill(&k.Expanded, p.Most)
		fill(&k.Recovered, p.Least)
		if p.Diameter.Is() && p.Diameter.Value > k.Expanded {
			k.Wall = (p.Diameter.Value - k.Expanded) / 2
		}
		fillAs(&k.Temperature, p.Temperature)
		k.Head = head(p, k.Head)
		o.c.Sleeves[p.Name] = k
	case "lug":
		k := base(o, p, o.c.Lugs)
		fill(&k.Stud, p.Family)
		fill(&k.Strip, p.Strip)
		fill(&k.Tool, p.Tool)
		k.Gauges = o.gauges(p, k.Gauges)
		k.Head = head(p, k.Head)
		o.c.Lugs[p.Name] = k
	case "boot":
		k := base(o, p, o.c.Boots)
		if p.Family.Is() {
			k.Shells = words(p.Family.Value)
		}
		fill(&k.Entry, p.Most)
		fill(&k.Outlet, p.Least)
		fillAs(&k.Temperature, p.Temperature)
		k.Head = head(p, k.Head)
		o.c.Boots[p.Name] = k
	case "fuse":
		k := base(o, p, o.c.Fuses)
		fill(&k.Family, p.Family)
		fill(&k.Rating, p.Amps)
		k.Breaker = k.Breaker || k.Family == "breaker"
		k.Head = head(p, k.Head)
		o.c.Fuses[p.Name] = k
	case "splice":
		k := base(o, p, o.c.Splices)
		fillAs(&k.Most, p.Area)
		fillAs(&k.Temperature, p.Temperature)
		k.Head = head(p, k.Head)
		o.c.Splices[p.Name] = k
	case "stud":
		k := base(o, p, o.c.Studs)
		k.Thread = p.Family.Or(p.Name)
		k.Head = head(p, k.Head)
		o.c.Studs[p.Name] = k
	}
}

// base is a copy of the part named under like, or an empty one.
func base[T any](o *overlay, p *design.Part, among map[ID]*T) *T {
	k := new(T)
	like := p.Like.Or("")
	if like == "" {
		return k
	}
	if from := among[like]; from != nil {
		*k = *from
	} else if row := o.rows[like]; row == nil || o.state[like] != making {
		what, fixes := like+" is no "+p.Kind.Or("part")+" of the catalogue or the table Parts", []string{"correct like, or leave it blank and enter the figures"}
		if near := o.c.Near(like, p.Kind.Or("")); near != "" {
			fixes = append(fixes, "write "+near+" if that is what it means")
		}
		o.say(RuleUnknown, "part", p.Name, "like", p.Like.At, what, fixes...)
	}
	return k
}

func fill[T any](figure *T, e settle.Entry[T]) {
	if e.Is() {
		*figure = e.Value
	}
}

// fillAs is fill for columns whose quantity is a plain SI number.
func fillAs[T ~float64](figure *T, e design.NumberEntry) {
	if e.Is() {
		*figure = T(e.Value)
	}
}

// head is what an own part carries: its own name, the title it is like where
// it has none, and the source the shop gives.
func head(p *design.Part, like Head) Head {
	return Head{ID: p.Name, Title: p.Title.Or(like.Title), Own: true, Note: like.Note, Source: source.Ref{Kind: source.User, Doc: p.Source.Or("")}}
}

func (o *overlay) wire(p *design.Part) {
	like := p.Like.Or("")
	k := &Wire{}
	if like != "" {
		all := map[ID]*Wire{}
		for _, list := range o.c.Wires {
			for _, w := range list {
				all[w.ID] = w
			}
		}
		k = base(o, p, all)
	}
	fill(&k.Family, p.Family)
	if p.Gauge.Is() {
		g, ok := design.ParseGauge(p.Gauge.Value, o.design.Car.Units.Metric, o.design.Car.Units.Decimal)
		if !ok {
			o.say(RuleGauge, "part", p.Name, "gauge", p.Gauge.At, "the gauge is "+strconv.Quote(p.Gauge.Value)+"; a wire has one conductor size", "write an AWG number or mm2")
			return
		}
		k.Gauge = g
	}
	if k.Family == "" || k.Gauge == "" {
		o.say(RuleGauge, "part", p.Name, "gauge", p.Gauge.At, "a wire needs a family and a gauge", "fill in family and gauge, or like")
		return
	}
	if p.Area.Is() || p.OhmPerKm.Is() {
		k.Resistance = source.Ref{Kind: source.User, Doc: p.Source.Or("")}
	}
	fillAs(&k.Area, p.Area)
	if p.OhmPerKm.Is() {
		k.OhmPerM = 0
		fillAs(&k.OhmPerM, p.OhmPerKm)
		k.OhmPerM /= 1000
	}
	if p.Diameter.Is() {
		k.Outside, k.OutsideMost = p.Diameter.Value, 0
	}
	fill(&k.OutsideMost, p.Most)
	fillAs(&k.MassPerM, p.Mass)
	fillAs(&k.Temperature, p.Temperature)
	k.Head = head(p, k.Head)
	list := slices.DeleteFunc(slices.Clone(o.c.Wires[k.Family]), func(w *Wire) bool { return w.Gauge == k.Gauge })
	o.c.Wires[k.Family] = append(list, k)
	o.touched[k.Family] = true
}

func (o *overlay) contact(p *design.Part) {
	k := base(o, p, o.c.Contacts)
	k.Most = max(k.Most, 1)
	if p.Family.Is() {
		k.Size, k.Gender = sizeGender(p.Family.Value, k.Gender)
	}
	k.Gauges = o.gauges(p, k.Gauges)
	fill(&k.WireLeast, p.Least)
	fill(&k.WireMost, p.Most)
	fill(&k.Amps, p.Amps)
	if p.Strip.Is() {
		k.StripLeast, k.StripMost = p.Strip.Value, p.Strip.Value
	}
	fill(&k.Tool, p.Tool)
	fillAs(&k.Temperature, p.Temperature)
	k.Head = head(p, k.Head)
	o.c.Contacts[p.Name] = k
}

// sizeGender reads "22D socket": the contact size, and pin or socket.
func sizeGender(text, gender string) (string, string) {
	w := strings.Fields(text)
	if n := len(w); n > 1 && (w[n-1] == "pin" || w[n-1] == "socket") {
		return strings.Join(w[:n-1], " "), w[n-1]
	}
	return text, gender
}

func (o *overlay) seal(p *design.Part) {
	k := base(o, p, o.c.Seals)
	k.Plug = p.Kind.Or("") == "plug"
	if p.Family.Is() {
		k.Sizes = words(p.Family.Value)
	}
	fill(&k.Least, p.Least)
	fill(&k.Most, p.Most)
	k.Head = head(p, k.Head)
	o.c.Seals[p.Name] = k
}

// gauges are the sizes a contact or lug takes.
func (o *overlay) gauges(p *design.Part, like []Gauge) []Gauge {
	if !p.Gauge.Is() {
		return like
	}
	list, ok := ParseGauges(p.Gauge.Value, o.design.Car.Units)
	if !ok {
		o.say(RuleGauge, "part", p.Name, "gauge", p.Gauge.At, "the gauge is "+strconv.Quote(p.Gauge.Value)+"; it can be one size, several, or a range such as 24-20", "correct the cell")
		return like
	}
	return list
}

// beside is the cell of another column in the row of an entry.
func beside(e settle.Entry[string], column string) settle.Cell {
	return settle.Cell{Table: e.At.Table, Row: e.At.Row, Column: column}
}

// words parts a cell that holds several names.
func words(text string) []string {
	return strings.FieldsFunc(text, func(r rune) bool { return r == ',' || r == ';' || r == ' ' || r == '\n' })
}

func sortWires(list []*Wire) {
	slices.SortFunc(list, func(a, b *Wire) int { return cmp.Or(cmp.Compare(a.Area, b.Area), cmp.Compare(a.ID, b.ID)) })
}
