package part

import (
	"slices"
	"strings"
)

// mate says that pins of two roles may stand at the two ends of a circuit,
// and which class such a circuit has where none is given.
type mate struct {
	from, to Role
	class    string
}

// mates is common practice: what feeds or reads what. A role's candidates are
// best first in the order of the rows. Both directions hold; a role beside
// itself (bus, shield, ground) joins its own kind.
var mates = []mate{
	// Feeds. A controlled output comes before a permanently live one.
	{SwitchedOut, SupplyIn, "power"},
	{SupplyOut, SupplyIn, "power"},
	{HalfBridge, SupplyIn, "power"},
	{Battery, SupplyIn, "heavy"},
	{Alternator, SupplyIn, "heavy"},
	{SupplyOut, Alternator, "heavy"},
	{Battery, Alternator, "heavy"},
	{SupplyOut, StarterIn, "heavy"},
	{Battery, StarterIn, "heavy"},
	{SupplyOut, Battery, "heavy"},
	{SwitchedOut, StarterIn, "power"},
	{HalfBridge, MotorIn, "power"}, // both wires of a motor that turns either way
	// Returns. A load that may hang on a low side output may also be grounded.
	{LowSide, LoadMinus, "power"},
	{HalfBridge, LoadMinus, "power"},
	{Ground, LoadMinus, "ground"},
	{Ground, Ground, "ground"},
	{Ground, Case, "ground"},
	// Sensors: supply and return come from the controller that reads them.
	{SensorSupply, SensorIn, "sensor supply"},
	{SensorReturn, SensorGround, "sensor return"},
	{AnalogueIn, AnalogueOut, "signal"},
	{TemperatureIn, Resistive, "signal"},
	{AnalogueIn, Resistive, "signal"}, // with a pull-up outside the controller
	{FrequencyIn, FrequencyOut, "low-level"},
	{DigitalIn, FrequencyOut, "signal"},
	{KnockIn, KnockOut, "low-level"},
	{ThermoPlus, ThermoPlus, "thermocouple"},
	{ThermoMinus, ThermoMinus, "thermocouple"},
	// Switches.
	{DigitalIn, DigitalOut, "signal"},
	{AnalogueIn, DigitalOut, "signal"},
	{DigitalIn, LowSide, "signal"},
	{DigitalIn, SwitchedOut, "signal"},
	{DigitalIn, Ground, "signal"}, // a coding strap
	{DigitalIn, SupplyOut, "signal"},
	{DigitalIn, AnalogueOut, "signal"},
	// Engine outputs.
	{Coil, CoilIn, "ignition"},
	{Injector, InjectorIn, "injection"},
	{LowSide, InjectorIn, "injection"},
	// Buses and screens.
	{BusHigh, BusHigh, "data"},
	{BusLow, BusLow, "data"},
	{Shield, Shield, "shield"},
	{Ground, Shield, "shield"},
	{SensorReturn, Shield, "shield"},
}

// alike are the roles of which several may hang on one circuit: a supply that
// feeds two pumps, a return that serves two sensors.
var alike = []Role{SupplyIn, Ground, Case, LoadMinus, SensorIn, SensorGround, AnalogueIn, FrequencyIn, DigitalIn, DigitalOut, CoilIn, InjectorIn, LowSide, Battery, StarterIn}

// Mates reports whether pins of roles a and b may be on one circuit. Plain
// pins say nothing about themselves and go with anything. Equal roles go
// together where each may be one of several on a source; two outputs that
// would fight each other don't.
func Mates(a, b Role) bool {
	if a == Plain || b == Plain || a == b && slices.Contains(alike, a) {
		return true
	}
	return slices.ContainsFunc(mates, func(m mate) bool { return m.from == a && m.to == b || m.from == b && m.to == a })
}

// Wants lists the roles that may stand opposite a role, best first; nil for
// Plain and unknown roles.
func Wants(r Role) []Role {
	var list []Role
	for _, m := range mates {
		o := m.to
		if m.to == r {
			o = m.from
		} else if m.from != r {
			continue
		}
		if !slices.Contains(list, o) {
			list = append(list, o)
		}
	}
	return list
}

// Class is the circuit class two roles call for where none is given; "signal"
// where the roles say nothing.
func Class(a, b Role) string {
	for _, m := range mates {
		if m.from == a && m.to == b || m.from == b && m.to == a {
			return m.class
		}
	}
	for _, r := range []Role{a, b} {
		if list := Wants(r); r != Plain && len(list) > 0 {
			return Class(r, list[0])
		}
	}
	return "signal"
}

// Roles is every role there is, in the order of the glossary.
func Roles() []Role {
	return []Role{SupplyIn, SupplyOut, Ground, Case, SensorSupply, SensorReturn, SensorIn, SensorGround, AnalogueIn, AnalogueOut, TemperatureIn, Resistive,
		FrequencyIn, FrequencyOut, KnockIn, KnockOut, SwitchedOut, LowSide, HalfBridge, Coil, CoilIn, Injector, InjectorIn, BusHigh, BusLow, Shield,
		ThermoPlus, ThermoMinus, DigitalIn, DigitalOut, LoadMinus, MotorIn, Battery, Alternator, StarterIn}
}

// ParseRole reads a role as people type it: capitals, spaces, hyphens and the
// other spelling of analogue don't matter. Blank text is Plain.
func ParseRole(text string) (Role, bool) {
	t := strings.Replace(fold(text), "analogin", "analoguein", 1)
	t = strings.Replace(t, "analogout", "analogueout", 1)
	if t == "" {
		return Plain, true
	}
	for _, r := range Roles() {
		if t == fold(string(r)) {
			return r, true
		}
	}
	return Plain, false
}

// fold is the text without capitals, spaces and joining marks; a sign at the
// end stays, as in "load -".
func fold(text string) string {
	t := strings.ToLower(strings.TrimSpace(text))
	return strings.Map(func(r rune) rune {
		if r == ' ' || r == '_' || r == '-' || r == '\u00a0' {
			return -1
		}
		return r
	}, strings.TrimSuffix(t, "-")) + t[len(strings.TrimSuffix(t, "-")):]
}
