package workbook

import (
	"bytes"
	"fmt"
	"io/fs"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/xuri/excelize/v2"

	"keyon/model/design"
	"keyon/model/finding"
)

// car is a small car without a mistake.
var car = map[string]string{
	"Car.csv":      "key,value\nname,Tern\nvolts,12\n",
	"Zones.csv":    "zone,ambient,exposures\ncabin,50,dry\nengine,120 °C,heat;oil\n",
	"Places.csv":   "place,x,y,z,state,zone\ndash,1200,100,700,measured,cabin\nfront,0,0,500,planned,engine\n",
	"Legs.csv":     "from,to,length,hole\ndash,front,1500,\n",
	"Devices.csv":  "device,part,place\nECU,controller,dash\nFAN,fan,front\n",
	"Circuits.csv": "circuit,from device,from pin,to device,to pin,class,gauge\nF1,ECU,01,FAN,1,power,20\nF2,ECU,1E2,FAN,00,ground,\n",
	"Studs.csv":    "stud,place,most lugs\nG1,front,4\n",
}

func folder(files map[string]string) fs.FS {
	m := fstest.MapFS{}
	for n, s := range files {
		m[n] = &fstest.MapFile{Data: []byte(s)}
	}
	return m
}

// told lists the findings of reading and of the cells, with where they point.
func told(t *testing.T, r *Reading) []string {
	t.Helper()
	vs := append(append([]finding.Verdict{}, r.Findings...), design.Read(r.Book).Findings...)
	finding.Sort(vs)
	var out []string
	for _, v := range vs {
		out = append(out, v.Rule.ID+" "+r.Ref(v.Place.Cell))
	}
	return out
}

// Each mistake gives its finding at its cell, and no other.
func TestMistakes(t *testing.T) {
	for _, c := range []struct {
		name       string
		file       string
		old, is    string
		rule, cell string
	}{
		{"no mistake", "", "", "", "", ""},
		{"letters in a number", "Legs.csv", "1500", "15x0", "table.garbled", "Legs.csv!C2"},
		{"one comma before three digits", "Legs.csv", "1500", `"1,500"`, "table.garbled", "Legs.csv!C2"},
		{"a unit nobody knows", "Legs.csv", "1500", "1500 ells", "table.garbled", "Legs.csv!C2"},
		{"a unit of another kind", "Legs.csv", "1500", "1500 A", "table.garbled", "Legs.csv!C2"},
		{"a length below zero", "Legs.csv", "1500", "-1500", "table.garbled", "Legs.csv!C2"},
		{"a row without its place", "Devices.csv", "FAN,fan,front", "FAN,fan,", "table.must", "Devices.csv!C3"},
		{"a row without its name", "Circuits.csv", "F2,ECU", ",ECU", "table.must", "Circuits.csv!A3"},
		{"one name twice", "Places.csv", "front,0,0,500", "dash,0,0,500", "table.twice", "Places.csv!A3"},
		{"a heading that every row needs left out", "Devices.csv", "device,part,place", "device,part,room", "sheet.column", "Devices.csv"},
		{"one heading twice", "Places.csv", "place,x,y,z", "place,x,X,z", "sheet.heading", "Places.csv!B1"},
		{"a unit of another kind in a heading", "Legs.csv", "length", "length (V)", "sheet.unit", "Legs.csv"},
		{"a heading misspelt", "Circuits.csv", "gauge", "guage", "sheet.near", "Circuits.csv"},
		{"no size of a conductor", "Circuits.csv", "power,20", "power,2o", "table.garbled", "Circuits.csv!G2"},
		{"no such class", "Circuits.csv", "ground", "grund", "table.garbled", "Circuits.csv!F3"},
		{"no such state", "Places.csv", "measured", "guessed", "table.garbled", "Places.csv!E2"},
		{"no such exposure", "Zones.csv", "heat;oil", "heat;sand", "table.garbled", "Zones.csv!C3"},
		{"a count with a fraction", "Studs.csv", "front,4", "front,4.5", "table.garbled", "Studs.csv!C2"},
		{"a temperature in metres", "Zones.csv", "120 °C", "120 m", "table.garbled", "Zones.csv!B3"},
		{"a decimal mark nobody knows", "Car.csv", "volts,12", "decimal,dot", "table.garbled", "Car.csv!B3"},
		{"a setting twice", "Car.csv", "volts,12", "name,Tern 2", "table.twice", "Car.csv!A3"},
		{"a setting that is no number", "Car.csv", "volts,12", "volts,twelve", "table.garbled", "Car.csv!B3"},
		{"one table twice", "circuit.csv", "", "circuit,from device,to device\nF9,ECU,FAN\n", "sheet.twice", ""},
		{"a sheet for something else", "Shopping.csv", "", "item,shop\nmilk,corner\n", "sheet.unknown", ""},
		{"a file in another encoding", "Devices.csv", "FAN", "L\xfcFTER", "sheet.encoding", "Devices.csv"},
		{"lines above the headings", "Devices.csv", "device,part", "our car\n\ndevice,part", "sheet.top", "Devices.csv"},
		{"one key twice", "Devices.csv", "device,part,place\nECU,controller,dash\nFAN,fan,front", "device,part,place,key\nECU,controller,dash,k1\nFAN,fan,front,k1", "sheet.key", "Devices.csv"},
	} {
		t.Run(c.name, func(t *testing.T) {
			files := map[string]string{}
			for n, s := range car {
				files[n] = s
			}
			if c.file != "" {
				if c.old == "" {
					files[c.file] = c.is
				} else if files[c.file] = strings.Replace(car[c.file], c.old, c.is, 1); files[c.file] == car[c.file] {
					t.Fatal("the mistake was not made")
				}
			}
			r, err := ReadFolder("tern", folder(files))
			if err != nil {
				t.Fatal(err)
			}
			want := ""
			if c.rule != "" {
				want = strings.TrimSpace(c.rule + " tern " + c.cell)
			}
			if got := strings.Join(told(t, r), "; "); got != want {
				t.Errorf("findings %q, want %q", got, want)
			}
		})
	}
}

