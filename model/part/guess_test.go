package part

import "testing"

// Words as they stand on the pin-outs of controllers, and what a wiring
// technician reads in them.
func TestGuessRole(t *testing.T) {
	for _, c := range []struct {
		texts        []string
		role         Role
		index, group string
	}{
		{[]string{"supply 12V key on", "12V IN"}, SupplyIn, "", ""},
		{[]string{"power ground", "GND"}, Ground, "", ""},
		{[]string{"sensor 5V", "5V OUT"}, SensorSupply, "", ""},
		{[]string{"sensor 0V", "0V SENS"}, SensorReturn, "", ""},
		{[]string{"AV analogue 1", "AIN1"}, AnalogueIn, "", ""},
		{[]string{"digital input 1", "DIN1"}, DigitalIn, "", ""},
		{[]string{"low side output, cut request", "CUT OUT"}, LowSide, "", ""},
		{[]string{"high side output, lamp", "LAMP OUT"}, SwitchedOut, "", ""},
		{[]string{"5V"}, SensorSupply, "", ""},
		{[]string{"5V B"}, SensorSupply, "", ""},
		{[]string{"0V"}, SensorReturn, "", ""},
		{[]string{"AV7"}, AnalogueIn, "", ""},
		{[]string{"INJ 3"}, Injector, "3", ""},
		{[]string{"INJ03"}, Injector, "3", ""},
		{[]string{"IGN4"}, Coil, "4", ""},
		{[]string{"IGN"}, SupplyIn, "", ""},
		{[]string{"IGN SW"}, SupplyIn, "", ""},
		{[]string{"CAN H"}, BusHigh, "", "CAN"},
		{[]string{"CAN2_L"}, BusLow, "", "CAN2"},
		{[]string{"CANH1"}, BusHigh, "", "CAN1"},
		{[]string{"injector", "INJ2", "A13"}, Injector, "2", ""},
		{[]string{"CAN10 H", "C36"}, BusHigh, "", "CAN10"},
		{[]string{"CAN1+"}, BusHigh, "", "CAN1"},
		{[]string{"PWR"}, SupplyIn, "", ""},
		{[]string{"PWR GND"}, Ground, "", ""},
		{[]string{"BATT-"}, Ground, "", ""},
		{[]string{"BATT+"}, SupplyIn, "", ""},
		{[]string{"SENSOR GND"}, SensorReturn, "", ""},
		{[]string{"TEMP 2"}, TemperatureIn, "", ""},
		{[]string{"AT3"}, TemperatureIn, "", ""},
		{[]string{"UDIG 4"}, FrequencyIn, "", ""},
		{[]string{"FREQ1"}, FrequencyIn, "", ""},
		{[]string{"KNOCK 1"}, KnockIn, "", ""},
		{[]string{"LAMBDA 1"}, AnalogueIn, "", ""},
		{[]string{"LAMBDA 1 HEATER"}, LowSide, "", ""},
		{[]string{"HB2A"}, HalfBridge, "", ""},
		{[]string{"half bridge 3"}, HalfBridge, "", ""},
		{[]string{"EGT1+"}, ThermoPlus, "", ""},
		{[]string{"EGT1-"}, ThermoMinus, "", ""},
		{[]string{"SCREEN"}, Shield, "", ""},
		{[]string{"NC"}, Plain, "", ""},
		{[]string{"frequency in", "SPARE 1"}, FrequencyIn, "", ""},
		{[]string{"Analog In", "X"}, AnalogueIn, "", ""},
	} {
		g, ok := GuessRole(c.texts...)
		if !ok || g.Role != c.role || g.Index != c.index || g.Group != c.group {
			t.Errorf("%q: %q index %q group %q (%s by %q), want %q %q %q", c.texts, g.Role, g.Index, g.Group, g.Trust, g.Word, c.role, c.index, c.group)
		}
	}
	for _, text := range []string{"", "xyzzy", "USB D", "FANTASY", "CANOPY", "AVERAGE", "INJURED", "TEMPLE"} {
		if g, ok := GuessRole(text); ok {
			t.Errorf("%q was taken for %q by %q", text, g.Role, g.Word)
		}
	}
	if g, _ := GuessRole("analogue in"); g.Trust != Named {
		t.Errorf("a role's own name is %q", g.Trust)
	}
	if g, _ := GuessRole("O2"); g.Trust != Maybe {
		t.Errorf("a word of several meanings is %q", g.Trust)
	}
}
