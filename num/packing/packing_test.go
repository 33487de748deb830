package packing

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// known is a published set of circles and the best radius known for it.
type known struct {
	name   string
	d      []float64
	best   float64
	proven bool
}

// published reads the tables of equal and unequal circles, with diameters.
func published(t *testing.T) (all []known) {
	t.Helper()
	read := func(name string) [][]string {
		file, err := os.Open("../../../shared/reference/" + name)
		if err != nil {
			t.Skip("no published packings here: ", err)
		}
		defer file.Close()
		rows, err := csv.NewReader(file).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		return rows[1:]
	}
	number := func(s string) float64 {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	for _, row := range read("circle_packing_equal.csv") {
		k := known{name: "equal " + row[0], best: number(row[1]), proven: row[2] == "yes"}
		for range int(number(row[0])) {
			k.d = append(k.d, 2)
		}
		all = append(all, k)
	}
	for _, row := range read("circle_packing_unequal.csv") {
		k := known{name: row[0], best: number(row[3]), proven: row[4] == "yes"}
		for _, r := range strings.Fields(row[2]) {
			k.d = append(k.d, 2*number(r))
		}
		all = append(all, k)
	}
	return all
}

// overlap looks at every pair and at the wall, with no tolerance for a pair and
// a few roundings for the wall.
func overlap(d []float64, r Result) error {
	if len(r.Circles) != len(d) {
		return fmt.Errorf("%d circles for %d diameters", len(r.Circles), len(d))
	}
	for i, c := range r.Circles {
		if c.D != d[i] {
			return fmt.Errorf("circle %d has diameter %g, given %g", i, c.D, d[i])
		}
		if out := 2*math.Hypot(c.X, c.Y) + c.D; !(out <= r.Diameter*(1+1e-15)) {
			return fmt.Errorf("circle %d reaches out to %.17g of %.17g", i, out, r.Diameter)
		}
		for j, b := range r.Circles[:i] {
			if apart := math.Hypot(c.X-b.X, c.Y-b.Y); !(apart >= c.D/2+b.D/2) {
				return fmt.Errorf("circles %d and %d are %.17g apart, must be %.17g", j, i, apart, c.D/2+b.D/2)
			}
		}
	}
	return nil
}

// judge packs and checks what is true of every packing.
func judge(t *testing.T, name string, d []float64, e Effort) Result {
	t.Helper()
	r, err := Pack(d, e)
	if err != nil {
		t.Fatalf("Pack(%s): %v", name, err)
	}
	if err := overlap(d, r); err != nil {
		t.Fatalf("Pack(%s): %v", name, err)
	}
	widest := slices.Max(d)
	square := 0.0
	for _, v := range d {
		square += v / widest * v / widest
	}
	if r.Diameter < r.LowerBound {
		t.Errorf("Pack(%s) = %g, below its bound %g", name, r.Diameter, r.LowerBound)
	}
	// Any discs fit a circle of twice their area: Fekete, Keldenich, Scheffer,
	// Packing Disks into Disks with Optimal Worst-Case Density (2019).
	if most := math.Sqrt(2*square) * widest; len(d) > 1 && r.Diameter > most*(1+1e-6) {
		t.Errorf("Pack(%s) = %g, above sqrt(2·sum d²) = %g", name, r.Diameter, most)
	}
	return r
}

func TestPlanAgainstPublished(t *testing.T) {
	for _, k := range published(t) {
		r := judge(t, k.name, k.d, Plan)
		within(t, k, r, 0.06)
	}
}

// within compares a packing with the best known and its bound with both.
func within(t *testing.T, k known, r Result, share float64) {
	t.Helper()
	wide := r.Diameter/2/k.best - 1
	if wide > share {
		t.Errorf("Pack(%s) is %.2f %% wider than the best known, want at most %g %%", k.name, 100*wide, 100*share)
	}
	if k.proven && wide < -1e-9 {
		t.Errorf("Pack(%s) = %.12g is narrower than the proven optimum %.12g", k.name, r.Diameter/2, k.best)
	}
	if r.LowerBound/2 > k.best*(1+1e-9) {
		t.Errorf("Pack(%s): bound %.12g above the best known %.12g", k.name, r.LowerBound/2, k.best)
	}
}

// The sets here settle fast enough for every run. The whole table at this
// effort is measured apart.
func TestCalcAgainstPublished(t *testing.T) {
	for _, k := range published(t) {
		switch n := len(k.d); {
		case n <= 5, k.name == "mix-03", k.name == "cf-f3", k.name == "cf-f5", k.name == "nr10-1", k.name == "seq-09":
			r := judge(t, k.name, k.d, Calc)
			within(t, k, r, 1e-7)
		case k.name == "equal 37", k.name == "seq-15":
			r := judge(t, k.name, k.d, Calc)
			within(t, k, r, 0.01)
		}
	}
}

// Random mixes as they occur in looms and beyond: few kinds of wire, any
// diameters, one thick among many thin.
func TestNeverAnOverlap(t *testing.T) {
	seed := uint64(11)
	next := func() float64 {
		seed = seed*6364136223846793005 + 1442695040888963407
		return float64(seed>>11) / (1 << 53)
	}
	for mix := range 10_000 {
		n := 1 + int(25*next()*next())
		if mix%1000 == 0 {
			n = 150
		}
		kinds := []float64{0.3 + next(), 0.5 + 2*next(), 0.5 + 4*next()*next()}
		d := make([]float64, n)
		for i := range d {
			switch mix % 4 {
			case 0, 1:
				d[i] = kinds[int(3*next()*next())]
			case 2:
				d[i] = 0.4 + 5*next()
			case 3:
				d[i] = math.Exp(6 * next() * next())
			}
		}
		judge(t, fmt.Sprintf("mix %d, n = %d", mix, n), d, Plan)
	}
}

func TestOrderAndScale(t *testing.T) {
	d := []float64{2.1, 1.2, 1.2, 5, 0.7, 0.7, 0.7, 1.9, 3.3, 1.2, 0.7, 2.1}
	want := judge(t, "in order", d, Plan)
	placed := map[Circle]int{}
	for _, c := range want.Circles {
		placed[c]++
	}
	turned := make([]float64, len(d))
	for i := range d {
		turned[i] = d[(7*i+3)%len(d)]
	}
	got := judge(t, "out of order", turned, Plan)
	if got.Diameter != want.Diameter || got.LowerBound != want.LowerBound {
		t.Errorf("in another order %.17g, want %.17g", got.Diameter, want.Diameter)
	}
	for _, c := range got.Circles {
		if placed[c]--; placed[c] < 0 {
			t.Errorf("in another order one circle lies at %v", c)
		}
	}
	for _, unit := range []float64{1e-3, 1.0 / 25.4, 0.3, 7, 1e6, 1e-90, 1e90} {
		scaled := make([]float64, len(d))
		for i := range d {
			scaled[i] = d[i] * unit
		}
		got := judge(t, "in another unit", scaled, Plan)
		if math.Abs(got.Diameter/unit/want.Diameter-1) > 1e-9 {
			t.Errorf("in units of %g: %.12g, want %.12g", unit, got.Diameter/unit, want.Diameter)
		}
	}
	again := judge(t, "again", d, Plan)
	for i := range d {
		if again.Circles[i] != want.Circles[i] {
			t.Errorf("packed again, circle %d lies at %v, was at %v", i, again.Circles[i], want.Circles[i])
		}
	}
}

// Large bundles settle as well as small ones; 1.155 is the factor for
// concentric strand of many wires, sqrt(1.332).
func TestLargeBundles(t *testing.T) {
	for _, n := range []int{300, 1000, 3000} {
		d := make([]float64, n)
		square := 0.0
		for i := range d {
			d[i] = []float64{1.2, 1.5, 2.1, 3.4}[i*i%7%4]
			square += d[i] * d[i]
		}
		r := judge(t, strconv.Itoa(n), d, Plan)
		if got := r.Diameter / math.Sqrt(square); got > 1.155 {
			t.Errorf("%d wires: %.3f·sqrt(sum d²), want at most 1.155", n, got)
		}
	}
}

func TestPackRefuses(t *testing.T) {
	for _, d := range [][]float64{{0}, {-1, 2}, {math.NaN()}, {math.Inf(1)}, {1e101}, {1e-101}, {1, 1e-5}, make([]float64, MaxCircles+1)} {
		if _, err := Pack(d, Plan); err == nil {
			t.Errorf("Pack(%.3v): no error", d[:min(len(d), 3)])
		}
	}
	if r, err := Pack(nil, Plan); err != nil || r.Diameter != 0 || len(r.Circles) != 0 {
		t.Errorf("Pack(nil) = %v, %v, want zero", r, err)
	}
	for _, d := range []float64{1, 1e-100, 1e100} {
		if r, err := Pack([]float64{d}, Plan); err != nil || r.Diameter != d {
			t.Errorf("Pack(one of %g) = %g, %v", d, r.Diameter, err)
		}
	}
}
