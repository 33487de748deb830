package part

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"

	"keyon/model/design"
)

// shop makes a design of rows written "Table: column=text | column=text".
func shop(t *testing.T, rows ...string) *design.Design {
	t.Helper()
	b := design.NewBook()
	for _, r := range rows {
		table, cells, ok := strings.Cut(r, ": ")
		if !ok {
			t.Fatalf("no table in %q", r)
		}
		var pairs []string
		for cell := range strings.SplitSeq(cells, " | ") {
			column, text, _ := strings.Cut(cell, "=")
			pairs = append(pairs, column, text)
		}
		b.Sheet(table).Add(pairs...)
	}
	return design.Read(b)
}

func TestOwnParts(t *testing.T) {
	c, said := Embedded().With(shop(t,
		"Parts: part=plug X | kind=connector | diameter=30 mm | most diameter=14 mm | temperature=150",
		"Pins: part=plug X | pin=1 | contact=term 2.8 | x=2.5 mm | y=0",
		"Pins: part=plug X | pin=2 | contact=term 2.8, seal 2.8 | x=-2.5 mm | y=0",
		"Parts: part=term 2.8 | kind=contact | family=2.8 socket | gauge=20-16 | least diameter=1.2 mm | most diameter=2.4 mm | amps=15 | strip=5 mm | tool=open barrel tool | source=sheet of the terminal",
		"Parts: part=seal 2.8 | kind=seal | family=2.8 | least diameter=1.4 mm | most diameter=2.1 mm",
		"Parts: part=plug 2.8 | kind=plug | family=2.8",
		"Parts: part=pump 7 | kind=device | family=pump | connector=plug X",
		"Pins: part=pump 7 | pin=1 | role=Supply-In | amps=20 | needed=yes",
		"Pins: part=pump 7 | pin=2 | role=load -",
		"Links: part=pump 7 | from pin=1 | to pin=2 | kind=resistor | ohm=0.8",
		"Parts: part=thin blue | kind=wire | family=house wire | gauge=20 | diameter=1.5 mm | area=0.6 mm2 | ohm per km=33 | mass=6 g | temperature=125 | source=reel label",
		"Parts: part=thick blue | kind=wire | like=AS22759/32 18 | family=house wire",
		"Parts: part=ring 7 | kind=lug | family=M6 | gauge=22, 20 | strip=6 mm",
		"Parts: part=pump 8 | kind=device | like=pump 7",
		"Pins: part=pump 8 | pin=2 | role=ground",
	))
	for _, v := range said {
		t.Errorf("%s %s: %s", v.Rule.ID, v.Place.ID, v.What)
	}
	k := c.Connector("plug X")
	if k == nil || !k.Own || len(k.Cavities) != 2 || !k.Sealed || k.Cavities[0].X.MM() != 2.5 || k.Outside.MM() != 30 {
		t.Fatalf("plug X: %+v", k)
	}
	contacts := c.ContactsFor(k.Cavities[0], "", "18", 1.6e-3)
	if len(contacts) != 1 || contacts[0].ID != "term 2.8" || contacts[0].Gender != "socket" || strings.Join(contacts[0].Gauges, " ") != "20 18 16" {
		t.Errorf("contacts of plug X: %+v", contacts)
	}
	if c.SealFor(k.Cavities[1], 1.4e-3) == nil || c.SealFor(k.Cavities[1], 2.2e-3) != nil || c.SealFor(k.Cavities[0], 1.4e-3) != nil {
		t.Error("seal 2.8 must fit 1.4 mm in cavity 2, and no more than 2.1 mm")
	}
	if p := c.PlugFor("2.8"); p == nil || p.ID != "plug 2.8" {
		t.Errorf("plug for 2.8: %+v", p)
	}
	d := c.Devices["pump 7"]
	if d == nil || len(d.Pins) != 2 || d.Pins[0].Cavity != "1" || d.Pins[0].Role != SupplyIn || d.Pins[1].Role != LoadMinus || !d.Pins[0].Needed || len(d.Links) != 1 || d.Links[0].Ohm != 0.8 {
		t.Errorf("pump 7: %+v", d)
	}
	if e := c.Devices["pump 8"]; e == nil || e.Pins[1].Role != Ground || e.Pins[0].Amps != 20 || e.Kind != "pump" || len(e.Links) != 1 || d.Pins[1].Role != LoadMinus {
		t.Errorf("pump 8, like pump 7 but for one role: %+v", e)
	}
	w := c.Wires["house wire"]
	if len(w) != 2 || w[0].Gauge != "20" || w[1].Gauge != "18" || w[0].OhmPerM != 0.033 || w[0].MassPerM != 0.006 || w[0].Area.MM2() != 0.6 || w[0].Source.Doc != "reel label" || !slices.Contains(c.Families, "house wire") {
		t.Errorf("house wire: %+v", w)
	}
	if !near(float64(w[1].OhmPerM), 0.0204, 1e-9) || !near(w[1].Outside.MM(), 1.524, 1e-9) { // MIL-DTL-29606A, 18 AWG tin; AS22759/32
		t.Errorf("house wire 18 is like AS22759/32 18: %+v", w[1])
	}
	if l := c.LugFor("M6", "22"); l == nil || l.ID != "ring 7" {
		t.Errorf("the shop's own lug comes first: %+v", l)
	}
	if hits := c.Search("pump 7"); len(hits) == 0 || hits[0].ID != "pump 7" || !hits[0].Own {
		t.Errorf("search finds %v", hits)
	}
	e := Embedded()
	if e.Devices["pump 7"] != nil || e.Wires["house wire"] != nil || e.Hash() == c.Hash() || e.LugFor("M6", "22").ID == "ring 7" {
		t.Error("the embedded catalogue was changed")
	}
}

