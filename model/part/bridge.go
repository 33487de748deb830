package part

import (
	"slices"
	"strings"
)

// Socket is a cavity as a wire's end meets it: the contacts it takes, and
// whether the wire must also seal in it.
type Socket struct {
	Cavity Cavity
	Sealed bool
}

// key tells sockets apart by what fits them.
func (s Socket) key() string {
	k := s.Cavity.Size + "|" + strings.Join(s.Cavity.Contacts, ",") + "|" + strings.Join(s.Cavity.Seals, ",")
	if s.Sealed {
		k += "|sealed"
	}
	return k
}

// Bridges answers whether one wire can end in two sockets. It remembers what
// it worked out, so one is made for a run; it is not safe for two goroutines.
type Bridges struct {
	c     Catalogue
	wires []*Wire
	fits  map[string][]bool // by socket: which of wires fit
}

// NewBridges prepares the question for a catalogue.
func NewBridges(c Catalogue) *Bridges {
	b := &Bridges{c: c, fits: map[string][]bool{}}
	for _, f := range c.Families {
		for _, w := range c.Wires[f] {
			if w.Outside > 0 && w.OhmPerM > 0 {
				b.wires = append(b.wires, w)
			}
		}
	}
	return b
}

// Both reports whether some wire of the catalogue fits both sockets. A cavity
// whose contacts nobody knows fits anything: a finding asks for them.
func (b *Bridges) Both(x, y Socket) bool {
	f, g := b.of(x), b.of(y)
	for i := range f {
		if f[i] && g[i] {
			return true
		}
	}
	return false
}

// of is which wires fit a socket.
func (b *Bridges) of(s Socket) []bool {
	key := s.key()
	if f, ok := b.fits[key]; ok {
		return f
	}
	f := make([]bool, len(b.wires))
	unknown := len(b.c.contactsOf(s.Cavity)) == 0
	for i, w := range b.wires {
		f[i] = unknown || slices.ContainsFunc(b.c.contactsOf(s.Cavity), func(k *Contact) bool { return k.Takes(w.Gauge) && (!s.Sealed || b.seals(s.Cavity, k, w)) })
	}
	b.fits[key] = f
	return f
}

func (b *Bridges) seals(cavity Cavity, k *Contact, w *Wire) bool {
	if len(cavity.Seals) > 0 {
		return b.c.SealFor(cavity, w.Outside) != nil
	}
	ok, known := k.Seals(w.Outside)
	return ok || !known
}
