// Package cars makes cars of any size from a seed, for tests and measurements:
// zones, joins, loops, cables, shared grounds and sensor supplies, given and
// blank mixed, written the way people write.
//
// A car grows by blocks of up to about 300 wires: a controller and an output
// module in a cabin, sensors and loads behind bulkheads, a fuse carrier in the
// rear. Neighbouring blocks hang together by an in-line join and a data bus,
// so a way stays local as a car grows. Which parts a block has, how they are
// named and which cells are filled follows from the seed.
package cars

import (
	"fmt"
	"strings"

	"keyon/model/design"
)

// Options shape a car.
type Options struct {
	Blank float64 // share left blank of the cells that may be: 0 gives all the generator can, 1 none
}

// Mixed leaves every second cell that may be blank so.
var Mixed = Options{Blank: 0.5}

// Blank leaves all of them blank.
var Blank = Options{Blank: 1}

// Make builds a car of about that many wires, ten or more.
func Make(seed uint64, wires int, o Options) *design.Book {
	m := begin(seed, wires, o)
	m.style, m.prefix, m.comma = m.upTo(5), m.upTo(4), m.chance(4)
	m.car(fmt.Sprintf("generated %d-%d", seed, wires))
	m.b.Identify()
	return m.b
}

func begin(seed uint64, wires int, o Options) *maker {
	m := &maker{b: design.NewBook(), s: seed, o: o, all: wires}
	m.s = m.next() ^ uint64(wires)<<32 // neighbouring seeds start far apart
	return m
}

// car fills the tables.
func (m *maker) car(name string) {
	m.add("Car", "key", "name", "value", name)
	m.add("Car", "key", "decimal", "value", map[bool]string{true: "comma", false: "point"}[m.comma])
	m.add("Car", "key", "family", "value", "AS22759/41")
	if m.chance(3) {
		m.add("Car", "key", "altitude", "value", fmt.Sprintf("%d m", 300*m.upTo(9)))
	}
	for _, z := range [][3]string{{"cabin", "50", "dry"}, {"engine bay", "100", "splash, oil, heat"}, {"exhaust side", "120", "heat"}, {"rear", "60", "splash, fuel"}} {
		m.add("Zones", "zone", z[0], "ambient", z[1], "exposures", z[2])
	}
	m.add("Assemblies", "assembly", "engine", "metal", "yes")
	m.states()
	if m.chance(3) {
		m.add("Limits", "limit", "tail", "value", fmt.Sprint(120+10*m.upTo(10)), "reason", "finished on the car")
	}
	if m.chance(2) {
		for _, r := range [][3]string{{"22", "WH", "200"}, {"20", "RD", "60"}, {"16", "BK", "35"}, {"12", "RD", "20"}} {
			m.add("Stock", "part", "AS22759/41", "gauge", r[0], "colour", r[1], "metres", r[2])
		}
	}
	for left, n := m.all, 0; left > 0; n++ {
		left -= m.block(n, left)
	}
}

