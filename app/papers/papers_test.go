package papers_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"keyon/app/build"
	"keyon/app/open"
	"keyon/app/papers"
	"keyon/draw"
	"keyon/examples"
	"keyon/format/page"
	"keyon/model/design"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/store/workbook"
	"keyon/testkit/cars"
)

// example reads an example car and plans it.
func example(t testing.TB, name string) (*open.Car, *plan.Plan) {
	t.Helper()
	r, err := workbook.ReadFolder(name, examples.Folder(name))
	if err != nil {
		t.Fatal(err)
	}
	return planned(t, r.Book)
}

func planned(t testing.TB, b *design.Book) (*open.Car, *plan.Plan) {
	t.Helper()
	b.Identify()
	car := &open.Car{Book: b, Design: design.Read(b), Catalogue: part.Embedded(), Cell: open.InBook(b)}
	p, err := car.Plan(build.NewMemory())
	if err != nil {
		t.Fatal(err)
	}
	return car, p
}

// generated is a made car; every second prints inches and square millimetres
// on letter paper.
func generated(t testing.TB, seed uint64) (*open.Car, *plan.Plan) {
	b := cars.Make(seed, 30+int(seed*37%260), cars.Options{Blank: float64(seed%3) / 2})
	if seed%2 == 1 {
		for _, kv := range [][2]string{{"units", "in"}, {"gauge", "mm2"}, {"paper", "letter"}} {
			b.Sheet("Car").Add("key", kv[0], "value", kv[1])
		}
	}
	return planned(t, b)
}

// TestReadable: no text runs over another, leaves its box or the page, on any
// paper of any example and of ten made cars.
func TestReadable(t *testing.T) {
	check := func(name string, car *open.Car, p *plan.Plan) {
		for i := range p.Wires.List {
			if p.Wires.List[i].Loom < 0 {
				t.Errorf("%s: wire %s is on no loom's papers", name, p.Cuts.Wires[i].Number.Value)
			}
		}
		for _, pack := range set(t, car, p) {
			for n, problem := range page.Check(pack.Document) {
				if n < 5 {
					t.Errorf("%s, %s: %v", name, pack.Name, problem)
				}
			}
		}
	}
	for _, name := range examples.Names() {
		car, p := example(t, name)
		check(name, car, p)
	}
	for seed := range uint64(10) {
		car, p := generated(t, seed+1)
		check(fmt.Sprint("made car ", seed+1), car, p)
	}
}

func set(t testing.TB, car *open.Car, p *plan.Plan) []draw.Pack {
	t.Helper()
	packs, err := papers.Set(car, p, papers.Options{Date: "2027-03-01"})
	if err != nil {
		t.Fatal(err)
	}
	return packs
}

// stopped is the retrofit with a gauge that its contact can't take: a stop in
// the cabin loom.
func stopped(t testing.TB) (*open.Car, *plan.Plan) {
	t.Helper()
	r, err := workbook.ReadFolder("retrofit", examples.Folder("retrofit"))
	if err != nil {
		t.Fatal(err)
	}
	s := r.Book.Sheet("Circuits")
	for i := range s.Rows {
		if cells := s.Rows[i].Cells; cells[s.Table.Index("circuit")].Text == "FORCE" {
			cells[s.Table.Index("gauge")].Text = "12"
			return planned(t, r.Book)
		}
	}
	t.Fatal("the example has no circuit FORCE")
	return nil, nil
}

// TestNotForBuilding: a stop on a loom marks every page of its pack, and only
// its.
func TestNotForBuilding(t *testing.T) {
	car, p := stopped(t)
	for _, pack := range set(t, car, p) {
		want := pack.Name == "cabin loom"
		if pack.Stopped != want {
			t.Errorf("%s: stopped is %v", pack.Name, pack.Stopped)
		}
		for i, sheet := range pack.Document.Pages {
			if has := strings.Contains(page.Dump(page.Document{Pages: []page.Page{sheet}}), `"NOT FOR BUILDING"`); has != want {
				t.Errorf("%s, sheet %d: marked not for building: %v", pack.Name, i+1, has)
			}
		}
	}
}

// TestRowOrder: the order of rows in the car's tables means nothing.
func TestRowOrder(t *testing.T) {
	r, err := workbook.ReadFolder("tern", examples.Folder("tern"))
	if err != nil {
		t.Fatal(err)
	}
	r.Book.Identify()
	dump := func() string {
		car, p := planned(t, r.Book)
		out := ""
		for _, pack := range set(t, car, p) {
			out += page.Dump(pack.Document) + string(pack.Labels)
		}
		return out
	}
	first := dump()
	for i := range r.Book.Sheets {
		slices.Reverse(r.Book.Sheets[i].Rows)
	}
	if dump() != first {
		t.Error("reversed rows change the papers")
	}
}
