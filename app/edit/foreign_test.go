package edit

import (
	"fmt"
	"io/fs"
	"maps"
	"slices"
	"strings"
	"testing"

	"keyon/examples"
	"keyon/model/design"
	"keyon/model/fault"
	"keyon/model/part"
	"keyon/store/workbook"
)

func foreign(t testing.TB, name, text string) *workbook.Foreign {
	t.Helper()
	fs, err := workbook.ReadForeign(name, []byte(text), false)
	if err != nil {
		t.Fatal(err)
	}
	return fs[0]
}

func rules(p *ForeignPreview) string {
	var out []string
	for _, v := range p.Findings {
		out = append(out, strings.TrimSpace(v.Rule.ID+" "+p.Ref(v.Place.Cell)))
	}
	return strings.Join(out, "; ")
}

// From–to lists as people write them.
func TestFromTo(t *testing.T) {
	const want = "F1: ECU 01 to PUMP A; gauge 20, colour RD | F2: ECU 1E2 to FAN 00; gauge , colour "
	for name, text := range map[string]string{
		"our words":    "circuit,from device,from pin,to device,to pin,gauge,colour\nF1,ECU,01,PUMP,A,20,RD\nF2,ECU,1E2,FAN,00,,\n",
		"theirs":       "Wire No.;Source;Pin 1;Destination;Pin 2;AWG;Color\nF1;ECU;01;PUMP;A;20;RD\nF2;ECU;1E2;FAN;00;;\n",
		"twice":        "Signal\tDevice\tPin\tDevice\tPin\tSize (AWG)\tColour\nF1\tECU\t01\tPUMP\tA\t20\tRD\nF2\tECU\t1E2\tFAN\t00\t\t\n",
		"ends in one":  "Net,From,To,Wire size,Col\nF1,ECU:01,PUMP:A,20,RD\nF2,ECU:1E2,FAN:00,,\n",
		"with a title": "Loom list of the blue car\n\n,,,,,,\nName,From,From Pin,To,To Pin,Gauge,Colour\nF1,ECU,01,PUMP,A,20,RD\n\nF2,ECU,1E2,FAN,00,,\n",
	} {
		c := newCar(t)
		p, err := c.Foreign(foreign(t, "list.csv", text), Target{Table: "Circuits"}, nil)
		if err != nil {
			t.Fatal(err)
		}
		if got := rules(p); got != "" {
			t.Errorf("%s: findings %s; columns %v", name, got, p.Columns)
		}
		if err := c.TakeForeign(p, nil, by("anna")); err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		var got []string
		s := c.Book().Sheet("Circuits")
		for i := range s.Rows {
			x := func(col string) string { return s.Text(i, col) }
			got = append(got, fmt.Sprintf("%s: %s %s to %s %s; gauge %s, colour %s", x("circuit"), x("from device"), x("from pin"), x("to device"), x("to pin"), x("gauge"), x("colour")))
		}
		if strings.Join(got, " | ") != want {
			t.Errorf("%s: %q, want %q; columns %v", name, got, want, p.Columns)
		}
		mustVerify(t, c)
	}
}

