package plan

import (
	"keyon/model/finding"
	"keyon/model/part"
	"keyon/model/settle"
	"keyon/num/packing"
	"keyon/num/quantity"
)

// Plan is everything worked out from a car.
type Plan struct {
	Things   Things
	Ends     Ends
	Routes   Routes
	Cavities Cavities
	Wires    Wires
	Sizes    Sizes
	Power    Power
	Bundles  Bundles
	Cuts     Cuts
	Verdicts []finding.Verdict
	Passes   []Pass // what Settle did
	Changed  []Change
}

// Pass is one run of all stages inside Settle.
type Pass struct {
	Stops, Cost, Changes int64
	Kept                 bool // the best so far
	Why                  string
}

// Change is a choice that differs from what was kept.
type Change struct{ Kind, Thing, Field, Old, New, Why string }

// Guess is what a stage prices with before the stages below have decided. It
// never decides a value by itself.
type Guess struct {
	Gauge map[string]GaugeGuess // by circuit key: what its wires came out as in the pass before
	Hole  map[string]float64    // by leg ID: circle area in mm² still free for further wires
}

// GaugeGuess is the size a circuit's wires are expected to have.
type GaugeGuess struct {
	OutsideMM float64
	KgPerM    float64
	Amps      float64
}

// Ends is assign's table: every end with its pin, feed or stud.
type Ends struct {
	List []End
	Of   [][]int // by circuit: its ends
}

// End is a place where a circuit begins or ends.
type End struct {
	ID        string // UID of the row + "/from" or "/to"
	Circuit   int
	Row       int // index into Circuit.Rows
	Device    int
	Stud      int
	Feed      int                  // the feed this end takes its power from, -1
	Pin       settle.Value[string] // name of the pin; for a stud end the stud's name
	PinIndex  int                  // into the device's part pins, -1
	Connector int                  // into Device.Connectors, -1: lug or flying lead
	Cavity    string               // of the loom-side connector
	Place     int                  // -1: open
	Role      part.Role
}

// Routes is route's table, one entry a circuit.
type Routes struct {
	List []Route
}

// Route is the tree of a circuit over legs and joins.
type Route struct {
	Circuit int
	Legs    []int   // sorted
	Joins   []int   // sorted
	Points  []Point // splice, daisy and stud points
	Spans   []Span  // the wires to be: a tree over ends, joins and splices
	Metres  float64 // of wire along legs
	Cost    float64 // metres as priced: joins, hot and wet zones on top
	Bound   float64 // no tree over the ends costs less, metres as priced
	Origin  settle.Origin
	Reason  settle.Reason
	Open    bool // no way, or an end is open: skipped below
}

// Span is a stretch of a circuit between two joints inside one loom: one wire,
// or several side by side where a join takes several contacts.
type Span struct {
	From, To Joint
	Legs     []int // in order from From to To; empty where both are at one place
	Loom     int
}

// Joint is where a span begins or ends. One of End, Join, Point and Beside is
// not -1.
type Joint struct {
	Place  int
	End    int    // into Ends.List
	Join   int    // a join that parts looms
	Half   string // a or b, of Join
	Point  int    // into Route.Points: a splice
	Beside int    // into Ends.List: the end of the shielded circuit beside which a shield ends free
}

// Point is a place where wires of one circuit join inside a loom.
type Point struct {
	Place  int
	Kind   string // splice, daisy (two wires in one contact), stud
	End    int    // the end whose contact takes two wires, for daisy
	Origin settle.Origin
}

// Cavities is cross's table.
type Cavities struct {
	Joins     []JoinPart // by join
	Crossings []Crossing // sorted by join, circuit, n
}

// JoinPart is the connector of a join.
type JoinPart struct {
	Part      settle.Value[string]
	Connector *part.Connector // nil: open, or a join without cavities (stud, grommet)
	Key       settle.Value[string]
	Sockets   settle.Value[string] // a or b: the half that has sockets
}

// Crossing is one circuit on one cavity of a join.
type Crossing struct {
	Join, Circuit int
	N             int // 1, 2 …
	Cavity        settle.Value[string]
	Size          string // contact size
	Shield        bool
}

// EndKind is what a wire ends in.
type EndKind uint8

// Kinds of wire ends.
const (
	AtPin EndKind = iota
	AtCavity
	AtSplice
	AtStud
	AtLead // a device's flying lead or terminal without cavity: lug or solder by the part
	AtFree // nothing: the far end of a shield, cut back and insulated
)

var endKinds = [...]string{"pin", "cavity", "splice", "stud", "lead", "free"}

// String is the word.
func (k EndKind) String() string { return endKinds[k] }

