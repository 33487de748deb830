package resolve

import (
	"testing"

	"keyon/examples"
	"keyon/model/design"
	"keyon/model/part"
	"keyon/store/workbook"
	"keyon/testkit/fixture"
)

const bench = `
-- parts.csv --
part, kind
ecu, device
-- pins.csv --
part, pin, role, needed
ecu, VBAT, supply in, yes
ecu, GND, ground, yes
ecu, 5V A, sensor supply,
ecu, 0V A, sensor return,
ecu, AN 1, analogue in,
ecu, AN 2, analogue in,
ecu, DIG 1, digital in,
ecu, IGN 1, coil,
ecu, INJ 1, injector,
ecu, LS 1, low side out,
ecu, CAN H, bus high,
ecu, CAN L, bus low,
-- places.csv --
place
p
-- studs.csv --
stud, place
G, p
-- devices.csv --
device, part, place
E, ecu, p
keypad, keypad-can, p
S, sensor-pressure-3w, p
T, sensor-pressure-3w, p
coil 1, coil-on-plug-3w, p
injector 1, injector-2w, p
lamp, lamp-brake, p
relay, relay-30A, p
-- circuits.csv --
circuit, from device, from pin, to device, to pin
`

// TestClass: what a circuit is, told from pins, needed pins and names.
func TestClass(t *testing.T) {
	for _, k := range []struct {
		name, rows string
		want       map[string]string
	}{
		{"one given pin tells", "A, E, IGN 1, coil 1,\n", map[string]string{"A": "ignition"}},
		{"the far pin tells", "A, E, , injector 1, -\n", map[string]string{"A": "injection"}},
		{"a blank supply side is power, a blank way out is ground", "A, , , lamp,\nB, lamp, , ,\n", map[string]string{"A": "power", "B": "ground"}},
		{"a stud is ground", "B, lamp, , G,\n", map[string]string{"B": "ground"}},
		{"three circuits on a sensor, the third is what is left", "A, E, , S, 5V\nB, E, , S, 0V\nC, E, , S,\n", map[string]string{"A": "sensor supply", "B": "sensor return", "C": "signal"}},
		{"names tell where pins don't", "5V S, E, , S,\n0V S, E, , S,\nPRESSURE OUT, E, , S,\n", map[string]string{"5V S": "sensor supply", "0V S": "sensor return", "PRESSURE OUT": "signal"}},
		{"a circuit of two sensors is no signal of one", "X, E, , S,\nX, E, , T,\nY, E, , S,\nY, E, , T,\nP, E, , S,\nQ, E, , T,\n", map[string]string{"P": "signal", "Q": "signal"}},
		{"both lines of a bus", "H, E, , keypad, CAN H\nL, E, , keypad, CAN L\n", map[string]string{"H": "data", "L": "data"}},
		{"a relay's coil on a low side output", "A, E, LS 1, relay, 85\n", map[string]string{"A": "power"}},
		{"nothing known", "A, nobody, , nothing,\n", map[string]string{"A": "signal"}},
	} {
		c := fixture.Text(t, bench+k.rows)
		x, _ := Run(c.Design, c.Catalogue)
		for circuit, class := range k.want {
			if got := x.Circuits[x.CircuitOf[circuit]].Class; got.Value != class {
				t.Errorf("%s: %s is %s, want %s (%s)", k.name, circuit, got.Value, class, got.Reason.Text)
			}
		}
	}
}

// TestClassOfTern: with every pin and class blanked, the example car's
// circuits come out as their authors classed them, but for what only a person
// can know: which power is heavy, and what belongs to the extinguisher.
func TestClassOfTern(t *testing.T) {
	r, err := workbook.ReadFolder("tern", examples.Folder("tern"))
	if err != nil {
		t.Fatal(err)
	}
	run := func(b *design.Book) map[string]string {
		d := design.Read(b)
		c, _ := part.Embedded().With(d)
		x, _ := Run(d, c)
		out := map[string]string{}
		for i := range x.Circuits {
			out[x.Circuits[i].Name] = x.Circuits[i].Class.Value
		}
		return out
	}
	want := run(r.Book)
	s := r.Book.Clone()
	circuits := s.Sheet("Circuits")
	for _, column := range []string{"class", "from pin", "to pin"} {
		for i := range circuits.Rows {
			circuits.Rows[i].Cells[circuits.Table.Index(column)] = design.Cell{}
		}
	}
	fold := map[string]string{"heavy": "power", "low-level": "signal"}
	like := func(class string) string {
		if f, ok := fold[class]; ok {
			return f
		}
		return class
	}
	other, straps := 0, map[string]bool{"BATTERY -": true, "ENGINE STRAP": true, "GEARBOX STRAP": true}
	for name, class := range run(s) {
		if w := want[name]; w != "extinguisher" && !straps[name] && like(class) != like(w) {
			other++
			t.Logf("%s is %s, its author says %s", name, class, w)
		}
	}
	if most := 2; other > most {
		t.Errorf("%d circuits of %d are classed otherwise, at most %d", other, len(want), most)
	}
}
