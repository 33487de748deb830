package cars

import "fmt"

// rear is the piece behind an in-line join: a fuse carrier with relays and
// pumps, and lamps from the module.
func (m *maker) rear(bar, far, cabin string) func() {
	return func() {
		loom := m.loom("rear loom")
		a, b := m.place("rear a", 1900, -380, 320, "cabin", ""), m.place("rear b", 1950, -380, 320, "rear", "")
		m.leg(far, a, cabin, 310, "heavy")
		tail := m.place("tail", 2300, -300, 350, "rear", "")
		m.leg(b, tail, loom, 370, "heavy")
		m.add("Joins", "join", m.name("rear join"), "kind", "in-line", "place a", a, "place b", b, "spare share", "10 %")
		sa, sb := m.place("rear stud a", 1900, -500, 320, "cabin", ""), m.place("rear stud b", 1950, -500, 320, "rear", "")
		m.leg(bar, sa, cabin, 0, onlyHeavy)
		m.leg(sb, tail, loom, 0, onlyHeavy)
		m.add("Joins", "join", m.name("rear stud"), "kind", "stud", "place a", sa, "place b", sb)
		m.stud("R1", tail, "M6")
		m.stud("R2", tail, "M6")
		fuse := m.device("rear fuse", "fuse-holder-maxi", bar)
		carrier := m.device("fuse carrier", "fuse-carrier-8", tail)
		m.circuit("REAR IN", m.rail, "4", fuse, "IN", "heavy")
		m.circuit("REAR FEED", fuse, "OUT", carrier, "IN", "heavy")
		m.add("Feeds", "feed", m.name("REAR"), "device", fuse, "pin", "OUT")
		m.count(3)
		for i := 1; i <= 2; i++ {
			m.add("Feeds", "feed", m.name(fmt.Sprintf("F%d", i)), "device", carrier, "pin", fmt.Sprintf("F%d", i))
			name := fmt.Sprintf("rear pump %d", i)
			relay := m.device("relay "+name, "relay-30A", tail)
			at := m.place(name, 2350+100*i, -200, 200, "rear", "")
			m.leg(tail, at, loom, 0, "")
			d := m.device(name, "fuel-pump-lift", at)
			m.off(d)
			m.circuit(fmt.Sprintf("RELAY FEED %d", i), "", "", relay, "30", "power", "feed", m.name(fmt.Sprintf("F%d", i)))
			m.circuit(fmt.Sprintf("REAR PUMP %d", i), relay, "87", d, "+", "power", "gauge", m.rarely(2, "16"))
			m.circuit(fmt.Sprintf("REAR PUMP %d GROUND", i), d, "-", m.name("R1"), "", "ground")
			m.circuit(fmt.Sprintf("RELAY %d", i), m.mod, "", relay, "86", "power")
			to := m.name("R2")
			if i == 2 {
				to = ""
			}
			m.circuit("RELAY GROUND", relay, "85", to, "", "ground")
			m.count(7)
		}
		for i := 1; i <= 3; i++ {
			name := fmt.Sprintf("rear lamp %d", i)
			at := m.place(name, 2600, -400+200*i, 500, "rear", "")
			m.leg(tail, at, loom, 0, "")
			d := m.device(name, []string{"lamp-rain", "lamp-brake"}[m.upTo(2)], at)
			from, to := "", ""
			if i == 1 {
				from, to = m.mod, m.name("R2")
			}
			m.circuit("REAR LAMPS", from, "", d, "+", "power")
			m.circuit("REAR LAMPS GROUND", d, "-", to, "", "ground")
			m.count(4)
		}
	}
}

// fan is a large load in the cabin, on posts.
func (m *maker) fan(hub, cabin string) {
	at := m.place("fan", 1100, -300, 300, "cabin", "")
	m.leg(hub, at, cabin, 240, "")
	d := m.device("fan", "fan", at)
	m.circuit("FAN", m.mod, m.maybe("OUT 1"), d, "+", "power")
	m.add("Loads", "device", d, "state", "key on", "mean", "0")
	m.off(d)
	m.circuit("FAN GROUND", d, "-", m.name("G2"), "", "ground")
	m.count(2)
}

// off keeps a load off while the engine is cranked.
func (m *maker) off(device string) {
	if m.all >= 80 {
		m.add("Loads", "device", device, "state", "cranking", "mean", "0")
	}
}
