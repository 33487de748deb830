package main

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"time"

	"keyon/num/milp"
	"keyon/num/netsolve"
	"keyon/num/packing"
)

// packed packs every published set of circles at both efforts. Calc takes its
// time on large sets, so it is asked for up to 60 circles.
func packed(r *tables) error {
	type set struct {
		name string
		d    []float64
		best float64
	}
	read := func(name string, of func(row []string) (set, error)) (list []set, err error) {
		f, err := os.Open(filepath.Join("..", "shared", "reference", name))
		if err != nil {
			return nil, err
		}
		defer f.Close()
		rows, err := csv.NewReader(f).ReadAll()
		if err != nil {
			return nil, err
		}
		for _, row := range rows[1:] {
			s, err := of(row)
			if err != nil {
				return nil, fmt.Errorf("%s: %w", name, err)
			}
			list = append(list, s)
		}
		return list, nil
	}
	equal, err := read("circle_packing_equal.csv", func(row []string) (s set, err error) {
		n, err := strconv.Atoi(row[0])
		if err != nil {
			return s, err
		}
		s.best, err = strconv.ParseFloat(row[1], 64)
		s.name, s.d = "equal circles", make([]float64, n)
		for i := range s.d {
			s.d[i] = 2
		}
		return s, err
	})
	if err != nil {
		return err
	}
	unequal, err := read("circle_packing_unequal.csv", func(row []string) (s set, err error) {
		s.name = "unequal circles"
		for _, t := range strings.Fields(row[2]) {
			v, err := strconv.ParseFloat(t, 64)
			if err != nil {
				return s, err
			}
			s.d = append(s.d, 2*v)
		}
		s.best, err = strconv.ParseFloat(row[3], 64)
		return s, err
	})
	if err != nil {
		return err
	}
	r.table("published sets", "effort", "sets", "circles", "widest over the best known", "mean", "all of them took")
	for _, e := range []struct {
		name   string
		effort packing.Effort
		most   int
	}{{"plan", packing.Plan, 1 << 30}, {"calc", packing.Calc, 60}} {
		for _, kind := range [][]set{equal, unequal} {
			worst, sum, sets, circles := math.Inf(-1), 0.0, 0, 0
			start := time.Now()
			for _, s := range kind {
				if len(s.d) > e.most {
					continue
				}
				p, err := packing.Pack(s.d, e.effort)
				if err != nil {
					return err
				}
				wide := p.Diameter/2/s.best - 1
				worst, sum = max(worst, wide), sum+wide
				sets, circles = sets+1, circles+len(s.d)
			}
			r.row(kind[0].name, e.name, sets, circles, fmt.Sprintf("%.2f %%", 100*worst), fmt.Sprintf("%.2f %%", 100*sum/float64(sets)), milli(time.Since(start)))
		}
	}
	r.note("Best known: the tables of Packomania and of Ye, Huang and Lu (arXiv 1306.0694) in the reference folder.")
	return nil
}

// seeded is a counted generator (splitmix64; Steele, Lea, Flood 2014).
type seeded uint64

func (c *seeded) below(n int) int {
	*c += 0x9e3779b97f4a7c15
	z := uint64(*c)
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return int((z ^ z>>31) % uint64(n))
}

// networks solves trees and rings of wires with loads, and lets ngspice solve
// the same from a netlist written beside it.
func networks(r *tables) error {
	r.table("nodes", "elements", "solved first", "again, values changed", "ngspice, whole run", "ngspice over ours", "worst difference")
	for _, n := range []int{1000, 10000, 100000} {
		var deck bytes.Buffer
		net, c := netsolve.New("minus"), seeded(3)
		fmt.Fprintln(&deck, "* wires and loads\nV1 n1 0 12.6")
		at := func(i int) int { return net.Node(fmt.Sprint("n", i)) }
		net.Battery("battery", at(1), netsolve.Reference, 12.6, 0)
		first := netsolve.Elem(-1)
		wire := func(a, b int, ohm float64) {
			e := net.Resistor("wire", at(a), at(b), ohm)
			if first < 0 {
				first = e
			}
			fmt.Fprintf(&deck, "R%d n%d n%d %.17g\n", e, a, b, ohm)
		}
		for i := 2; i <= n; i++ {
			// On the bus every hundredth node, else on its branch a few nodes back.
			from := max(1, i/100*100, i-1-c.below(6))
			ohm := 0.002 + float64(c.below(1000))*2e-5
			if i%100 == 0 {
				from, ohm = 1, 0.0005
			}
			wire(from, i, ohm)
			if c.below(8) == 0 && i%100 > 10 {
				wire(i-1-c.below(8), i, 0.002+float64(c.below(1000))*2e-5)
			}
			if c.below(4) == 0 {
				amps := float64(c.below(200)) / 1000
				e := net.LoadI("load", at(i), netsolve.Reference, amps, 0)
				fmt.Fprintf(&deck, "I%d n%d 0 %.17g\n", e, i, amps)
			}
		}
		var sol netsolve.Solution
		start := time.Now()
		sol, err := net.Solve(netsolve.Options{})
		if err != nil {
			return err
		}
		cold := time.Since(start)
		again, _, err := timed(5, func() error {
			net.SetOhm(first, 0.01)
			_, err := net.Solve(netsolve.Options{})
			return err
		})
		if err != nil {
			return err
		}
		probes := 0
		fmt.Fprint(&deck, ".options reltol=1e-9 abstol=1e-12 vntol=1e-10 gmin=1e-15\n.control\nset numdgt=15\nop\nprint")
		for i := 1; i <= n; i += max(1, n/400) {
			fmt.Fprintf(&deck, " v(n%d)", i)
			probes++
		}
		fmt.Fprint(&deck, "\nquit 0\n.endc\n.end\n")
		spice, ratio, worst := "not here", "", ""
		if n <= 10000 { // ngspice takes minutes beyond
			out, took, missing, err := outside(&deck, "ngspice", "-b")
			if err != nil {
				return fmt.Errorf("ngspice: %w\n%.2000s", err, out)
			}
			if !missing {
				far, seen := 0.0, 0
				for _, m := range regexp.MustCompile(`v\(n(\d+)\) = (\S+)`).FindAllSubmatch(out, -1) {
					i, _ := strconv.Atoi(string(m[1]))
					v, err := strconv.ParseFloat(string(m[2]), 64)
					if err != nil {
						return err
					}
					far, seen = max(far, math.Abs(v-sol.V[at(i)])), seen+1
				}
				if seen != probes {
					return fmt.Errorf("ngspice printed %d of %d volts", seen, probes)
				}
				spice, ratio, worst = milli(took), fmt.Sprintf("%.0f", float64(took)/float64(cold)), fmt.Sprintf("%.1e V", far)
			}
		} else {
			spice = "not asked"
		}
		r.row(net.Nodes(), net.Elems(), milli(cold), milli(again), spice, ratio, worst)
	}
	r.note("A stiff bus with branches, one wire of eight across, a constant current at every fourth node. Ours includes ordering the net; ngspice's\ntime includes starting it and reading the netlist.")
	return nil
}