// Columns in any order, spelled any way, with units in heading or cell.
func TestHeadings(t *testing.T) {
	r, err := ReadFolder("tern", folder(map[string]string{
		"legs.csv":     "Length (ft);shop note;TO PLACE;From\n3,5;thin;front;dash\n;;;\n42 in;;rear;dash\n",
		"CIRCUITS.csv": "To_Pin\tcolour\tFrom Device\tcircuit\tto-device\tfrom pin\n00\tWHT\tECU\tF1\tFAN\t01\n",
		"car.csv":      "key,value\ndecimal,comma\n",
	}))
	if err != nil {
		t.Fatal(err)
	}
	if f := told(t, r); len(f) > 0 {
		t.Errorf("findings %q", f)
	}
	legs := r.Book.Sheet("Legs")
	if len(legs.Rows) != 2 || legs.Rows[0].Cells[2] != (design.Cell{Text: "3,5", Unit: "ft"}) || legs.Rows[0].Extra[0] != "thin" || legs.Extra[0] != "shop note" {
		t.Errorf("legs %+v", legs)
	}
	d := design.Read(r.Book)
	// 3.5 ft and 42 in are both 1066.8 mm: foot and inch by definition
	for _, l := range d.Legs {
		if got := fmt.Sprintf("%.1f", l.Length.Value.MM()); got != "1066.8" {
			t.Errorf("leg to %s is %s mm, want 1066.8", l.To.Value, got)
		}
	}
	c := d.Circuits[0]
	if c.FromPin.Value != "01" || c.ToPin.Value != "00" {
		t.Errorf("pins %q %q, want 01 00", c.FromPin.Value, c.ToPin.Value)
	}
}