// maker builds one car.
type maker struct {
	b   *design.Book
	s   uint64
	o   Options
	all int // wires the whole car is to have

	style, prefix int  // how names are written
	comma         bool // decimal comma

	n     int // block
	x     int // where the block sits, mm
	wires int // expected so far in the block
	want  int // expected of it

	bat, rail, ctl, mod, dash string         // devices of the block
	before, beforeAt          string         // dash of the block before and its place
	beforeMod                 string         // its module
	given                     map[string]int // next given pin of a kind, from the top down
	supplies, returns         int            // sensor supply and return pins taken
	joinPart                  string         // part given for the signal bulkhead
	cavity                    int            // next given cavity there
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

// fill says whether a cell that may be blank is filled here.
func (m *maker) fill() bool { return float64(m.next()>>11)/(1<<53) >= m.o.Blank }

// maybe is the text, or blank.
func (m *maker) maybe(text string) string {
	if m.fill() {
		return text
	}
	return ""
}

// rarely is the text in one of n cells that would be filled.
func (m *maker) rarely(n int, text string) string {
	if !m.chance(n) {
		return ""
	}
	return m.maybe(text)
}

func (m *maker) full() bool { return m.wires >= m.want }

// count adds to the wires the block is expected to have.
func (m *maker) count(n int) { m.wires += n }

func (m *maker) add(table string, pairs ...string) { m.b.Sheet(table).Add(pairs...) }

// number writes a quantity the way the car writes them.
func (m *maker) number(x float64, places int) string {
	t := fmt.Sprintf("%.*f", places, x)
	if m.comma {
		t = strings.Replace(t, ".", ",", 1)
	}
	return t
}

// length writes a length in one of the units people measure in.
func (m *maker) length(mm int) string {
	switch m.upTo(6) {
	case 0:
		return fmt.Sprintf("%d mm", mm)
	case 1:
		return m.number(float64(mm)/10, 1) + " cm"
	case 2:
		return m.number(float64(mm)/25.4, 1) + " in"
	case 3:
		return m.number(float64(mm)/1000, 2) + " m"
	}
	return fmt.Sprint(mm)
}

// name writes a thing's name in the car's style, with its block.
func (m *maker) name(s string) string {
	switch m.style {
	case 1:
		s = strings.ToUpper(s)
	case 2:
		s = strings.ReplaceAll(s, " ", "_")
	case 3:
		s = strings.ToUpper(s[:1]) + s[1:]
	case 4:
		s = strings.NewReplacer("lamp", "Leuchte", "pump", "Pumpe", "sensor", "Fühler", "switch", "Schalter", "ground", "Masse").Replace(s)
	}
	switch {
	case m.n == 0:
		return s
	case m.prefix == 0:
		return fmt.Sprintf("%d %s", m.n+1, s)
	case m.prefix == 1:
		return fmt.Sprintf("%s (%d)", s, m.n+1)
	case m.prefix == 2:
		return fmt.Sprintf("%s #%d", s, m.n+1)
	}
	return fmt.Sprintf("%d/%s", m.n+1, s)
}

// place adds a place of the block, positions in mm from its origin.
func (m *maker) place(name string, x, y, z int, zone, assembly string) string {
	name = m.name(name)
	state := []string{"measured", "measured", "mocked-up", "planned"}[m.upTo(4)]
	m.add("Places", "place", name, "x", fmt.Sprint(m.x+x), "y", fmt.Sprint(y), "z", fmt.Sprint(z), "±", "5", "state", state, "zone", zone, "assembly", assembly)
	return name
}

// leg adds a leg; at is its length where it is given, 0 for never.
func (m *maker) leg(from, to, loom string, at int, keepOut string) {
	length := ""
	if at > 0 {
		length = m.maybe(m.length(at))
	}
	if m.chance(2) {
		from, to = to, from
	}
	m.add("Legs", "from", from, "to", to, "length", length, "keep out", keepOut, "loom", loom, "build", []string{"twisted", "twisted", "taped", "loose"}[m.upTo(4)], "finish", []string{"", "bench", "bench", "car"}[m.upTo(4)])
}

func (m *maker) device(name, part, place string) string {
	name = m.name(name)
	m.add("Devices", "device", name, "part", part, "place", place)
	return name
}

// circuit adds a row of a circuit; its two sides in either order.
func (m *maker) circuit(name, from, fromPin, to, toPin, class string, more ...string) {
	m.add("Circuits", append([]string{"circuit", m.name(name), "from device", from, "from pin", fromPin, "to device", to, "to pin", toPin, "class", class}, more...)...)
}

// pin is the next pin of a numbered kind where it is given. Given ones count
// down from the top, so that blank ones find theirs below.
func (m *maker) pin(kind string, most int) string {
	n := m.given[kind]
	if !m.fill() {
		return ""
	}
	m.given[kind]++
	return fmt.Sprintf("%s %d", kind, most-n)
}

// supply and back are the next sensor supply and return of the controller:
// banks A and B take turns.
func (m *maker) supply() string {
	m.supplies++
	return fmt.Sprintf("5V %s%d", []string{"A", "B"}[m.supplies%2], (m.supplies+1)/2)
}

func (m *maker) back() string {
	m.returns++
	return fmt.Sprintf("0V %s%d", []string{"A", "B"}[m.returns%2], (m.returns+1)/2)
}

// states are those of every car; one with an alternator runs on it.
func (m *maker) states() {
	m.add("States", "state", "key on", "source", "battery", "volts", m.number(12.4, 1))
	if m.all < 80 {
		m.add("States", "state", "running", "source", "battery", "volts", m.number(13.8, 1))
		return
	}
	m.add("States", "state", "cranking", "source", "battery", "volts", m.number(12.4, 1), "engine speed", "250", "seconds", "5")
	m.add("States", "state", "idle", "source", "alternator", "volts", m.number(13.6, 1), "engine speed", "900")
	m.add("States", "state", "full load", "source", "alternator", "volts", m.number(14.1, 1), "engine speed", "7500")
	if m.chance(2) {
		m.add("States", "state", "service", "source", "battery", "volts", m.number(12.4, 1), "seconds", "600", "ambient", "25")
	}
}
