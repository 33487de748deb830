package build_test

import (
	"fmt"

	"keyon/app/build"
	"keyon/model/design"
	"keyon/model/part"
)

// mistakes are planted in the example car, which has no open stop.
var mistakes = []mistake{
	// is everything there
	{"ground forgotten", drop("Circuits", "circuit", "GND WIPER"), "complete.ground", "Devices.part wiper", "wiper", nil},
	{"supply forgotten", drop("Circuits", "circuit", "BLOWER"), "complete.supply", "Devices.part blower", "blower", []string{"complete.idle OUT 13"}},
	{"battery not connected", drop("Circuits", "circuit", "BATTERY +"), "complete.supply", "Devices.part isolator", "BAT", []string{"complete.idle isolator"}},
	{"signal forgotten", drop("Circuits", "circuit", "CRANK +"), "complete.pin", "Devices.part crank trigger", "SIG", nil},
	{"two circuits on one pin", write("Circuits", "to pin", "KNOCK 1", "circuit", "KNOCK 2 +"), "complete.twice", "Circuits.to pin KNOCK 2 +", "KNOCK 1", nil},
	{"a circuit with one end", add("Circuits", "circuit", "LONELY", "from device", "controller", "from pin", "DIG 2", "class", "signal"), "complete.end", "Circuits.to device LONELY", "1 end", nil},
	{"a device nobody wired", add("Devices", "device", "second horn", "part", "horn", "place", "tail"), "complete.supply", "Devices.part second horn", "nothing is connected", nil},
	{"a stud nobody uses", add("Studs", "stud", "G20", "place", "dash centre", "use", "ground"), "complete.idle", "Studs.stud G20", "G20", nil},

	// what can be made
	{"thick wire in a small contact", write("Circuits", "gauge", "12", "circuit", "PEDAL POS 1"), "buildable.gauge", "Circuits.gauge PEDAL POS 1", "22D", nil},
	{"grommet too small", write("Legs", "hole", "9", "from", "left footwell", "to", "tunnel front"), "buildable.hole", "Legs.hole left footwell", "9.0 mm", nil},
	{"too many lugs", write("Studs", "most lugs", "1", "stud", "G4"), "buildable.lugs", "Studs.most lugs G4", "2 lugs", []string{"buildable.reach GND COILS 1"}},
	{"sleeve too small", write("Legs", "sleeve", "23053/5-101", "from", "engine rear", "to", "valley rear"), "buildable.pass", "Legs.sleeve engine rear", "1.2 mm", nil},
	{"unknown sleeve", write("Legs", "sleeve", "stocking", "from", "engine rear", "to", "valley rear"), "resolve.name", "Legs.sleeve engine rear", "stocking", nil},
	{"a splice beside the plug", add("Splices", "circuit", "BRAKE LAMPS", "place", "brake lamp left"), "buildable.reach", "Circuits.circuit BRAKE LAMPS", "110 mm", nil},
	{"a cavity that isn't there", add("Cavities", "join", "B1", "circuit", "CRANK +", "n", "1", "cavity", "ZZ9"), "cross.cavity", "Cavities.cavity B1", "ZZ9", nil},
	{"bulkhead connector too small", write("Joins", "part", "38999-9-98S", "join", "B1"), "route.cavities", "Joins.part B1", "more needed", nil},
	{"a spare share no connector has", write("Joins", "spare share", "95 %", "join", "B1"), "cross.part", "Joins.part B1", "95 %", nil},
	{"a length that doesn't reach", func(b *design.Book) { add("Wires", "wire", wireOf(b, "PEDAL POS 1"), "length", "60")(b) }, "cut.short", "Wires.length", "60 mm", nil},

	// heat and wet
	{"a sensor in the exhaust", both(add("Zones", "zone", "pipe", "ambient", "240"), write("Places", "zone", "pipe", "place", "port 1")), "surroundings.heat", "Devices.place thermocouple 1", "thermocouple 1", []string{"bundle.sleeve 240 °C"}},
	{"open relay socket in the spray", write("Zones", "exposures", "splash", "zone", "rear box"), "surroundings.wet", "Devices.place relay compressor", "relay", []string{"surroundings.wet relay gearbox pump", "surroundings.wet relay lift pump", "buildable.reach GEARBOX SUPPLY"}},

	// electrics
	{"thin wire to a fan", write("Circuits", "gauge", "22", "circuit", "FAN 1"), "electrical.capacity", "Circuits.gauge FAN 1", "gauge 22 carries 16.00 A", []string{"electrical.drop FAN 1", "electrical.protects FAN 1", "electrical.volts fan 1", "buildable.gauge FAN 1"}},
	{"thin wire to a pump", write("Circuits", "gauge", "20", "circuit", "FUEL MAIN"), "electrical.protects", "Circuits.gauge FUEL MAIN", "feed REAR F1", []string{"electrical.drop FUEL MAIN", "buildable.seal FUEL MAIN"}},
	{"a wire a size too thin", write("Circuits", "gauge", "18", "circuit", "GND WATER PUMP"), "electrical.drop", "Circuits.gauge GND WATER PUMP", "0.54 V", nil},
	{"thin ground of a pump", write("Circuits", "gauge", "20", "circuit", "GND WATER PUMP"), "buildable.seal", "Circuits.gauge GND WATER PUMP", "1.47 mm", []string{"electrical.drop GND WATER PUMP"}},
	{"a thin wire to the module", write("Circuits", "gauge", "16", "circuit", "MODULE SUPPLY"), "electrical.capacity", "Circuits.gauge MODULE SUPPLY", "78.90 A", []string{"electrical.volts 17 more loads"}},
	{"fuse larger than its wire", write("Feeds", "setting", "15", "feed", "REAR F2"), "electrical.protects", "Feeds.setting REAR F2", "REAR F2", nil},
	{"fuse too small for its load", write("Feeds", "setting", "5", "feed", "REAR F1"), "electrical.share", "Feeds.setting REAR F1", "3.75 A", nil},
	{"sensor ground on the chassis", both(write("Circuits", "from pin", "", "from device", "controller", "circuit", "0V PEDAL 1"), write("Circuits", "from device", "G8", "from device", "controller", "circuit", "0V PEDAL 1")), "electrical.return", "Circuits.from device 0V PEDAL 1", "clutch travel", nil},
	{"sensor on an output", write("Circuits", "to pin", "LS 3", "circuit", "PEDAL POS 1"), "electrical.role", "Circuits.to pin PEDAL POS 1", "LS 3", nil},
	{"the contact that opens", both(
		add("Parts", "part", "relay open", "kind", "device", "connector", "relay-socket-5"),
		add("Pins", "part", "relay open", "pin", "30", "role", "supply in"), add("Pins", "part", "relay open", "pin", "87", "role", "supply out"),
		add("Pins", "part", "relay open", "pin", "86", "role", "supply in", "group", "coil"), add("Pins", "part", "relay open", "pin", "85", "role", "load -", "group", "coil"),
		add("Links", "part", "relay open", "from pin", "30", "to pin", "87", "kind", "contact", "closed in", "service"),
		write("Devices", "part", "relay open", "device", "relay compressor")), "electrical.unfed", "Devices.part compressor", "idle", nil},
	{"pump asks for more volts", add("Loads", "device", "fuel main pump", "mean", "7.2", "state", "idle", "least volts", "13.5"), "electrical.volts", "Loads. fuel main pump", "13.50 V", nil},
	{"a load its pin can't carry", add("Loads", "device", "logger", "state", "idle", "mean", "4.2"), "electrical.pin", "Circuits.from pin GND LOGGER", "logger pin -", []string{"electrical.pin logger pin +", "electrical.drop LOGGER SUPPLY", "complete.idle OUT 32"}},
	{"a contact that gets hot", add("Loads", "device", "water pump", "state", "hot idle", "mean", "14"), "electrical.contact", "Circuits.gauge WATER PUMP", "14.00 A", []string{"electrical.drop WATER PUMP", "electrical.pin WATER PUMP", "electrical.pin GND WATER PUMP", "electrical.protects WATER PUMP", "buildable.reach WATER PUMP"}},
	{"a trunk that loses volts", both(write("Circuits", "gauge", "8", "circuit", "MODULE SUPPLY"), add("Limits", "limit", "drop source to bus", "value", "0.3", "reason", "test")), "electrical.bus", "Devices.part module", "module", nil},
	{"a fan that asks for more than its channel gives", add("Loads", "device", "fan 1", "state", "hot idle", "mean", "30"), "size.feed", "Feeds.setting OUT 1", "30 A", []string{"electrical.capacity FAN 1", "electrical.pin FAN 1", "electrical.drop FAN 1", "buildable.reach FAN 1"}},
	{"a sensor supply that carries too much", add("Loads", "device", "manifold pressure", "mean", "0.7"), "assign.pin", "Circuits.from pin 5V TRIGGERS", "sensor supply", []string{"electrical.bank bank 5V A", "electrical.pin ENGINE 1", "electrical.drop 0V ENGINE 1"}},
	{"no fuse for that load", write("Loads", "mean", "45", "device", "compressor", "state", "idle"), "size.feed", "Feeds.setting REAR F3", "REAR F3", []string{"electrical.capacity COMPRESSOR", "electrical.drop COMPRESSOR", "electrical.pin COMPRESSOR", "electrical.volts compressor"}},
	{"watts nobody can deliver", both(
		add("Parts", "part", "heater", "kind", "device", "connector", "38999-11-2S"),
		add("Pins", "part", "heater", "pin", "A", "role", "supply in"), add("Pins", "part", "heater", "pin", "B", "role", "ground"),
		add("Devices", "device", "seat heater", "part", "heater", "place", "dash"),
		add("Circuits", "circuit", "HEATER", "from device", "module", "from pin", "OUT 20", "to device", "seat heater", "to pin", "A", "class", "power", "gauge", "20"),
		add("Circuits", "circuit", "GND HEATER", "from device", "seat heater", "from pin", "B", "to device", "G10", "class", "ground"),
		add("Loads", "device", "seat heater", "state", "idle", "power", "1500")), "power.network", "Loads. seat heater", "seat heater", []string{"buildable.seal HEATER", "buildable.reach GND DASH"}},

	// signals
	{"bus without its second terminator", both(drop("Circuits", "to device", "bus end logger"), drop("Devices", "device", "bus end logger")), "signal.ends", "Circuits.class BUS 2 H", "1 terminator", nil},
	{"thermocouple on copper", write("Cables", "part", "shielded-2x20-44", "cable", "thermocouple cable 1"), "signal.metal", "Circuits.class EGT 1 +", "EGT 1", []string{"signal.metal EGT 1 -"}},
	{"screen grounded at both ends", add("Circuits", "circuit", "CRANK SCREEN", "to device", "G2", "class", "shield"), "signal.shield", "Circuits.class CRANK SCREEN", "2 points", nil},
	{"bus not twisted", write("Circuits", "twist", "", "circuit", "BUS 1 H"), "signal.twist", "Circuits.twist BUS 1 H", "BUS 1 H", []string{"signal.twist BUS 1 L"}},
	{"long stub", both(write("Legs", "length", "1400", "from", "dash centre", "to", "keypad"), add("Splices", "circuit", "BUS 1 H", "place", "dash centre"), add("Splices", "circuit", "BUS 1 L", "place", "dash centre")), "signal.stub", "Circuits.class BUS 1 H", "keypad", []string{"signal.stub branch to module", "crossplug.key keypad"}},
	{"bus too long", add("Limits", "limit", "bus length", "value", "2", "reason", "test"), "signal.length", "Circuits.class BUS 2 H", "5.3 m", nil},
	{"crank pair bare beside the coils", both(write("Circuits", "cable", "", "circuit", "CRANK +"), write("Circuits", "cable", "", "circuit", "CRANK -")), "signal.apart", "Circuits.twist CRANK +", "CRANK +", []string{"signal.twist CRANK +"}},

	// names, places, ways
	{"misspelt device", write("Circuits", "from device", "pedel", "circuit", "PEDAL POS 1"), "resolve.name", "Circuits.from device PEDAL POS 1", "pedel", nil},
	{"part nobody knows", write("Devices", "part", "dash-9000", "device", "dash"), "resolve.name", "Devices.part dash", "dash-9000", nil},
	{"a wire family nobody makes", write("Circuits", "wire", "AS00000", "circuit", "PEDAL POS 1"), "resolve.name", "Circuits.wire PEDAL POS 1", "AS00000", nil},
	{"one name for two things", add("Studs", "stud", "wiper", "place", "dash centre", "use", "ground"), "resolve.twin", "Studs.stud wiper", "wiper", nil},
	{"a leg to its own place", add("Legs", "from", "dash", "to", "dash"), "resolve.leg", "Legs.to dash", "dash", nil},
	{"a leg without length", both(add("Places", "place", "shelf"), add("Legs", "from", "dash", "to", "shelf")), "resolve.length", "Legs.length dash", "shelf", nil},
	{"half a position", write("Places", "z", "", "place", "dash"), "resolve.position", "Places.z dash", "dash", nil},
	{"amps and watts at once", write("Loads", "power", "20", "device", "fuel lift pump"), "resolve.load", "Loads.power fuel lift pump", "twice", nil},
	{"a pin without its device", add("Circuits", "circuit", "STRAY", "from pin", "7", "to device", "G8", "class", "ground"), "resolve.side", "Circuits.from pin STRAY", "7", nil},
	{"a state fed by nothing", write("States", "source", "hope", "state", "service"), "resolve.source", "States.source service", "hope", nil},
	{"above 60 V", write("Car", "value", "400", "key", "volts"), "resolve.scope", "Car.value volts", "400 V", nil},
	{"cable with too few cores", both(add("Devices", "device", "block temperature", "part", "sensor-temp-2w", "place", "valley front"),
		add("Circuits", "circuit", "BLOCK", "from device", "block temperature", "from pin", "SIG", "to device", "controller", "class", "signal", "cable", "knock cable 1"),
		add("Circuits", "circuit", "KNOCK 1 -", "from device", "block temperature", "from pin", "0V", "to device", "controller", "class", "sensor return", "cable", "knock cable 1")), "resolve.cores", "Cables.part knock cable 1", "3 circuits", []string{"buildable.reach KNOCK 1 -"}},
	{"legs of a loom that don't meet", write("Legs", "loom", "rear loom", "from", "dash centre", "to", "wiper"), "resolve.loom", "Legs.loom dash centre", "rear loom", nil},
	{"circuit of two classes", write("Circuits", "class", "signal", "circuit", "BUS 1 H", "to device", "dash"), "resolve.conflict", "Circuits.class BUS 1 H", "signal", nil},
	{"no way", write("Legs", "keep out", "signal", "from", "dash right", "to", "pedals"), "route.way", "Circuits.circuit BRAKE FRONT", "pedals", []string{"route.way between controller and pedals"}},
	{"a splice off the way", add("Splices", "circuit", "ENGINE VALVES", "place", "tail"), "route.given", "Splices.place ENGINE VALVES", "tail", nil},
	{"sensor pair that branches", add("Circuits", "circuit", "CRANK +", "to device", "logger", "class", "low-level"), "route.points", "Circuits.circuit CRANK +", "CRANK +", nil},

	// pins, feeds, studs
	{"more inputs than the logger has", func(b *design.Book) {
		for i := range 12 {
			name := fmt.Sprintf("extra %d", i)
			b.Sheet("Devices").Add("device", name, "part", "damper-position", "place", "tunnel rear")
			b.Sheet("Circuits").Add("circuit", fmt.Sprintf("X%d", i), "from device", name, "from pin", "OUT", "to device", "logger", "class", "signal")
			b.Sheet("Circuits").Add("circuit", "5V LOGGER", "to device", name, "to pin", "5V", "class", "sensor supply")
			b.Sheet("Circuits").Add("circuit", "0V LOGGER", "to device", name, "to pin", "0V", "class", "sensor return")
		}
		b.Identify()
	}, "assign.pin", "Circuits.to pin DAMPER FL", "11 analogue ins more needed", []string{"buildable.splice LOGGER", "buildable.reach LOGGER", "crossplug.key extra 0"}},
	{"a feed that feeds nothing", write("Circuits", "feed", "REAR F2", "circuit", "FUEL MAIN"), "assign.beside", "Circuits.feed FUEL MAIN", "REAR F2", nil},
	{"studs full", write("Studs", "most lugs", "1", "use", "ground"), "assign.stud", "Circuits.to pin GND CAMERA", "no ground stud", []string{"assign.stud no ground stud", "buildable.lugs at most 1", "buildable.reach GND"}},

	// plugs
	{"plugs that reach each other", write("Legs", "length", "1400", "from", "dash centre", "to", "keypad"), "crossplug.key", "Devices.place pedal", "keypad", nil},
	{"a handed loom without its hand", write("Looms", "twin of", "cabin loom", "loom", "engine loom"), "crossplug.hand", "Looms.twin of engine loom", "hand", nil},

	// cells, waivers, own parts
	{"a length that isn't one", write("Legs", "length", "long", "from", "dash right", "to", "pedals"), "table.garbled", "Legs.length dash right", "long", nil},
	{"a device without a part", write("Devices", "part", "", "device", "dash"), "table.must", "Devices.part dash", "blank", nil},
	{"a device twice", add("Devices", "device", "dash", "part", "dash", "place", "dash"), "table.twice", "Devices.device dash", "dash", nil},
	{"waiver of nothing", add("Waivers", "rule", "signal.stub", "thing", "BUS 9", "reason", "test", "name", "anna"), "waiver.idle", "Waivers.rule signal.stub", "BUS 9", nil},
	{"waiver of no rule", add("Waivers", "rule", "signal.sturb", "thing", "BUS 1 H", "reason", "test", "name", "anna"), "waiver.rule", "Waivers.rule signal.sturb", "sturb", nil},
	{"like a part nobody knows", add("Parts", "part", "one", "kind", "device", "like", "dash-9000"), "part.unknown", "Parts.like one", "dash-9000", nil},
	{"a size that isn't one", add("Parts", "part", "own wire", "kind", "wire", "gauge", "fat"), "part.gauge", "Parts.gauge own wire", "fat", nil},
	{"a pin of nobody", add("Pins", "part", "nobody", "pin", "1"), "part.pin", "Pins.part nobody", "nobody", nil},
	{"a role nobody knows", both(add("Parts", "part", "own box", "kind", "device", "connector", "38999-9-35S"), add("Pins", "part", "own box", "pin", "1", "role", "wizardry")), "part.role", "Pins.role own box", "wizardry", nil},
	{"own part with a catalogue part's name", add("Parts", "part", "wiper", "kind", "device", "like", "wiper"), "part.replaces", "Parts.part wiper", "wiper", nil},
	{"parts like each other", both(add("Parts", "part", "one", "kind", "device", "like", "two"), add("Parts", "part", "two", "kind", "device", "like", "one")), "part.loop", "Parts.like two", "two", nil},
}

// wireOf is the ID of a wire of a circuit.
func wireOf(b *design.Book, circuit string) string {
	p, err := build.Run(design.Read(b), part.Embedded(), nil)
	if err != nil {
		panic(err)
	}
	for i := range p.Wires.List {
		if w := &p.Wires.List[i]; p.Things.Circuits[w.Circuit].Name == circuit {
			return w.ID
		}
	}
	panic("no wire of " + circuit)
}
