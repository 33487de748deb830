package design

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"keyon/model/finding"
	"keyon/model/settle"
	"keyon/num/quantity"
)

// tells lists findings as rule, thing and field.
func tells(d *Design) string {
	var out []string
	for _, v := range d.Findings {
		out = append(out, fmt.Sprintf("%s %s %s %s", v.Rule.ID, v.Place.Kind, v.Place.ID, v.Place.Field))
	}
	slices.Sort(out)
	return strings.Join(out, "; ")
}

// Every state of a cell: given, blank, garbled; zero is a value.
func TestStates(t *testing.T) {
	b := NewBook()
	legs := b.Sheet("Legs")
	legs.Add("from", "a", "to", "b", "length", "0")
	legs.Add("from", "b", "to", "c", "length", "  ")
	legs.Add("from", "c", "to", "d", "length", "2,5x")
	legs.Add("from", "d", "to", "e").Cells[2] = Cell{Text: " 1.5 ", Unit: "ft"}
	d := Read(b)
	want := []settle.State{settle.Given, settle.Blank, settle.Garbled, settle.Given}
	for i, l := range d.Legs {
		if l.Length.State != want[i] {
			t.Errorf("leg %s: state %v, want %v", l.From.Value, l.Length.State, want[i])
		}
	}
	if got := d.Legs[3].Length.Value; got != 1.5*quantity.Ft || d.Legs[3].Length.Text != " 1.5 " {
		t.Errorf("1.5 ft is %v m of %q", got, d.Legs[3].Length.Text)
	}
	if got := tells(d); got != "table.garbled leg c d length" {
		t.Errorf("findings %q", got)
	}
	if v := d.Findings[0]; v.Place.Cell != (settle.Cell{Table: "Legs", Row: legs.Rows[2].UID, Column: "length"}) || !strings.Contains(v.What, `"2,5x"`) || len(v.Fixes) == 0 || v.OK {
		t.Errorf("finding %+v", v)
	}
}

func TestKinds(t *testing.T) {
	for _, c := range []struct {
		table, column, text string
		want                string // the typed value, or "!" for garbled
	}{
		{"Assemblies", "metal", "Yes", "true"},
		{"Assemblies", "metal", "x", "true"},
		{"Assemblies", "metal", "FALSE", "false"},
		{"Assemblies", "metal", "maybe", "!"},
		{"Assemblies", "hand", "LEFT", "left"},
		{"Assemblies", "hand", "both", "!"},
		{"Studs", "most lugs", "4", "4"},
		{"Studs", "most lugs", "-1", "!"},
		{"Studs", "most lugs", "4.0", "!"},
		{"Zones", "exposures", "Heat; splash ,oil\nfuel", "[heat splash oil fuel]"},
		{"Zones", "exposures", "heat,sand", "!"},
		{"Zones", "exposures", ", ;", "!"},
		{"Zones", "ambient", "-20", "-20"},
		{"Legs", "length", "-20", "!"},
		{"Places", "x", "-20", "-0.02"},
		{"Joins", "spare share", "20 %", "0.2"},
		{"Joins", "spare share", "20", "!"},
		{"Circuits", "gauge", "22", "22"},
		{"Circuits", "gauge", "0.5 mm²", "0.5mm2"},
		{"Circuits", "class", "Low Level", "low-level"},
	} {
		b := NewBook()
		s := b.Sheet(c.table)
		s.Add(c.column, c.text)
		for i := range s.Table.Columns {
			if col := s.Table.Columns[i]; col.Must && col.Name != c.column {
				s.Rows[0].Cells[i].Text = "x"
				if len(col.Choices) > 0 {
					s.Rows[0].Cells[i].Text = col.Choices[0]
				}
			}
		}
		d := Read(b)
		got := ""
		pick := func(state settle.State, v any) {
			if got = fmt.Sprint(v); state == settle.Garbled {
				got = "!"
			}
		}
		switch c.table + " " + c.column {
		case "Assemblies metal":
			pick(d.Assemblies[0].Metal.State, d.Assemblies[0].Metal.Value)
		case "Assemblies hand":
			pick(d.Assemblies[0].Hand.State, d.Assemblies[0].Hand.Value)
		case "Studs most lugs":
			pick(d.Studs[0].MostLugs.State, d.Studs[0].MostLugs.Value)
		case "Zones exposures":
			pick(d.Zones[0].Exposures.State, d.Zones[0].Exposures.Value)
		case "Zones ambient":
			pick(d.Zones[0].Ambient.State, d.Zones[0].Ambient.Value)
		case "Legs length":
			pick(d.Legs[0].Length.State, float64(d.Legs[0].Length.Value))
		case "Places x":
			pick(d.Places[0].X.State, float64(d.Places[0].X.Value))
		case "Joins spare share":
			pick(d.Joins[0].SpareShare.State, d.Joins[0].SpareShare.Value)
		case "Circuits gauge":
			pick(d.Circuits[0].Gauge.State, d.Circuits[0].Gauge.Value)
		case "Circuits class":
			pick(d.Circuits[0].Class.State, d.Circuits[0].Class.Value)
		}
		if got != c.want {
			t.Errorf("%s %s %q is %q, want %q", c.table, c.column, c.text, got, c.want)
		}
		if told := tells(d) != ""; told != (c.want == "!") {
			t.Errorf("%s %s %q: findings %q", c.table, c.column, c.text, tells(d))
		}
	}
}

