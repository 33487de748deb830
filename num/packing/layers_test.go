package packing

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"
)

var straight = math.Inf(1)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %.9g, want %.9g within %g", what, got, want, tolerance)
	}
}

// Take-up of equal wires at lay = m times the diameter over the layer, and its
// limit for thin wires, from sqrt(1 + (π·Dm/L)²) by hand.
func TestTakeUp(t *testing.T) {
	for _, c := range []struct{ m, first, second, third, limit float64 }{
		{8, 1.033702, 1.048187, 1.055130, 1.074343},
		{10, 1.021697, 1.031099, 1.035621, 1.048187},
		{12, 1.015117, 1.021697, 1.024868, 1.033702},
		{16, 1.008531, 1.012262, 1.014063, 1.019094},
	} {
		near(t, "first layer", TakeUp(2, 3*c.m), c.first, 1e-6)
		near(t, "second layer", TakeUp(4, 5*c.m), c.second, 1e-6)
		near(t, "third layer", TakeUp(6, 7*c.m), c.third, 1e-6)
		near(t, "thin wires", TakeUp(1, c.m), c.limit, 1e-6)
	}
	near(t, "straight", TakeUp(5, straight), 1, 0)
	near(t, "LayAngle", 1/math.Cos(LayAngle(2, 30)), TakeUp(2, 30), 1e-12)
}

// Two layers of a cable at 60 °C, 0.019107 Ω/m: worked value of a public
// program after Anders, Rating of Electric Power Cables (1997).
func TestTakeUpRaisesResistance(t *testing.T) {
	rho := 3.5e-8 * (1 + 0.003*(60-20)) // Ω·m, coefficient from 20 °C
	inner := TakeUp(0.0672, 0.0254) * rho / 1.69e-6
	outer := TakeUp(0.0651, 0.0381) * rho / 1.01e-5
	near(t, "resistance", 1/(1/inner+1/outer), 0.019107042682762667, 1e-15)
}

// Computed by minimising the distance between neighbouring helices in another
// program; costello is the ellipse approximation of the Theory of Wire Rope,
// (d/2)·sqrt(1 + tan²(π/2-π/n)/sin²a), tan a = L/2πRh, which the exact radius
// exceeds by a little.
func TestHelixRadius(t *testing.T) {
	for _, c := range []struct {
		n                                int
		lay, flat, twisted, costello, up float64
	}{
		{3, 20, 0.577350, 0.579800, 0.579739, 1.016454},
		{6, 20, 1.000000, 1.040226, 1.039201, 1.052044},
		{6, 30, 1.000000, 1.017056, 1.016867, 1.022435},
		{6, 50, 1.000000, 1.005999, 1.005975, 1.007959},
		{9, 30, 1.461902, 1.527189, 1.526446, 1.049908},
		{12, 30, 1.931852, 2.100763, 2.098773, 1.092513},
		{12, 50, 1.931852, 1.987485, 1.987260, 1.030717},
		{18, 50, 2.879385, 3.082525, 3.081674, 1.072403},
		{24, 50, 3.830649, 4.361484, 4.359129, 1.140347},
		{24, 100, 3.830649, 3.944719, 3.944604, 1.030258},
	} {
		near(t, "straight", HelixRadius(c.n, 1, straight), c.flat, 1e-6)
		got := HelixRadius(c.n, 1, c.lay)
		near(t, "twisted", got, c.twisted, 1e-6)
		near(t, "take-up", TakeUp(2*got, c.lay), c.up, 1e-6)
		if got < c.costello {
			t.Errorf("HelixRadius(%d, 1, %g) = %g, below the ellipse's %g", c.n, c.lay, got, c.costello)
		}
		near(t, "in another unit", HelixRadius(c.n, 1e-3, c.lay*1e-3)*1e3, got, 1e-9)
	}
	near(t, "one", HelixRadius(1, 1, 10), 0, 0)
	near(t, "a pair", HelixRadius(2, 1, 10), 0.5, 1e-9)
	if r := HelixRadius(10, 1, 10); !math.IsInf(r, 1) {
		t.Errorf("ten wires at a lay of ten diameters: radius %g, want +Inf", r)
	}
	if r := HelixRadius(10, 1, 10.01); math.IsInf(r, 1) {
		t.Error("ten wires at a lay of 10.01 diameters: no radius")
	}
}

