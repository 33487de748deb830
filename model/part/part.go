// Package part is the catalogue: kinds of things with their figures, each
// figure with its source and status. The figures themselves are data files
// beside the code, embedded.
//
// Where no figure is known the field stays zero and Known says so: nobody
// downstream guesses, a finding asks the shop to enter it. The shop's own
// parts (tables Parts, Pins, Links) join the same catalogue by With.
package part

import (
	"slices"
	"strings"

	"keyon/model/source"
	"keyon/num/quantity"
)

// ID names a part: a standard's number, or the shop's own name.
type ID = string

// Head is what every part carries.
type Head struct {
	ID     ID         `json:"id"`
	Title  string     `json:"title"`
	Source source.Ref `json:"source"`
	Own    bool       `json:"own,omitempty"` // from the shop's tables
	Note   string     `json:"note,omitempty"`
	Check  []string   `json:"check,omitempty"` // figures of a seen row that are from memory: "strip", "tool", "pull", "temperature"
}

// From is the source of one figure of the part: that of the row, with the
// status memory for the figures listed under Check.
func (h Head) From(figure string) source.Ref {
	r := h.Source
	if slices.Contains(h.Check, figure) {
		r.Status = source.Memory
	}
	return r
}

// Gauge is a conductor size in canonical form: "22", "00", "0.5mm2".
type Gauge = string

// Role is what a pin offers or wants.
type Role string

// The roles of the glossary. A pin without a role is Plain.
const (
	Plain         Role = ""
	SupplyIn      Role = "supply in"
	SupplyOut     Role = "supply out" // unprotected or protected outlet of a source, carrier or switch
	Ground        Role = "ground"
	Case          Role = "case"
	SensorSupply  Role = "sensor supply"    // controller gives 5 V
	SensorReturn  Role = "sensor return"    // controller's sensor ground
	SensorIn      Role = "sensor supply in" // sensor wants 5 V
	SensorGround  Role = "sensor ground"    // sensor's ground
	AnalogueIn    Role = "analogue in"
	AnalogueOut   Role = "analogue out"   // sensor's signal
	TemperatureIn Role = "temperature in" // analogue in with pull-up
	Resistive     Role = "resistive out"  // two-wire sensor element
	FrequencyIn   Role = "frequency in"
	FrequencyOut  Role = "frequency out"
	KnockIn       Role = "knock in"
	KnockOut      Role = "knock out"
	SwitchedOut   Role = "switched out" // high side
	LowSide       Role = "low side out" // sinks to ground
	HalfBridge    Role = "half bridge"
	Coil          Role = "coil"     // controller's ignition output
	CoilIn        Role = "coil in"  // coil's trigger
	Injector      Role = "injector" // controller's injector output
	InjectorIn    Role = "injector in"
	BusHigh       Role = "bus high"
	BusLow        Role = "bus low"
	Shield        Role = "shield"
	ThermoPlus    Role = "thermocouple +"
	ThermoMinus   Role = "thermocouple -"
	DigitalIn     Role = "digital in" // switch to ground or supply
	DigitalOut    Role = "digital out"
	LoadMinus     Role = "load -"   // switched side of a load, for low side outputs
	MotorIn       Role = "motor in" // either wire of a motor that turns both ways
	Battery       Role = "battery +"
	Alternator    Role = "alternator out"
	StarterIn     Role = "starter in"
)

// Pin is what a device offers at one of its connectors.
type Pin struct {
	Name      string          `json:"name"`
	Connector string          `json:"connector,omitempty"` // name of the device's connector
	Cavity    string          `json:"cavity,omitempty"`    // of the loom-side connector
	Role      Role            `json:"role,omitempty"`
	Index     string          `json:"index,omitempty"` // cylinder, bank, axle, channel
	Group     string          `json:"group,omitempty"` // supply or return group, bus, bank
	Swap      string          `json:"swap,omitempty"`  // pins with the same text are interchangeable
	Amps      quantity.Ampere `json:"amps,omitempty"`  // most it may carry; 0: not known
	Needed    bool            `json:"needed,omitempty"`
	Contact   string          `json:"contact,omitempty"` // contact size or part where the connector leaves a choice; "stud M6" for a post of the device
	Reads     string          `json:"reads,omitempty"`   // what a meter should read here
	Note      string          `json:"note,omitempty"`
}

