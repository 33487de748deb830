package cars

import "fmt"

// trunk lays the engine bay's trunk and gives its branch places.
func (m *maker) trunk(bay, loom string) []string {
	var trunk []string
	for i := range 4 {
		t := m.place(fmt.Sprintf("branch %d", i+1), 500-i*140, -120+m.upTo(240), 500+m.upTo(200), "engine bay", "engine")
		from := bay
		if i > 0 {
			from = trunk[i-1]
		}
		m.leg(from, t, loom, 190+m.upTo(160), "")
		trunk = append(trunk, t)
	}
	if m.chance(2) {
		m.leg(bay, trunk[3], loom, 1500, "") // a loop
	}
	return trunk
}

// engineBay is what pieces share.
type engineBay struct {
	*maker
	trunk     []string
	loom      string
	branches  int
	grounds   int
	groupings int
}

// spot is a new place on a branch of its own, at a trunk place in turn.
func (y *engineBay) spot(name string) string {
	t := y.trunk[y.branches%4]
	zone := "engine bay"
	if y.chance(8) {
		zone = "exhaust side"
	}
	p := y.place(name, 480-y.branches%4*140+y.upTo(160)-80, -400+y.upTo(800), 300+y.upTo(400), zone, "engine")
	y.branches++
	y.leg(t, p, y.loom, 0, "")
	return p
}

// near is a place for the second of two things: its own or the first's.
func (y *engineBay) near(first, name string) string {
	if first != "" && y.chance(2) {
		return first
	}
	return y.spot(name)
}

// ground leads a device's pin to a stud; every third time a stud is added. A
// gauge, if given, is one that the device's contact takes.
func (y *engineBay) ground(name, dev, pin, gauge string) {
	if y.grounds%3 == 0 {
		y.stud(fmt.Sprintf("S%d", y.grounds/3+1), y.trunk[y.grounds/3%4], "M6")
	}
	y.grounds++
	y.circuit(name, dev, pin, "", "", "ground", "gauge", gauge)
}

// bay lists the pieces of an engine bay.
func (m *maker) bay(trunk []string, loom string) []func() {
	y := &engineBay{maker: m, trunk: trunk, loom: loom}
	var p []func()
	for i := 1; i <= 3; i++ {
		p = append(p, func() { y.lamps(i) })
	}
	for i := 1; i <= 2; i++ {
		p = append(p, func() { y.pump(i) })
	}
	if m.want < 40 {
		return p
	}
	for i := 1; i <= 4; i++ {
		p = append(p, func() { y.sensors(i) })
	}
	for i := 1; i <= 2; i++ {
		p = append(p, func() { y.temperatures(i) }, func() { y.knock(i) }, func() { y.injectors(i) }, func() { y.coils(i) })
	}
	return append(p, y.switches, y.throttle, y.triggers, y.wheels, y.valves, y.exhaust, y.heater)
}

// lamps are two on a circuit; three pairs of four share their ground too.
func (y *engineBay) lamps(i int) {
	from, at, shared := y.mod, "", !y.chance(4)
	if y.chance(2) {
		from = "" // a feed is chosen
	}
	colour := y.rarely(3, "RD")
	for k := range 2 {
		name := fmt.Sprintf("lamp %d%c", i, 'a'+k)
		at = y.near(at, name)
		d := y.device(name, []string{"lamp-brake", "lamp-rain", "lamp-side", "lamp-pod"}[y.upTo(4)], at)
		y.circuit(fmt.Sprintf("LAMP %d", i), from, "", d, "+", "power", "colour", colour)
		if k == 0 || !shared {
			y.ground(fmt.Sprintf("LAMP %d%c GROUND", i, 'A'+k), d, "-", y.rarely(3, "20"))
		} else {
			y.circuit(fmt.Sprintf("LAMP %dA GROUND", i), d, "-", "", "", "ground")
		}
		from = ""
		y.count(4)
	}
}

