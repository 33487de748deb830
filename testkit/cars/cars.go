// Package cars makes cars of any size from a seed, for tests and measurements:
// zones, joins, cables, shared grounds and sensor supplies, given and blank
// mixed, the way people write them.
//
// A car grows by blocks of up to about 300 wires: a controller and an output
// module in a cabin, their sensors and loads behind two bulkheads. Blocks
// hang together by in-line joins, so that a way stays local as a car grows.
package cars

import (
	"fmt"

	"keyon/model/design"
)

// Options shape a car.
type Options struct {
	Blank bool // leave everything blank that may be
}

// Make builds a car of about that many wires, ten or more.
func Make(seed uint64, wires int, o Options) *design.Book {
	m := &maker{b: design.NewBook(), s: seed, o: o}
	m.s = m.next() ^ uint64(wires)<<32 // neighbouring seeds start far apart
	m.add("Car", "key", "name", "value", fmt.Sprintf("generated %d-%d", seed, wires))
	m.add("Car", "key", "decimal", "value", "point")
	m.add("Car", "key", "family", "value", "AS22759/41")
	for _, z := range [][3]string{{"cabin", "50", "dry"}, {"engine bay", "100", "splash, oil, heat"}, {"scuttle", "80", "dry, heat"}} {
		m.add("Zones", "zone", z[0], "ambient", z[1], "exposures", z[2])
	}
	m.add("Assemblies", "assembly", "engine", "metal", "yes")
	m.states()
	for left, n := wires, 0; left > 0; n++ {
		left -= m.block(n, left)
	}
	m.b.Identify()
	return m.b
}

// maker builds one car.
type maker struct {
	b     *design.Book
	s     uint64
	o     Options
	p     string // prefix of the block's names
	x     int    // where the block sits, mm
	wires int
	given map[string]int // next given pin of a kind
}

