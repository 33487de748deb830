package build_test

import (
	"slices"
	"strings"
	"testing"

	"keyon/app/build"
	"keyon/examples"
	"keyon/model/design"
	"keyon/model/finding"
	"keyon/store/workbook"
)

// mistake is one thing a person gets wrong on a car that is right, the rule
// that must say so, and the thing it must say it about.
type mistake struct {
	what        string
	make        func(b *design.Book)
	rule, thing string
}

// find gives the rows of a table whose columns hold the texts.
func find(b *design.Book, table string, match ...string) []int {
	s := b.Sheet(table)
	var out []int
	for r := range s.Rows {
		hit := true
		for i := 0; i < len(match); i += 2 {
			hit = hit && s.Text(r, match[i]) == match[i+1]
		}
		if hit {
			out = append(out, r)
		}
	}
	if len(out) == 0 {
		panic(table + ": no row with " + strings.Join(match, " "))
	}
	return out
}

// write sets a column of the rows that match.
func write(table, column, text string, match ...string) func(*design.Book) {
	return func(b *design.Book) {
		s := b.Sheet(table)
		for _, r := range find(b, table, match...) {
			s.Rows[r].Cells[s.Table.Index(column)] = design.Cell{Text: text}
		}
	}
}

// drop deletes the rows that match.
func drop(table string, match ...string) func(*design.Book) {
	return func(b *design.Book) {
		s := b.Sheet(table)
		rows := find(b, table, match...)
		slices.Reverse(rows)
		for _, r := range rows {
			s.Rows = slices.Delete(s.Rows, r, r+1)
		}
	}
}

// add appends a row.
func add(table string, pairs ...string) func(*design.Book) {
	return func(b *design.Book) {
		b.Sheet(table).Add(pairs...)
		b.Identify()
	}
}

func both(fs ...func(*design.Book)) func(*design.Book) {
	return func(b *design.Book) {
		for _, f := range fs {
			f(b)
		}
	}
}