// TestOwnFindings: each mistake gives its finding at its cell and no other.
func TestOwnFindings(t *testing.T) {
	for _, c := range []struct {
		name string
		rows []string
		want string // rule place field
	}{
		{"like nobody", []string{"Parts: part=a | kind=contact | like=M39029/58-999"}, "part.unknown a like"},
		{"like another kind", []string{"Parts: part=a | kind=contact | like=fan-300"}, "part.unknown a like"},
		{"like itself", []string{"Parts: part=a | kind=lug | like=b", "Parts: part=b | kind=lug | like=a"}, "part.loop b like"},
		{"two sizes for a wire", []string{"Parts: part=a | kind=wire | family=f | gauge=22-20"}, "part.gauge a gauge"},
		{"a wire without a size", []string{"Parts: part=a | kind=wire | family=f"}, "part.gauge a gauge"},
		{"sizes that are none", []string{"Parts: part=a | kind=contact | family=9 pin | gauge=fat"}, "part.gauge a gauge"},
		{"pins of nobody", []string{"Pins: part=a | pin=1"}, "part.pin a 1 part"},
		{"pins of a catalogue part", []string{"Pins: part=fan-300 | pin=1"}, "part.pin fan-300 1 part"},
		{"pins of a wire", []string{"Parts: part=a | kind=wire | like=AS22759/32 22", "Pins: part=a | pin=1"}, "part.pin a 1 part"},
		{"no connector", []string{"Parts: part=a | kind=device | connector=38999-9-35X"}, "part.unknown a connector"},
		{"no cavity", []string{"Parts: part=a | kind=device | connector=38999-9-35S", "Pins: part=a | pin=7"}, "part.pin a 7 cavity"},
		{"one cavity twice", []string{"Parts: part=a | kind=device | connector=38999-9-35S", "Pins: part=a | pin=x | cavity=3", "Pins: part=a | pin=y | cavity=3"}, "part.pin a y cavity"},
		{"no such connector of it", []string{"Parts: part=a | kind=device | connector=A=38999-9-35S; B=38999-9-98S", "Pins: part=a | pin=1 | connector=C"}, "part.pin a 1 connector"},
		{"a role nobody knows", []string{"Parts: part=a | kind=device | connector=38999-9-35S", "Pins: part=a | pin=1 | role=magic"}, "part.role a 1 role"},
		{"an empty connector", []string{"Parts: part=a | kind=connector"}, "part.pin a part"},
		{"a contact nobody knows", []string{"Parts: part=a | kind=connector", "Pins: part=a | pin=1 | contact=q7"}, "part.unknown a 1 contact"},
		{"a link to nowhere", []string{"Parts: part=a | kind=device | connector=38999-9-35S", "Pins: part=a | pin=1", "Links: part=a | from pin=1 | to pin=9 | kind=diode"}, "part.pin a 1 9 to pin"},
		{"a catalogue name", []string{"Parts: part=fan-300 | kind=device | like=fan"}, "part.replaces fan-300 part"},
		{"nothing wrong", []string{"Parts: part=a | kind=device | connector=38999-9-35S", "Pins: part=a | pin=1 | role=ground"}, ""},
		{"a connector by its number", []string{"Parts: part=a | kind=device | connector=D38999/26WA35SB", "Pins: part=a | pin=6 | role=ground"}, ""},
		{"a post", []string{"Parts: part=a | kind=device | connector=38999-9-35S", "Pins: part=a | pin=B+ | contact=stud M8"}, ""},
	} {
		_, said := Embedded().With(shop(t, c.rows...))
		var got []string
		for _, v := range said {
			got = append(got, v.Rule.ID+" "+v.Place.ID+" "+v.Place.Field)
			if v.Place.Cell.Table == "" || v.Place.Cell.Row == "" || v.Place.Cell.Column != v.Place.Field {
				t.Errorf("%s: the finding's cell is %+v, its field %s", c.name, v.Place.Cell, v.Place.Field)
			}
		}
		if strings.Join(got, "; ") != c.want {
			t.Errorf("%s: %v, want %q", c.name, got, c.want)
		}
	}
}