// optimised puts items on outputs of limited capacity that cost something to
// open, as the loads of a car on fused outputs, and compares with glpsol.
func optimised(r *tables) error {
	r.table("items × outputs", "problems", "proven", "ours, all", "glpsol, all", "answers that differ")
	for _, size := range [][2]int{{8, 4}, {14, 6}, {20, 8}} {
		c := seeded(71)
		var ours, theirs time.Duration
		const problems = 10
		proven, differ, missing := 0, 0, false
		for range problems {
			p, lp := outputs(&c, size[0], size[1])
			start := time.Now()
			got := milp.Solve(p, 2_000_000)
			ours += time.Since(start)
			if got.Status == milp.Optimal {
				proven++
			}
			cost, ok, took, none, err := glpsol(lp)
			if err != nil {
				return err
			}
			theirs += took
			missing = missing || none
			if ok && !none && got.Status == milp.Optimal && cost != got.Cost {
				differ++
			}
		}
		other, unlike := milli(theirs), fmt.Sprint(differ)
		if missing {
			other, unlike = "not here", ""
		}
		r.row(fmt.Sprintf("%d × %d", size[0], size[1]), problems, proven, milli(ours), other, unlike)
	}
	r.note("Budget 2,000,000 units of counted work; glpsol with cuts, at most 20 s a problem, its time includes starting it.")
	return nil
}

func outputs(c *seeded, items, outs int) (*milp.Problem, string) {
	p := &milp.Problem{}
	var cost, rows, names strings.Builder
	put, size := make([][]int, items), make([]int, items)
	name := func(v int, price int) {
		fmt.Fprintf(&cost, " + %d x%d", price, v)
		fmt.Fprintf(&names, " x%d\n", v)
	}
	for i := range put {
		size[i] = 1 + c.below(20)
		for range outs {
			price := c.below(15)
			v := p.Var("put", int64(price))
			name(v, price)
			put[i] = append(put[i], v)
		}
	}
	for i := range put {
		var terms []milp.Term
		for _, v := range put[i] {
			terms = append(terms, milp.Term{Var: v, Coef: 1})
			fmt.Fprintf(&rows, " + x%d", v)
		}
		p.Row(milp.Equal, 1, terms...)
		rows.WriteString(" = 1\n")
	}
	for o := range outs {
		price, room := 10+c.below(30), 30+c.below(40)
		open := p.Var("open", int64(price))
		name(open, price)
		terms := []milp.Term{{Var: open, Coef: -float64(room)}}
		fmt.Fprintf(&rows, " - %d x%d", room, open)
		for i := range put {
			terms = append(terms, milp.Term{Var: put[i][o], Coef: float64(size[i])})
			fmt.Fprintf(&rows, " + %d x%d", size[i], put[i][o])
		}
		p.Row(milp.AtMost, 0, terms...)
		rows.WriteString(" <= 0\n")
	}
	return p, "Minimize\n cost:" + cost.String() + "\nSubject To\n" + rows.String() + "Binaries\n" + names.String() + "End\n"
}

// glpsol answers a problem written as LP text; ok is false where it ran out of time.
func glpsol(lp string) (cost int64, ok bool, took time.Duration, missing bool, err error) {
	dir, err := os.MkdirTemp("", "measure")
	if err != nil {
		return 0, false, 0, false, err
	}
	defer os.RemoveAll(dir)
	in, out := filepath.Join(dir, "p.lp"), filepath.Join(dir, "p.txt")
	if err := os.WriteFile(in, []byte(lp), 0o600); err != nil {
		return 0, false, 0, false, err
	}
	text, took, missing, err := outside(nil, "glpsol", "--cuts", "--tmlim", "20", "--lp", in, "-o", out)
	if err != nil {
		return 0, false, took, false, fmt.Errorf("glpsol: %w\n%s", err, text)
	}
	if missing {
		return 0, false, 0, true, nil
	}
	answer, err := os.ReadFile(out)
	if err != nil {
		return 0, false, took, false, err
	}
	m := regexp.MustCompile(`Objective: +\S+ = (\S+)`).FindSubmatch(answer)
	if m == nil {
		return 0, false, took, false, fmt.Errorf("glpsol printed no objective")
	}
	v, err := strconv.ParseFloat(string(m[1]), 64)
	return int64(math.Round(v)), bytes.Contains(answer, []byte("INTEGER OPTIMAL")), took, false, err
}