// Headings nobody could guess are named once and remembered for tables that
// have the same.
func TestRemember(t *testing.T) {
	c := newCar(t)
	const text = "Leiter,Von,Stift,Nach,Buchse,Querschnitt\nF1,ECU,1,PUMP,2,0.5\n"
	p, err := c.Foreign(foreign(t, "a.csv", text), Target{Table: "Circuits"}, nil)
	if err != nil || !strings.HasPrefix(rules(p), "foreign.heading") {
		t.Fatalf("findings %s %v", rules(p), err)
	}
	if err := c.TakeForeign(p, nil, by("anna")); fault.Of(err) != fault.Invalid {
		t.Errorf("taken without its columns: %v", err)
	}
	named := map[string]string{"Leiter": "circuit", "Von": "from device", "Stift": "from pin", "Nach": "to device", "Buchse": "to pin"}
	for _, bad := range []map[string]string{{"Foo": "circuit"}, {"Von": "wheel"}, {"Von": "circuit", "Nach": "circuit"}} {
		if _, err := c.Foreign(foreign(t, "a.csv", text), Target{Table: "Circuits"}, bad); fault.Of(err) != fault.Invalid {
			t.Errorf("columns %v: %v", bad, err)
		}
	}
	if p, err = c.Foreign(foreign(t, "a.csv", text), Target{Table: "Circuits"}, named); err != nil {
		t.Fatal(err)
	}
	if err := c.TakeForeign(p, nil, by("anna")); err != nil {
		t.Fatal(err)
	}
	p, err = c.Foreign(foreign(t, "b.csv", "Von,Leiter,Nach,Stift,Querschnitt,Buchse\nECU,F2,FAN,7,,9\nECU,F1,PUMP,1,,\n"), Target{Table: "Circuits"}, nil)
	if err != nil || !p.Remembered || !maps.Equal(p.Columns, named) {
		t.Fatalf("columns %v remembered %v %v", p.Columns, p.Remembered, err)
	}
	if p.Count(Added) != 2 || p.Count(Removed) != 0 {
		// F1 without its pin at the pump is another row of F1 until said otherwise
		t.Errorf("changes %+v", p.Rows)
	}
}

// A pin-out becomes a part with pins; roles are proposed and never taken
// without a yes.
func TestPinOut(t *testing.T) {
	data, err := fs.ReadFile(examples.Folder("retrofit"), "foreign/cut-box-pinout.csv")
	if err != nil {
		t.Fatal(err)
	}
	c := newCar(t)
	take(t, c, reading(t, "Car.csv", "key,value\ndecimal,point\n"))
	f := foreign(t, "cut-box-pinout.csv", string(data))
	p, err := c.Foreign(f, Target{"Pins", "cut-box"}, nil)
	if err != nil {
		t.Fatal(err)
	}
	if got := rules(p); got != "foreign.decimal" {
		t.Errorf("findings %s; columns %v", got, p.Columns)
	}
	if err := c.TakeForeign(p, p.Roles[:2], by("anna")); err != nil {
		t.Fatal(err)
	}
	d := design.Read(c.Book())
	if len(d.Parts) != 1 || d.Parts[0].Name != "cut-box" || d.Parts[0].Kind.Value != "device" {
		t.Errorf("parts %+v", d.Parts)
	}
	if len(d.Pins) != len(f.Lines) || len(d.Findings) > 0 {
		t.Errorf("%d pins of %d lines, findings %v", len(d.Pins), len(f.Lines), d.Findings)
	}
	roles := 0
	for _, pin := range d.Pins {
		if pin.Role.Is() {
			roles++
		}
		if pin.Pin.Value == "5V OUT" && (pin.Cavity.Value != "3" || pin.Amps.Value != 0.2) {
			t.Errorf("5V OUT: %+v", pin)
		}
	}
	if roles != 2 {
		t.Errorf("%d roles were taken, 2 were confirmed", roles)
	}
	// the rest is confirmed on a second look, one of them corrected
	if p, err = c.Foreign(f, Target{"Pins", "cut-box"}, nil); err != nil {
		t.Fatal(err)
	}
	if len(p.Rows) != 0 || len(p.Roles) != len(f.Lines)-2 {
		t.Errorf("changes %+v, %d roles", p.Rows, len(p.Roles))
	}
	i := slices.IndexFunc(p.Roles, func(g RoleGuess) bool { return g.Pin == "CUT OUT" })
	p.Roles[i].Role = part.DigitalOut
	if err := c.TakeForeign(p, p.Roles, by("anna")); err != nil {
		t.Fatal(err)
	}
	got := map[string]string{}
	for _, pin := range design.Read(c.Book()).Pins {
		got[pin.Pin.Value] = pin.Role.Value
	}
	want := map[string]string{"12V IN": "supply in", "GND": "ground", "5V OUT": "sensor supply", "0V SENS": "sensor return", "AIN1": "analogue in", "AIN2": "analogue in", "DIN1": "digital in", "DIN2": "digital in", "CUT OUT": "digital out", "LAMP OUT": "switched out"}
	for pin, role := range want {
		if got[pin] != role {
			t.Errorf("pin %s has the role %q, want %q", pin, got[pin], role)
		}
	}
	if err := c.TakeForeign(p, []RoleGuess{{UID: "x", Guess: part.Guess{Role: part.Ground}}}, by("anna")); fault.Of(err) != fault.Invalid {
		t.Errorf("a role that nobody proposed: %v", err)
	}
	mustVerify(t, c)
}

