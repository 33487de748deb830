package code_test

import (
	"math"
	"strings"
	"testing"

	"keyon/format/code"
	"keyon/format/page"
	"keyon/format/page/sample"
)

// modules paints a group onto a raster of n by n modules of m mm, and fails on
// a module painted twice or in part.
func modules(t *testing.T, g page.Group, m float64, n int) [][]bool {
	t.Helper()
	grid := make([][]bool, n)
	for y := range grid {
		grid[y] = make([]bool, n)
	}
	whole := func(v float64) int {
		i := math.Round(v / m)
		if math.Abs(i-v/m) > 1e-9 {
			t.Fatalf("edge at %v mm is no multiple of %v", v, m)
		}
		return int(i)
	}
	for _, mark := range g.Marks[1:] {
		b := mark.(page.Rect).Box
		for y := whole(b.Y); y < whole(b.Y+b.H); y++ {
			for x := whole(b.X); x < whole(b.X+b.W); x++ {
				if grid[y][x] {
					t.Fatalf("module %d, %d painted twice", x, y)
				}
				grid[y][x] = true
			}
		}
	}
	return grid
}

// A QR code has a finder pattern of 7 by 7 modules in three corners, within a
// quiet zone of 4, and a side of 17 + 4·version modules (ISO/IEC 18004).
func TestQRShape(t *testing.T) {
	for _, text := range []string{"F1-P03", "https://x/F1/X2?s=" + strings.Repeat("a", 200), "Ω 12"} {
		m := code.ModuleOf(text, 30)
		n := int(math.Round(30 / m))
		if (n-8-17)%4 != 0 {
			t.Fatalf("QR(%q): %d modules a side", text, n-8)
		}
		g, err := code.QR("q", text, 30)
		if err != nil {
			t.Fatal(err)
		}
		grid := modules(t, g, m, n)
		for y := range n {
			for x := range n {
				if quiet := x < 4 || y < 4 || x >= n-4 || y >= n-4; quiet && grid[y][x] {
					t.Fatalf("QR(%q): dark module %d, %d in the quiet zone", text, x, y)
				}
			}
		}
		for _, at := range [][2]int{{4, 4}, {n - 11, 4}, {4, n - 11}} {
			for y := range 7 {
				for x := range 7 {
					ring := max(abs(x-3), abs(y-3))
					if want := ring != 2; grid[at[1]+y][at[0]+x] != want {
						t.Fatalf("QR(%q): finder at %v broken at %d, %d", text, at, x, y)
					}
				}
			}
		}
	}
}

func abs(v int) int { return max(v, -v) }

// Code 128, by hand from ISO/IEC 15417: start B 11010010000, "A" 10100011000,
// check symbol (104 + 33·1) mod 103 = 34 = 10001011000, stop 1100011101011.
func TestCode128ByHand(t *testing.T) {
	const want = "11010010000" + "10100011000" + "10001011000" + "1100011101011"
	w := float64(len(want) + 20)
	g, err := code.Code128("b", "A", w, 10)
	if err != nil {
		t.Fatal(err)
	}
	got := []byte(strings.Repeat("0", len(want)+20))
	for _, mark := range g.Marks[1:] {
		b := mark.(page.Rect).Box
		for x := int(math.Round(b.X)); x < int(math.Round(b.X+b.W)); x++ {
			got[x] = '1'
		}
	}
	quiet := strings.Repeat("0", 10)
	if string(got) != quiet+want+quiet {
		t.Errorf("Code128(A)\ngot  %s\nwant %s", got, quiet+want+quiet)
	}
}

func TestHostileTexts(t *testing.T) {
	for _, s := range sample.Hostile {
		code.QR("", s, 20) // an error is fine, a panic is not
		code.Code128("", s, 20, 10)
	}
	if _, err := code.QR("", strings.Repeat("W", 10000), 20); err == nil {
		t.Error("a QR code held 10,000 characters")
	}
}