func (y *engineBay) pump(i int) {
	name := fmt.Sprintf("pump %d", i)
	d := y.device(name, []string{"fuel-pump-lift", "oil-pump-gearbox"}[y.upTo(2)], y.spot(name))
	y.circuit(fmt.Sprintf("PUMP %d", i), y.mod, y.maybe(fmt.Sprintf("OUT %d", 9+i)), d, "+", "power")
	switch y.upTo(3) {
	case 0:
		y.add("Loads", "device", d, "state", "key on", "mean", y.number(2.5+float64(y.upTo(10))/10, 1))
	case 1:
		y.add("Loads", "device", d, "power", fmt.Sprint(30+y.upTo(20)), "state", "key on")
	}
	y.off(d)
	y.ground(fmt.Sprintf("PUMP %d GROUND", i), d, "-", y.rarely(3, "16"))
	y.count(3)
}

// sensors is a group of sensors on one supply and one return.
func (y *engineBay) sensors(g int) {
	kinds := []string{"sensor-pressure-3w", "air-pressure-map", "damper-position", "brake-pressure", "oil-pressure-temp-4w"}
	at := ""
	for i := range 2 + y.upTo(3) {
		name := fmt.Sprintf("sensor %d.%d", g, i+1)
		kind := kinds[y.upTo(len(kinds))]
		at = y.near(at, name)
		d := y.device(name, kind, at)
		from, back, pin5, pin0 := "", "", "", ""
		if i == 0 {
			from, back, pin5, pin0 = y.ctl, y.ctl, y.maybe(y.supply()), y.maybe(y.back())
		}
		y.circuit(fmt.Sprintf("5V %d", g), from, pin5, d, "5V", "sensor supply")
		y.circuit(fmt.Sprintf("0V %d", g), back, pin0, d, "0V", "sensor return")
		signal := fmt.Sprintf("SIGNAL %d.%d", g, i+1)
		if y.chance(2) {
			y.circuit(signal, d, "OUT", y.ctl, y.pin("AN", 24), y.maybe("signal"), "gauge", y.rarely(4, "22"))
		} else {
			y.circuit(signal, y.ctl, y.pin("AN", 24), d, "OUT", y.maybe("signal"))
		}
		y.onCavity(signal)
		if kind == "oil-pressure-temp-4w" {
			y.circuit(signal+" T", d, "TEMP", y.ctl, "", "signal")
			y.count(2)
		}
		y.count(5)
	}
	y.count(3)
}

// onCavity gives the signal bulkhead's cavity of a circuit now and then, where
// its part is given. Cavities of 38999-25-35 are numbered from 1.
func (y *engineBay) onCavity(circuit string) {
	if y.joinPart == "" || !y.chance(3) || !y.fill() {
		return
	}
	y.cavity++
	y.add("Cavities", "join", y.name("bulkhead signal"), "circuit", y.name(circuit), "cavity", fmt.Sprint(128-y.cavity))
}

func (y *engineBay) temperatures(g int) {
	at := ""
	for i := range 3 {
		name := fmt.Sprintf("temperature %d.%d", g, i+1)
		at = y.near(at, name)
		d := y.device(name, []string{"sensor-temp-2w", "air-temperature"}[y.upTo(2)], at)
		y.circuit(fmt.Sprintf("TEMP %d.%d", g, i+1), d, "SIG", y.ctl, y.pin("TEMP", 8), "")
		from, pin := "", ""
		if i == 0 {
			from, pin = y.ctl, y.maybe(y.back())
		}
		y.circuit(fmt.Sprintf("TEMP 0V %d", g), from, pin, d, "0V", "sensor return")
		y.count(4)
	}
}

func (y *engineBay) knock(i int) {
	name := fmt.Sprintf("knock %d", i)
	d := y.device(name, "knock-2w", y.spot(name))
	cable := y.name(name + " cable")
	y.add("Cables", "cable", cable, "part", "shielded-2x22-44")
	y.circuit(fmt.Sprintf("KNOCK %d +", i), d, "SIG", y.ctl, fmt.Sprintf("KNOCK %d", i), "low-level", "cable", cable)
	y.circuit(fmt.Sprintf("KNOCK %d -", i), d, "0V", y.ctl, fmt.Sprintf("KNOCK %d 0V", i), "sensor return", "cable", cable)
	y.circuit(fmt.Sprintf("KNOCK %d SCREEN", i), d, "SCR", y.ctl, y.maybe(fmt.Sprintf("SCREEN %d", i)), "shield", "cable", cable)
	y.count(6)
}

