package design

import (
	"keyon/model/finding"
	"keyon/model/settle"
	"keyon/num/quantity"
)

// Entries of the kinds a table holds.
type (
	TextEntry   = settle.Entry[string]
	LengthEntry = settle.Entry[quantity.Length]
	AmpEntry    = settle.Entry[quantity.Ampere]
	NumberEntry = settle.Entry[float64] // SI of the column's dimension
	CountEntry  = settle.Entry[int]
	FlagEntry   = settle.Entry[bool]
	ListEntry   = settle.Entry[[]string]
	GaugeEntry  = settle.Entry[string] // canonical: "22", "00", "0.5mm2"
)

// ID is the UID of the row a thing stands in.
type ID string

// Design is the typed view of a Book. Every slice is in canonical order (by
// what tells rows apart, then UID), so the order of rows in the workbook
// means nothing to whoever reads it. It is never changed after Read.
type Design struct {
	Car        Car
	Zones      []Zone
	Assemblies []Assembly
	Places     []Place
	Legs       []Leg
	Looms      []Loom
	Parts      []Part
	Pins       []Pin
	Links      []Link
	Devices    []Device
	Joins      []Join
	Studs      []Stud
	Circuits   []Circuit
	Cables     []Cable
	Feeds      []Feed
	States     []State
	Loads      []Load
	Wires      []Wire
	Routes     []Route
	Cavities   []Cavity
	Splices    []Splice
	Bodies     []Body
	Stock      []Stock
	Limits     map[string]Limit
	Waivers    []Waiver
	Kept       map[KeptKey]Kept

	Findings []finding.Verdict // what Read could not make sense of, at its cell
	Hash     string            // of the book
}

// Car is the settings of the whole car. Everything has a default.
type Car struct {
	Name     string
	Units    quantity.System
	Volts    quantity.Volt // nominal, 12
	Altitude quantity.Length
	Family   TextEntry   // wire family wanted where a circuit names none
	Paper    string      // "A4" or "letter"
	Spares   NumberEntry // share of spare contacts, seals and plugs to buy
	Settings map[string]TextEntry
}

// Zone is a region with its worst ambient temperature.
type Zone struct {
	ID        ID
	Name      string
	Ambient   NumberEntry // °C
	Exposures ListEntry
}

// Assembly is things that move together.
type Assembly struct {
	ID    ID
	Name  string
	Metal FlagEntry
	Hand  TextEntry
}

// Place is a named point in car axes.
type Place struct {
	ID       ID
	Name     string
	X, Y, Z  LengthEntry
	Doubt    LengthEntry
	State    TextEntry
	Zone     TextEntry
	Assembly TextEntry
}

// Leg is a stretch of loom between two places.
type Leg struct {
	ID       ID
	From, To TextEntry
	Length   LengthEntry
	Zone     TextEntry
	Sleeve   TextEntry
	Hole     LengthEntry
	KeepOut  ListEntry
	Finish   TextEntry
	Loom     TextEntry
	Build    TextEntry
}

// Loom is a name, letter and release for a set of legs.
type Loom struct {
	ID      ID
	Name    string
	Letter  TextEntry
	Serial  TextEntry
	TwinOf  TextEntry
	Release TextEntry
}

// Part is a row of the shop's own parts.
type Part struct {
	ID                                                        ID
	Name                                                      string
	Kind, Title, Like, Connector, Family, Gauge, Tool, Source TextEntry
	Diameter, Least, Most, Strip                              LengthEntry
	Area, OhmPerKm, Mass, Temperature                         NumberEntry // m², Ω, kg, °C
	Amps                                                      AmpEntry
}

// Pin is a row of the shop's own pins.
type Pin struct {
	ID                                                                           ID
	Part, Pin, Connector, Cavity, Role, Index, Group, Swap, Contact, Reads, Note TextEntry
	Amps                                                                         AmpEntry
	Needed                                                                       FlagEntry
	X, Y                                                                         LengthEntry
}

// Link is a row of the shop's own links.
type Link struct {
	ID                          ID
	Part, From, To, Kind, Works TextEntry
	Ohm                         NumberEntry
	ClosedIn                    ListEntry
}

// Device is one part on the car; a row with Connector gives that connector
// its own place.
type Device struct {
	ID        ID
	Name      string
	Part      TextEntry
	Place     TextEntry
	Lead      LengthEntry
	Connector TextEntry
	Exit      TextEntry
	Angle     NumberEntry
}

