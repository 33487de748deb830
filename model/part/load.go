package part

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"maps"
	"slices"
	"strings"

	"keyon/model/source"
	"keyon/num/quantity"
)

// load reads every data file of parts.
func load() Catalogue {
	origin := documents()
	c := Catalogue{
		Devices: map[ID]*Device{}, Connectors: map[ID]*Connector{}, Contacts: map[ID]*Contact{}, Seals: map[ID]*Seal{},
		Wires: map[string][]*Wire{}, Cables: map[ID]*Cable{}, Sleeves: map[ID]*Sleeve{}, Lugs: map[ID]*Lug{}, Boots: map[ID]*Boot{},
		Fuses: map[ID]*Fuse{}, Splices: map[ID]*SplicePart{}, Studs: map[ID]*StudPart{},
	}
	c.conductors(origin)
	c.terminations(origin)
	c.circulars(origin)
	c.connectors(origin)
	c.coverings(origin)
	c.devices(origin)
	for _, list := range c.Wires {
		sortWires(list)
	}
	c.index()
	c.hash = fileHash()
	return c
}

func (c *Catalogue) conductors(origin map[string]source.Ref) {
	each("wires.csv", origin, func(r record) {
		w := &Wire{
			Head:   r.header(wireID(r.text("family"), r.text("gauge")), r.text("title")),
			Family: r.text("family"), Gauge: r.text("gauge"), Coating: r.text("coating"), Strands: r.text("strands"),
			Area: r.mm2("area_mm2"), Conductor: r.mm("conductor_mm"), Outside: r.mm("outside_mm"), OutsideMost: r.mm("outside_most_mm"),
			MassPerM: quantity.Mass(r.number("kg_per_km") / 1e3), OhmPerM: quantity.Ohm(r.number("ohm_per_km") / 1e3),
			Temperature: quantity.Celsius(r.number("temp_c")), Volts: quantity.Volt(r.number("volts")),
			Resistance: r.ref("ohm_source", "ohm_status"),
		}
		c.Wires[w.Family] = append(c.Wires[w.Family], w)
	})
	each("cables.csv", origin, func(r record) {
		k := &Cable{
			Head: r.header(r.text("id"), r.text("title")), Shielded: r.yes("shielded"), Drain: r.text("drain"), Twisted: r.yes("twisted"),
			Outside: r.mm("outside_mm"), MassPerM: quantity.Mass(r.number("kg_per_km") / 1e3), Temperature: quantity.Celsius(r.number("temp_c")), Use: r.text("use"),
		}
		for _, t := range r.list("cores", ";") {
			name, rest, ok := strings.Cut(t, "=")
			f := strings.Split(rest, "|")
			if !ok || len(f) < 2 {
				r.fail("cores", "not name=family|gauge|colour")
			}
			core := Core{Name: name, Family: f[0], Gauge: f[1], Colour: name}
			if len(f) > 2 {
				core.Colour = f[2]
			}
			k.Cores = append(k.Cores, core)
		}
		c.Cables[k.ID] = k
	})
}

func (c *Catalogue) terminations(origin map[string]source.Ref) {
	each("contacts.csv", origin, func(r record) {
		k := &Contact{
			Head: r.header(r.text("id"), r.text("title")),
			Size: r.text("size"), Gender: r.text("gender"), Gauges: r.list("gauges", " "),
			WireLeast: r.mm("wire_least_mm"), WireMost: r.mm("wire_most_mm"),
			Amps: quantity.Ampere(r.number("amps")), Ohm: quantity.Ohm(r.number("mohm") / 1e3),
			StripLeast: r.mm("strip_least_mm"), StripMost: r.mm("strip_most_mm"),
			Tool: r.text("tool"), Insert: r.text("insert"), Pull: r.numbers("pull_n"), Most: 1,
		}
		c.Contacts[k.ID] = k
	})
	each("seals.csv", origin, func(r record) {
		k := &Seal{Head: r.header(r.text("id"), r.text("title")), Sizes: r.list("sizes", " "), Least: r.mm("least_mm"), Most: r.mm("most_mm"), Plug: r.yes("plug")}
		c.Seals[k.ID] = k
	})
	each("lugs.csv", origin, func(r record) {
		k := &Lug{Head: r.header(r.text("id"), r.text("title")), Stud: r.text("stud"), Gauges: r.list("gauges", " "), Strip: r.mm("strip_mm"), Tool: r.text("tool")}
		c.Lugs[k.ID] = k
	})
	each("studs.csv", origin, func(r record) {
		k := &StudPart{Head: r.header(r.text("id"), r.text("title")), Thread: r.text("id"), TorqueLeast: r.number("torque_least_nm"), TorqueMost: r.number("torque_most_nm")}
		c.Studs[k.ID] = k
	})
	each("splices.csv", origin, func(r record) {
		k := &SplicePart{
			Head: r.header(r.text("id"), r.text("title")), Least: r.mm2("least_mm2"), Most: r.mm2("most_mm2"),
			Sealed: r.yes("sealed"), Length: r.mm("length_mm"), Temperature: quantity.Celsius(r.number("temp_c")),
		}
		c.Splices[k.ID] = k
	})
	each("fuses.csv", origin, func(r record) {
		k := &Fuse{
			Head: r.header(r.text("id"), r.text("title")), Family: r.text("family"), Rating: quantity.Ampere(r.number("rating_a")),
			Ohm: quantity.Ohm(r.number("mohm") / 1e3), Melting: r.number("melting_a2s"), Breaker: r.yes("breaker"),
		}
		c.Fuses[k.ID] = k
	})
}

