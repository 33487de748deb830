package assign

import (
	"math"
	"os"
	"path/filepath"
	"reflect"
	"strconv"
	"strings"
	"testing"
)

func TestSolve(t *testing.T) {
	const no = Forbidden
	tests := []struct {
		name  string
		cost  [][]int64
		col   []int
		total int64
	}{
		{"nothing", nil, []int{}, 0},
		{"rows without columns", [][]int64{{}, {}}, []int{None, None}, 0},
		{"worked by hand", [][]int64{{4, 1, 3}, {2, 0, 5}, {3, 2, 2}}, []int{1, 0, 2}, 5},
		{"all equal", [][]int64{{7, 7, 7}, {7, 7, 7}}, []int{0, 1}, 14},
		{"more rows than columns", [][]int64{{3}, {1}, {2}}, []int{None, 0, None}, 1},
		{"a tie leaves the later row out", [][]int64{{1}, {1}}, []int{0, None}, 1},
		{"negative costs", [][]int64{{-5, 0}, {-6, 0}}, []int{1, 0}, -6},
		{"two dear pairs beat one cheap pair", [][]int64{{0, 1000}, {no, 0}, {1000, no}}, []int{0, 1, None}, 0},
		{"as many pairs as can be", [][]int64{{0, 900}, {5, no}}, []int{1, 0}, 905},
		{"all forbidden", [][]int64{{no, no}}, []int{None}, 0},
	}
	for _, tt := range tests {
		col, total, err := Solve(tt.cost)
		if err != nil || total != tt.total || !reflect.DeepEqual(col, tt.col) {
			t.Errorf("%s: Solve = %v, %d, %v, want %v, %d", tt.name, col, total, err, tt.col, tt.total)
		}
	}
}

func TestSolveRefuses(t *testing.T) {
	if _, _, err := Solve([][]int64{{1, 2}, {3}}); err == nil || !strings.Contains(err.Error(), "row 1 has 1 columns") {
		t.Errorf("ragged rows: error %v", err)
	}
	if _, _, err := Solve([][]int64{{math.MinInt64}}); err == nil || !strings.Contains(err.Error(), "too large") {
		t.Errorf("huge costs: error %v", err)
	}
}

// Every pairing of small matrices is tried, which fixes count, cost and the
// promised order of ties.
func TestSolveBruteForce(t *testing.T) {
	r := counter(1)
	for n := range 3000 {
		rows, cols := 1+r.below(5), 1+r.below(5)
		spread := 1 + r.below(6)
		cost := make([][]int64, rows)
		for i := range cost {
			cost[i] = make([]int64, cols)
			for j := range cost[i] {
				cost[i][j] = int64(r.below(spread)) - 2
				if r.below(4) == 0 {
					cost[i][j] = Forbidden
				}
			}
		}
		want := enumerate(cost)
		col, _, err := Solve(cost)
		if err != nil || !reflect.DeepEqual(col, want) {
			t.Fatalf("case %d: Solve(%v) = %v, %v, want %v", n, cost, col, err, want)
		}
	}
}

// enumerate tries columns in ascending order, None last, and keeps the first of
// the best, so ties fall the promised way.
func enumerate(cost [][]int64) []int {
	var best []int
	bestPairs, bestTotal := -1, int64(0)
	used := make([]bool, len(cost[0]))
	col := make([]int, len(cost))
	var try func(r, pairs int, total int64)
	try = func(r, pairs int, total int64) {
		if r == len(cost) {
			if pairs > bestPairs || pairs == bestPairs && total < bestTotal {
				best, bestPairs, bestTotal = append([]int(nil), col...), pairs, total
			}
			return
		}
		for c := range used {
			if used[c] || cost[r][c] == Forbidden {
				continue
			}
			used[c], col[r] = true, c
			try(r+1, pairs+1, total+cost[r][c])
			used[c] = false
		}
		col[r] = None
		try(r+1, pairs, total)
	}
	try(0, 0, 0)
	return best
}

// OR-Library assign100, optimum 305.
func TestSolveAssign100(t *testing.T) {
	text, err := os.ReadFile(filepath.FromSlash("../../../shared/reference/datasets/assign/assign100.txt"))
	if err != nil {
		t.Skip("the shared reference data are not here:", err)
	}
	fields := strings.Fields(string(text))
	n, _ := strconv.Atoi(fields[0])
	cost := make([][]int64, n)
	for i := range cost {
		cost[i] = make([]int64, n)
		for j := range cost[i] {
			cost[i][j], err = strconv.ParseInt(fields[1+i*n+j], 10, 64)
			if err != nil {
				t.Fatal(err)
			}
		}
	}
	_, total, err := Solve(cost)
	if err != nil || total != 305 {
		t.Errorf("Solve(assign100) = %d, %v, want 305", total, err)
	}
}

func BenchmarkSolve(b *testing.B) {
	for _, n := range []int{100, 200, 400} {
		r := counter(7)
		cost := make([][]int64, n)
		for i := range cost {
			cost[i] = make([]int64, n)
			for j := range cost[i] {
				cost[i][j] = int64(1 + r.below(100))
			}
		}
		b.Run(strconv.Itoa(n), func(b *testing.B) {
			for range b.N {
				if _, _, err := Solve(cost); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// counter is a counted source of numbers (splitmix64), so that every run sees
// the same cases.
type counter uint64

func (c *counter) below(n int) int {
	*c += 0x9e3779b97f4a7c15
	z := uint64(*c)
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return int((z ^ z>>31) % uint64(n))
}
