package part

import (
	"math/bits"
	"strings"
	"sync"
	"unicode"
)

// RoleSet is a set of roles. Plain is a member like any other.
type RoleSet uint64

// EveryRole holds for an end nothing is known about.
const EveryRole = ^RoleSet(0)

var bitOf = sync.OnceValue(func() map[Role]RoleSet {
	m := map[Role]RoleSet{Plain: 1}
	for i, r := range Roles() {
		m[r] = 1 << (i + 1)
	}
	return m
})

// SetOf is the set of some roles; roles nobody knows count as Plain.
func SetOf(roles ...Role) RoleSet {
	var s RoleSet
	for _, r := range roles {
		if b, ok := bitOf()[r]; ok {
			s |= b
		} else {
			s |= 1
		}
	}
	return s
}

// Has reports whether a role is in the set.
func (s RoleSet) Has(r Role) bool { return s&SetOf(r) != 0 }

// Closeness says how strictly a circuit's class is taken when its ends look
// for pins.
type Closeness uint8

// measured are the roles of which a plain pin may be one end: what is read and
// what reads it. A supply or a ground on a plain pin is no signal.
var measured = SetOf(AnalogueIn, AnalogueOut, TemperatureIn, Resistive, FrequencyIn, FrequencyOut, KnockIn, KnockOut, DigitalIn, DigitalOut)

// A class means exactly the pairs of roles it is named for; or signal and
// low-level alike; or its kin, as the wire of a relay's coil is power and
// injection alike, and a strap from an input to ground is a signal; or it says
// nothing about roles, as extinguisher and coax do.
const (
	Exact Closeness = iota
	Near
	Kin
	Anything
)

// family folds classes whose circuits may use each other's pins.
func family(class string) string {
	switch class {
	case "low-level":
		return "signal"
	case "heavy", "injection":
		return "power"
	}
	return class
}

type opposites map[string]*[4][64]RoleSet // by class, closeness, bit

var facing = sync.OnceValue(func() opposites {
	list := Roles()
	out := opposites{}
	for _, class := range []string{"power", "ground", "sensor supply", "sensor return", "signal", "low-level", "data", "ignition", "injection", "thermocouple", "coax", "heavy", "extinguisher", "shield"} {
		t := &[4][64]RoleSet{}
		put := func(level Closeness, a, b Role) {
			t[level][bits.TrailingZeros64(uint64(SetOf(a)))] |= SetOf(b)
			t[level][bits.TrailingZeros64(uint64(SetOf(b)))] |= SetOf(a)
		}
		for _, m := range mates {
			strap := m.class == "signal" && !(measured.Has(m.from) && measured.Has(m.to))
			if m.class == class && !strap {
				put(Exact, m.from, m.to)
				put(Near, m.from, m.to)
			}
			if family(m.class) == "signal" && family(class) == "signal" && !strap {
				put(Near, m.from, m.to)
			}
			if family(m.class) == family(class) {
				put(Kin, m.from, m.to)
			}
			put(Anything, m.from, m.to)
		}
		for _, r := range list {
			put(Anything, r, Plain)
			if class == "signal" && measured.Has(r) {
				put(Exact, r, Plain)
			}
			if family(class) == "signal" && measured.Has(r) {
				put(Near, r, Plain)
				put(Kin, r, Plain)
			}
		}
		t[Anything][0] |= 1
		if class == "signal" {
			t[Exact][0] |= 1
		}
		if family(class) == "signal" {
			t[Near][0] |= 1
			t[Kin][0] |= 1
		}
		out[class] = t
	}
	return out
})

// Facing is the roles that may stand opposite any role of a set in a circuit
// of that class. Classes nobody knows are taken as saying nothing.
func (s RoleSet) Facing(class string, c Closeness) RoleSet {
	t := facing()[class]
	if t == nil {
		t, c = facing()["signal"], Anything
	}
	var out RoleSet
	for s != 0 && out != EveryRole {
		i := bits.TrailingZeros64(uint64(s))
		out |= t[c][i]
		s &= s - 1
	}
	return out
}

var steps = sync.OnceValue(func() *[64][64]int8 {
	t := &[64][64]int8{}
	for _, r := range Roles() {
		for i, o := range Wants(r) {
			t[bits.TrailingZeros64(uint64(SetOf(r)))][bits.TrailingZeros64(uint64(SetOf(o)))] = int8(i + 1)
		}
	}
	return t
})

// Step is how far down the list of what some role of the set wants opposite a
// role stands: 0 for the best. Not ok where none of them wants it.
func (s RoleSet) Step(role RoleSet) (step int, ok bool) {
	t, to := steps(), bits.TrailingZeros64(uint64(role))
	for s != 0 {
		if n := int(t[bits.TrailingZeros64(uint64(s))][to&63]); n > 0 && (!ok || n-1 < step) {
			step, ok = n-1, true
		}
		s &= s - 1
	}
	return step, ok
}

// Among narrows the roles that each side of a circuit may have to those that
// face some other side in a class; not ok where a side is left with none.
func Among(sides []RoleSet, class string, c Closeness) ([]RoleSet, bool) {
	n := len(sides)
	out := append([]RoleSet(nil), sides...)
	after := make([]RoleSet, n+1)
	for changed := true; changed; {
		changed = false
		for i := n - 1; i >= 0; i-- {
			after[i] = after[i+1] | out[i]
		}
		var before RoleSet
		for i, s := range out {
			out[i] = s & (before|after[i+1]).Facing(class, c)
			if out[i] == 0 {
				return out, false
			}
			changed = changed || out[i] != s
			before |= s
		}
	}
	return out, n > 1
}

// Narrow is Among at the strictest closeness from Near on that leaves every
// side a role; where there is none the sides are returned as they came.
func Narrow(sides []RoleSet, class string) []RoleSet {
	for c := Near; c <= Anything; c++ {
		if out, ok := Among(sides, class, c); ok {
			return out
		}
	}
	return sides
}

// Words are the words of a name: letters, numbers and signs each for
// themselves, without capitals.
type Words []string

// Likeness says how much of a pin's name stands in a circuit's name, from 0 to
// 100: "0V ENGINE 1" holds all of pin 0V, and most of pin 0V B1. It proposes
// where roles leave a choice; it proves nothing.
func (circuit Words) Likeness(pin Words) int {
	return 100 * circuit.Met(pin) / max(1, len(pin))
}

// Met counts the words of a pin's name that stand in the circuit's; one that
// comes twice there must come twice here.
func (circuit Words) Met(pin Words) int {
	met := 0
	for i, w := range pin {
		if count(circuit, w) > count(pin[:i], w) {
			met++
		}
	}
	return met
}

func count(words Words, w string) int {
	n := 0
	for _, x := range words {
		if x == w {
			n++
		}
	}
	return n
}

// WordsOf parts a name where letters, digits and signs meet.
func WordsOf(name string) Words {
	var out Words
	last := 0 // kind of the rune before: 0 none, 1 letter, 2 digit
	for _, c := range strings.ToLower(name) {
		kind := 0
		switch {
		case unicode.IsLetter(c):
			kind = 1
		case unicode.IsDigit(c):
			kind = 2
		case c == '+' || c == '-':
			out = append(out, string(c))
		}
		if kind != 0 {
			if kind == last {
				out[len(out)-1] += string(c)
			} else {
				out = append(out, string(c))
			}
		}
		last = kind
	}
	return out
}