func (y *engineBay) injectors(g int) {
	for i := range 3 {
		k := 3*(g-1) + i + 1
		name := fmt.Sprintf("injector %d", k)
		d := y.device(name, "injector-2w", y.spot(name))
		from := ""
		if i == 0 {
			from = y.mod
		}
		y.circuit(fmt.Sprintf("INJ SUPPLY %d", g), from, "", d, "+", "power")
		y.circuit(fmt.Sprintf("INJ %d", k), y.ctl, y.maybe(fmt.Sprintf("INJ %d", k)), d, "-", y.maybe("injection"))
		y.count(4)
	}
}

// coils share a supply and a ground.
func (y *engineBay) coils(g int) {
	for i := range 2 {
		k := 2*(g-1) + i + 1
		name := fmt.Sprintf("coil %d", k)
		d := y.device(name, "coil-on-plug-3w", y.spot(name))
		from, to := "", ""
		if i == 0 {
			from, to = y.mod, y.name("E1")
		}
		y.circuit(fmt.Sprintf("COIL SUPPLY %d", g), from, "", d, "+", "power")
		y.circuit(fmt.Sprintf("COIL GROUND %d", g), d, "-", to, "", "ground")
		y.circuit(fmt.Sprintf("COIL %d", k), y.ctl, y.maybe(fmt.Sprintf("COIL %d", k)), d, "TRIG", "ignition")
		y.count(6)
	}
}

// switches sit in the bay and share one return.
func (y *engineBay) switches() {
	from, pin := y.ctl, y.maybe(y.back())
	for i := 1; i <= 4; i++ {
		name := fmt.Sprintf("switch %d", i)
		d := y.device(name, []string{"switch-2p", "switch-brake-2p", "switch-neutral"}[y.upTo(3)], y.spot(name))
		y.circuit(fmt.Sprintf("SWITCH %d", i), d, "1", y.ctl, y.pin("DIG", 6), "")
		y.circuit("SWITCH 0V", from, pin, d, "2", "sensor return")
		from, pin = "", ""
		y.count(4)
	}
}

func (y *engineBay) throttle() {
	d := y.device("throttle", "throttle-6w", y.spot("throttle"))
	for i, l := range []string{"+", "-"} {
		y.circuit("MOTOR "+l, y.ctl, fmt.Sprintf("HB %d", i+1), d, "M"+l, "power", "twist", y.name("motor"))
	}
	y.circuit("THROTTLE 5V", y.ctl, y.maybe(y.supply()), d, "5V", "sensor supply")
	y.circuit("THROTTLE 0V", y.ctl, y.maybe(y.back()), d, "0V", "sensor return")
	for i := 1; i <= 2; i++ {
		y.circuit(fmt.Sprintf("THROTTLE %d", i), d, fmt.Sprintf("POS %d", i), y.ctl, y.pin("AN", 24), "signal")
	}
	y.count(12)
}

// triggers are a magnetic one on a screened pair and two Hall ones.
func (y *engineBay) triggers() {
	d := y.device("crank trigger", "sensor-crank-vr-2w", y.spot("crank trigger"))
	cable := y.name("crank cable")
	y.add("Cables", "cable", cable, "part", "shielded-2x22-44")
	y.circuit("CRANK +", d, "SIG", y.ctl, "FREQ 1", "low-level", "cable", cable)
	y.circuit("CRANK -", d, "0V", y.ctl, y.maybe(y.back()), "sensor return", "cable", cable)
	y.circuit("CRANK SCREEN", d, "SCR", y.ctl, y.maybe("SCREEN 3"), "shield", "cable", cable)
	from, pin5, pin0 := y.ctl, y.maybe(y.supply()), y.maybe(y.back())
	for i := 1; i <= 2; i++ {
		name := fmt.Sprintf("cam trigger %d", i)
		d := y.device(name, "sensor-cam-hall-3w", y.spot(name))
		y.circuit("CAM 5V", from, pin5, d, "5V", "sensor supply")
		y.circuit("CAM 0V", from, pin0, d, "0V", "sensor return")
		y.circuit(fmt.Sprintf("CAM %d", i), d, "SIG", y.ctl, y.maybe(fmt.Sprintf("FREQ %d", i+1)), "signal")
		from, pin5, pin0 = "", "", ""
	}
	y.count(18)
}

