package part

import (
	"strings"

	"keyon/model/source"
	"keyon/num/quantity"
)

// devices reads the generic devices: what such a thing usually offers. A pin
// whose contact is "stud M6" is a threaded post of the device itself.
func (c *Catalogue) devices(origin map[string]source.Ref) {
	each("devices.csv", origin, func(r record) {
		d := &Device{Head: r.header(r.text("device"), r.text("title")), Kind: r.text("kind"), Metal: r.text("metal") == "yes", CaseAmps: quantity.Ampere(r.number("case_amps"))}
		for _, p := range r.list("connectors", ";") {
			name, rest, ok := strings.Cut(p, "=")
			if !ok {
				r.fail("connectors", "not name=part/key")
			}
			id, key, _ := strings.Cut(rest, "/")
			d.Connectors = append(d.Connectors, DeviceConnector{name, id, key})
		}
		for g, a := range r.numbers("group_amps") {
			if d.GroupAmps == nil {
				d.GroupAmps = map[string]quantity.Ampere{}
			}
			d.GroupAmps[g] = quantity.Ampere(a)
		}
		c.Devices[d.ID] = d
	})
	of := func(r record) *Device {
		d := c.Devices[r.text("device")]
		if d == nil {
			r.fail("device", "no such device")
		}
		return d
	}
	each("pins.csv", origin, func(r record) {
		d := of(r)
		d.Pins = append(d.Pins, Pin{
			Name: r.text("pin"), Connector: r.text("connector"), Cavity: r.text("cavity"), Role: Role(r.text("role")), Index: r.text("index"),
			Group: r.text("group"), Swap: r.text("swap"), Amps: quantity.Ampere(r.number("amps")), Needed: r.text("needed") == "yes",
			Contact: r.text("contact"), Reads: r.text("reads"), Note: r.text("note"),
		})
	})
	each("links.csv", origin, func(r record) {
		d := of(r)
		d.Links = append(d.Links, Link{From: r.text("from"), To: r.text("to"), Kind: LinkKind(r.text("kind")), Ohm: quantity.Ohm(r.number("ohm")), ClosedIn: r.list("closed_in", ";"), Works: r.text("works")})
	})
	each("loads.csv", origin, func(r record) {
		d := of(r)
		d.Loads = append(d.Loads, Load{
			From: r.text("from"), To: r.text("to"), State: r.text("state"), Mean: quantity.Ampere(r.number("mean_a")), RMS: quantity.Ampere(r.number("rms_a")),
			Peak: quantity.Ampere(r.number("peak_a")), Power: quantity.Watt(r.number("watt")), Ohm: quantity.Ohm(r.number("ohm")), Inrush: quantity.Ampere(r.number("inrush_a")),
			InrushTime: quantity.Second(r.number("inrush_ms") / 1e3), LeastVolts: quantity.Volt(r.number("least_v")), Source: r.origins(),
		})
	})
}
