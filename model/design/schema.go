package design

import (
	"strings"

	"keyon/num/quantity"
)

// Kind is what a column's cells hold.
type Kind uint8

// Kinds of cells. Pins, cavities and gauges are text: 01, 1E2 and 00 stay as
// they were typed.
const (
	Text   Kind = iota
	Name        // names the row's own thing
	Ref         // names a thing of the table Column.Ref
	Amount      // a quantity of Column.Dim
	Gauge       // a conductor size: AWG number, or mm²
	Count       // a whole number, zero or more
	Flag        // yes or no
	Choice      // one of Column.Choices
	List        // several names, parted by comma, semicolon or line break
)

// Column is one column of a table.
type Column struct {
	Name    string
	Kind    Kind
	Dim     quantity.Dim // of an Amount
	Unit    string       // of an Amount, where neither header nor cell says otherwise
	Choices []string
	Ref     string   // table whose names a Ref or List may hold
	Alias   []string // other spellings of the header
	Blank   bool     // blank means "work it out"
	Must    bool     // a row without it can't be used
	Help    string
}

// Table is one table of the workbook.
type Table struct {
	Name    string
	Columns []Column
	Match   []string // columns that tell rows apart where there is no key
	Help    string
}

// Column finds a column by its exact name; nil where there is none.
func (t *Table) Column(name string) *Column {
	if i := t.Index(name); i >= 0 {
		return &t.Columns[i]
	}
	return nil
}

// Index is the position of a column, or -1.
func (t *Table) Index(name string) int {
	for i := range t.Columns {
		if t.Columns[i].Name == name {
			return i
		}
	}
	return -1
}

func text(name, help string) Column { return Column{Name: name, Kind: Text, Help: help} }
func own(name, help string) Column {
	return Column{Name: name, Kind: Name, Must: true, Help: help}
}
func ref(name, table, help string) Column {
	return Column{Name: name, Kind: Ref, Ref: table, Help: help}
}
func amount(name string, d quantity.Dim, unit, help string) Column {
	return Column{Name: name, Kind: Amount, Dim: d, Unit: unit, Help: help}
}
func choice(name, help string, choices ...string) Column {
	return Column{Name: name, Kind: Choice, Choices: choices, Help: help}
}
func (c Column) must() Column                { c.Must = true; return c }
func (c Column) blank() Column               { c.Blank = true; return c }
func (c Column) also(alias ...string) Column { c.Alias = alias; return c }

// Classes are the circuit classes of the glossary, in the order papers list them.
var Classes = []string{"power", "ground", "sensor supply", "sensor return", "signal", "low-level", "data", "ignition", "injection", "thermocouple", "coax", "heavy", "extinguisher", "shield"}

// Exposures are what a zone may hold besides heat.
var Exposures = []string{"dry", "splash", "fuel", "oil", "heat"}