func (c *Catalogue) coverings(origin map[string]source.Ref) {
	each("sleeves.csv", origin, func(r record) {
		k := &Sleeve{
			Head: r.header(r.text("id"), r.text("title")), Kind: r.text("kind"), Expanded: r.mm("expanded_mm"), Recovered: r.mm("recovered_mm"), Wall: r.mm("wall_mm"),
			TempLeast: quantity.Celsius(r.number("temp_least_c")), Temperature: quantity.Celsius(r.number("temp_c")),
		}
		c.Sleeves[k.ID] = k
	})
}

// connectors reads those that are no circular arrangement. Their positions
// are not known: every cavity is at the middle.
func (c *Catalogue) connectors(origin map[string]source.Ref) {
	each("connectors.csv", origin, func(r record) {
		k := &Connector{
			Head: r.header(r.text("id"), r.text("title")), Standard: r.text("standard"), Gender: r.text("gender"), Sealed: r.yes("sealed"),
			Outside: r.mm("outside_mm"), Entry: r.mm("entry_mm"), Outline: r.text("outline"), Temperature: quantity.Celsius(r.number("temp_c")), MostPerContact: 1,
		}
		// One contact for all cavities, or one each in their order.
		contacts := r.list("contacts", "|")
		for i, name := range r.list("cavities", " ") {
			k.Cavities = append(k.Cavities, Cavity{Name: name, Size: r.text("size"), Contacts: []ID{contacts[i%len(contacts)]}})
		}
		c.Connectors[k.ID] = k
	})
}

// index makes the lists that lookups walk through.
func (c *Catalogue) index() {
	c.Families = slices.Sorted(maps.Keys(c.Wires))
	c.contactsBySize = map[string][]*Contact{}
	for _, k := range sorted(c.Contacts, func(a, b *Contact) int { return cmp.Or(cmp.Compare(yes(b.Own), yes(a.Own)), cmp.Compare(a.ID, b.ID)) }) {
		c.contactsBySize[k.Size] = append(c.contactsBySize[k.Size], k)
	}
	c.lugsByStud = map[string][]*Lug{}
	for _, k := range sorted(c.Lugs, func(a, b *Lug) int { return cmp.Compare(a.ID, b.ID) }) {
		c.lugsByStud[k.Stud] = append(c.lugsByStud[k.Stud], k)
	}
	c.splices = sorted(c.Splices, func(a, b *SplicePart) int {
		return cmp.Or(cmp.Compare(yes(b.Sealed), yes(a.Sealed)), cmp.Compare(a.Most, b.Most), cmp.Compare(a.ID, b.ID))
	})
	c.sleeves = sorted(c.Sleeves, func(a, b *Sleeve) int {
		return cmp.Or(cmp.Compare(a.Kind, b.Kind), cmp.Compare(a.Expanded, b.Expanded), cmp.Compare(a.ID, b.ID))
	})
}

func sorted[T any](m map[ID]*T, by func(a, b *T) int) []*T {
	return slices.SortedFunc(maps.Values(m), by)
}

func yes(b bool) int {
	if b {
		return 1
	}
	return 0
}

func wireID(family string, gauge Gauge) ID { return family + " " + gauge }

// fileHash names the embedded files.
func fileHash() string {
	entries, err := files.ReadDir("data")
	if err != nil {
		panic("part: " + err.Error())
	}
	h := sha256.New()
	for _, e := range entries {
		text, err := files.ReadFile("data/" + e.Name())
		if err != nil {
			panic("part: " + err.Error())
		}
		h.Write([]byte(e.Name() + "\x00"))
		h.Write(text)
	}
	return hex.EncodeToString(h.Sum(nil))[:24]
}
