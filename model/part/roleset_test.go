package part

import "testing"

func TestFacing(t *testing.T) {
	for _, k := range []struct {
		role  Role
		class string
		c     Closeness
		has   []Role
		not   []Role
	}{
		{SensorIn, "sensor supply", Exact, []Role{SensorSupply}, []Role{SupplyOut, SensorIn, Plain}},
		{InjectorIn, "power", Exact, nil, []Role{Injector}},
		{InjectorIn, "power", Kin, []Role{Injector, LowSide}, []Role{Coil}},
		{LoadMinus, "ground", Exact, []Role{Ground}, []Role{LowSide, LoadMinus}},
		{AnalogueOut, "signal", Exact, []Role{AnalogueIn, DigitalIn, Plain}, []Role{SensorSupply}},
		{Ground, "extinguisher", Anything, []Role{Ground, LoadMinus, Plain}, []Role{SupplyOut}},
		{SupplyIn, "no such class", Exact, []Role{SupplyOut, Plain}, []Role{SensorSupply}},
		{Plain, "signal", Exact, []Role{Plain, AnalogueIn, DigitalOut}, []Role{SupplyIn, Ground}},
		{Plain, "coax", Anything, Roles(), nil},
		{Ground, "signal", Exact, nil, []Role{DigitalIn}},
		{Ground, "signal", Kin, []Role{DigitalIn}, nil}, // a coding strap
		{Plain, "power", Exact, nil, Roles()},
	} {
		got := SetOf(k.role).Facing(k.class, k.c)
		for _, r := range k.has {
			if !got.Has(r) {
				t.Errorf("%q in %s (%d) does not face %q", k.role, k.class, k.c, r)
			}
		}
		for _, r := range k.not {
			if got.Has(r) {
				t.Errorf("%q in %s (%d) faces %q", k.role, k.class, k.c, r)
			}
		}
	}
	if n := len(Roles()) + 1; n > 64 {
		t.Errorf("%d roles do not fit a set", n)
	}
}

func TestLikeness(t *testing.T) {
	for _, k := range []struct {
		circuit, pin string
		want         int
	}{
		{"0V ENGINE 1", "0V", 100},
		{"0V ENGINE 1", "0V 1", 100},
		{"0V ENGINE 1", "5V", 50},
		{"BUS 1 H", "CAN1 H", 66},
		{"BUS 1 H", "CAN2 H", 33},
		{"CRANK +", "SIG +", 50},
		{"CRANK", "", 0},
		{"INJ 11", "INJ 1", 50}, // numbers are whole words
	} {
		if got := WordsOf(k.circuit).Likeness(WordsOf(k.pin)); got != k.want {
			t.Errorf("%q holds %q by %d, want %d", k.circuit, k.pin, got, k.want)
		}
	}
}