// Tables is the workbook: every table the program knows, in workbook order.
var Tables = []Table{
	{Name: "Car", Match: []string{"key"}, Help: "settings of the whole car, one a row", Columns: []Column{
		own("key", "name, decimal, units, gauge, volts, family, altitude, paper, spares, race number"), text("value", "")}},
	{Name: "Zones", Match: []string{"zone"}, Help: "regions with their worst temperature and what they are exposed to", Columns: []Column{
		own("zone", ""), amount("ambient", quantity.CelsiusDim, "°C", "worst ambient temperature").also("temperature", "worst ambient"),
		{Name: "exposures", Kind: List, Choices: Exposures, Alias: []string{"exposure", "exposed to"}, Help: "dry, splash, fuel, oil, heat"}}},
	{Name: "Assemblies", Match: []string{"assembly"}, Help: "things that move together", Columns: []Column{
		own("assembly", ""), {Name: "metal", Kind: Flag, Help: "yes: may carry case grounds"}, choice("hand", "", "left", "right")}},
	{Name: "Places", Match: []string{"place"}, Help: "named points in car axes: x rearward, y to the driver's right, z up", Columns: []Column{
		own("place", ""), amount("x", quantity.LengthDim, "mm", "rearward"), amount("y", quantity.LengthDim, "mm", "to the right"), amount("z", quantity.LengthDim, "mm", "up"),
		amount("±", quantity.LengthDim, "mm", "doubt of the position").also("+-", "+/-", "doubt", "tolerance"),
		choice("state", "", "planned", "mocked-up", "measured"), ref("zone", "Zones", ""), ref("assembly", "Assemblies", "blank: the chassis")}},
	{Name: "Legs", Match: []string{"from", "to"}, Help: "stretches of loom between two places", Columns: []Column{
		ref("from", "Places", "").must().also("from place", "place a"), ref("to", "Places", "").must().also("to place", "place b"),
		amount("length", quantity.LengthDim, "mm", "measured or wanted; blank: from the places plus slack").blank(),
		ref("zone", "Zones", "blank: the hotter of its places"), text("sleeve", "part of the covering; blank: by zone").blank(),
		amount("hole", quantity.LengthDim, "mm", "diameter of the smallest hole on its way").also("largest hole"),
		{Name: "keep out", Kind: List, Choices: Classes, Alias: []string{"keepout", "kept out"}, Help: "classes that must not run here"},
		choice("finish", "where its ends are finished; car leaves a tail", "bench", "car"), ref("loom", "Looms", "name of the loom it belongs to"),
		choice("build", "how the wires lie", "twisted", "taped", "loose")}},
	{Name: "Looms", Match: []string{"loom"}, Help: "what comes off as one assembly", Columns: []Column{
		own("loom", ""), text("letter", "first letter of its wire numbers").blank(), text("serial", ""), ref("twin of", "Looms", "left or right twin"), text("release", "revision letter when released").also("revision")}},
	{Name: "Parts", Match: []string{"part"}, Help: "the shop's own parts; the same columns as the catalogue", Columns: []Column{
		own("part", "").also("part number"), choice("kind", "", "device", "connector", "contact", "seal", "plug", "wire", "cable", "sleeve", "lug", "boot", "fuse", "splice", "stud", "tool").must(), text("title", ""), text("like", "catalogue part whose figures hold where this row is blank"),
		text("connector", "loom-side connector part of a device with one connector"), text("family", ""), {Name: "gauge", Kind: Gauge, Help: "size of a wire, or sizes a contact takes: 24-20"},
		amount("diameter", quantity.LengthDim, "mm", "outside"), amount("least diameter", quantity.LengthDim, "mm", "least wire diameter of a seal or contact"), amount("most diameter", quantity.LengthDim, "mm", "most wire diameter of a seal or contact"),
		amount("area", quantity.AreaDim, "mm2", "conductor"), amount("ohm per km", quantity.OhmDim, "ohm", "at 20 °C"), amount("mass", quantity.MassDim, "g", "a piece, or a metre"), amount("temperature", quantity.CelsiusDim, "°C", "highest it may reach"),
		amount("amps", quantity.AmpereDim, "A", "rating"), amount("strip", quantity.LengthDim, "mm", "strip length"), text("tool", "crimp tool and setting"), text("source", "where the figures are from")}},
	{Name: "Pins", Match: []string{"part", "pin"}, Help: "pins of the shop's own devices, cavities of its own connectors", Columns: []Column{
		ref("part", "Parts", "").must(), text("pin", "as printed on the part").must(), text("connector", "which connector of the device"), text("cavity", "cavity of the loom-side connector; blank: the same as the pin"),
		text("role", "supply in, ground, sensor supply, sensor return, analogue in, …").also("function"), text("index", "cylinder, bank, axle, channel"), text("group", "supply or return group, bank, bus"), text("swap", "pins with the same text are interchangeable"),
		amount("amps", quantity.AmpereDim, "A", "most the pin may carry"), {Name: "needed", Kind: Flag, Help: "must be connected"}, text("contact", "contact size or part"),
		amount("x", quantity.LengthDim, "mm", "position on the mating face"), amount("y", quantity.LengthDim, "mm", ""), text("reads", "what a meter should read here"), text("note", "")}},
	{Name: "Links", Match: []string{"part", "from pin", "to pin", "kind"}, Help: "what is inside a device between its pins", Columns: []Column{
		ref("part", "Parts", "").must(), text("from pin", "").must(), text("to pin", "").must(), choice("kind", "", "resistor", "diode", "coil", "contact", "driver", "terminator", "pull-up", "pull-down", "wire").must(),
		amount("ohm", quantity.OhmDim, "ohm", ""), {Name: "closed in", Kind: List, Ref: "States", Help: "states in which a contact is closed"}, text("works", "the coil that works a contact: its from pin")}},
	{Name: "Devices", Match: []string{"device", "connector"}, Help: "one part on the car", Columns: []Column{
		own("device", "").also("name"), text("part", "").must(), ref("place", "Places", "").must().also("where"), amount("lead", quantity.LengthDim, "mm", "the device's own lead").also("own lead"),
		text("connector", "a row with it gives that connector its own place"), text("exit", "direction the loom leaves: fore, aft, left, right, up, down"), amount("angle", quantity.AngleDim, "deg", "backshell angle")}},
	{Name: "Joins", Match: []string{"join"}, Help: "where looms meet or pass", Columns: []Column{
		own("join", ""), choice("kind", "", "bulkhead", "in-line", "stud", "grommet").must(), text("part", "connector of the fixed half; blank: the smallest that takes what crosses").blank(), ref("place a", "Places", "side of half A").must(), ref("place b", "Places", "side of half B").must(),
		choice("fixed half", "which half is mounted", "a", "b"), text("key", "keying position").blank(), amount("spare share", quantity.ShareDim, "", "share of cavities left free").also("spares"), choice("sockets", "half that has sockets: the live one", "a", "b").blank()}},
	{Name: "Studs", Match: []string{"stud"}, Help: "threaded posts", Columns: []Column{
		own("stud", ""), ref("place", "Places", "").must(), text("thread", "M6, M8, 1/4-20 …"), {Name: "most lugs", Kind: Count, Help: "blank: the house limit"}, choice("use", "", "ground", "supply")}},
	{Name: "Circuits", Match: []string{"circuit", "from device", "from pin", "to device", "to pin"}, Help: "named electrical connections; rows with one name join", Columns: []Column{
		own("circuit", "").also("name", "net"), text("from device", "device, stud or feed").also("from"), text("from pin", "").blank(), text("to device", "device, stud or feed").also("to"), text("to pin", "").blank(),
		choice("class", "blank: from the roles of its pins", Classes...), Column{Name: "gauge", Kind: Gauge, Help: "holds for all wires on this row's way", Alias: []string{"size", "awg"}}.blank(), text("wire", "wire family by standard number").blank().also("family"), text("colour", "").blank().also("color"),
		text("twist", "circuits with the same text are twisted together"), ref("cable", "Cables", "cable the circuit runs in"), ref("feed", "Feeds", "protected source").blank(), text("note", "").also("notes", "remarks")}},
	{Name: "Cables", Match: []string{"cable"}, Help: "bought multi-core, shielded or coaxial wire", Columns: []Column{
		own("cable", ""), text("part", "").must(), Column{Name: "cores", Kind: List, Ref: "Circuits", Help: "circuits in the order of the cores"}.blank()}},
	{Name: "Feeds", Match: []string{"feed"}, Help: "protected sources of power", Columns: []Column{
		own("feed", ""), ref("device", "Devices", "fuse carrier, module, breaker, battery").must(), text("pin", "its outlet").must(), text("setting", "fuse part or rating, channel setting; blank: worked out").blank(), choice("unprotected", "deliberately unprotected, with its conditions met", "accepted")}},
	{Name: "States", Match: []string{"state"}, Help: "operating states of the car", Columns: []Column{
		own("state", ""), text("source", "battery or alternator"), amount("volts", quantity.VoltDim, "V", "at the source"), amount("engine speed", quantity.SpeedDim, "rpm", "").also("rpm"), amount("ambient", quantity.CelsiusDim, "°C", "blank: each zone's worst"), amount("seconds", quantity.SecondDim, "s", "blank: continuous").also("duration")}},
	{Name: "Loads", Match: []string{"device", "from pin", "to pin", "state"}, Help: "what a device takes in a state", Columns: []Column{
		ref("device", "Devices", "").must(), text("from pin", "blank: its supply pin"), text("to pin", "blank: its ground pin"), ref("state", "States", "blank: every state"), amount("mean", quantity.AmpereDim, "A", "").also("mean A", "amps"), amount("rms", quantity.AmpereDim, "A", "").also("RMS A"), amount("peak", quantity.AmpereDim, "A", "").also("peak A"),
		amount("power", quantity.WattDim, "W", "instead of amps").also("W"), amount("resistance", quantity.OhmDim, "ohm", "instead of amps").also("ohm"), amount("inrush", quantity.AmpereDim, "A", "").also("inrush A"), amount("inrush time", quantity.SecondDim, "ms", "").also("inrush ms"), amount("least volts", quantity.VoltDim, "V", "").also("least V")}},
	{Name: "Wires", Match: []string{"wire"}, Help: "given answers for single wires", Columns: []Column{
		own("wire", "its ID, or its number"), ref("circuit", "Circuits", "for reading only"), Column{Name: "gauge", Kind: Gauge}.blank(), text("family", "").blank(), text("colour", "").blank().also("color"), amount("length", quantity.LengthDim, "mm", "cut length").blank(), text("label", "").blank(), text("number", "").blank()}},
	{Name: "Routes", Match: []string{"circuit", "from", "to"}, Help: "given legs of a circuit's way", Columns: []Column{
		ref("circuit", "Circuits", "").must(), ref("from", "Places", "").must(), ref("to", "Places", "").must(), choice("use", "blank: through", "through", "avoid")}},
	{Name: "Cavities", Match: []string{"join", "circuit", "n"}, Help: "given cavities at joins", Columns: []Column{
		ref("join", "Joins", "").must(), ref("circuit", "Circuits", "").must(), {Name: "n", Kind: Count, Help: "1, or 2, 3 … where a circuit crosses on several contacts"}, text("cavity", "").must()}},
	{Name: "Splices", Match: []string{"circuit", "place"}, Help: "given places where wires of one circuit join", Columns: []Column{
		ref("circuit", "Circuits", "").must(), ref("place", "Places", "").must(), text("part", "").blank()}},
	{Name: "Bodies", Match: []string{"body"}, Help: "solids to keep clear of", Columns: []Column{
		own("body", ""), choice("kind", "", "box", "cylinder", "ball", "tube").must(), ref("assembly", "Assemblies", "blank: the chassis"), {Name: "points", Kind: List, Ref: "Places", Help: "its corners, ends or way"}, amount("diameter", quantity.LengthDim, "mm", ""), choice("nature", "", "hot", "moving", "fuel", "plain")}},
	{Name: "Stock", Match: []string{"part", "gauge", "colour"}, Help: "what is on the shelf", Columns: []Column{
		text("part", "part, or wire family").must(), {Name: "gauge", Kind: Gauge, Help: "of wire"}, text("colour", "").also("color"), amount("metres", quantity.LengthDim, "m", "").also("length"), {Name: "pieces", Kind: Count}}},
	{Name: "Limits", Match: []string{"limit"}, Help: "limits of the house, each with its reason", Columns: []Column{
		own("limit", ""), text("value", "").must(), text("reason", "").must()}},
	{Name: "Waivers", Match: []string{"rule", "thing", "field"}, Help: "findings the shop accepts", Columns: []Column{
		text("rule", "").must(), text("thing", "").must(), text("field", ""), text("number", "up to this value"), text("reason", "").must(), text("name", "who accepts it").must()}},
	{Name: "Kept", Match: []string{"kind", "thing", "field"}, Help: "choices people rely on, softer than given", Columns: []Column{
		text("kind", "").must(), text("thing", "").must(), text("field", "").must(), text("value", ""), ref("loom", "Looms", "frozen with this loom"), text("since", "revision")}},
}

