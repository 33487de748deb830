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

	contactsBySize map[string][]*Contact // by ID
	lugsByStud     map[string][]*Lug     // by ID
	splices        []*SplicePart         // sealed first, then the smallest
	sleeves        []*Sleeve             // by kind, then the smallest
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
		b, ok := AreaOf(g)
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

// SealFor is the single wire seal of a cavity for a wire of that outside
// diameter; nil where none fits, and for a cavity sealed by the connector's
// own grommet (no seals listed), which Contact.Seals judges.
func (c Catalogue) SealFor(cavity Cavity, outside quantity.Length) *Seal {
	for _, id := range cavity.Seals {
		if s := c.Seals[id]; s != nil && !s.Plug && outside >= s.Least && outside <= s.Most {
			return s
		}
	}
	return nil
}

// PlugFor is what closes an unused cavity of that contact size; nil where the
// catalogue has none. Of several the first by ID.
func (c Catalogue) PlugFor(size string) *Seal {
	var best *Seal
	for _, s := range c.Seals {
		if s.Plug && slices.Contains(s.Sizes, size) && (best == nil || s.ID < best.ID) {
			best = s
		}
	}
	return best
}

// LugFor is the ring terminal for a stud and a conductor; nil where none
// fits. The shop's own come first, then the one with the narrowest barrel.
func (c Catalogue) LugFor(stud string, gauge Gauge) *Lug {
	var best *Lug
	for _, l := range c.lugsByStud[stud] {
		if !slices.Contains(l.Gauges, gauge) {
			continue
		}
		if best == nil || l.Own && !best.Own || l.Own == best.Own && len(l.Gauges) < len(best.Gauges) {
			best = l
		}
	}
	return best
}

// SpliceFor is the splice that takes conductors of these copper areas: a
// sealed one where there is one, of those the smallest; nil where none fits.
func (c Catalogue) SpliceFor(areas ...quantity.Area) *SplicePart {
	sum := quantity.Area(0)
	for _, a := range areas {
		sum += a
	}
	for _, s := range c.splices {
		if sum >= s.Least && sum <= s.Most {
			return s
		}
	}
	return nil
}

// SleevesOf lists the sleeves of a kind, smallest first.
func (c Catalogue) SleevesOf(kind string) []*Sleeve {
	var list []*Sleeve
	for _, s := range c.sleeves {
		if s.Kind == kind {
			list = append(list, s)
		}
	}
	return list
}

// FuseOf finds a fuse or breaker by family ("blade", "mini", "maxi",
// "breaker") and rating; nil where there is none.
func (c Catalogue) FuseOf(family string, rating quantity.Ampere) *Fuse {
	var best *Fuse
	for _, f := range c.Fuses {
		if f.Family == family && f.Rating == rating && (best == nil || f.ID < best.ID) {
			best = f
		}
	}
	return best
}

// Connector finds a connector by its ID, or a series III circular by its full
// part number (D38999/26WD35SN); nil where there is none.
func (c Catalogue) Connector(id ID) *Connector {
	if k := c.Connectors[id]; k != nil {
		return k
	}
	if short, _, ok := CircularID(id); ok {
		return c.Connectors[short]
	}
	return nil
}