// TestOwnOrder: the order of rows means nothing, and any text is taken
// without a panic.
func TestOwnOrder(t *testing.T) {
	var rows []string
	texts := []string{"", "22", "24-20", "fan-300", "38999-9-35S", "A=38999-9-35S/N;B=", "a", "b", "stud M5", "=;=", "\x00", "é–9", "D38999/26WA35SN", "M39029/58-360"}
	n := uint32(1)
	next := func(m int) int { n = n*1664525 + 1013904223; return int(n>>8) % m } // counted generator (Knuth, vol. 2)
	kinds := []string{"device", "connector", "contact", "seal", "plug", "wire", "cable", "sleeve", "lug", "boot", "fuse", "splice", "stud", "tool"}
	for i := range 60 {
		pick := func() string { return texts[next(len(texts))] }
		rows = append(rows, fmt.Sprintf("Parts: part=%c%d | kind=%s | like=%c%d | connector=%s | family=%s | gauge=%s", 'a'+next(3), i/3, kinds[next(len(kinds))], 'a'+next(3), next(25), pick(), pick(), pick()))
		rows = append(rows, fmt.Sprintf("Pins: part=%c%d | pin=%s | cavity=%s | role=%s | contact=%s", 'a'+next(3), next(20), pick()+"p", pick(), pick(), pick()))
		rows = append(rows, fmt.Sprintf("Links: part=%c%d | from pin=%s | to pin=%s | kind=coil | works=%s", 'a'+next(3), next(20), pick()+"p", pick()+"p", pick()))
	}
	c1, v1 := Embedded().With(shop(t, rows...))
	slices.Reverse(rows)
	c2, v2 := Embedded().With(shop(t, rows...))
	if c1.Hash() != c2.Hash() || !reflect.DeepEqual(c1, c2) {
		t.Error("another order of rows makes another catalogue")
	}
	if len(v1) == 0 || !reflect.DeepEqual(v1, v2) {
		t.Errorf("another order of rows makes other findings: %d and %d", len(v1), len(v2))
	}
	for _, h := range c1.List("") {
		if c1.Show(h.ID) == nil {
			t.Errorf("%s %s can't be shown", h.Kind, h.ID)
		}
	}
}

func BenchmarkWith(b *testing.B) {
	book := design.NewBook()
	for i := range 30 {
		book.Sheet("Parts").Add("part", fmt.Sprintf("part %d", i), "kind", "device", "like", "fan-300")
	}
	d, c := design.Read(book), Embedded()
	for b.Loop() {
		c.With(d)
	}
}