// Stud is the thread of a pin that is a threaded post of its device.
func (p Pin) Stud() (thread string, ok bool) { return strings.CutPrefix(p.Contact, "stud ") }

// LinkKind is what stands between two pins inside a device.
type LinkKind string

// The kinds of links.
const (
	Resistor   LinkKind = "resistor"
	Diode      LinkKind = "diode"
	RelayCoil  LinkKind = "coil"
	Contacts   LinkKind = "contact"
	Driver     LinkKind = "driver"
	Terminator LinkKind = "terminator"
	PullUp     LinkKind = "pull-up"
	PullDown   LinkKind = "pull-down"
	Through    LinkKind = "wire"
)

// Link is what is inside a device between two of its pins.
type Link struct {
	From, To string // pins
	Kind     LinkKind
	Ohm      quantity.Ohm // 0: ideal
	ClosedIn []string     // states in which a contact is closed; empty: all but "off"
	Works    string       // the coil (its from pin) that works a contact
}

// Load is what a device takes between two of its pins, as its sheet says it.
// A table row of Loads replaces it for its state.
type Load struct {
	From, To   string // pins; empty: the supply and ground pins
	State      string // empty: every state
	Mean, RMS  quantity.Ampere
	Peak       quantity.Ampere
	Power      quantity.Watt
	Ohm        quantity.Ohm
	Inrush     quantity.Ampere
	InrushTime quantity.Second
	LeastVolts quantity.Volt
	Source     source.Ref
}

// DeviceConnector is one of a device's connectors.
type DeviceConnector struct {
	Name string `json:"name"`          // "A", "B"; empty where there is one
	Part ID     `json:"part"`          // loom-side connector
	Key  string `json:"key,omitempty"` // keying position; empty: the usual one
}

// Device is a kind of thing with pins.
type Device struct {
	Head
	Kind       string // controller, sensor, module, carrier, pump, fan, lamp, switch, relay, battery, isolator, alternator, starter …
	Metal      bool   // its case is a ground where its assembly is metal
	Connectors []DeviceConnector
	Pins       []Pin
	Links      []Link
	Loads      []Load
	CaseAmps   quantity.Ampere            // most the whole device may give, 0: no limit known
	GroupAmps  map[string]quantity.Ampere // most a bank or supply group may give
}

// Cavity is a hole of a connector for one contact.
type Cavity struct {
	Name     string          `json:"name"`
	Size     string          `json:"size"` // contact size
	X        quantity.Length `json:"x"`    // front face of the pin insert, +y to the main key
	Y        quantity.Length `json:"y"`
	Contacts []ID            `json:"contacts"` // contact options, best first, pin and socket alike; empty: by size and gender
	Seals    []ID            `json:"seals"`    // single wire seal options; empty: the connector's grommet seals
}

// Connector is the loom side of a connection.
type Connector struct {
	Head
	Standard       string // "MIL-DTL-38999 III", "DIN 72585", …
	Arrangement    string // insert arrangement, "15-35"
	ShellSize      string
	Keys           []string // keying positions there are, first the usual one
	Gender         string   // "pin", "socket", or "" where both are made
	Sealed         bool     // unused cavities need a plug
	Cavities       []Cavity
	Outside        quantity.Length // largest diameter, what a sleeve must pass; 0: not known
	Entry          quantity.Length // largest bundle its rear takes; 0: not known
	Temperature    quantity.Celsius
	Mass           quantity.Mass
	Cutout         string // words for the panel hole
	Torque         string // coupling or nut torque in words
	Outline        string // "round", "rectangle": how the face is drawn
	MostPerContact int    // wires one contact may take, 1 unless the part says 2
	Availability   string // "standard", "maker only", "series I or II only", "" where not said
	Volts          quantity.Volt
	KeyAngles      map[string][]float64 // minor keys from the main key, degrees, by keying position
	Panel          Panel
	Shell          source.Ref // where the figures of the shell are from; Source is the arrangement's
}

