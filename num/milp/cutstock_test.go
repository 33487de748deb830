package milp

import (
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// whole checks that a plan gives every piece, fits every bar and counts right.
func whole(t *testing.T, name string, bar, loss int64, pieces []Piece, c Cutting) {
	t.Helper()
	got := make([]int, len(pieces))
	bars := 0
	for _, p := range c.Patterns {
		used := int64(0)
		for i, n := range p.Count {
			used += int64(n) * (pieces[i].Length + loss)
			got[i] += n * p.Times
		}
		if used > bar+loss {
			t.Errorf("%s: a pattern takes %d of %d", name, used-loss, bar)
		}
		bars += p.Times
	}
	for i, p := range pieces {
		if got[i] != p.Count {
			t.Errorf("%s: %d pieces of %d, want %d", name, got[i], p.Length, p.Count)
		}
	}
	if bars != c.Bars || c.Bound > c.Bars {
		t.Errorf("%s: %d bars counted as %d, bound %d", name, bars, c.Bars, c.Bound)
	}
}

func pairs(lengths, counts string) []Piece {
	var out []Piece
	n := strings.Fields(counts)
	for i, l := range strings.Fields(lengths) {
		length, _ := strconv.ParseInt(l, 10, 64)
		count, _ := strconv.Atoi(n[i])
		out = append(out, Piece{length, count})
	}
	return out
}

// Optima as published, or proven by an independent solver.
func TestCutStock(t *testing.T) {
	tests := []struct {
		name      string
		bar, loss int64
		pieces    []Piece
		bars      int
	}{
		{"nothing", 10, 0, nil, 0},
		{"one", 10, 0, []Piece{{10, 3}}, 3},
		{"paper mill, 13 widths", 5600, 0, pairs("1380 1520 1560 1710 1820 1880 1930 2000 2050 2100 2140 2150 2200", "22 25 12 14 18 18 20 10 12 14 16 18 20"), 73},
		{"Chvatal's four widths", 100, 0, pairs("45 36 31 14", "97 610 395 211"), 453},
		{"bars without loss", 6000, 0, pairs("2000 1500 1000", "9 8 6"), 6},
		{"bars with 5 lost a cut", 6000, 5, pairs("2000 1500 1000", "9 8 6"), 7},
	}
	for _, tt := range tests {
		c, err := CutStock(tt.bar, tt.loss, tt.pieces, 5_000_000)
		if err != nil || c.Bars != tt.bars || c.Bound != tt.bars {
			t.Errorf("%s: %d bars, bound %d, %v, want %d", tt.name, c.Bars, c.Bound, err, tt.bars)
		}
		whole(t, tt.name, tt.bar, tt.loss, tt.pieces, c)
	}
	for _, bad := range []Piece{{11, 1}, {0, 1}, {5, -1}} {
		if _, err := CutStock(10, 0, []Piece{bad}, 1000); err == nil {
			t.Errorf("piece %+v from bars of 10: no error", bad)
		}
	}
}

// OR-Library binpack1: 20 problems of 120 items, whose optimum is the file's
// figure.
func TestCutStockBinpack(t *testing.T) {
	file := filepath.FromSlash("../../../shared/reference/datasets/binpack/binpack1.txt")
	text, err := os.ReadFile(file)
	if err != nil {
		t.Skip("the shared reference data are not here:", err)
	}
	f := strings.Fields(string(text))
	next := func() string { s := f[0]; f = f[1:]; return s }
	number := func() int {
		n, err := strconv.ParseFloat(next(), 64)
		if err != nil {
			t.Fatal(err)
		}
		return int(n)
	}
	met, work := 0, 0
	problems := number()
	for range problems {
		name := next()
		bar, items, best := number(), number(), number()
		count := make([]int, bar+1)
		for range items {
			count[number()]++
		}
		var pieces []Piece
		for l, n := range count {
			if n > 0 {
				pieces = append(pieces, Piece{int64(l), n})
			}
		}
		c, err := CutStock(int64(bar), 0, pieces, 5_000_000)
		if err != nil {
			t.Fatal(err)
		}
		whole(t, name, int64(bar), 0, pieces, c)
		work += c.Work
		if c.Bars == best {
			met++
		} else if c.Bars > best+1 || c.Bars < best {
			t.Errorf("%s: %d bars, want %d", name, c.Bars, best)
		}
		if c.Bound > best {
			t.Errorf("%s: bound %d above the optimum %d", name, c.Bound, best)
		}
	}
	t.Logf("%d of %d at the optimum, %d units of work", met, problems, work)
	if problems != 20 || met < 18 {
		t.Errorf("%d of %d at the optimum, want at least 18", met, problems)
	}
}

// Small random problems against trying every plan, through a recursion over
// bars.
func TestCutStockBruteForce(t *testing.T) {
	r := counter(9)
	for n := range 300 {
		bar := int64(10 + r.below(20))
		var pieces []Piece
		var items []int64
		for range 1 + r.below(4) {
			p := Piece{int64(2 + r.below(int(bar)-2)), 1 + r.below(3)}
			pieces = append(pieces, p)
			for range p.Count {
				items = append(items, p.Length)
			}
		}
		loss := int64(r.below(3))
		c, err := CutStock(bar, loss, pieces, 1_000_000)
		if err != nil {
			t.Fatal(err)
		}
		whole(t, "random", bar, loss, pieces, c)
		if want := fewest(items, bar, loss); c.Bars != want {
			t.Errorf("case %d: %v from %d less %d: %d bars, want %d", n, pieces, bar, loss, c.Bars, want)
		}
	}
}

// fewest tries to put each item on each bar begun, or on one more.
func fewest(items []int64, bar, loss int64) int {
	best := len(items)
	var used []int64
	var try func(k int)
	try = func(k int) {
		if len(used) >= best {
			return
		}
		if k == len(items) {
			best = len(used)
			return
		}
		for b := range used {
			if used[b]+items[k]+loss <= bar+loss {
				used[b] += items[k] + loss
				try(k + 1)
				used[b] -= items[k] + loss
			}
		}
		used = append(used, items[k]+loss)
		try(k + 1)
		used = used[:len(used)-1]
	}
	try(0)
	return best
}