// apart is the least distance between two helices, found by looking at points
// along one turn both ways.
func apart(a, angleA, b, angleB, lay float64) float64 {
	at := func(u float64) float64 {
		dx := b*math.Cos(angleB+u) - a*math.Cos(angleA)
		dy := b*math.Sin(angleB+u) - a*math.Sin(angleA)
		z := 0.0
		if !math.IsInf(lay, 1) {
			z = lay * u / (2 * math.Pi)
		} else if u != 0 {
			return math.Inf(1)
		}
		return math.Sqrt(dx*dx + dy*dy + z*z)
	}
	best, width := 0.0, 2*math.Pi
	for width > 1e-9 {
		from := best
		for k := -200; k <= 200; k++ {
			if u := from + width*float64(k)/200; at(u) < at(best) {
				best = u
			}
		}
		width /= 50
	}
	return at(best)
}

// The counts were computed in another program; straight: floor(π/asin(d/(D+d))).
func TestCapacity(t *testing.T) {
	for _, c := range []struct {
		lay  float64
		want [4]int
	}{
		{straight, [4]int{6, 12, 18, 25}},
		{80, [4]int{5, 12, 18, 23}},
		{60, [4]int{5, 12, 17, 23}},
		{40, [4]int{5, 11, 16, 21}},
		{30, [4]int{5, 11, 15, 19}},
		{20, [4]int{5, 10, 13, 15}},
	} {
		for k, want := range c.want {
			if got := Capacity(float64(2*k+1), 1, c.lay); got != want {
				t.Errorf("Capacity(%d, 1, %g) = %d, want %d", 2*k+1, c.lay, got, want)
			}
		}
	}
}

// Six wires round an equal core: the core that lets them close, in wire
// diameters, at a lay of 30, 50 and 100.
func TestSixRoundOne(t *testing.T) {
	six := []float64{1, 1, 1, 1, 1, 1}
	near(t, "straight", LeastCore(six, straight), 1, 1e-8)
	near(t, "lay 30", LeastCore(six, 30), 1.034, 5e-4)
	near(t, "lay 50", LeastCore(six, 50), 1.012, 5e-4)
	near(t, "lay 100", LeastCore(six, 100), 1.003, 5e-4)
	near(t, "as HelixRadius", LeastCore(six, 30), 2*HelixRadius(6, 1, 30)-1, 1e-8)
}

func TestSeat(t *testing.T) {
	seed := uint64(7)
	next := func() float64 {
		seed = seed*6364136223846793005 + 1442695040888963407
		return float64(seed>>11) / (1 << 53)
	}
	for range 60 {
		d := make([]float64, 2+int(next()*10))
		sum := 0.0
		for i := range d {
			d[i] = 0.6 + 2.4*next()*next()
			sum += d[i]
		}
		lay := sum * (1.1 + 3*next())
		if next() < 0.2 {
			lay = straight
		}
		core := LeastCore(d, lay)
		if _, fits := Seat(core*0.99-1e-6, d, lay); fits && core > 0 {
			t.Fatalf("LeastCore(%.3g, %g) = %g, but a thinner core fits too", d, lay, core)
		}
		for _, wider := range []float64{1, 1.2} {
			angles, fits := Seat(core*wider, d, lay)
			if !fits {
				t.Fatalf("Seat(%g, %.3g, %g) does not fit", core*wider, d, lay)
			}
			for j := range d {
				for i := range j {
					got := apart((core*wider+d[i])/2, angles[i], (core*wider+d[j])/2, angles[j], lay)
					if want := (d[i] + d[j]) / 2; got < want*(1-1e-6) {
						t.Errorf("Seat(%g, %.3g, %g): wires %d and %d are %g apart, want %g", core*wider, d, lay, i, j, got, want)
					}
				}
			}
		}
	}
	// Three wires of 3 touch round a core of 0.4641, and wires of 0.1 lie in the
	// valleys: neighbours alone would leave room for a fourth of 3.
	valleys := []float64{3, 0.1, 3, 0.1, 3, 0.1}
	near(t, "LeastCore of three with thin wires between", LeastCore(valleys, straight), 6/math.Sqrt(3)-3, 1e-8)
	if _, fits := Seat(0, []float64{1}, 10); !fits {
		t.Error("one wire does not fit on its own")
	}
}