func TestGauge(t *testing.T) {
	for _, c := range []struct {
		text        string
		awg, metric string // what it is where bare numbers are AWG, or mm²; "" garbled
	}{
		{"22", "22", "22mm2"}, {"AWG 22", "22", "22"}, {"22 awg", "22", "22"}, {"#22", "22", "22"},
		{"0", "0", "0"}, {"00", "00", "00"}, {"1/0", "0", "0"}, {"2/0", "00", "00"}, {"4/0 AWG", "0000", "0000"},
		{"0.5", "0.5mm2", "0.5mm2"}, {"0,5 mm2", "0.5mm2", "0.5mm2"}, {"2.50 mm²", "2.5mm2", "2.5mm2"}, {"16 mm2", "16mm2", "16mm2"},
		{"5/0", "", ""}, {"00000", "", ""}, {"41", "", "41mm2"}, {"-22", "", ""}, {"22x", "", ""}, {"1E2", "", "100mm2"}, {"0 mm2", "", ""}, {"01", "", "1mm2"},
	} {
		for metric, want := range map[bool]string{false: c.awg, true: c.metric} {
			got, ok := ParseGauge(c.text, metric, quantity.Auto)
			if ok != (want != "") || got != want {
				t.Errorf("ParseGauge(%q, metric %v) = %q, %v; want %q", c.text, metric, got, ok, want)
			}
		}
	}
}

func TestHeader(t *testing.T) {
	for _, c := range []struct{ table, heading, column, unit string }{
		{"Legs", "length", "length", ""}, {"Legs", "LENGTH [ft]", "length", "ft"}, {"Legs", "Length (in)", "length", "in"}, {"Legs", "length_mm", "length", "mm"},
		{"Legs", "length mm", "length", "mm"}, {"Legs", "Length, cm", "length", "cm"}, {"Legs", "keep-out", "keep out", ""}, {"Legs", "Keep\nOut", "keep out", ""},
		{"Places", "±", "±", ""}, {"Places", "± (mm)", "±", "mm"}, {"Places", "+/-", "±", ""}, {"Places", "X [in]", "x", "in"},
		{"Circuits", "From Device", "from device", ""}, {"Circuits", "to", "to device", ""}, {"Circuits", "Color", "colour", ""}, {"Circuits", "gauge (mm²)", "gauge", "mm²"}, {"Circuits", "Size AWG", "gauge", "AWG"}, {"Circuits", "colour (jacket)", "colour", ""},
		{"Loads", "mean A", "mean", ""}, {"Loads", "inrush_ms", "inrush time", ""}, {"Loads", "mean (mA)", "mean", "mA"},
		{"Legs", "length (V)", "", ""}, {"Legs", "girth", "", ""}, {"Legs", "", "", ""}, {"Legs", "()", "", ""}, {"Circuits", "gauge (V)", "", ""},
	} {
		i, unit, ok := ByName(c.table).Header(c.heading)
		got := ""
		if ok {
			got = ByName(c.table).Columns[i].Name
		}
		if got != c.column || ok && unit != c.unit {
			t.Errorf("%s heading %q is %q with %q, want %q with %q", c.table, c.heading, got, unit, c.column, c.unit)
		}
	}
}

// No heading of a table stands for two of its columns, and each column is
// found by its own name.
func TestHeadersApart(t *testing.T) {
	for i := range Tables {
		table := &Tables[i]
		seen := map[string]string{}
		for c := range table.Columns {
			col := &table.Columns[c]
			if got, _, ok := table.Header(col.Name); !ok || got != c {
				t.Errorf("%s: the heading %q finds column %d, want %d", table.Name, col.Name, got, c)
			}
			for _, n := range append([]string{col.Name}, col.Alias...) {
				if other := seen[plain(n)]; other != "" && other != col.Name {
					t.Errorf("%s: %q stands for %q and %q", table.Name, n, other, col.Name)
				}
				seen[plain(n)] = col.Name
			}
		}
		for _, m := range table.Match {
			if table.Index(m) < 0 {
				t.Errorf("%s is matched by %q, which it lacks", table.Name, m)
			}
		}
		if Singular(table.Name) == "" {
			t.Errorf("%s has no word for one row", table.Name)
		}
	}
}