// Join is where looms meet or pass.
type Join struct {
	ID             ID
	Name           string
	Kind           TextEntry
	Part           TextEntry
	PlaceA, PlaceB TextEntry
	FixedHalf      TextEntry
	Key            TextEntry
	SpareShare     NumberEntry
	Sockets        TextEntry
}

// Stud is a threaded post.
type Stud struct {
	ID       ID
	Name     string
	Place    TextEntry
	Thread   TextEntry
	MostLugs CountEntry
	Use      TextEntry
}

// Circuit is one row of Circuits. Rows with one name are one circuit.
type Circuit struct {
	ID                  ID
	Name                string
	FromDevice, FromPin TextEntry
	ToDevice, ToPin     TextEntry
	Class               TextEntry
	Gauge               GaugeEntry
	Wire                TextEntry
	Colour              TextEntry
	Twist               TextEntry
	Cable               TextEntry
	Feed                TextEntry
	Note                TextEntry
}

// Cable is bought multi-core, shielded or coaxial wire on the car.
type Cable struct {
	ID    ID
	Name  string
	Part  TextEntry
	Cores ListEntry
}

// Feed is a protected source of power.
type Feed struct {
	ID          ID
	Name        string
	Device, Pin TextEntry
	Setting     TextEntry
	Unprotected TextEntry
}

// State is an operating state. Seconds blank is continuous.
type State struct {
	ID      ID
	Name    string
	Source  TextEntry
	Volts   NumberEntry
	Speed   NumberEntry
	Ambient NumberEntry
	Seconds NumberEntry
}

// Load is what a device takes in a state.
type Load struct {
	ID                      ID
	Device, FromPin, ToPin  TextEntry
	State                   TextEntry
	Mean, RMS, Peak, Inrush AmpEntry
	Power, Resistance       NumberEntry
	InrushTime              NumberEntry
	LeastVolts              NumberEntry
}

// Wire is a row of given answers for a wire named by ID or number.
type Wire struct {
	ID                            ID
	Name                          string
	Circuit                       TextEntry
	Gauge                         GaugeEntry
	Family, Colour, Label, Number TextEntry
	Length                        LengthEntry
}

// Route is a leg that a circuit must or must not use.
type Route struct {
	ID                     ID
	Circuit, From, To, Use TextEntry
}

// Cavity is a given cavity of a circuit at a join.
type Cavity struct {
	ID                    ID
	Join, Circuit, Cavity TextEntry
	N                     CountEntry
}

// Splice is a given splice place of a circuit.
type Splice struct {
	ID                   ID
	Circuit, Place, Part TextEntry
}

// Body is a solid to keep clear of.
type Body struct {
	ID                     ID
	Name                   string
	Kind, Assembly, Nature TextEntry
	Points                 ListEntry
	Diameter               LengthEntry
}

// Stock is what is on the shelf.
type Stock struct {
	ID     ID
	Part   TextEntry
	Gauge  GaugeEntry
	Colour TextEntry
	Metres LengthEntry
	Pieces CountEntry
}

// Limit is a house limit with its reason.
type Limit struct {
	ID     ID
	Name   string
	Value  TextEntry
	Reason TextEntry
}

// Waiver accepts one rule at one thing up to one number.
type Waiver struct {
	ID                                     ID
	Rule, Thing, Field, Number, Reason, By TextEntry
}

// KeptKey names a choice: what kind of thing, which, and which field of it.
type KeptKey struct{ Kind, Thing, Field string }

// Kept is a choice people rely on.
type Kept struct {
	ID    ID
	Value string
	Loom  string
	Since string
}

// Keep fills a blank entry with the kept choice for a thing's field, if there
// is one. A given or garbled entry stays as it is.
func (d *Design) Keep(e TextEntry, kind, thing, field string) TextEntry {
	if e.State != settle.Blank {
		return e
	}
	if k, ok := d.Kept[KeptKey{kind, thing, field}]; ok {
		e.State, e.Value, e.Text = settle.Kept, k.Value, k.Value
	}
	return e
}

// Number is a house limit as a number in the unit its name is documented
// with, or fallback where the table Limits doesn't have it or can't be read.
// given says whether the shop set it.
func (d *Design) Number(name string, fallback float64) (value float64, given bool) {
	l, ok := d.Limits[name]
	if !ok || !l.Value.Is() {
		return fallback, false
	}
	v, err := quantity.Parse(l.Value.Value, quantity.Number, "", d.Car.Units.Decimal)
	if err != nil {
		return fallback, false
	}
	return v, true
}