// A controller's sheet of 120 pins, pasted from a spreadsheet.
func TestPasted(t *testing.T) {
	var b strings.Builder
	b.WriteString("Pin\tFunction\tConn\n")
	kinds := []string{"INJ %d", "IGN %d", "AV%d", "TEMP %d", "UDIG %d", "CAN%d H", "CAN%d L", "HB %d", "5V", "0V", "PWR", "GND"}
	for i := range 120 {
		k := kinds[i%len(kinds)]
		if strings.Contains(k, "%") {
			k = fmt.Sprintf(k, i/len(kinds)+1)
		}
		fmt.Fprintf(&b, "%c%02d\t%s\t%c\n", 'A'+i/40, i%40+1, k, 'A'+i/40)
	}
	b.WriteString("\tend of list\t\n")
	f, err := workbook.Pasted(b.String())
	if err != nil {
		t.Fatal(err)
	}
	c := newCar(t)
	p, err := c.Foreign(f, Target{"Pins", "controller-x"}, nil)
	if err != nil {
		t.Fatal(err)
	}
	if p.Count(Added) != 121 || len(p.Roles) != 120 || rules(p) != "foreign.line" {
		t.Errorf("%d added, %d roles, findings %s, columns %v", p.Count(Added), len(p.Roles), rules(p), p.Columns)
	}
	want := []part.Role{part.Injector, part.Coil, part.AnalogueIn, part.TemperatureIn, part.FrequencyIn, part.BusHigh, part.BusLow, part.HalfBridge, part.SensorSupply, part.SensorReturn, part.SupplyIn, part.Ground}
	for i, g := range p.Roles {
		if g.Role != want[i%len(want)] {
			t.Errorf("pin %s %q: %s, want %s", g.Pin, g.Said, g.Role, want[i%len(want)])
		}
	}
	if g := p.Roles[12]; g.Index != "2" {
		t.Errorf("%s has index %q, want 2", g.Said, g.Index)
	}
	for _, bad := range []struct{ table, part string }{{"Pins", ""}, {"Loads", ""}} {
		if _, err := c.Foreign(f, Target{bad.table, bad.part}, nil); fault.Of(err) != fault.Invalid {
			t.Errorf("taken over as %+v: %v", bad, err)
		}
	}
	for _, text := range []string{"", "one cell", "a\tb"} {
		if _, err := workbook.Pasted(text); fault.Of(err) != fault.Invalid {
			t.Errorf("%q was taken for a table: %v", text, err)
		}
	}
}

// Garbled cells of a foreign table are told at their place in it.
func TestForeignFindings(t *testing.T) {
	c := newCar(t)
	p, err := c.Foreign(foreign(t, "list.csv", "circuit,from,to,gauge\nF1,ECU,FAN,2x\n,,,\nF2,,,20\n"), Target{Table: "Circuits"}, nil)
	if err != nil {
		t.Fatal(err)
	}
	if got, want := rules(p), "foreign.line; table.garbled list.csv!D2"; got != want {
		t.Errorf("findings %q, want %q", got, want)
	}
}