// mistakes are planted in the example car, which has no open stop.
var mistakes = []mistake{
	// is everything there
	{"ground forgotten", drop("Circuits", "circuit", "GND WIPER"), "complete.ground", "wiper"},
	{"supply forgotten", drop("Circuits", "circuit", "BLOWER"), "complete.supply", "blower"},
	{"signal forgotten", drop("Circuits", "circuit", "CRANK +"), "complete.pin", "crank trigger"},
	{"two circuits on one pin", write("Circuits", "to pin", "KNOCK 1", "circuit", "KNOCK 2 +"), "complete.twice", "KNOCK"},
	{"a circuit with one end", add("Circuits", "circuit", "LONELY", "from device", "controller", "from pin", "DIG 2", "class", "signal"), "complete.end", "LONELY"},
	{"a device nobody wired", add("Devices", "device", "second horn", "part", "lamp-rain", "place", "rain lamp"), "complete.supply", "second horn"},

	// what can be made
	{"thick wire in a small contact", write("Circuits", "gauge", "12", "circuit", "PEDAL POS 1"), "buildable.gauge", "PEDAL POS 1"},
	{"grommet too small", write("Legs", "hole", "9", "from", "left footwell", "to", "tunnel front"), "buildable.hole", "tunnel front"},
	{"too many lugs", write("Studs", "most lugs", "1", "stud", "G4"), "buildable.lugs", "G4"},
	{"sleeve too small", write("Legs", "sleeve", "23053/5-101", "from", "engine rear", "to", "valley rear"), "buildable.pass", "valley rear"},
	{"unknown sleeve", write("Legs", "sleeve", "stocking", "from", "engine rear", "to", "valley rear"), "resolve.name", "stocking"},
	{"a cavity that isn't there", add("Cavities", "join", "B1", "circuit", "CRANK +", "n", "1", "cavity", "ZZ9"), "cross.cavity", "CRANK +"},
	{"bulkhead connector too small", write("Joins", "part", "38999-9-98S", "join", "B1"), "route.cavities", "B1"},
	{"bench leg through the exhaust: too hot", write("Zones", "ambient", "240", "zone", "exhaust side"), "surroundings.heat", ""},
	{"thin wire in a hot bay", both(write("Zones", "ambient", "150", "zone", "nose"), write("Circuits", "gauge", "20", "circuit", "WATER PUMP")), "surroundings.conductor", ""},
	{"open relay socket in the spray", write("Devices", "place", "nose centre", "device", "relay compressor"), "surroundings.wet", "relay compressor"},

	// electrics
	{"thin wire to a fan", write("Circuits", "gauge", "22", "circuit", "FAN 1"), "electrical.protects", "FAN 1"},
	{"thin wire to a fan is too hot", write("Circuits", "gauge", "22", "circuit", "FAN 1"), "electrical.capacity", "FAN 1: gauge 22 carries 16.00 A"},
	{"thin wire to a fan loses volts", write("Circuits", "gauge", "22", "circuit", "FAN 1"), "electrical.drop", "FAN 1"},
	{"thin ground of a fan in hot air", both(write("Zones", "ambient", "150", "zone", "nose"), write("Circuits", "gauge", "20", "circuit", "GND FAN 1")), "electrical.capacity", "GND FAN 1"},
	{"thin wire to a pump loses volts", write("Circuits", "gauge", "20", "circuit", "FUEL MAIN"), "electrical.drop", "fuel main pump"},
	{"fuse larger than its wire", both(write("Circuits", "gauge", "22", "circuit", "DASH SUPPLY"), write("Feeds", "setting", "25", "feed", "OUT 2"), write("Circuits", "from pin", "OUT 2", "circuit", "DASH SUPPLY", "from device", "module")), "electrical.protects", "OUT 2"},
	{"fuse too small for its load", write("Feeds", "setting", "5", "feed", "REAR F1"), "electrical.share", "REAR F1"},
	{"sensor ground on the chassis", write("Circuits", "to device", "G8", "circuit", "0V PEDAL 1", "to device", "pedal"), "electrical.return", "0V PEDAL 1"},
	{"sensor on an output", write("Circuits", "to pin", "LS 3", "circuit", "PEDAL POS 1"), "electrical.role", "PEDAL POS 1"},
	{"battery not connected", drop("Circuits", "circuit", "BATTERY +"), "complete.supply", "isolator"},
	{"the contact that opens", write("Circuits", "from pin", "87a", "circuit", "COMPRESSOR"), "electrical.unfed", "compressor"},
	{"pump asks for more volts", add("Loads", "device", "fuel main pump", "mean", "7.2", "state", "idle", "least volts", "13.5"), "electrical.volts", "fuel main pump"},
	{"a load its pin can't carry", add("Loads", "device", "water pump", "state", "hot idle", "mean", "18"), "electrical.pin", "water pump"},
	{"a load that its way can't feed", add("Loads", "device", "fan 1", "state", "hot idle", "mean", "90"), "electrical.volts", "fan 1 gets"},
	{"a sensor supply that carries too much", add("Loads", "device", "manifold pressure", "mean", "0.7"), "electrical.bank", "controller"},
	{"no fuse for that load", write("Loads", "mean", "45", "device", "compressor", "state", "idle"), "size.feed", "REAR F3"},
	{"watts nobody can deliver", both(
		add("Parts", "part", "heater", "kind", "device", "connector", "38999-9-98S"),
		add("Pins", "part", "heater", "pin", "A", "role", "supply in"), add("Pins", "part", "heater", "pin", "B", "role", "ground"),
		add("Devices", "device", "seat heater", "part", "heater", "place", "dash"),
		add("Circuits", "circuit", "HEATER", "from device", "module", "from pin", "OUT 20", "to device", "seat heater", "to pin", "A", "class", "power"),
		add("Circuits", "circuit", "GND HEATER", "from device", "seat heater", "from pin", "B", "to device", "G10", "class", "ground"),
		add("Loads", "device", "seat heater", "state", "idle", "power", "1500"),
		write("Circuits", "gauge", "20", "circuit", "HEATER")), "power.network", "seat heater"},

	// signals
	{"bus without its second terminator", drop("Circuits", "to device", "bus end logger"), "signal.ends", "BUS 2"},
	{"thermocouple on copper", write("Cables", "part", "shielded-2x22-44", "cable", "thermocouple cable 1"), "signal.metal", "EGT 1"},
	{"screen grounded at both ends", add("Circuits", "circuit", "CRANK SCREEN", "to device", "G4", "class", "shield"), "signal.shield", "CRANK SCREEN"},
	{"bus not twisted", write("Circuits", "twist", "", "circuit", "BUS 1 H"), "signal.twist", "BUS 1"},
	{"long stub", both(write("Legs", "length", "1400", "from", "dash centre", "to", "keypad"), add("Splices", "circuit", "BUS 1 H", "place", "dash centre"), add("Splices", "circuit", "BUS 1 L", "place", "dash centre")), "signal.stub", "BUS 1"},
	{"bus too long", add("Limits", "limit", "bus length", "value", "2", "reason", "test"), "signal.length", "BUS"},
	{"crank pair bare beside the coils", both(write("Circuits", "cable", "", "circuit", "CRANK +"), write("Circuits", "cable", "", "circuit", "CRANK -")), "signal.apart", "CRANK +"},

	// names, places, ways
	{"misspelt device", write("Circuits", "from device", "pedel", "circuit", "PEDAL POS 1"), "resolve.name", "pedel"},
	{"one name for two things", add("Studs", "stud", "wiper", "place", "dash centre", "use", "ground"), "resolve.twin", "wiper"},
	{"a leg to its own place", add("Legs", "from", "dash", "to", "dash"), "resolve.leg", "dash"},
	{"a leg without length", both(add("Places", "place", "shelf"), add("Legs", "from", "dash", "to", "shelf")), "resolve.length", "shelf"},
	{"half a position", write("Places", "z", "", "place", "dash"), "resolve.position", "dash"},
	{"amps and watts at once", write("Loads", "power", "20", "device", "fuel lift pump"), "resolve.load", "fuel lift pump"},
	{"a pin without its device", add("Circuits", "circuit", "STRAY", "from pin", "7", "to device", "G8", "class", "ground"), "resolve.side", "STRAY"},
	{"a state fed by nothing", write("States", "source", "hope", "state", "service"), "resolve.source", "service"},
	{"above 60 V", write("Car", "value", "400", "key", "volts"), "resolve.scope", ""},
	{"cable with too few cores", add("Circuits", "circuit", "CRANK AGAIN", "from device", "crank trigger", "to device", "controller", "class", "low-level", "cable", "knock cable 1"), "resolve.cores", "knock cable 1"},
	{"legs of a loom that don't meet", write("Legs", "loom", "rear loom", "from", "dash centre", "to", "wiper"), "resolve.loom", "loom"},
	{"circuit of two classes", write("Circuits", "class", "signal", "circuit", "BUS 1 H", "to device", "dash"), "resolve.conflict", "BUS 1 H"},
	{"no way", write("Legs", "keep out", "signal", "from", "dash right", "to", "pedals"), "route.way", ""},
	{"a splice off the way", add("Splices", "circuit", "ENGINE VALVES", "place", "tail"), "route.given", "ENGINE VALVES"},
	{"length that doesn't reach", nil, "cut.short", "60 mm"}, // needs a wire's ID: planted below

	// pins, feeds, studs
	{"more inputs than the controller has", func(b *design.Book) {
		for i := range 60 {
			b.Sheet("Devices").Add("device", "extra "+string(rune('A'+i%26))+string(rune('a'+i/26)), "part", "sensor-temp-2w", "place", "dash")
			b.Sheet("Circuits").Add("circuit", "X "+string(rune('A'+i%26))+string(rune('a'+i/26)), "from device", "extra "+string(rune('A'+i%26))+string(rune('a'+i/26)), "from pin", "SIG", "to device", "controller", "class", "signal")
		}
		b.Identify()
	}, "assign.pin", "controller"},
	{"a feed that feeds nothing", write("Circuits", "feed", "REAR F2", "circuit", "FUEL MAIN"), "assign.beside", "FUEL MAIN"},
	{"a gauge nobody makes in that family", write("Circuits", "wire", "AS00000", "circuit", "PEDAL POS 1"), "resolve.name", "AS00000"},

	{"studs full", func(b *design.Book) {
		for _, r := range find(b, "Studs", "use", "ground") {
			b.Sheet("Studs").Rows[r].Cells[b.Sheet("Studs").Table.Index("most lugs")] = design.Cell{Text: "1"}
		}
	}, "assign.stud", ""},
	{"a spare share no connector has", write("Joins", "spare share", "95 %", "join", "B1"), "cross.part", "B1"},
	{"sensor pair that branches", add("Circuits", "circuit", "CRANK +", "to device", "logger", "class", "low-level"), "route.points", "CRANK +"},
	{"a thin wire to the bus bar of the module", write("Circuits", "gauge", "16", "circuit", "MODULE SUPPLY"), "electrical.bus", "module"},
	{"a contact that gets hot", add("Loads", "device", "water pump", "state", "hot idle", "mean", "18"), "electrical.contact", "WATER PUMP"},
	{"plugs moved together", write("Devices", "place", "damper front left", "device", "radiator temperature"), "crossplug.key", "radiator temperature"},
	{"a handed loom without its hand", write("Looms", "twin of", "cabin loom", "loom", "engine loom"), "crossplug.hand", "engine loom"},
	{"a splice beside the plug", add("Splices", "circuit", "INJ SUPPLY 1", "place", "injector 1"), "buildable.reach", "INJ SUPPLY 1"},

	// cells
	{"a length that isn't one", write("Legs", "length", "long", "from", "dash right", "to", "pedals"), "table.garbled", ""},
	{"a device without a part", write("Devices", "part", "", "device", "dash"), "table.must", "dash"},
	{"a device twice", add("Devices", "device", "dash", "part", "lamp-rain", "place", "dash"), "table.twice", "dash"},
	{"waiver of nothing", add("Waivers", "rule", "signal.stub", "thing", "BUS 9", "reason", "test", "name", "anna"), "waiver.idle", "BUS 9"},
	{"waiver of no rule", add("Waivers", "rule", "signal.sturb", "thing", "BUS 1 H", "reason", "test", "name", "anna"), "waiver.rule", ""},
	{"part nobody knows", write("Devices", "part", "dash-9000", "device", "dash"), "resolve.name", "dash"},
	{"like a part nobody knows", add("Parts", "part", "one", "kind", "device", "like", "dash-9000"), "part.unknown", ""},
	{"a size that isn't one", add("Parts", "part", "own wire", "kind", "wire", "gauge", "fat"), "part.gauge", ""},
	{"a pin of nobody", add("Pins", "part", "nobody", "pin", "1"), "part.pin", ""},
	{"a role nobody knows", both(add("Parts", "part", "own box", "kind", "device", "connector", "38999-9-35S"), add("Pins", "part", "own box", "pin", "1", "role", "wizardry")), "part.role", ""},
	{"own part with a catalogue part's name", add("Parts", "part", "wiper", "kind", "device", "like", "wiper"), "part.replaces", ""},
	{"parts like each other", both(add("Parts", "part", "one", "kind", "device", "like", "two"), add("Parts", "part", "two", "kind", "device", "like", "one")), "part.loop", ""},
}