// next is a counted generator (splitmix64; Steele, Lea, Flood 2014).
func (m *maker) next() uint64 {
	m.s += 0x9e3779b97f4a7c15
	z := m.s
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// upTo is a number from 0 to n-1.
func (m *maker) upTo(n int) int { return int(m.next() % uint64(n)) }

// chance says yes in one of n.
func (m *maker) chance(n int) bool { return m.upTo(n) == 0 }

// sometimes is a text that is given in one of n rows, blank otherwise.
func (m *maker) sometimes(n int, text string) string {
	if m.o.Blank || !m.chance(n) {
		return ""
	}
	return text
}

func (m *maker) add(table string, pairs ...string) { m.b.Sheet(table).Add(pairs...) }

func (m *maker) states() {
	m.add("States", "state", "key on", "source", "battery", "volts", "12.4")
	m.add("States", "state", "idle", "source", "battery", "volts", "12.8")
	m.add("States", "state", "full load", "source", "battery", "volts", "13.8")
}

func (m *maker) place(name string, x, y, z int, zone, assembly string) string {
	name = m.p + name
	m.add("Places", "place", name, "x", fmt.Sprint(m.x+x), "y", fmt.Sprint(y), "z", fmt.Sprint(z), "±", "5", "state", "measured", "zone", zone, "assembly", assembly)
	return name
}

func (m *maker) leg(from, to, loom, length, keepOut string) {
	m.add("Legs", "from", from, "to", to, "length", length, "keep out", keepOut, "loom", loom, "build", "twisted", "finish", m.sometimes(6, "car"))
}

func (m *maker) device(name, part, place string) string {
	name = m.p + name
	m.add("Devices", "device", name, "part", part, "place", place)
	return name
}

func (m *maker) circuit(name, from, fromPin, to, toPin, class string, more ...string) {
	m.add("Circuits", append([]string{"circuit", m.p + name, "from device", from, "from pin", fromPin, "to device", to, "to pin", toPin, "class", class}, more...)...)
}

// pin is the next pin of a numbered kind, given in one of two rows. Given
// ones count down from the top, so that blank ones find theirs below.
func (m *maker) pin(kind string, most int) string {
	n := m.given[kind]
	if m.o.Blank || !m.chance(2) {
		return ""
	}
	m.given[kind]++
	return fmt.Sprintf("%s %d", kind, most-n)
}

const (
	noPower   = "power, heavy"
	noSignal  = "signal, data, low-level, sensor supply, sensor return"
	onlyHeavy = "power, signal, data, low-level, sensor supply, sensor return, ignition, injection"
)

// block adds one block and says about how many wires it has.
func (m *maker) block(n, want int) int {
	m.p, m.x, m.wires, m.given = fmt.Sprintf("%d ", n+1), n*6000, 0, map[string]int{}
	cabin, engine := m.p+"cabin loom", m.p+"engine loom"
	m.add("Looms", "loom", cabin)
	m.add("Looms", "loom", engine)
	battery := m.place("battery", 1000, -400, 150, "cabin", "")
	hub := m.place("hub", 900, -380, 380, "cabin", "")
	bar := m.place("bar", 930, -300, 430, "cabin", "")
	ctl := m.place("controller", 860, -420, 460, "cabin", "")
	mod := m.place("module", 900, -430, 600, "cabin", "")
	dash := m.place("dash", 950, 300, 700, "cabin", "")
	m.leg(battery, hub, cabin, "", "")
	m.leg(battery, bar, cabin, "", noSignal)
	m.leg(bar, mod, cabin, "", noSignal)
	m.leg(hub, ctl, cabin, m.sometimes(2, "180"), "")
	m.leg(hub, mod, cabin, m.sometimes(2, "260"), "")
	m.leg(hub, dash, cabin, "", "")
	sigA, sigB := m.place("signal a", 800, -330, 500, "cabin", ""), m.place("signal b", 780, -330, 500, "engine bay", "")
	powA, powB := m.place("power a", 800, -240, 500, "cabin", ""), m.place("power b", 780, -240, 500, "engine bay", "")
	bay := m.place("bay", 600, -200, 550, "engine bay", "engine")
	m.leg(ctl, sigA, cabin, "", noPower)
	m.leg(mod, powA, cabin, "", noSignal+", ignition, injection")
	m.leg(sigB, bay, engine, "", noPower)
	m.leg(powB, bay, engine, "", noSignal)
	m.add("Joins", "join", m.p+"B1", "kind", "bulkhead", "place a", sigA, "place b", sigB, "fixed half", "a", "spare share", "10 %")
	m.add("Joins", "join", m.p+"B2", "kind", "bulkhead", "place a", powA, "place b", powB, "fixed half", "a", "spare share", "10 %")
	if n > 0 { // to the block before
		a, b := m.place("link a", 700, -380, 300, "cabin", ""), m.place("link b", 660, -380, 300, "cabin", "")
		m.leg(hub, a, cabin, "", "")
		m.leg(b, fmt.Sprintf("%d far", n), fmt.Sprintf("%d cabin loom", n), "3000", "")
		m.add("Joins", "join", m.p+"I1", "kind", "in-line", "place a", a, "place b", b, "spare share", "10 %")
	}
	far := m.place("far", 1600, -380, 300, "cabin", "")
	m.leg(hub, far, cabin, "", "")
	m.power(battery, bar, hub, mod)
	m.core(ctl, mod, dash, want)
	m.engine(bay, engine, want)
	return m.wires
}

// count keeps the sum of wires the block is expected to have.
func (m *maker) count(n int) { m.wires += n }

func (m *maker) power(battery, bar, hub, mod string) {
	bat := m.device("battery", "battery-12v", battery)
	rail := m.device("bar", "busbar-4", bar)
	module := m.device("module", "module-32", mod)
	m.add("Studs", "stud", m.p+"G1", "place", battery, "thread", "M8", "most lugs", "4", "use", "ground")
	m.add("Studs", "stud", m.p+"G2", "place", hub, "thread", "M6", "most lugs", "4", "use", "ground")
	m.circuit("BATTERY +", bat, "+", rail, "1", "heavy")
	m.circuit("BATTERY -", bat, "-", m.p+"G1", "", "heavy")
	m.circuit("MODULE SUPPLY", rail, "2", module, "BAT", "heavy")
	m.circuit("MODULE GROUND", module, "GND", "", "", "ground")
	m.add("Feeds", "feed", m.p+"MAIN", "device", bat, "pin", "+", "unprotected", "accepted")
	for i := 1; i <= 32; i++ {
		m.add("Feeds", "feed", fmt.Sprintf("%sOUT %d", m.p, i), "device", module, "pin", fmt.Sprintf("OUT %d", i))
	}
	m.count(4)
}

// core is the controller, the display and the bus between them.
func (m *maker) core(ctl, mod, dash string, want int) {
	if want < 40 {
		return
	}
	c := m.device("controller", "controller-120", ctl)
	d := m.device("dash", "dash", dash)
	m.circuit("CONTROLLER SUPPLY", m.p+"module", "OUT 9", c, "VBAT 1", "power")
	m.circuit("CONTROLLER SUPPLY", "", "", c, "VBAT 2", "power")
	m.circuit("CONTROLLER GROUND 1", c, "GND 1", "", "", "ground")
	m.circuit("CONTROLLER GROUND 2", c, "GND 2", m.p+"G2", "", "ground")
	m.circuit("DASH SUPPLY", m.p+"module", "", d, "+", "power")
	m.circuit("DASH GROUND", d, "-", "", "", "ground")
	for _, l := range []string{"H", "L"} {
		m.circuit("BUS "+l, c, "CAN1 "+l, m.p+"module", "CAN "+l, "data", "twist", m.p+"bus")
		m.circuit("BUS "+l, "", "", d, "CAN "+l, "data", "twist", m.p+"bus")
	}
	m.count(14)
}

// engine fills the engine bay until the block has what is wanted or is full.
func (m *maker) engine(bay, loom string, want int) {
	c, module := m.p+"controller", m.p+"module"
	branch := 0
	var trunk []string
	for i := range 4 {
		t := m.place(fmt.Sprintf("branch %d", i+1), 500-i*140, -120+m.upTo(240), 500+m.upTo(200), "engine bay", "engine")
		from := bay
		if i > 0 {
			from = trunk[i-1]
		}
		m.leg(from, t, loom, m.sometimes(2, fmt.Sprint(180+m.upTo(160))), "")
		trunk = append(trunk, t)
	}
	if m.chance(2) {
		m.leg(bay, trunk[3], loom, "1500", "") // a loop
	}
	spot := func(name string) string {
		t := trunk[branch%4]
		branch++
		p := m.place(name, 480-branch%4*140+m.upTo(160)-80, -400+m.upTo(800), 300+m.upTo(400), "engine bay", "engine")
		m.leg(t, p, loom, "", "")
		return p
	}
	stud := 3
	m.add("Studs", "stud", m.p+"E1", "place", bay, "thread", "M8", "most lugs", "4", "use", "ground")
	m.circuit("ENGINE STRAP", m.p+"E1", "", m.p+"E2", "", "heavy")
	m.add("Studs", "stud", m.p+"E2", "place", m.chassis(bay, loom), "thread", "M8", "most lugs", "4", "use", "ground")
	m.count(1)
	ground := func(name, dev string) {
		if stud%3 == 0 {
			m.add("Studs", "stud", fmt.Sprintf("%sS%d", m.p, stud), "place", trunk[stud/3%4], "thread", "M6", "most lugs", "4", "use", "ground")
		}
		stud++
		m.circuit("GND "+name, dev, "-", "", "", "ground")
	}
	full := func() bool { return m.wires >= want }
	// Loads on the small outputs, then on the larger ones.
	for i := 1; i <= 9 && !full(); i++ {
		name := fmt.Sprintf("lamp %d", i)
		d := m.device(name, []string{"lamp-brake", "lamp-rain", "lamp-side", "lamp-pod"}[m.upTo(4)], spot(name))
		from := module
		if m.chance(2) {
			from = "" // a feed is chosen
		}
		m.circuit("LAMP "+fmt.Sprint(i), from, "", d, "+", "power", "colour", m.sometimes(5, "RD"))
		ground(name, d)
		m.count(3)
	}
	for i := 1; i <= 3 && !full(); i++ {
		name := fmt.Sprintf("pump %d", i)
		d := m.device(name, []string{"fuel-pump-lift", "oil-pump-gearbox"}[m.upTo(2)], spot(name))
		m.circuit(fmt.Sprintf("PUMP %d", i), module, fmt.Sprintf("OUT %d", 9+i), d, "+", "power")
		m.add("Loads", "device", d, "mean", fmt.Sprintf("%.1f", 2.5+float64(m.upTo(10))/10))
		ground(name, d)
		m.count(3)
	}
	if want < 40 {
		return
	}
	m.sensors(c, spot, full)
}

// chassis is a place on the chassis beside the bay.
func (m *maker) chassis(bay, loom string) string {
	p := m.place("chassis", 640, -260, 420, "engine bay", "")
	m.leg(bay, p, loom, "", "")
	return p
}

// sensors adds what the controller reads and drives.
func (m *maker) sensors(c string, spot func(string) string, full func() bool) {
	supplies := []string{"5V A1", "5V A2", "5V A3", "5V A4", "5V B1", "5V B2", "5V B3", "5V B4"}
	returns := []string{"0V A1", "0V A2", "0V A3", "0V A4", "0V B1", "0V B2", "0V B3", "0V B4"}
	kinds := []string{"sensor-pressure-3w", "air-pressure-map", "damper-position", "brake-pressure"}
	for g := 0; g < 5 && !full(); g++ {
		size := 2 + m.upTo(3)
		for i := range size {
			name := fmt.Sprintf("sensor %d.%d", g+1, i+1)
			d := m.device(name, kinds[m.upTo(len(kinds))], spot(name))
			from, back := "", ""
			pin5, pin0 := "", ""
			if i == 0 {
				from, back, pin5, pin0 = c, c, supplies[g], returns[g]
			}
			m.circuit(fmt.Sprintf("5V %d", g+1), from, pin5, d, "5V", "sensor supply")
			m.circuit(fmt.Sprintf("0V %d", g+1), back, pin0, d, "0V", "sensor return")
			m.circuit(fmt.Sprintf("SIGNAL %d.%d", g+1, i+1), d, "OUT", c, m.pin("AN", 24), m.sometimes(2, "signal"), "gauge", m.sometimes(8, "22"))
			m.count(5)
		}
		m.count(3)
	}
	for i := 1; i <= 6 && !full(); i++ {
		name := fmt.Sprintf("temperature %d", i)
		d := m.device(name, "sensor-temp-2w", spot(name))
		m.circuit(fmt.Sprintf("TEMP %d", i), d, "SIG", c, m.pin("TEMP", 8), "")
		from, pin := "", ""
		if i%3 == 1 {
			from, pin = c, returns[5+i/3]
		}
		m.circuit(fmt.Sprintf("TEMP 0V %d", (i+2)/3), from, pin, d, "0V", "sensor return")
		m.count(4)
	}
	for i := 1; i <= 2 && !full(); i++ {
		name := fmt.Sprintf("knock %d", i)
		d := m.device(name, "knock-2w", spot(name))
		cable := m.p + name
		m.add("Cables", "cable", cable, "part", "shielded-2x22-44")
		m.circuit(fmt.Sprintf("KNOCK %d +", i), d, "SIG", c, fmt.Sprintf("KNOCK %d", i), "low-level", "cable", cable)
		m.circuit(fmt.Sprintf("KNOCK %d -", i), d, "0V", c, fmt.Sprintf("KNOCK %d 0V", i), "sensor return", "cable", cable)
		m.circuit(fmt.Sprintf("KNOCK %d SCREEN", i), d, "SCR", c, "", "shield", "cable", cable)
		m.count(6)
	}
	for i := 1; i <= 6 && !full(); i++ {
		name := fmt.Sprintf("injector %d", i)
		d := m.device(name, "injector-2w", spot(name))
		from := ""
		if i%3 == 1 {
			from = m.p + "module"
		}
		m.circuit(fmt.Sprintf("INJ SUPPLY %d", (i+2)/3), from, "", d, "+", "power")
		m.circuit(fmt.Sprintf("INJ %d", i), c, "", d, "-", "")
		m.count(4)
	}
	for i := 1; i <= 4 && !full(); i++ {
		name := fmt.Sprintf("switch %d", i)
		d := m.device(name, "switch-2p", spot(name))
		m.circuit(fmt.Sprintf("SWITCH %d", i), d, "1", c, m.pin("DIG", 6), "")
		from, pin := "", ""
		if i == 1 {
			from, pin = c, "0V B4"
		}
		m.circuit("SWITCH 0V", from, pin, d, "2", "sensor return")
		m.count(4)
	}
}