func TestWorkbook(t *testing.T) {
	f := excelize.NewFile()
	f.SetSheetName("Sheet1", " circuits ")
	put := func(sheet, cell string, row ...any) {
		t.Helper()
		if err := f.SetSheetRow(sheet, cell, &row); err != nil {
			t.Fatal(err)
		}
	}
	put(" circuits ", "A1", "circuit", "from device", "from pin", "to device", "to pin", "gauge", "note")
	put(" circuits ", "A2", "F1", "ECU", "01", "FAN", "1E2", 22, "top")
	put(" circuits ", "A4", "F2", "ECU", 7, "FAN", "00")
	f.MergeCell(" circuits ", "G2", "G4")
	f.SetCellFormula(" circuits ", "F4", "11*2")
	f.NewSheet("CAR")
	put("CAR", "A1", "key", "value")
	put("CAR", "A2", "decimal", "comma")
	f.NewSheet("Legs")
	put("Legs", "A1", "from", "to", "length (m)")
	put("Legs", "A2", "dash", "front", 0.125)
	f.SetSheetVisible("Legs", false)
	f.NewSheet("Sheet9") // empty: nothing to say
	var b bytes.Buffer
	if err := f.Write(&b); err != nil {
		t.Fatal(err)
	}
	r, err := Read("tern.xlsx", b.Bytes())
	if err != nil {
		t.Fatal(err)
	}
	want := "sheet.formula tern.xlsx  circuits ; sheet.merged tern.xlsx  circuits ; sheet.hidden tern.xlsx Legs"
	if got := strings.Join(told(t, r), "; "); got != want {
		t.Errorf("findings %q, want %q", got, want)
	}
	c := r.Book.Sheet("Circuits")
	if len(c.Rows) != 2 {
		t.Fatalf("%d circuits, want 2", len(c.Rows))
	}
	for _, x := range []struct {
		row          int
		column, text string
	}{{0, "from pin", "01"}, {0, "to pin", "1E2"}, {0, "gauge", "22"}, {0, "note", "top"}, {1, "from pin", "7"}, {1, "to pin", "00"}, {1, "gauge", ""}, {1, "note", ""}} {
		if got := c.Text(x.row, x.column); got != x.text {
			t.Errorf("row %d %s = %q, want %q", x.row, x.column, got, x.text)
		}
	}
	if got := r.Book.Sheet("Legs").Rows[0].Cells[2]; got != (design.Cell{Text: "0,125", Unit: "m"}) {
		t.Errorf("a true number in a car with commas: %+v", got)
	}
	if at := c.Rows[1].At; at != "tern.xlsx  circuits !4" {
		t.Errorf("At = %q", at)
	}
}

func TestEncodings(t *testing.T) {
	const text = "zone,ambient\nkühl €,50\n"
	utf16 := func(mark bool, big bool) []byte {
		var b []byte
		add := func(u uint16) {
			if big {
				b = append(b, byte(u>>8), byte(u))
			} else {
				b = append(b, byte(u), byte(u>>8))
			}
		}
		if mark {
			add(0xFEFF)
		}
		for _, r := range text {
			add(uint16(r)) // all in the first plane
		}
		return b
	}
	for name, data := range map[string][]byte{
		"UTF-8":                  []byte(text),
		"UTF-8 marked":           []byte("\xef\xbb\xbf" + text),
		"Windows-1252":           []byte("zone,ambient\nk\xfchl \x80,50\n"), // ü and € in code page 1252
		"UTF-16 little":          utf16(true, false),
		"UTF-16 big":             utf16(true, true),
		"CR only":                []byte(strings.ReplaceAll(text, "\n", "\r")),
		"CRLF":                   []byte(strings.ReplaceAll(text, "\n", "\r\n")),
		"semicolons":             []byte(strings.ReplaceAll(text, ",", ";")),
		"tabs":                   []byte(strings.ReplaceAll(text, ",", "\t")),
		"told its separator":     []byte("sep=;\r\n" + strings.ReplaceAll(text, ",", ";")),
		"quoted with separators": []byte("zone,ambient,note\n\"kühl €\",\"50\",\"a;b;c;d\n\"\"x\"\",\"\n"),
	} {
		r, err := Read("Zones.csv", data)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		z := r.Book.Sheet("Zones")
		if len(z.Rows) != 1 || z.Text(0, "zone") != "kühl €" || z.Text(0, "ambient") != "50" {
			t.Errorf("%s: %+v", name, z.Rows)
		}
	}
	for name, c := range map[string]struct{ data, want string }{
		"neither":         {"zone\nk\x81\xff\n", "line 2"},
		"marked, broken":  {"\xef\xbb\xbfzone\nk\xfc\n", "line 2"},
		"UTF-16 cut":      {"\xff\xfez", "cut short"},
		"UTF-16 no parts": {"\xff\xfe\x00\xd8z\x00", "broken"},
	} {
		if _, err := Read("Zones.csv", []byte(c.data)); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: error %v, want one with %q", name, err, c.want)
		}
	}
}