// IEC 60502-1 table A.2, laid-up cores, as copied by a public wiki; and
// concentric strand as copied by an engineering site. The table rounds 5.305
// and 5.613 up to 5.33 and 5.67.
func TestRegularAgainstStandard(t *testing.T) {
	for _, c := range []struct {
		from, to int
		want     float64
	}{
		{2, 2, 2}, {3, 3, 2.16}, {4, 4, 2.42}, {5, 5, 2.70}, {6, 7, 3}, {10, 11, 4}, {12, 12, 4.16},
		{13, 14, 4.41}, {15, 16, 4.70}, {17, 19, 5}, {20, 21, 5.33}, {22, 23, 5.67}, {24, 26, 6}, {27, 27, 6.15},
		{29, 30, 6.41}, {31, 33, 6.70}, {34, 37, 7}, {38, 40, 7.33}, {41, 43, 7.67}, {44, 47, 8},
		{48, 48, 8.15}, {52, 52, 8.41}, {61, 61, 9},
		{91, 91, 11}, {127, 127, 13}, {169, 169, 15}, {217, 217, 17}, {271, 271, 19},
	} {
		for n := c.from; n <= c.to; n++ {
			got, layers := Regular(n)
			near(t, "Regular of "+strconv.Itoa(n), got, c.want, 0.06)
			sum := 0
			for _, k := range layers {
				sum += k
			}
			if sum != n {
				t.Errorf("Regular(%d): layers %v", n, layers)
			}
		}
	}
	// With eight or nine the table leaves the middle empty (3.66) or starts
	// from two (4.00), and with 28 from four (6.41). Tighter are one loose wire
	// in a ring of seven or eight, and 16 round the twelve of 4.155.
	for n, want := range map[int]float64{
		8: 1 + 1/math.Sin(math.Pi/7), 9: 1 + 1/math.Sin(math.Pi/8), 28: 5 + 2/math.Sqrt(3),
	} {
		got, _ := Regular(n)
		near(t, "Regular of "+strconv.Itoa(n), got, want, 1e-12)
	}
}

// Lay-up factors of two cable makers: as regular layers of the same number of
// wires within 0.02 for 49 of 61, else as of one fewer or up to two more, since
// makers step to the next layer a wire or two earlier or later.
func TestRegularAgainstMakers(t *testing.T) {
	file, err := os.Open("../../../shared/reference/cable_layup.csv")
	if err != nil {
		t.Skip("no published lay-up factors here: ", err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	same := 0
	for _, row := range rows[1:] {
		n, _ := strconv.Atoi(row[0])
		for _, cell := range row[1:3] {
			if cell == "" {
				continue
			}
			want, err := strconv.ParseFloat(cell, 64)
			if err != nil {
				t.Fatal(err)
			}
			off := 0
			for _, off = range []int{0, -1, 1, 2} {
				if got, _ := Regular(n + off); math.Abs(got-want) <= 0.02 {
					break
				}
			}
			got, _ := Regular(n + off)
			near(t, "Regular near "+row[0], got, want, 0.02)
			if off == 0 && cell == row[1] {
				same++
			}
		}
	}
	if same < 49 {
		t.Errorf("%d of %d factors as regular layers, want at least 49", same, len(rows)-1)
	}
}
