// Package plan is what was worked out: one side table a stage, keyed by the
// IDs of the design. Stages read the tables above theirs and never change
// them.
//
// Indexes (int fields named after a thing, -1 for none) point into the slices
// of Things; the slices are in canonical order, so equal designs give equal
// indexes.
package plan

import (
	"keyon/model/design"
	"keyon/model/part"
	"keyon/model/settle"
	"keyon/num/geom"
	"keyon/num/quantity"
)

// Things is resolve's table: names turned into things. A reference that led
// nowhere has been reported and is -1 here.
type Things struct {
	Zones    []Zone
	Places   []Place
	Legs     []Leg
	Looms    []Loom
	Devices  []Device
	Joins    []Join
	Studs    []Stud
	Circuits []Circuit
	Cables   []Cable
	Feeds    []Feed
	States   []State
	Loads    []Load

	PlaceOf   map[string]int // by name
	DeviceOf  map[string]int
	StudOf    map[string]int
	FeedOf    map[string]int
	JoinOf    map[string]int
	CircuitOf map[string]int
	StateOf   map[string]int
	CableOf   map[string]int
}

// Zone is a region with its worst ambient temperature.
type Zone struct {
	ID        design.ID
	Name      string
	Ambient   settle.Value[quantity.Celsius]
	Exposures []string
}

// Place is a point of the car. At is valid when Known.
type Place struct {
	ID       design.ID
	Name     string
	At       geom.Point // metres, car axes
	Known    bool
	Zone     int
	Assembly string
	Metal    bool // on a metal assembly or chassis
	Ambient  quantity.Celsius
	Loom     int // loom of the legs that end here, -1 where none does
}

// Leg is a stretch of loom between two places.
type Leg struct {
	ID       design.ID
	Name     string // "from–to" as papers print it
	From, To int    // places
	Length   settle.Value[quantity.Length]
	Zone     int
	Ambient  quantity.Celsius // worst on its way
	Hole     quantity.Length  // 0: none
	KeepOut  []string         // classes
	OnCar    bool             // finished on the car: leaves a tail
	Build    string           // twisted, taped, loose
	Sleeve   design.TextEntry
	Loom     int
}

// Loom is a connected set of legs once joins and studs are open.
type Loom struct {
	ID      string // UID of its row, or of its first leg
	Name    string
	Letter  string // first letter of wire numbers, unique in the car
	Serial  string
	TwinOf  int
	Release string // revision letter, "" while undecided
	Legs    []int
	Places  []int
}

// Device is one part on the car.
type Device struct {
	ID         design.ID
	Name       string
	Part       *part.Device // nil where the part is unknown (reported)
	Place      int
	Lead       quantity.Length
	Connectors []Connector // in the order of Part.Connectors
}

// Connector is a loom-side connector of a device, at its own place.
type Connector struct {
	Name  string          // of the device's connector
	Part  *part.Connector // nil where the catalogue has none: studs, flying leads
	Place int
	Exit  string
	Angle float64
}

// Join is where looms meet or pass. Legs of loom A end at A, of loom B at B.
type Join struct {
	ID        design.ID
	Name      string
	Kind      string // bulkhead, in-line, stud, grommet
	Part      design.TextEntry
	Connector *part.Connector // given part resolved; nil: cross chooses
	A, B      int             // places
	FixedHalf string          // a, b, ""
	Sockets   design.TextEntry
	Key       design.TextEntry
	Spare     float64 // share of cavities left free
}

// Stud is a threaded post.
type Stud struct {
	ID       design.ID
	Name     string
	Place    int
	Thread   string
	MostLugs int
	Use      string // ground or supply
}

// Row is one row of a circuit.
type Row struct {
	Design   int // index into design.Circuits
	From, To int // indexes into Circuit.Ends, -1 where the side is blank
}

// Circuit is all rows of one name.
type Circuit struct {
	Name  string
	IDs   []design.ID // UIDs of its rows, sorted; the first names the circuit
	Class settle.Value[string]
	Rows  []Row
	Ends  []DeclaredEnd
	Twist string
	Cable int
	Kin   []int // circuits twisted or cabled together with it, itself included, sorted; empty: none
}

// DeclaredEnd is an end as the design says it. Two rows that name the same
// device and pin share one end (the first row's).
type DeclaredEnd struct {
	ID     string // UID of the row + "/from" or "/to"
	Row    int    // index into Circuit.Rows
	Side   string // from, to
	Device int
	Stud   int
	Pin    design.TextEntry // blank: assign chooses
	Feed   int              // the side names a feed, -1
}

// Cable is bought wire on the car.
type Cable struct {
	ID       design.ID
	Name     string
	Part     *part.Cable
	Circuits []int    // in row order of names
	Cores    []string // core name of each of Circuits, "" where there is none left
}

// Feed is a protected source of power: an outlet of a device.
type Feed struct {
	ID          design.ID
	Name        string
	Device      int
	Pin         int // index into the device's part pins
	Setting     design.TextEntry
	Unprotected bool
}

// State is an operating state. Seconds 0 is continuous.
type State struct {
	ID         string
	Name       string
	Source     string // battery, alternator
	Volts      quantity.Volt
	Speed      float64          // rpm
	Ambient    quantity.Celsius // valid when HasAmbient: else each zone's worst
	HasAmbient bool
	Seconds    quantity.Second
	Default    bool // the house's, not the design's
}

// Load is what a device takes between two of its pins in one state. Exactly
// one of Mean, Power, Ohm is above zero (all zero: nothing in that state).
type Load struct {
	Device          int
	From, To        int // pin indexes
	State           int
	Mean, RMS, Peak quantity.Ampere
	Power           quantity.Watt
	Ohm             quantity.Ohm
	Inrush          quantity.Ampere
	InrushTime      quantity.Second
	LeastVolts      quantity.Volt // 0: no limit of its own
	Cell            settle.Cell   // the row of Loads, empty for a catalogue figure
	Check           bool          // the catalogue figure is from memory
}

// At is the cell of a device's row in a column.
func (d *Device) At(column string) settle.Cell {
	return settle.Cell{Table: "Devices", Row: string(d.ID), Column: column}
}

// At is the cell in a column of the row that names a circuit.
func (c *Circuit) At(column string) settle.Cell {
	return settle.Cell{Table: "Circuits", Row: string(c.Key()), Column: column}
}

// Key names a circuit in Kept and in IDs.
func (c *Circuit) Key() design.ID {
	if len(c.IDs) == 0 {
		return ""
	}
	return c.IDs[0]
}

// Keep fills a blank entry with the kept choice of a circuit's field, under
// whichever of its rows it was kept, so that a row added to the circuit does
// not lose it. suffix follows the row's UID in the kept thing.
func (c *Circuit) Keep(d *design.Design, e design.TextEntry, kind, suffix, field string) design.TextEntry {
	for _, id := range c.IDs {
		if k := d.Keep(e, kind, string(id)+suffix, field); k.State != settle.Blank {
			return k
		}
	}
	return e
}
