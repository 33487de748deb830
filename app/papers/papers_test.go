package papers_test

import (
	"fmt"
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
		for _, pack := range set(t, car, p) {
			for n, problem := range page.Check(pack.Document) {
				if n < 5 {
					t.Errorf("%s, %s: %v", name, pack.Name, problem)
				}
			}
		}
	}
	for _, name := range []string{"tern", "retrofit"} {
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
