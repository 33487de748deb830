package part

import (
	"maps"
	"slices"
	"strings"
	"testing"
)

// TestDevices holds the generic devices to what resolve and the checks take
// for granted.
func TestDevices(t *testing.T) {
	c := Embedded()
	if len(c.Devices) < 45 {
		t.Errorf("%d devices, want at least 45", len(c.Devices))
	}
	known := Roles()
	for _, id := range slices.Sorted(maps.Keys(c.Devices)) {
		d := c.Devices[id]
		connector := map[string]*Connector{}
		for _, k := range d.Connectors {
			p := c.Connector(k.Part)
			if p == nil {
				t.Errorf("%s: no connector %q in the catalogue", id, k.Part)
				continue
			}
			if k.Key != "" && !slices.Contains(p.Keys, k.Key) {
				t.Errorf("%s: connector %s has no key %s", id, k.Part, k.Key)
			}
			connector[k.Name] = p
		}
		names, used := map[string]bool{}, map[string]bool{}
		supplied, grounded := false, false
		for _, p := range d.Pins {
			if names[p.Name] {
				t.Errorf("%s: two pins are called %s", id, p.Name)
			}
			names[p.Name] = true
			if p.Role != Plain && !slices.Contains(known, p.Role) {
				t.Errorf("%s pin %s: no role %q", id, p.Name, p.Role)
			}
			switch p.Role {
			case SupplyIn, SensorIn, Battery, StarterIn:
				supplied = true
			case Ground, Case, SensorGround, LoadMinus, InjectorIn, CoilIn, FrequencyOut, SupplyOut:
				grounded = true
			}
			if p.Amps <= 0 {
				t.Errorf("%s pin %s: no current rating", id, p.Name)
			}
			if thread, ok := p.Stud(); ok {
				if c.Studs[thread] == nil {
					t.Errorf("%s pin %s: no stud %q in the catalogue", id, p.Name, thread)
				}
				continue
			}
			if p.Role == Case {
				continue
			}
			k := connector[p.Connector]
			if k == nil {
				t.Errorf("%s pin %s: no connector %q", id, p.Name, p.Connector)
				continue
			}
			if !slices.ContainsFunc(k.Cavities, func(v Cavity) bool { return v.Name == p.Cavity }) {
				t.Errorf("%s pin %s: connector %s has no cavity %q", id, p.Name, k.ID, p.Cavity)
			}
			if hole := p.Connector + "\x00" + p.Cavity; used[hole] {
				t.Errorf("%s pin %s: cavity %s is used twice", id, p.Name, p.Cavity)
			} else {
				used[hole] = true
			}
		}
		if supplied && !grounded {
			t.Errorf("%s has a supply and no way back", id)
		}
		for _, l := range d.Links {
			if !names[l.From] || !names[l.To] || l.Works != "" && !names[l.Works] {
				t.Errorf("%s: link %s to %s names a pin that isn't there", id, l.From, l.To)
			}
			if l.Works != "" && !slices.ContainsFunc(d.Links, func(o Link) bool { return o.Kind == RelayCoil && o.From == l.Works }) {
				t.Errorf("%s: contact %s to %s is worked by %s, which starts no coil", id, l.From, l.To, l.Works)
			}
		}
		for _, l := range d.Loads {
			if !names[l.From] || !names[l.To] {
				t.Errorf("%s: load %s to %s names a pin that isn't there", id, l.From, l.To)
			}
			if l.Mean <= 0 || l.Peak < l.Mean || l.RMS != 0 && l.RMS < l.Mean {
				t.Errorf("%s: load %s to %s: mean %v, RMS %v, peak %v don't stand in order", id, l.From, l.To, l.Mean, l.RMS, l.Peak)
			}
		}
		if strings.TrimSpace(d.Title) == "" || d.Kind == "" {
			t.Errorf("%s has no title or kind", id)
		}
	}
}

// TestRoles: the table is read both ways, and each role finds somebody.
func TestRoles(t *testing.T) {
	for _, a := range Roles() {
		if len(Wants(a)) == 0 {
			t.Errorf("role %q goes with nothing", a)
		}
		for _, b := range Roles() {
			if Mates(a, b) != Mates(b, a) || Class(a, b) != Class(b, a) && Mates(a, b) {
				t.Errorf("roles %q and %q: the table isn't the same both ways", a, b)
			}
		}
		for _, b := range Wants(a) {
			if !Mates(a, b) || !slices.Contains(Wants(b), a) {
				t.Errorf("%q wants %q, but they don't mate both ways", a, b)
			}
		}
	}
	for _, bad := range [][2]Role{{AnalogueOut, AnalogueOut}, {SensorGround, Ground}, {SensorSupply, SupplyIn}, {BusHigh, BusLow}, {ThermoPlus, ThermoMinus}, {CoilIn, Injector}, {KnockOut, AnalogueIn}} {
		if Mates(bad[0], bad[1]) {
			t.Errorf("%q must not go with %q", bad[0], bad[1])
		}
	}
	for _, c := range []struct {
		a, b Role
		want string
	}{{SensorSupply, SensorIn, "sensor supply"}, {SensorReturn, SensorGround, "sensor return"}, {BusHigh, BusHigh, "data"}, {CoilIn, Coil, "ignition"}, {InjectorIn, Injector, "injection"}, {Battery, StarterIn, "heavy"}, {KnockIn, Plain, "low-level"}, {Plain, Plain, "signal"}} {
		if got := Class(c.a, c.b); got != c.want {
			t.Errorf("class of %q and %q: %q, want %q", c.a, c.b, got, c.want)
		}
	}
}
