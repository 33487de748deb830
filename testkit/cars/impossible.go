package cars

import (
	"fmt"

	"keyon/model/design"
)

// Hopeless is a car that can't be built as it stands, with the stop finding
// that must say so.
type Hopeless struct {
	Name  string
	Book  *design.Book
	Rule  string // ID
	Thing string // the finding speaks of it
}

// Impossible makes known-impossible cars from a seed: each is a car without a
// stop in which one thing can't be.
func Impossible(seed uint64) []Hopeless {
	var out []Hopeless
	for _, x := range wrongs {
		m := begin(seed, 120, Mixed)
		m.car(x.name)
		m.n = 0
		x.plant(m)
		m.b.Identify()
		out = append(out, Hopeless{x.name, m.b, x.rule, x.thing})
	}
	return out
}

var wrongs = []struct {
	name, rule, thing string
	plant             func(m *maker)
}{
	{"no free frequency input", "assign.pin", "controller", func(m *maker) {
		for i := range 16 { // eight of its own and six digital ones would do
			d := m.device(fmt.Sprintf("speed %d", i), "wheel-speed-3w", m.name("hub"))
			m.circuit(fmt.Sprintf("SPEED %d", i), d, "SIG", m.ctl, "", "signal")
		}
	}},
	{"leg cut off", "route.way", "LOST", func(m *maker) {
		d := m.device("lost lamp", "lamp-rain", m.place("island", 3000, 0, 0, "rear", ""))
		m.circuit("LOST", m.mod, "", d, "+", "power")
	}},
	{"kept out everywhere", "route.way", "SHUT OUT", func(m *maker) {
		shed := m.place("shed", 900, 500, 300, "cabin", "")
		m.leg(m.name("hub"), shed, m.name("cabin loom"), 0, "signal, power")
		d := m.device("shut out", "damper-position", shed)
		m.circuit("SHUT OUT", d, "OUT", m.ctl, "", "signal")
	}},
	{"hole too small", "buildable.hole", "shed", func(m *maker) {
		shed := m.place("shed", 900, 500, 300, "cabin", "")
		m.add("Legs", "from", m.name("hub"), "to", shed, "loom", m.name("cabin loom"), "hole", "1 mm")
		d := m.device("shed lamp", "lamp-cabin", shed)
		m.circuit("SHED LAMP", m.mod, "", d, "+", "power")
		m.circuit("SHED LAMP GROUND", d, "-", m.name("G2"), "", "ground")
	}},
	{"load too large", "assign.feed", "HEATER", func(m *maker) {
		d := m.device("heater", "screen-heated", m.name("hub"))
		m.circuit("HEATER", "", "", d, "+", "power")
		m.circuit("HEATER GROUND", d, "-", m.name("G2"), "", "ground")
		m.add("Loads", "device", d, "mean", "300")
	}},
	{"bulkhead too small", "route.cavities", "bulkhead signal", func(m *maker) {
		s := m.b.Sheet("Joins")
		for r := range s.Rows {
			if s.Text(r, "join") == m.name("bulkhead signal") {
				s.Rows[r].Cells[s.Table.Index("part")] = design.Cell{Text: "38999-9-98"}
			}
		}
		for i := range 4 { // it has three cavities
			d := m.device(fmt.Sprintf("extra %d", i), "sensor-temp-2w", m.name("bay"))
			m.circuit(fmt.Sprintf("EXTRA %d", i), d, "SIG", m.ctl, "", "signal")
		}
	}},
	{"wire too thick for its contact", "buildable.gauge", "THICK", func(m *maker) {
		d := m.device("thick", "sensor-temp-2w", m.name("hub"))
		m.circuit("THICK", d, "SIG", m.ctl, "", "signal", "gauge", "12")
	}},
	{"one pin twice", "complete.twice", "controller", func(m *maker) {
		for i := range 2 {
			d := m.device(fmt.Sprintf("rival %d", i), "switch-2p", m.name("hub"))
			m.circuit(fmt.Sprintf("RIVAL %d", i), d, "1", m.ctl, "DIG 1", "signal")
		}
	}},
	{"too hot for any wire", "surroundings.heat", "", func(m *maker) {
		s := m.b.Sheet("Zones")
		for r := range s.Rows {
			if s.Text(r, "zone") == "engine bay" {
				s.Rows[r].Cells[s.Table.Index("ambient")] = design.Cell{Text: "400"}
			}
		}
	}},
	{"no ground", "complete.ground", "adrift", func(m *maker) {
		d := m.device("adrift", "lamp-rain", m.name("hub"))
		m.circuit("ADRIFT", m.mod, "", d, "+", "power")
	}},
	{"bus without an end", "signal.ends", "OPEN", func(m *maker) {
		d := m.device("open end", "keypad-can", m.name("hub"))
		for _, l := range []string{"H", "L"} {
			m.circuit("OPEN "+l, m.ctl, "CAN2 "+l, d, "CAN "+l, "data", "twist", "open")
		}
	}},
	{"too many lugs", "buildable.lugs", "single", func(m *maker) {
		m.add("Studs", "stud", m.name("single"), "place", m.name("hub"), "thread", "M6", "most lugs", "1", "use", "ground")
		for i := range 2 {
			d := m.device(fmt.Sprintf("crowd %d", i), "lamp-rain", m.name("hub"))
			m.circuit(fmt.Sprintf("CROWD %d", i), d, "-", m.name("single"), "", "ground")
		}
	}},
	{"a fuse that doesn't protect", "electrical.protects", "GLOW", func(m *maker) {
		d := m.device("glow", "fan", m.name("hub"))
		m.circuit("GLOW", m.mod, "OUT 2", d, "+", "power", "gauge", "14")
		m.circuit("GLOW GROUND", d, "-", m.name("G2"), "", "ground")
		s := m.b.Sheet("Feeds")
		for r := range s.Rows {
			if s.Text(r, "pin") == "OUT 2" {
				s.Rows[r].Cells[s.Table.Index("setting")] = design.Cell{Text: "80"}
			}
		}
	}},
	{"above 60 V", "resolve.scope", "", func(m *maker) { m.add("Car", "key", "volts", "value", "400") }},
	{"a part nobody knows", "resolve.name", "mystery", func(m *maker) {
		m.device("mystery", "no-such-part", m.name("hub"))
	}},
	{"a misspelt name", "resolve.name", "contoller", func(m *maker) {
		d := m.device("typo", "switch-2p", m.name("hub"))
		m.circuit("TYPO", d, "1", "contoller", "", "signal")
	}},
	{"a length that doesn't exist", "resolve.length", "nowhere", func(m *maker) {
		m.add("Places", "place", "nowhere", "zone", "cabin")
		m.add("Legs", "from", m.name("hub"), "to", "nowhere", "loom", m.name("cabin loom"))
	}},
}
