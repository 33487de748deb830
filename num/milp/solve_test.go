package milp

import (
	"math"
	"os"
	"path/filepath"
	"reflect"
	"strconv"
	"strings"
	"testing"
)

const plenty = 1 << 30

func TestSolveSmall(t *testing.T) {
	empty := &Problem{}
	if r := Solve(empty, plenty); r.Status != Optimal || r.Cost != 0 || len(r.X) != 0 {
		t.Errorf("empty problem: %+v", r)
	}

	// Knapsack by hand: weights 3 4 5 6, values 4 5 6 9, at most 10: 4+6 = 14.
	p := &Problem{}
	var terms []Term
	for i, w := range []float64{3, 4, 5, 6} {
		terms = append(terms, Term{p.Var("item", -[]int64{4, 5, 6, 9}[i]), w})
	}
	p.Row(AtMost, 10, terms...)
	if r := Solve(p, plenty); r.Status != Optimal || r.Cost != -14 || r.Bound != -14 || !reflect.DeepEqual(r.X, []int64{0, 1, 0, 1}) {
		t.Errorf("knapsack: %+v, want -14", r)
	}

	p = &Problem{}
	x := p.Int("x", 1, 0, 10)
	y := p.Int("y", 1, 0, 10)
	p.Row(AtLeast, 7, Term{x, 2}, Term{y, 2})
	p.Row(Equal, 1, Term{x, 1}, Term{y, -1})
	// 2x+2y ≥ 7 means x+y ≥ 4, and x = y+1 makes x+y odd.
	if r := Solve(p, plenty); r.Status != Optimal || r.Cost != 5 || r.X[x] != 3 || r.X[y] != 2 {
		t.Errorf("whole numbers: %+v, want 3 and 2", r)
	}

	p = &Problem{}
	x = p.Var("x", 1)
	y = p.Var("y", 1)
	p.Row(Equal, 1, Term{x, 2}, Term{y, 2})
	if r := Solve(p, plenty); r.Status != Infeasible {
		t.Errorf("2x+2y = 1: %+v, want infeasible", r)
	}
	p = &Problem{}
	p.Int("none", 1, 3, 2)
	if r := Solve(p, plenty); r.Status != Infeasible {
		t.Errorf("no value: %+v, want infeasible", r)
	}
}

// The smoke test of pseudo-Boolean solvers, on whose optimum of 32 seven solvers
// agree: three items of size 5, 6, 7 to two outputs of capacity 12.
func TestSolveOPB(t *testing.T) {
	const text = `* #variable= 8 #constraint= 5
min: +4 x1 +2 x2 +8 x3 +3 x4 +5 x5 +9 x6 +10 x7 +12 x8 ;
+1 x1 +1 x2 = 1 ;
+1 x3 +1 x4 = 1 ;
+1 x5 +1 x6 = 1 ;
-5 x1 -6 x3 -7 x5 +12 x7 >= 0 ;
-5 x2 -6 x4 -7 x6 +12 x8 >= 0 ;
`
	r := Solve(readOPB(t, text), plenty)
	if r.Status != Optimal || r.Cost != 32 || r.Bound != 32 {
		t.Errorf("%+v, want 32", r)
	}
}

func readOPB(t *testing.T, text string) *Problem {
	t.Helper()
	p := &Problem{}
	vars := map[string]int{}
	for _, line := range strings.Split(text, "\n") {
		f := strings.Fields(line)
		if len(f) == 0 || f[0] == "*" {
			continue
		}
		if f[0] == "min:" {
			for i := 1; i+1 < len(f); i += 2 {
				c, err := strconv.ParseInt(f[i], 10, 64)
				if err != nil {
					t.Fatal(err)
				}
				vars[f[i+1]] = p.Var(f[i+1], c)
			}
			continue
		}
		var terms []Term
		i := 0
		for ; f[i] != "=" && f[i] != ">="; i += 2 {
			c, err := strconv.ParseFloat(f[i], 64)
			if err != nil {
				t.Fatal(err)
			}
			terms = append(terms, Term{vars[f[i+1]], c})
		}
		kind := Equal
		if f[i] == ">=" {
			kind = AtLeast
		}
		rhs, err := strconv.ParseFloat(f[i+1], 64)
		if err != nil {
			t.Fatal(err)
		}
		p.Row(kind, rhs, terms...)
	}
	return p
}

