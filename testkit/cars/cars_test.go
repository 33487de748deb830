package cars_test

import (
	"fmt"
	"strings"
	"testing"

	"keyon/app/build"
	"keyon/model/design"
	"keyon/model/finding"
	"keyon/model/part"
	"keyon/testkit/cars"
)

// TestMake: a seed gives one car, of about the size that was asked for, that
// plans without a stop; another seed or size gives another.
func TestMake(t *testing.T) {
	seen := map[string]string{}
	for _, n := range []int{10, 15, 30, 60, 120, 500, 1500} {
		for seed := uint64(1); seed <= 4; seed++ {
			for _, o := range []cars.Options{cars.Mixed, cars.Blank, {}} {
				name := fmt.Sprintf("Make(%d, %d, %v)", seed, n, o.Blank)
				b := cars.Make(seed, n, o)
				if again := cars.Make(seed, n, o); again.Hash() != b.Hash() {
					t.Errorf("%s differs from itself", name)
				}
				if other := seen[b.Hash()]; other != "" && n > 30 {
					t.Errorf("%s is %s", name, other)
				}
				seen[b.Hash()] = name
				d := design.Read(b)
				p, err := build.Run(d, part.Embedded(), nil)
				if err != nil {
					t.Fatalf("%s: %v", name, err)
				}
				if got := len(p.Wires.List); got*100 < n*75 || got*100 > n*(125+500/n*10) {
					t.Errorf("%s has %d wires", name, got)
				}
				for _, v := range p.Verdicts {
					if v.Open() && v.Severity() == finding.Stop {
						t.Errorf("%s: %s %s: %s", name, v.Rule.ID, v.Place.ID, v.What)
					}
				}
			}
		}
	}
}

// TestGrows: ten times the wires are about ten times the rows, and no leg or
// join holds more for it.
func TestGrows(t *testing.T) {
	rows := func(n int) (all, circuits int) {
		b := cars.Make(3, n, cars.Mixed)
		for i := range b.Sheets {
			all += len(b.Sheets[i].Rows)
		}
		return all, len(b.Sheet("Circuits").Rows)
	}
	small, _ := rows(2000)
	large, _ := rows(20000)
	if large < 9*small || large > 11*small {
		t.Errorf("20,000 wires have %d rows, 2,000 have %d", large, small)
	}
}

// TestImpossible: each impossible car says so, at the thing that can't be.
func TestImpossible(t *testing.T) {
	for seed := uint64(1); seed <= 3; seed++ {
		for _, x := range cars.Impossible(seed) {
			p, err := build.Run(design.Read(x.Book), part.Embedded(), nil)
			if err != nil {
				t.Errorf("seed %d, %s: %v", seed, x.Name, err)
				continue
			}
			found, others := false, []string{}
			for _, v := range p.Verdicts {
				if !v.Open() || v.Severity() != finding.Stop {
					continue
				}
				about := v.Place.ID + " " + v.What
				for _, r := range v.Related {
					about += " " + r.ID
				}
				found = found || v.Rule.ID == x.Rule && strings.Contains(about, x.Thing)
				others = append(others, v.Rule.ID+" "+v.Place.ID+": "+v.What)
			}
			if !found {
				t.Errorf("seed %d, %s: %s %q is not found among %d:\n%.900s", seed, x.Name, x.Rule, x.Thing, len(others), strings.Join(others, "\n"))
			}
		}
	}
}
