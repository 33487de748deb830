package part

import (
	"slices"
	"sync"

	"keyon/num/quantity"
)

// Catalogue is everything that may be used: the embedded data and the shop's
// own parts. It is read only once made; maps are looked up, lists are sorted.
type Catalogue struct {
	Devices    map[ID]*Device
	Connectors map[ID]*Connector
	Contacts   map[ID]*Contact
	Seals      map[ID]*Seal
	Wires      map[string][]*Wire // by family, thinnest first
	Cables     map[ID]*Cable
	Sleeves    map[ID]*Sleeve
	Lugs       map[ID]*Lug
	Boots      map[ID]*Boot
	Fuses      map[ID]*Fuse
	Splices    map[ID]*SplicePart
	Studs      map[ID]*StudPart
	Families   []string // wire families, sorted

	contactsBySize map[string][]*Contact // best first
	hash           string
}

var embedded = sync.OnceValue(load)

// Embedded is the catalogue that comes with the program. It is parsed once;
// nobody may change it.
func Embedded() Catalogue { return embedded() }

// Hash names the content: equal for equal figures.
func (c Catalogue) Hash() string { return c.hash }

// WireOf finds one gauge of a family; nil where there is none.
func (c Catalogue) WireOf(family string, gauge Gauge) *Wire {
	for _, w := range c.Wires[family] {
		if w.Gauge == gauge {
			return w
		}
	}
	return nil
}

// Takes reports whether the contact's barrel takes a conductor. AWG sizes are
// those the part lists. A metric conductor fits where its nominal area lies
// between the copper areas of the thinnest and thickest size listed (common
// practice; MIL-DTL-29606A nominal areas), unless metric sizes are listed.
func (k *Contact) Takes(gauge Gauge) bool {
	if slices.Contains(k.Gauges, gauge) {
		return true
	}
	a, metric := metricArea(gauge)
	if !metric || len(k.Gauges) == 0 {
		return false
	}
	least, most := quantity.Area(0), quantity.Area(0)
	for _, g := range k.Gauges {
		b, ok := strandedArea(g)
		if !ok {
			return false
		}
		if least == 0 || b < least {
			least = b
		}
		most = max(most, b)
	}
	return a >= least && a <= most
}

// Seals reports whether a wire of that outside diameter is sealed by the
// grommet the contact sits in. known is false where either figure is missing.
func (k *Contact) Seals(outside quantity.Length) (ok, known bool) {
	if outside <= 0 || k.WireMost <= 0 {
		return false, false
	}
	return outside >= k.WireLeast && outside <= k.WireMost, true
}

// ContactsFor lists the contacts that fit a cavity and take the gauge, best
// first: those that also seal on the outside diameter before those that
// don't, then in the cavity's own order. gender "" takes both; outside 0
// leaves the seal out of it.
func (c Catalogue) ContactsFor(cavity Cavity, gender string, gauge Gauge, outside quantity.Length) []*Contact {
	var fit, tight []*Contact
	for _, k := range c.contactsOf(cavity) {
		if gender != "" && k.Gender != "" && k.Gender != gender || !k.Takes(gauge) {
			continue
		}
		if ok, known := k.Seals(outside); known && !ok {
			tight = append(tight, k)
		} else {
			fit = append(fit, k)
		}
	}
	return append(fit, tight...)
}

func (c Catalogue) contactsOf(cavity Cavity) []*Contact {
	if len(cavity.Contacts) == 0 {
		return c.contactsBySize[cavity.Size]
	}
	var list []*Contact
	for _, id := range cavity.Contacts {
		if k := c.Contacts[id]; k != nil {
			list = append(list, k)
		}
	}
	return list
}