// Random small problems against trying every combination of values.
func TestSolveBruteForce(t *testing.T) {
	r := counter(5)
	seen := map[Status]int{}
	for n := range 3000 {
		p := randomProblem(&r, 1+r.below(9), 1+r.below(6), n%3 == 0, n%5 == 0)
		want, x := enumerate(p)
		got := Solve(p, plenty)
		seen[got.Status]++
		if x == nil {
			if got.Status != Infeasible {
				t.Fatalf("case %d: %+v, want infeasible\n%+v", n, got, p)
			}
			continue
		}
		if got.Status != Optimal || got.Cost != want || got.Bound != want || !keeps(p, got) {
			t.Fatalf("case %d: %+v, want cost %d as by %v\n%+v", n, got, want, x, p)
		}
	}
	if seen[Optimal] < 1000 || seen[Infeasible] < 200 {
		t.Errorf("the cases are lopsided: %v", seen)
	}
}

func randomProblem(r *counter, vars, rows int, fractions, wide bool) *Problem {
	p := &Problem{}
	for range vars {
		cost := int64(r.below(21)) - 8
		if wide && r.below(3) == 0 {
			lo := int64(r.below(5)) - 2
			p.Int("n", cost, lo, lo+int64(r.below(4)))
		} else {
			p.Var("b", cost)
		}
	}
	for range rows {
		var terms []Term
		sum := 0.0
		for v := range vars {
			if r.below(3) == 0 {
				continue
			}
			c := float64(r.below(15)) - 4
			if fractions {
				c += float64(r.below(100)) / 100
			}
			terms = append(terms, Term{v, c})
			sum += c * float64(r.below(3)) / 2
		}
		kind := []Kind{AtMost, AtLeast, AtMost, AtLeast, Equal}[r.below(5)]
		if kind == Equal {
			// An equation that some values keep.
			sum = 0
			for _, t := range terms {
				sum += t.Coef * float64(p.lo[t.Var]+int64(r.below(int(p.hi[t.Var]-p.lo[t.Var])+1)))
			}
		} else if !fractions {
			sum = math.Round(sum)
		}
		p.Row(kind, sum, terms...)
	}
	return p
}

func keeps(p *Problem, r Result) bool {
	cost := int64(0)
	for v, x := range r.X {
		cost += x * p.cost[v]
		if x < p.lo[v] || x > p.hi[v] {
			return false
		}
	}
	return cost == r.Cost && satisfied(p, r.X)
}

// satisfied is the package's promise, written anew.
func satisfied(p *Problem, x []int64) bool {
	for _, row := range p.rows {
		sum, largest := 0.0, math.Abs(row.rhs)
		for _, t := range row.terms {
			sum += t.Coef * float64(x[t.Var])
			largest = max(largest, math.Abs(t.Coef))
		}
		off := sum - row.rhs
		switch {
		case row.kind == AtMost:
			off = max(off, 0)
		case row.kind == AtLeast:
			off = max(-off, 0)
		}
		if math.Abs(off) > 1.0001e-9*largest {
			return false
		}
	}
	return true
}

func enumerate(p *Problem) (best int64, at []int64) {
	x := make([]int64, p.Vars())
	var try func(v int, cost int64)
	try = func(v int, cost int64) {
		if v == len(x) {
			if (at == nil || cost < best) && satisfied(p, x) {
				best, at = cost, append([]int64(nil), x...)
			}
			return
		}
		for k := p.lo[v]; k <= p.hi[v]; k++ {
			x[v] = k
			try(v+1, cost+k*p.cost[v])
		}
	}
	try(0, 0)
	return best, at
}