// Panel is the hole a mounted half needs. Zero: not known.
type Panel struct {
	JamHole, JamFlat  quantity.Length // D hole of the jam nut half: diameter and across the flat
	FlangeRear        quantity.Length // least hole of a flange mounted from behind
	FlangeFront       quantity.Length // least hole of a flange mounted from the front
	PitchR1, PitchR2  quantity.Length // the two screw hole pitches of the standard's figure
	Screw             quantity.Length // screw hole diameter
	Flange            quantity.Length // side of the square flange
	JamLeast, JamMost quantity.Length // panel thickness of the jam nut half
	FlangeMost        quantity.Length // panel thickness of the flange half, at most
	JamTorqueLeast    float64         // N·m
	JamTorqueMost     float64         // N·m
	CouplingTorque    float64         // N·m, at most
	AcrossFlats       quantity.Length // of the jam nut
	RearThread        string          // backshell thread
}

// Contact is crimped on a wire and sits in a cavity.
type Contact struct {
	Head
	Size        string
	Gender      string // "pin", "socket", "" for ring or blade types that have none
	Gauges      []Gauge
	WireLeast   quantity.Length // wire outside diameter its cavity seals on
	WireMost    quantity.Length
	Amps        quantity.Ampere
	Ohm         quantity.Ohm // most, mated
	StripLeast  quantity.Length
	StripMost   quantity.Length
	Tool        string            // crimp tool, positioner and setting
	Insert      string            // insertion and extraction tools
	Pull        map[Gauge]float64 // least crimp tensile, N
	Temperature quantity.Celsius
	Most        int // wires in one barrel, 1 unless known
}

// Seal fits one wire of a diameter range in a cavity. Plug closes an unused one.
type Seal struct {
	Head
	Sizes       []string // contact sizes of the cavities it fits
	Least, Most quantity.Length
	Plug        bool
}

// Wire is one gauge of one family.
type Wire struct {
	Head
	Family      string // "AS22759/32"
	Gauge       Gauge
	Coating     string
	Strands     string
	Area        quantity.Area   // copper
	Conductor   quantity.Length // diameter
	Outside     quantity.Length
	OutsideMost quantity.Length // with tolerance
	MassPerM    quantity.Mass
	OhmPerM     quantity.Ohm // at 20 °C, greatest
	Temperature quantity.Celsius
	Volts       quantity.Volt
	Resistance  source.Ref // where OhmPerM, Area and Strands are from
}

// Largest is the outside diameter to seal, sleeve and make holes for: with
// tolerance where that is known. 0: not known.
func (w *Wire) Largest() quantity.Length { return max(w.Outside, w.OutsideMost) }

// Core is one conductor of a cable.
type Core struct {
	Name   string
	Family string
	Gauge  Gauge
	Colour string
}

// Cable is bought multi-core, shielded or coaxial wire.
type Cable struct {
	Head
	Cores       []Core
	Shielded    bool
	Drain       Gauge // gauge of the drain, empty: none, shield by pigtail
	Twisted     bool
	Outside     quantity.Length
	MassPerM    quantity.Mass
	Temperature quantity.Celsius
	Use         string // "", "coax", "thermocouple K"
}

// Sleeve covers a leg, a branch or a label.
type Sleeve struct {
	Head
	Kind        string          // braid, heat-shrink, lined heat-shrink, tape, conduit, label
	Expanded    quantity.Length // least inside before shrinking
	Recovered   quantity.Length // most inside after
	Wall        quantity.Length
	TempLeast   quantity.Celsius
	Temperature quantity.Celsius
}

// Lug is crimped on a wire and goes on a stud.
type Lug struct {
	Head
	Stud   string
	Gauges []Gauge
	Strip  quantity.Length
	Tool   string
}

// Boot covers a connector's rear or a branch.
type Boot struct {
	Head
	Shells        []string // shell sizes it fits
	Entry, Outlet quantity.Length
	Temperature   quantity.Celsius
}

// Fuse is a fuse or a breaker of one rating.
type Fuse struct {
	Head
	Family  string
	Rating  quantity.Ampere
	Ohm     quantity.Ohm
	Melting float64 // A²s, 0: not known
	Breaker bool
}

// SplicePart joins wires of summed areas between Least and Most.
type SplicePart struct {
	Head
	Least, Most quantity.Area
	Sealed      bool
	Length      quantity.Length
	Temperature quantity.Celsius
}

// StudPart is a threaded post with its nut torque.
type StudPart struct {
	Head
	Thread                  string
	TorqueLeast, TorqueMost float64 // N·m
}
