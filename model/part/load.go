package part

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"maps"
	"slices"
	"strconv"
	"strings"

	"keyon/num/quantity"
)

// load reads every data file.
func load() Catalogue {
	origin := documents()
	c := Catalogue{
		Devices: map[ID]*Device{}, Connectors: map[ID]*Connector{}, Contacts: map[ID]*Contact{}, Seals: map[ID]*Seal{},
		Wires: map[string][]*Wire{}, Cables: map[ID]*Cable{}, Sleeves: map[ID]*Sleeve{}, Lugs: map[ID]*Lug{}, Boots: map[ID]*Boot{},
		Fuses: map[ID]*Fuse{}, Splices: map[ID]*SplicePart{}, Studs: map[ID]*StudPart{},
		contactsBySize: map[string][]*Contact{},
	}
	each("wires.csv", origin, func(r record) {
		w := &Wire{
			Head:   r.header(r.text("family")+" "+r.text("gauge"), r.text("title")),
			Family: r.text("family"), Gauge: r.text("gauge"), Coating: r.text("coating"), Strands: r.text("strands"),
			Area: quantity.Area(r.number("area_mm2")) * quantity.MM2, Conductor: r.mm("conductor_mm"),
			Outside: r.mm("outside_mm"), OutsideMost: r.mm("outside_most_mm"),
			MassPerM: quantity.Mass(r.number("kg_per_km") / 1e3), OhmPerM: quantity.Ohm(r.number("ohm_per_km") / 1e3),
			Temperature: quantity.Celsius(r.number("temp_c")), Volts: quantity.Volt(r.number("volts")),
			Resistance: r.ref("ohm_source", "ohm_status"),
		}
		c.Wires[w.Family] = append(c.Wires[w.Family], w)
	})
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
	c.circulars(origin)
	c.devices(origin)
	c.index()
	c.hash = fileHash()
	return c
}

// index sorts the lists that lookups walk through.
func (c *Catalogue) index() {
	c.Families = slices.Sorted(maps.Keys(c.Wires))
	for _, f := range c.Families {
		slices.SortFunc(c.Wires[f], func(a, b *Wire) int { return cmp.Or(cmp.Compare(a.Area, b.Area), cmp.Compare(a.ID, b.ID)) })
	}
	c.contactsBySize = map[string][]*Contact{}
	for _, id := range slices.Sorted(maps.Keys(c.Contacts)) {
		k := c.Contacts[id]
		c.contactsBySize[k.Size] = append(c.contactsBySize[k.Size], k)
	}
}

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
		h.Write([]byte(e.Name()))
		h.Write(text)
	}
	return hex.EncodeToString(h.Sum(nil))[:24]
}

// strandedArea is the nominal copper area of a stranded AWG conductor.
// MIL-DTL-29606A Table III-A for 28 to 0; 00 to 0000 from drawing 55A8039.
func strandedArea(g Gauge) (quantity.Area, bool) {
	a, ok := stranded[g]
	return a * quantity.MM2, ok
}

var stranded = map[Gauge]quantity.Area{
	"30": 0.0568, "28": 0.0887, "26": 0.1540, "24": 0.2407, "22": 0.3821, "20": 0.6162, "18": 0.9627, "16": 1.229, "14": 1.941, "12": 2.976,
	"10": 4.740, "8": 8.605, "6": 13.59, "4": 21.59, "2": 33.70, "1": 41.40, "0": 52.95, "00": 67.73, "000": 84.79, "0000": 107.4, // mm²
}

// metricArea reads "0.5mm2".
func metricArea(g Gauge) (quantity.Area, bool) {
	t, ok := strings.CutSuffix(g, "mm2")
	if !ok {
		return 0, false
	}
	v, err := strconv.ParseFloat(t, 64)
	return quantity.Area(v) * quantity.MM2, err == nil && v > 0
}

// AreaOf is the nominal copper area of a gauge, AWG or metric.
func AreaOf(g Gauge) (quantity.Area, bool) {
	if a, ok := metricArea(g); ok {
		return a, true
	}
	return strandedArea(g)
}