// OR-Library gap1 to gap3: 15 problems of jobs to agents with capacities,
// maximised, at their published optima.
func TestSolveGAP(t *testing.T) {
	dir := filepath.FromSlash("../../../shared/reference/datasets/gap/")
	if _, err := os.Stat(dir); err != nil {
		t.Skip("the shared reference data are not here:", err)
	}
	optima := map[string][]int64{
		"gap1.txt": {336, 327, 339, 341, 326},
		"gap2.txt": {434, 436, 420, 419, 428},
		"gap3.txt": {580, 564, 573, 570, 564},
	}
	work := 0
	for _, file := range []string{"gap1.txt", "gap2.txt", "gap3.txt"} {
		next := numbers(t, filepath.Join(dir, file))
		for k := range int(next()) {
			agents, jobs := int(next()), int(next())
			p := &Problem{}
			for range agents * jobs {
				p.Var("job to agent", -int64(next()))
			}
			weight := make([]float64, agents*jobs)
			for i := range weight {
				weight[i] = next()
			}
			for a := range agents {
				var terms []Term
				for j := range jobs {
					terms = append(terms, Term{a*jobs + j, weight[a*jobs+j]})
				}
				p.Row(AtMost, next(), terms...)
			}
			for j := range jobs {
				var terms []Term
				for a := range agents {
					terms = append(terms, Term{a*jobs + j, 1})
				}
				p.Row(Equal, 1, terms...)
			}
			r := Solve(p, 2_000_000)
			work += r.Work
			if r.Status != Optimal || -r.Cost != optima[file][k] {
				t.Errorf("%s problem %d: %v, cost %d, bound %d, want %d", file, k+1, r.Status, -r.Cost, -r.Bound, optima[file][k])
			}
		}
	}
	t.Log(work, "units of work for all")
}

func numbers(t *testing.T, file string) func() float64 {
	t.Helper()
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	fields := strings.Fields(string(text))
	return func() float64 {
		t.Helper()
		v, err := strconv.ParseFloat(fields[0], 64)
		if err != nil {
			t.Fatal(err)
		}
		fields = fields[1:]
		return v
	}
}

// However small the budget, the bound holds and an answer keeps the rows.
func TestSolveBudget(t *testing.T) {
	r := counter(17)
	statuses := map[Status]int{}
	for k := range 30 {
		p := coverProblem(&r, 30, 12, k%2 == 0)
		full := Solve(p, plenty)
		for _, budget := range []int{0, 1, 5, 20, 60, 200} {
			got := Solve(p, budget)
			statuses[got.Status]++
			if full.Status == Infeasible {
				if got.X != nil {
					t.Errorf("budget %d: an answer to an infeasible problem", budget)
				}
				continue
			}
			if got.Bound > full.Cost || got.X != nil && (got.Cost < full.Cost || !keeps(p, got)) || got.Status == Infeasible {
				t.Errorf("budget %d: %v, cost %d, bound %d, optimum %d", budget, got.Status, got.Cost, got.Bound, full.Cost)
			}
		}
	}
	if statuses[Feasible] < 5 || statuses[Unknown] < 5 || statuses[Optimal] < 5 {
		t.Errorf("the cases are lopsided: %v", statuses)
	}
}

// coverProblem asks for items of positive cost that cover each row between two
// sums, or exactly one of some.
func coverProblem(r *counter, vars, rows int, exact bool) *Problem {
	p := &Problem{}
	for range vars {
		p.Var("b", 5+int64(r.below(30)))
	}
	for i := range rows {
		var terms []Term
		sum := 0.0
		for v := range vars {
			if r.below(2) == 0 {
				c := float64(1 + r.below(20))
				terms = append(terms, Term{v, c})
				sum += c
			}
		}
		if len(terms) == 0 {
			continue
		}
		p.Row(AtLeast, math.Round(sum/3), terms...)
		p.Row(AtMost, math.Round(sum*0.7), terms...)
		if exact && i%4 == 0 {
			for k := range terms {
				terms[k].Coef = 1
			}
			p.Row(Equal, float64(len(terms)/2), terms...)
		}
	}
	return p
}

func TestRowRefuses(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("a row of a variable that isn't there was taken")
		}
	}()
	(&Problem{}).Row(AtMost, 1, Term{0, 1})
}

// counter is a counted source of numbers (splitmix64), so that every run sees
// the same cases.
type counter uint64

func (c *counter) next() uint64 {
	*c += 0x9e3779b97f4a7c15
	z := uint64(*c)
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

func (c *counter) below(n int) int { return int(c.next() % uint64(n)) }