// ByName finds a table; nil where there is none.
func ByName(name string) *Table {
	for i := range Tables {
		if Tables[i].Name == name {
			return &Tables[i]
		}
	}
	return nil
}

// Header reads a column heading: "Length (in)", "length_mm", "LENGTH [ft]" are
// the column length with a unit; what stands in brackets behind a column that
// has no units is a remark. ok is false for a heading the table doesn't know.
func (t *Table) Header(heading string) (index int, unit string, ok bool) {
	base, unit := headingUnit(heading)
	for _, try := range []string{heading, base} {
		n := plain(try)
		for i := range t.Columns {
			c := &t.Columns[i]
			hit := plain(c.Name) == n
			for _, a := range c.Alias {
				hit = hit || plain(a) == n
			}
			if !hit || n == "" && c.Name != try {
				continue
			}
			if try == heading || unit == "" {
				return i, "", true
			}
			if c.Kind == Amount && quantity.KnownUnit(unit, c.Dim) || c.Kind == Gauge && gaugeUnit(unit) {
				return i, unit, true
			}
			if c.Kind != Amount && c.Kind != Gauge && strings.ContainsAny(heading, "([") {
				return i, "", true
			}
		}
	}
	return 0, "", false
}

// headingUnit parts "length (in)", "length [in]", "length_in" and "length in".
func headingUnit(h string) (base, unit string) {
	h = strings.TrimSpace(h)
	for _, b := range []string{"()", "[]"} {
		if i := strings.LastIndexByte(h, b[0]); i > 0 && strings.HasSuffix(h, b[1:]) {
			return strings.TrimSpace(h[:i]), strings.TrimSpace(h[i+1 : len(h)-1])
		}
	}
	if i := strings.LastIndexAny(h, "_ /,"); i > 0 {
		return strings.TrimRight(h[:i], "_ /,"), strings.TrimSpace(h[i+1:])
	}
	return h, ""
}

// plain folds a heading to what people mean by it.
func plain(h string) string {
	h = strings.ToLower(strings.TrimSpace(h))
	h = strings.Map(func(r rune) rune {
		switch r {
		case '_', '-', ' ', '\t', '\n', '\r', '.', '\u00a0':
			return -1
		}
		return r
	}, h)
	return h
}
