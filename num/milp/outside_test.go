//go:build outside

package milp

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// 150 random problems of up to 60 variables against glpsol, by way of its LP text
// format.
func TestSolveGLPK(t *testing.T) {
	if _, err := exec.LookPath("glpsol"); err != nil {
		t.Fatal("glpsol is not installed: ", err)
	}
	r := counter(71)
	seen := map[Status]int{}
	work, late := 0, 0
	for k := range 150 {
		var p *Problem
		switch k % 3 {
		case 0:
			p = coverProblem(&r, 15+r.below(20), 4+r.below(8), k%2 == 0)
		case 1:
			p = randomProblem(&r, 10+r.below(30), 3+r.below(8), k%2 == 0, k%4 < 2)
		default:
			p = capacityProblem(&r, 6+r.below(10), 3+r.below(4))
		}
		status, cost := glpsol(t, p)
		if status == Unknown {
			late++
			continue
		}
		got := Solve(p, plenty)
		work += got.Work
		seen[got.Status]++
		if got.Status != status || status == Optimal && (got.Cost != cost || got.Bound != cost || !keeps(p, got)) {
			t.Errorf("problem %d: %v at %d, bound %d; glpsol says %v at %d", k, got.Status, got.Cost, got.Bound, status, cost)
		}
	}
	t.Logf("%v, %d units of work; glpsol gave up on %d", seen, work, late)
	if seen[Optimal] < 80 || seen[Infeasible] < 5 || late > 20 {
		t.Errorf("the cases are lopsided: %v", seen)
	}
}

// capacityProblem puts items on outputs of limited capacity that cost something
// to open, as the loads of a car on fused outputs.
func capacityProblem(r *counter, items, outputs int) *Problem {
	p := &Problem{}
	put := make([][]int, items)
	size := make([]float64, items)
	for i := range put {
		size[i] = float64(1 + r.below(20))
		for range outputs {
			put[i] = append(put[i], p.Var("put", int64(r.below(15))))
		}
	}
	for i := range put {
		var terms []Term
		for _, v := range put[i] {
			terms = append(terms, Term{v, 1})
		}
		p.Row(Equal, 1, terms...)
	}
	for o := range outputs {
		terms := []Term{{p.Var("open", int64(10+r.below(30))), -float64(30 + r.below(40))}}
		for i := range put {
			terms = append(terms, Term{put[i][o], size[i]})
		}
		p.Row(AtMost, 0, terms...)
	}
	return p
}

var objective = regexp.MustCompile(`Objective: +\S+ = (\S+)`)

func glpsol(t *testing.T, p *Problem) (Status, int64) {
	t.Helper()
	var text bytes.Buffer
	fmt.Fprint(&text, "Minimize\n cost:")
	for v, c := range p.cost {
		fmt.Fprintf(&text, " %+d x%d", c, v)
	}
	fmt.Fprint(&text, "\nSubject To\n")
	for i, r := range p.rows {
		if len(r.terms) == 0 {
			continue
		}
		fmt.Fprintf(&text, " r%d:", i)
		for _, term := range r.terms {
			fmt.Fprintf(&text, " %+.17g x%d", term.Coef, term.Var)
		}
		fmt.Fprintf(&text, " %s %.17g\n", [...]string{"<=", ">=", "="}[r.kind], r.rhs)
	}
	fmt.Fprint(&text, "Bounds\n")
	for v := range p.cost {
		fmt.Fprintf(&text, " %d <= x%d <= %d\n", p.lo[v], v, p.hi[v])
	}
	fmt.Fprint(&text, "Generals\n")
	for v := range p.cost {
		fmt.Fprintf(&text, " x%d\n", v)
	}
	fmt.Fprint(&text, "End\n")
	dir := t.TempDir()
	in, out := filepath.Join(dir, "p.lp"), filepath.Join(dir, "p.txt")
	if err := os.WriteFile(in, text.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	log, err := exec.Command("glpsol", "--cuts", "--tmlim", "20", "--lp", in, "-o", out).CombinedOutput()
	if err != nil {
		t.Fatalf("glpsol: %v\n%s", err, log)
	}
	result, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	switch {
	case strings.Contains(string(result), "INTEGER OPTIMAL"):
		m := objective.FindSubmatch(result)
		cost, err := strconv.ParseFloat(string(m[1]), 64)
		if err != nil {
			t.Fatal(err)
		}
		return Optimal, int64(cost)
	case bytes.Contains(log, []byte("TIME LIMIT EXCEEDED")):
		return Unknown, 0
	case strings.Contains(string(result), "INTEGER EMPTY"), bytes.Contains(log, []byte("HAS NO PRIMAL FEASIBLE")), bytes.Contains(log, []byte("NO INTEGER FEASIBLE")):
		return Infeasible, 0
	}
	t.Fatalf("glpsol:\n%s\n%s", log, result)
	return Unknown, 0
}
