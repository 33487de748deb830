package cars

import "fmt"

// What may not run in a leg.
const (
	noPower   = "power, heavy"
	noSignal  = "signal, data, low-level, sensor supply, sensor return"
	onlyHeavy = "power, signal, data, low-level, sensor supply, sensor return, ignition, injection"
)

// block adds one block and says about how many wires it has.
func (m *maker) block(n, want int) int {
	m.n, m.x, m.wires, m.want, m.given = n, n*6000, 0, want, map[string]int{}
	m.supplies, m.returns, m.joinPart, m.cavity = 0, 0, "", 0
	cabin, engine := m.loom("cabin loom"), m.loom("engine loom")
	battery := m.place("battery", 1000, -400, 150, "cabin", "")
	hub := m.place("hub", 900, -380, 380, "cabin", "")
	bar := m.place("bar", 930, -300, 430, "cabin", "")
	ctl := m.place("controller", 860, -420, 460, "cabin", "")
	mod := m.place("module", 900, -430, 600, "cabin", "")
	dash := m.place("dash", 950, 300, 700, "cabin", "")
	bay := m.place("bay", 600, -200, 550, "engine bay", "engine")
	m.leg(battery, hub, cabin, 270, "")
	m.leg(battery, bar, cabin, 0, noSignal)
	m.leg(bar, mod, cabin, 0, noSignal)
	m.leg(hub, ctl, cabin, 180, "")
	m.leg(hub, mod, cabin, 260, "")
	m.leg(hub, dash, cabin, 0, "")
	if m.chance(2) {
		m.leg(ctl, mod, cabin, 220, "heavy") // a loop
	}
	part := ""
	if m.chance(3) {
		part = m.maybe("38999-25-35")
	}
	m.joinPart = part
	m.bulkhead("signal", ctl, bay, cabin, engine, part, 0, noPower, noPower)
	m.bulkhead("power", mod, bay, cabin, engine, "", 90, noSignal+", ignition, injection", noSignal)
	if m.chance(2) {
		m.bulkhead("second power", mod, bay, cabin, engine, "", 180, noSignal+", ignition, injection", noSignal)
	}
	far := m.place("far", 1600, -380, 300, "cabin", "")
	m.leg(hub, far, cabin, 0, "")
	if n > 0 {
		m.toBefore(hub, cabin)
	}
	m.power(battery, bar, hub, mod)
	m.core(ctl, dash)
	trunk := m.trunk(bay, engine)
	m.running(bar, bay, cabin, engine, hub)
	pieces := append(m.bay(trunk, engine), func() { m.fan(hub, cabin) })
	if want >= 60 {
		pieces = append(pieces, m.rear(bar, far, cabin))
	}
	for _, p := range m.shuffled(pieces) {
		if !m.full() {
			p()
		}
	}
	m.before, m.beforeAt, m.beforeMod = m.dash, dash, m.mod
	return max(m.wires, 1)
}

// shuffled puts pieces in an order of the seed's.
func (m *maker) shuffled(p []func()) []func() {
	for i := len(p) - 1; i > 0; i-- {
		k := m.upTo(i + 1)
		p[i], p[k] = p[k], p[i]
	}
	return p
}

func (m *maker) loom(name string) string {
	name = m.name(name)
	m.add("Looms", "loom", name)
	return name
}

// bulkhead adds a bulkhead connector and the legs to it, y mm aside.
func (m *maker) bulkhead(name, from, to, loomA, loomB, part string, y int, keepA, keepB string) {
	a := m.place(name+" a", 800, -330+y, 500, "cabin", "")
	b := m.place(name+" b", 780, -330+y, 500, "engine bay", "")
	m.leg(from, a, loomA, 0, keepA)
	m.leg(b, to, loomB, 0, keepB)
	m.add("Joins", "join", m.name("bulkhead "+name), "kind", "bulkhead", "part", part, "place a", a, "place b", b, "fixed half", "a", "spare share", "10 %", "sockets", m.rarely(2, "a"))
}

// toBefore joins the block to the one before, with a bus and a lamp.
func (m *maker) toBefore(hub, cabin string) {
	a, b := m.place("link a", 700, -380, 300, "cabin", ""), m.place("link b", 660, -380, 300, "cabin", "")
	m.leg(hub, a, cabin, 0, "")
	n := m.n
	m.n-- // names of the block before
	far, loom := m.name("far"), m.name("cabin loom")
	m.n = n
	m.leg(b, far, loom, 0, "")
	m.add("Joins", "join", m.name("link"), "kind", "in-line", "place a", a, "place b", b, "spare share", "10 %")
}

