package part

import (
	"slices"
	"strconv"
	"strings"

	"keyon/model/design"
	"keyon/model/settle"
)

// connector joins an own connector: its figures, and its cavities from Pins.
// A row of Pins replaces the cavity of that name taken over from like.
func (o *overlay) connector(p *design.Part) {
	k := base(o, p, o.c.Connectors)
	k.MostPerContact = max(k.MostPerContact, 1)
	if k.Outline == "" {
		k.Outline = "rectangle"
	}
	if p.Family.Is() {
		k.Standard, k.Gender = sizeGender(p.Family.Value, k.Gender)
	}
	fill(&k.Outside, p.Diameter)
	fill(&k.Entry, p.Most)
	fillAs(&k.Temperature, p.Temperature)
	fillAs(&k.Mass, p.Mass)
	k.Cavities = slices.Clone(k.Cavities)
	for _, row := range o.pins[p.Name] {
		name := row.Cavity.Or(row.Pin.Or(""))
		i := slices.IndexFunc(k.Cavities, func(v Cavity) bool { return v.Name == name })
		if i < 0 {
			i = len(k.Cavities)
			k.Cavities = append(k.Cavities, Cavity{Name: name})
		}
		v := &k.Cavities[i]
		fill(&v.X, row.X)
		fill(&v.Y, row.Y)
		if !row.Contact.Is() {
			continue
		}
		v.Size, v.Contacts, v.Seals = "", nil, nil
		for _, id := range o.seatings(row.Contact.Value) {
			switch contact := o.c.Contacts[id]; {
			case contact != nil:
				v.Contacts = append(v.Contacts, id)
				if v.Size == "" {
					v.Size = contact.Size
				}
			case o.c.Seals[id] != nil:
				v.Seals = append(v.Seals, id)
				k.Sealed = true
			case o.hasSize(id):
				v.Size = id
			default:
				o.say(RuleUnknown, "pin", p.Name+" "+name, "contact", row.Contact.At, id+" is neither a contact nor a seal of the catalogue, nor the size of one", "enter the contact in Parts, or correct the cell")
			}
		}
	}
	if len(k.Cavities) == 0 {
		o.say(RulePin, "part", p.Name, "part", beside(p.Kind, "part"), "the connector has no cavities", "add a row to Pins for each cavity, or name a connector under like")
	}
	k.Head = head(p, k.Head)
	o.c.Connectors[p.Name] = k
}

// seatings parts a cell that names contacts, seals or a size. Commas part
// names that hold spaces; where the whole is no name, spaces do too.
func (o *overlay) seatings(text string) []string {
	var list []string
	for item := range strings.FieldsFuncSeq(text, func(r rune) bool { return r == ',' || r == ';' || r == '\n' }) {
		item = strings.TrimSpace(item)
		if o.c.Contacts[item] != nil || o.c.Seals[item] != nil || o.hasSize(item) {
			list = append(list, item)
		} else {
			list = append(list, strings.Fields(item)...)
		}
	}
	return list
}

// hasSize reports whether some contact or seal has that contact size.
func (o *overlay) hasSize(size string) bool {
	for _, k := range o.c.Contacts {
		if k.Size == size {
			return true
		}
	}
	for _, s := range o.c.Seals {
		if slices.Contains(s.Sizes, size) {
			return true
		}
	}
	return false
}

// device joins an own device. Rows of Pins and Links replace those of the
// same pin, or the same ends and kind, taken over from like.
func (o *overlay) device(p *design.Part) {
	d := base(o, p, o.c.Devices)
	d.Pins, d.Links = slices.Clone(d.Pins), slices.Clone(d.Links)
	fill(&d.Kind, p.Family)
	fill(&d.CaseAmps, p.Amps)
	if p.Connector.Is() {
		d.Connectors = o.deviceConnectors(p)
	}
	for _, row := range o.pins[p.Name] {
		name := row.Pin.Or("")
		i := slices.IndexFunc(d.Pins, func(x Pin) bool { return x.Name == name })
		if i < 0 {
			i = len(d.Pins)
			d.Pins = append(d.Pins, Pin{Name: name})
			if len(d.Connectors) == 1 {
				d.Pins[i].Connector = d.Connectors[0].Name
			}
		}
		x := &d.Pins[i]
		fill(&x.Connector, row.Connector)
		fill(&x.Cavity, row.Cavity)
		fill(&x.Index, row.Index)
		fill(&x.Group, row.Group)
		fill(&x.Swap, row.Swap)
		fill(&x.Amps, row.Amps)
		fill(&x.Needed, row.Needed)
		fill(&x.Contact, row.Contact)
		fill(&x.Reads, row.Reads)
		fill(&x.Note, row.Note)
		if row.Role.Is() {
			r, ok := ParseRole(row.Role.Value)
			if !ok {
				o.say(RuleRole, "pin", p.Name+" "+name, "role", row.Role.At, "the role is "+strconv.Quote(row.Role.Value)+"; that is none of the roles there are", "write one of the roles, such as supply in, ground, analogue in, or leave it blank")
			}
			x.Role = r
		}
		o.seat(p, d, x, row)
	}
	o.deviceLinks(p, d)
	d.Head = head(p, d.Head)
	o.c.Devices[p.Name] = d
}