func (y *engineBay) wheels() {
	from, pin5, pin0 := y.ctl, y.maybe(y.supply()), y.maybe(y.back())
	for i := 1; i <= 4; i++ {
		name := fmt.Sprintf("wheel %d", i)
		d := y.device(name, "wheel-speed-3w", y.spot(name))
		y.circuit("WHEEL 5V", from, pin5, d, "5V", "sensor supply")
		y.circuit("WHEEL 0V", from, pin0, d, "0V", "sensor return")
		y.circuit(fmt.Sprintf("WHEEL %d", i), d, "SIG", y.ctl, y.pin("FREQ", 8), "signal")
		from, pin5, pin0 = "", "", ""
		y.count(6)
	}
}

// valves are fed by one output and worked by low side outputs.
func (y *engineBay) valves() {
	from := y.mod
	for i := 1; i <= 3; i++ {
		name := fmt.Sprintf("valve %d", i)
		d := y.device(name, []string{"valve-boost", "valve-cam", "valve-purge", "valve-oil"}[y.upTo(4)], y.spot(name))
		y.circuit("VALVES", from, "", d, "+", "power")
		y.circuit(fmt.Sprintf("VALVE %d", i), y.ctl, y.pin("LS", 8), d, "-", "power")
		from = ""
		y.count(4)
	}
}

// exhaust is a thermocouple amplifier and its thermocouples on a second bus.
func (y *engineBay) exhaust() {
	at := y.spot("amplifier")
	amp := y.device("amplifier", "egt-can-8", at)
	y.circuit("AMPLIFIER", y.mod, "", amp, "+", "power")
	y.ground("AMPLIFIER GROUND", amp, "-", y.rarely(3, "22"))
	for i, l := range []string{"H", "L"} {
		y.circuit("EXHAUST BUS "+l, y.ctl, "CAN3 "+l, amp, "CAN "+l, "data", "twist", y.name("exhaust bus"))
		for k, place := range []string{y.name("controller"), at} {
			if name := fmt.Sprintf("exhaust bus end %d", k+1); i == 0 {
				y.device(name, "terminator-120", place)
			}
			y.circuit("EXHAUST BUS "+l, "", "", y.name(fmt.Sprintf("exhaust bus end %d", k+1)), "CAN "+l, "data", "twist", y.name("exhaust bus"))
		}
	}
	for i := 1; i <= 4; i++ {
		name := fmt.Sprintf("thermocouple %d", i)
		d := y.device(name, "thermocouple-k", y.spot(name))
		cable := y.name(name + " cable")
		y.add("Cables", "cable", cable, "part", "thermocouple-kx-24")
		pin := y.maybe(fmt.Sprintf("T%d", i))
		for _, l := range []string{"+", "-"} {
			at := pin
			if at != "" {
				at += " " + l
			}
			y.circuit(fmt.Sprintf("EXHAUST %d %s", i, l), d, l, amp, at, "thermocouple", "cable", cable)
		}
		y.count(2)
	}
	y.count(12)
}

// heater is a wide band lambda sensor.
func (y *engineBay) heater() {
	d := y.device("lambda", "lambda-5w", y.spot("lambda"))
	y.off(d)
	y.circuit("LAMBDA HEAT", y.mod, "", d, "H+", "power")
	y.circuit("LAMBDA HEATER", y.ctl, y.pin("LS", 8), d, "H-", "power")
	for _, p := range []string{"IP", "VM", "UN"} {
		y.circuit("LAMBDA "+p, y.ctl, "LAMBDA 1 "+p, d, p, "signal")
	}
	y.count(10)
}