func TestRows(t *testing.T) {
	b := NewBook()
	dev := b.Sheet("Devices")
	dev.Add("device", "FAN", "part", "fan", "place", "front")
	dev.Add("device", "FAN", "part", "fan", "place", "rear")
	dev.Add("device", "FAN", "part", "fan", "place", "rear", "connector", "B") // a connector of its own place
	dev.Add("part", "fan", "place", "rear")
	dev.Add()
	b.Sheet("Kept").Add("kind", "wire", "thing", "w1", "field", "gauge", "value", "20")
	b.Sheet("Limits").Add("limit", "most lugs on a stud", "value", "3", "reason", "ours")
	d := Read(b)
	if len(d.Devices) != 2 {
		t.Errorf("%d devices are used, want 2: %+v", len(d.Devices), d.Devices)
	}
	if got := tells(d); got != "table.must device  device; table.twice device FAN device" {
		t.Errorf("findings %q", got)
	}
	if e := d.Keep(TextEntry{}, "wire", "w1", "gauge"); e.State != settle.Kept || e.Value != "20" {
		t.Errorf("kept %+v", e)
	}
	if e := d.Keep(TextEntry{State: settle.Given, Value: "18"}, "wire", "w1", "gauge"); e.Value != "18" {
		t.Errorf("given became %+v", e)
	}
	if v, given := d.Number("most lugs on a stud", 4); v != 3 || !given {
		t.Errorf("limit %v %v", v, given)
	}
	if v, given := d.Number("plug reach", 4); v != 4 || given {
		t.Errorf("limit %v %v", v, given)
	}
}

func TestCar(t *testing.T) {
	b := NewBook()
	s := b.Sheet("Car")
	for _, kv := range [][2]string{{"Name", " Tern "}, {"DECIMAL", "Comma"}, {"units", "in"}, {"gauge", "mm2"}, {"volts", "13,8"}, {"altitude", "1.500 m"}, {"paper", "Letter"}, {"spares", "10 %"}, {"race number", "07"}} {
		s.Add("key", kv[0], "value", kv[1])
	}
	d := Read(b)
	c := d.Car
	if c.Name != "Tern" || c.Units != (quantity.System{Inches: true, Metric: true, Decimal: quantity.Comma}) || c.Volts != 13.8 || c.Altitude != 1500 || c.Paper != "letter" || c.Spares.Value != 0.1 || c.Settings["race number"].Value != "07" {
		t.Errorf("car %+v", c)
	}
	if got := tells(d); got != "" {
		t.Errorf("findings %q", got)
	}
	if c := Read(NewBook()).Car; c.Volts != 12 || c.Paper != "A4" || c.Units != (quantity.System{}) {
		t.Errorf("a car that says nothing: %+v", c)
	}
}

// The order of rows means nothing, not even to the UIDs.
func TestOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := NewBook()
		for _, table := range []string{"Circuits", "Places", "Car", "Loads"} {
			s := b.Sheet(table)
			for range rapid.IntRange(0, 5).Draw(t, "rows") {
				r := s.Add()
				for c := range r.Cells {
					r.Cells[c].Text = rapid.SampledFrom([]string{"", "", "a", "b", "1", "x1", "decimal", "comma", "1,5", "1,500"}).Draw(t, "cell")
				}
			}
		}
		c := b.Clone()
		for i := range c.Sheets {
			rows := c.Sheets[i].Rows
			for j := len(rows) - 1; j > 0; j-- {
				k := rapid.IntRange(0, j).Draw(t, "swap")
				rows[j], rows[k] = rows[k], rows[j]
			}
		}
		x, y := Read(b), Read(c)
		finding.Sort(x.Findings)
		finding.Sort(y.Findings)
		if d := cmp.Diff(x, y); d != "" {
			t.Fatalf("in another order of rows:\n%s", d)
		}
	})
}

// A hash tells books apart that differ in anything a person typed, and no text
// can pass for two cells.
func TestHash(t *testing.T) {
	book := func(change func(r *Row, s *Sheet)) string {
		b := NewBook()
		s := b.Sheet("Circuits")
		s.Extra = []string{"note 1", "note 2"}
		r := s.Add("circuit", "F1", "gauge", "20")
		r.UID = "u"
		change(r, s)
		return b.Hash()
	}
	same := book(func(*Row, *Sheet) {})
	if book(func(r *Row, _ *Sheet) { r.Extra = nil; r.Cells = r.Cells[:8]; r.At = "x" }) != same {
		t.Error("blank cells at the end count")
	}
	seen := map[string]string{same: "the book"}
	for name, f := range map[string]func(r *Row, s *Sheet){
		"a cell":          func(r *Row, _ *Sheet) { r.Cells[6].Text = "22" },
		"a unit":          func(r *Row, _ *Sheet) { r.Cells[6].Unit = "mm2" },
		"a UID":           func(r *Row, _ *Sheet) { r.UID = "v" },
		"a foreign cell":  func(r *Row, _ *Sheet) { r.Extra[0] = "x" },
		"the next one":    func(r *Row, _ *Sheet) { r.Extra[1] = "x" },
		"another column":  func(r *Row, _ *Sheet) { r.Cells[6].Text, r.Cells[7].Text = "", "20" },
		"joined":          func(r *Row, _ *Sheet) { r.Cells[0].Text, r.Cells[6].Text = "F1\x1e\x1f20", "" },
		"foreign heading": func(_ *Row, s *Sheet) { s.Extra[0] = "note" },
	} {
		h := book(f)
		if other := seen[h]; other != "" {
			t.Errorf("%s and %s have one hash", name, other)
		}
		seen[h] = name
	}
}