// deviceConnectors reads the loom-side connectors of a device: the part of
// its only one, or "A=38999-15-35S/N; B=…" with names and keys.
func (o *overlay) deviceConnectors(p *design.Part) []DeviceConnector {
	var list []DeviceConnector
	for item := range strings.FieldsFuncSeq(p.Connector.Value, func(r rune) bool { return r == ';' || r == '\n' }) {
		name, id, named := strings.Cut(strings.TrimSpace(item), "=")
		if !named {
			name, id = "", name
		}
		k := DeviceConnector{Name: strings.TrimSpace(name), Part: strings.TrimSpace(id)}
		if o.c.Connector(k.Part) == nil {
			if i := strings.LastIndexByte(k.Part, '/'); i > 0 {
				k.Part, k.Key = k.Part[:i], k.Part[i+1:]
			}
		}
		full := o.c.Connector(k.Part)
		if full == nil {
			o.say(RuleUnknown, "part", p.Name, "connector", p.Connector.At, k.Part+" is no connector of the catalogue or the table Parts", "enter the connector in Parts, or correct the cell")
		} else if _, key, ok := CircularID(k.Part); ok {
			k.Part, k.Key = full.ID, key
		}
		list = append(list, k)
	}
	return list
}

// seat checks that a pin sits in a cavity of its own.
func (o *overlay) seat(p *design.Part, d *Device, x *Pin, row *design.Pin) {
	where := p.Name + " " + x.Name
	if _, post := x.Stud(); post || len(d.Connectors) == 0 {
		return
	}
	i := slices.IndexFunc(d.Connectors, func(k DeviceConnector) bool { return k.Name == x.Connector })
	if i < 0 {
		var names []string
		for _, k := range d.Connectors {
			names = append(names, strconv.Quote(k.Name))
		}
		o.say(RulePin, "pin", where, "connector", beside(row.Pin, "connector"), "the device has no connector "+strconv.Quote(x.Connector)+"; it has "+strings.Join(names, ", "), "name one of its connectors")
		return
	}
	if x.Cavity == "" {
		x.Cavity = x.Name
	}
	k := o.c.Connector(d.Connectors[i].Part)
	if k == nil {
		return
	}
	if !slices.ContainsFunc(k.Cavities, func(v Cavity) bool { return v.Name == x.Cavity }) {
		o.say(RulePin, "pin", where, "cavity", beside(row.Pin, "cavity"), "connector "+k.ID+" has no cavity "+x.Cavity, "write a cavity of "+k.ID)
		return
	}
	for j := range d.Pins {
		if y := &d.Pins[j]; y != x && y.Connector == x.Connector && y.Cavity == x.Cavity {
			o.say(RulePin, "pin", where, "cavity", beside(row.Pin, "cavity"), "cavity "+x.Cavity+" is taken by pin "+y.Name, "give each pin its own cavity")
			return
		}
	}
}

func (o *overlay) deviceLinks(p *design.Part, d *Device) {
	has := func(pin string) bool {
		return slices.ContainsFunc(d.Pins, func(x Pin) bool { return x.Name == pin })
	}
	for _, row := range o.links[p.Name] {
		l := Link{From: row.From.Or(""), To: row.To.Or(""), Kind: LinkKind(row.Kind.Or("")), ClosedIn: row.ClosedIn.Or(nil), Works: row.Works.Or("")}
		fillAs(&l.Ohm, row.Ohm)
		ok := true
		for _, end := range []struct {
			field string
			e     settle.Entry[string]
		}{{"from pin", row.From}, {"to pin", row.To}, {"works", row.Works}} {
			if end.e.Is() && !has(end.e.Value) {
				o.say(RulePin, "link", p.Name+" "+l.From+" "+l.To, end.field, end.e.At, p.Name+" has no pin "+end.e.Value, "name one of its pins")
				ok = false
			}
		}
		if !ok || l.Kind == "" {
			continue
		}
		i := slices.IndexFunc(d.Links, func(x Link) bool { return x.From == l.From && x.To == l.To && x.Kind == l.Kind })
		if i < 0 {
			d.Links = append(d.Links, l)
		} else {
			d.Links[i] = l
		}
	}
}