// TestMistakes plants mistakes one by one: the rule must report the thing,
// and must not have reported it before.
func TestMistakes(t *testing.T) {
	r, err := workbook.ReadFolder("tern", examples.Folder("tern"))
	if err != nil {
		t.Fatal(err)
	}
	good := r.Book
	good.Identify()
	_, plan := run(t, good, nil)
	before := map[string]bool{}
	key := func(v *finding.Verdict) string {
		return v.Rule.ID + "|" + v.Place.ID + "|" + v.Place.Field + "|" + v.What
	}
	for i := range plan.Verdicts {
		if v := &plan.Verdicts[i]; v.Open() {
			before[key(v)] = true
			if v.Severity() == finding.Stop {
				t.Fatalf("the good car has a stop: %s", key(v))
			}
		}
	}
	wire := ""
	for i := range plan.Wires.List {
		if w := &plan.Wires.List[i]; plan.Things.Circuits[w.Circuit].Name == "PEDAL POS 1" {
			wire = w.ID
		}
	}
	covered := map[string]bool{}
	for _, m := range mistakes {
		t.Run(m.what, func(t *testing.T) {
			b := good.Clone()
			if m.make == nil {
				m.make = add("Wires", "wire", wire, "length", "60")
			}
			m.make(b)
			_, p := run(t, b, nil)
			covered[m.rule] = true
			var other []string
			for i := range p.Verdicts {
				v := &p.Verdicts[i]
				if !v.Open() || before[key(v)] {
					continue
				}
				if v.Rule.ID == m.rule && strings.Contains(v.Place.ID+" "+v.What, m.thing) {
					return
				}
				if v.Rule.ID == m.rule {
					other = slices.Insert(other, 0, key(v))
				} else {
					other = append(other, key(v))
				}
			}
			t.Errorf("%s said nothing about %q; new were: %s", m.rule, m.thing, strings.Join(other[:min(len(other), 12)], "\n  "))
		})
	}
	for _, r := range build.AllRules() {
		if !covered[r.ID] && !slices.Contains(elsewhere, r.ID) {
			t.Errorf("no mistake is planted for %s", r.ID)
		}
	}
}

// elsewhere are rules whose mistakes are planted in tests of their own.
var elsewhere = []string{
	"assign.feed", "assign.kept", "route.kept", "cross.kept", "cross.key", "complete.plug", // tests of assign, route, cross and complete
	"size.contact", "size.gauge", "bundle.sleeve", "complete.idle", "size.splice", "buildable.figures", "buildable.entry", "buildable.seal", "buildable.splice", "buildable.bundle",
}
