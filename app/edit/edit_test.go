package edit

import (
	"path/filepath"
	"testing"
	"time"

	"github.com/xuri/excelize/v2"

	"keyon/model/fault"
	"keyon/model/settle"
	"keyon/store/workbook"
)

func by(who string) By {
	return By{who, time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC)}
}

func newCar(t testing.TB) *Car {
	t.Helper()
	c, err := Create(filepath.Join(t.TempDir(), "tern.keyon"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { c.Close() })
	return c
}

func reading(t testing.TB, name, csv string) *workbook.Reading {
	t.Helper()
	r, err := workbook.Read(name, []byte(csv))
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func take(t testing.TB, c *Car, r *workbook.Reading) *Preview {
	t.Helper()
	p := c.Import(r)
	if err := c.Take(p, by("anna")); err != nil {
		t.Fatal(err)
	}
	return p
}

func mustVerify(t testing.TB, c *Car) {
	t.Helper()
	problems, err := c.File().Verify()
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range problems {
		t.Errorf("verify: %s", p.What)
	}
}

func TestSet(t *testing.T) {
	c := newCar(t)
	take(t, c, reading(t, "Places.csv", "place,x (in),shop note\ndash,12,left\n"))
	b := c.Book()
	uid := b.Sheet("Places").Rows[0].UID
	x := settle.Cell{Table: "Places", Row: uid, Column: "x"}
	if err := c.Set(x, "12 in", "13 in", by("anna")); err != nil {
		t.Fatal(err)
	}
	if err := c.Set(x, "12 in", "14", by("bert")); fault.Of(err) != fault.Conflict {
		t.Fatalf("Set over another edit: %v, want a conflict", err)
	}
	if err := c.Set(settle.Cell{Table: "Places", Row: uid, Column: "shop note"}, "left", "right", by("bert")); err != nil {
		t.Fatal(err)
	}
	b, err := c.File().Load()
	if err != nil {
		t.Fatal(err)
	}
	if got := b.Sheet("Places").Text(0, "x"); got != "13 in" {
		t.Errorf("x = %q, want 13 in", got)
	}
	if got := b.Sheet("Places").Rows[0].Extra[0]; got != "right" {
		t.Errorf("foreign cell = %q, want right", got)
	}
	if h, b := c.Book().Hash(), b.Hash(); h != b {
		t.Errorf("book in memory %s, in the file %s", h, b)
	}
	mustVerify(t, c)
}

func TestImportTwice(t *testing.T) {
	c := newCar(t)
	p := take(t, c, reading(t, "Circuits.csv", "circuit,from,from pin,to,to pin,gauge\nF1,ECU,01,PUMP,1,20\nF2,ECU,1E2,FAN,00,\n"))
	if p.Count(Added) != 2 || p.Count(Changed)+p.Count(Removed) != 0 {
		t.Fatalf("first import: %+v", p.Rows)
	}
	p = take(t, c, reading(t, "Circuits.csv", "gauge;to pin;to;from pin;from;circuit\n20;1;PUMP;01;ECU;F1\n18;00;FAN;1E3;ECU;F2\n;A;LAMP;7;ECU;F3\n"))
	if p.Count(Added) != 1 || p.Count(Changed) != 1 || p.Count(Removed) != 0 || p.Matched[ByName] != 1 || p.Matched[ByPart] != 1 {
		t.Fatalf("second import: %+v %v", p.Rows, p.Matched)
	}
	p = take(t, c, reading(t, "Circuits.csv", "circuit,from,to\nF3,ECU,LAMP\n"))
	if p.Count(Removed) != 2 || p.Count(Changed) != 0 {
		t.Fatalf("third import: %+v", p.Rows)
	}
	if s := c.Book().Sheet("Circuits"); len(s.Rows) != 1 || s.Text(0, "from pin") != "7" {
		t.Errorf("a column that the file lacks was touched: %+v", s.Rows)
	}
	mustVerify(t, c)
}

// True numbers of a workbook that says nothing of the decimal mark are typed
// with the car's.
func TestReadInTheCarsWay(t *testing.T) {
	f := excelize.NewFile()
	f.SetSheetName("Sheet1", "Places")
	f.SetSheetRow("Places", "A1", &[]any{"place", "x"})
	f.SetSheetRow("Places", "A2", &[]any{"dash", 1.25})
	path := filepath.Join(t.TempDir(), "places.xlsx")
	if err := f.SaveAs(path); err != nil {
		t.Fatal(err)
	}
	for mark, want := range map[string]string{"comma": "1,25", "point": "1.25"} {
		c := newCar(t)
		take(t, c, reading(t, "Car.csv", "key,value\ndecimal,"+mark+"\n"))
		r, err := c.Read(path)
		if err != nil {
			t.Fatal(err)
		}
		take(t, c, r)
		if got := c.Book().Sheet("Places").Text(0, "x"); got != want {
			t.Errorf("decimal %s: x is %q, want %q", mark, got, want)
		}
	}
}