// MarshalText gives JSON the word.
func (k EndKind) MarshalText() ([]byte, error) { return []byte(k.String()), nil }

// WireEnd is where a wire begins or ends.
type WireEnd struct {
	Kind     EndKind
	Place    int
	End      int    // AtPin, AtStud, AtLead: into Ends.List, -1
	Crossing int    // AtCavity: into Cavities.Crossings, -1; a lug where the join is a through-stud
	Half     string // AtCavity: a or b
	Splice   int    // AtSplice: into Wires.Splices, -1
}

// Wires is split's table.
type Wires struct {
	List    []Wire
	Splices []Splice
}

// Wire is one cut piece of conductor. From is the end nearer the circuit's
// source.
type Wire struct {
	ID       string // stable: from the ends it parts, not from cavity or gauge
	Circuit  int
	Row      int // circuit row whose given gauge, family and colour hold, -1
	Loom     int
	From, To WireEnd
	Legs     []int // in order from From to To
	Parallel int   // 1, 2 … where a circuit runs on several wires
	Cable    int
	Core     string
}

// Splice joins wires of one circuit.
type Splice struct {
	ID      string
	Circuit int
	Place   int
	Loom    int
	Wires   []int
	Origin  settle.Origin
}

// Sizes is size's table, by wire, splice and feed.
type Sizes struct {
	Wires   []WireSize
	Splices []settle.Value[string] // splice part of each splice
	Feeds   []FeedSize
}

// WireSize is a wire's family, gauge and colour, with what led there.
type WireSize struct {
	Family, Gauge, Colour settle.Value[string]
	Wire                  *part.Wire      // nil: open
	Amps                  quantity.Ampere // largest over the states
	State                 int             // in which
	Capacity              quantity.Ampere // in its worst leg, in that state
	WorstLeg              int
	Conductor             quantity.Celsius // in that state
	Drop                  quantity.Volt    // over this wire in its worst state
	From, To              EndParts
}

// EndParts is what goes on a wire's end.
type EndParts struct {
	Contact string // part ID; "" where none
	Seal    string
	Lug     string
	Strip   quantity.Length
	Tool    string
	Check   bool // a figure is from memory or missing
}

// FeedSize is a feed's protection.
type FeedSize struct {
	Setting settle.Value[string] // fuse part or rating
	Rating  quantity.Ampere
	Amps    quantity.Ampere // most it carries over the states
	State   int
	Weakest int // wire behind it with the least margin, -1
	Fuse    *part.Fuse
}

// Power is power's table, by state.
type Power struct {
	States []StatePower
}

// StatePower is the car's network solved in one state.
type StatePower struct {
	State       int
	Amps        []quantity.Ampere  // by wire, from From to To
	Drop        []quantity.Volt    // by wire
	Celsius     []quantity.Celsius // conductor, by wire
	Loads       []LoadPower
	Feeds       []quantity.Ampere // by feed
	Source      quantity.Ampere
	SourceVolts quantity.Volt
	Unfed       []int // loads without a way to a source
}

// LoadPower is what a load gets.
type LoadPower struct {
	Load  int           // into Things.Loads
	Volts quantity.Volt // between its own two pins
	Amps  quantity.Ampere
	Way   quantity.Volt // lost on the way out and back
	Out   bool          // cut out under its least volts
}

// Bundles is bundle's table, by leg.
type Bundles struct {
	Legs []Bundle
}

// Bundle is a leg's cross-section.
type Bundle struct {
	Wires    []int // wires in the leg, sorted
	Items    []Item
	Diameter quantity.Length  // bare, rounded up to its step
	Bound    quantity.Length  // no packing is smaller
	Circles  []packing.Circle // by item, millimetres
	Sleeve   settle.Value[string]
	Covered  quantity.Length // with covering
	MassPerM quantity.Mass
}

// Item is one round thing of a bundle: a wire, or a cable with its cores.
type Item struct {
	Wire    int // -1 for a cable
	Cable   int // -1 for a wire
	Outside quantity.Length
}

// Cuts is cut's table, by wire.
type Cuts struct {
	Wires  []Cut
	Thread []Thread // by leg end, in order of working
}

// Cut is a wire's length and labels.
type Cut struct {
	Route   quantity.Length // along the legs
	Length  quantity.Length // with twist, stand-offs and end allowances, without tail
	Tail    quantity.Length
	Cut     settle.Value[quantity.Length] // what to cut
	Number  settle.Value[string]
	Label   settle.Value[string]
	LabelAt [2]string // words: where the label sits at From and To
}

// Thread is what goes on a leg's end before the connector does, in order.
type Thread struct {
	Leg   int
	Place int
	Items []string
}