// power is the battery, the module that feeds the rest, and their grounds.
func (m *maker) power(battery, bar, hub, mod string) {
	m.bat = m.device("battery", "battery-12v", battery)
	m.rail = m.device("supply bar", "busbar-4", bar)
	m.mod = m.device("output module", "module-32", mod)
	m.stud("G1", battery, "M8")
	m.stud("G2", hub, "M6")
	if m.want >= 40 && m.chance(2) {
		iso := m.device("isolator", "isolator-2p", bar)
		m.circuit("BATTERY +", m.bat, "+", iso, "BAT", "heavy")
		m.circuit("MAIN", iso, "LOAD", m.rail, "1", "heavy")
		m.count(1)
	} else {
		m.circuit("BATTERY +", m.bat, "+", m.rail, "1", "heavy")
	}
	m.circuit("BATTERY -", m.bat, "-", m.name("G1"), "", "heavy")
	m.circuit("MODULE SUPPLY", m.rail, "2", m.mod, "BAT", "heavy")
	m.circuit("MODULE GROUND", m.mod, "GND", "", "", "ground")
	m.add("Feeds", "feed", m.name("MAIN"), "device", m.bat, "pin", "+", "unprotected", "accepted")
	for i := 1; i <= 32; i++ {
		m.add("Feeds", "feed", m.name(fmt.Sprintf("OUT %d", i)), "device", m.mod, "pin", fmt.Sprintf("OUT %d", i))
	}
	m.count(4)
}

// stud adds a ground stud.
func (m *maker) stud(name, place, thread string) {
	m.add("Studs", "stud", m.name(name), "place", place, "thread", thread, "most lugs", "4", "use", "ground")
}

// core is the controller, the display and the bus between them.
func (m *maker) core(ctl, dash string) {
	if m.want < 40 {
		return
	}
	m.ctl = m.device("controller", "controller-120", ctl)
	m.dash = m.device("dash", "dash", dash)
	m.circuit("CONTROLLER SUPPLY", m.mod, "OUT 9", m.ctl, "VBAT 1", "power")
	m.circuit("CONTROLLER SUPPLY", "", "", m.ctl, "VBAT 2", "power")
	m.circuit("CONTROLLER GROUND 1", m.ctl, "GND 1", "", "", "ground")
	m.circuit("CONTROLLER GROUND 2", m.ctl, "GND 2", m.name("G2"), "", "ground")
	m.circuit("DASH SUPPLY", m.mod, "", m.dash, "+", "power")
	m.circuit("DASH GROUND", m.dash, "-", "", "", "ground")
	for _, l := range []string{"H", "L"} {
		m.circuit("BUS "+l, m.ctl, "CAN1 "+l, m.mod, "CAN "+l, "data", "twist", m.name("bus"))
		m.circuit("BUS "+l, "", "", m.dash, "CAN "+l, "data", "twist", m.name("bus"))
	}
	m.count(14)
	if m.n > 0 {
		ends := []string{m.device("link end", "terminator-120", ctl), m.device("link end before", "terminator-120", m.beforeAt)}
		for _, l := range []string{"H", "L"} {
			m.circuit("LINK "+l, m.ctl, "CAN2 "+l, m.before, "CAN2 "+l, "data", "twist", m.name("link"))
			for _, end := range ends {
				m.circuit("LINK "+l, "", "", end, "CAN "+l, "data", "twist", m.name("link"))
			}
		}
		d := m.device("link lamp", "lamp-side", m.name("hub"))
		m.circuit("LINK LAMP", m.beforeMod, "", d, "+", "power")
		m.circuit("LINK LAMP GROUND", d, "-", m.name("G2"), "", "ground")
		m.count(14)
	}
}

// running adds alternator and starter, which hang on a through-stud.
func (m *maker) running(bar, bay, cabin, engine, hub string) {
	m.stud("E1", bay, "M8")
	chassis := m.place("chassis", 640, -260, 420, "engine bay", "")
	m.leg(bay, chassis, engine, 0, "")
	m.stud("E2", chassis, "M8")
	m.circuit("ENGINE STRAP", m.name("E1"), "", m.name("E2"), "", "heavy")
	m.count(1)
	if m.all < 80 || m.n > 0 && (m.want < 80 || m.chance(2)) {
		return
	}
	a, b := m.place("stud a", 800, -150, 440, "cabin", ""), m.place("stud b", 780, -150, 440, "engine bay", "")
	low := m.place("sump", 500, -120, 200, "engine bay", "engine")
	m.leg(bar, a, cabin, 0, onlyHeavy)
	m.leg(b, low, engine, 0, onlyHeavy)
	m.leg(bay, low, engine, 0, "heavy")
	m.add("Joins", "join", m.name("through stud"), "kind", "stud", "place a", a, "place b", b)
	alt := m.device("alternator", "alternator", low)
	start := m.device("starter", "starter", low)
	m.circuit("ENGINE FEED", m.rail, "3", start, "30", "heavy")
	m.circuit("ENGINE FEED", "", "", alt, "B+", "heavy")
	m.add("Feeds", "feed", m.name("ENGINE"), "device", m.rail, "pin", "3", "unprotected", "accepted")
	m.circuit("SOLENOID", m.mod, "", start, "50", "power")
	m.circuit("EXCITE", m.mod, "", alt, "IG", "power")
	m.count(9)
}
