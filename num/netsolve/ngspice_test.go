//go:build outside

package netsolve

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// The netlist is written from the random parts, not from the Net. Switching
// parts and loads are behavioural sources with the laws that the doc comments
// state, so ngspice finds the modes itself. Loads that drop out are left out of
// the netlist; which ones do is a matter for the dense oracle. Below 4 V a load
// of constant power takes no more than there, so that ngspice, which starts from
// 0 V, doesn't rest at a low root; nets in which one works near there are left
// out, as are those with a node that floats.
func TestSolveNgspice(t *testing.T) {
	if _, err := exec.LookPath("ngspice"); err != nil {
		t.Fatal("ngspice is not installed: ", err)
	}
	r := counter(23)
	judged, lost, loads, switched := 0, 0, 0, 0
	for tries := 0; judged < 100 && tries < 1000; tries++ {
		c := randomCircuit(&r, pDiode, pAlternator, pLoadI, pLoadR, pLoadP)
		sol, err := c.net().Solve(Options{})
		if err != nil || len(sol.Unfed) > 0 || slices.Contains(tied(c, outs(sol), sol), false) || deep(c, sol) {
			continue
		}
		volts, err := ngspice(t.TempDir(), c, outs(sol))
		if errors.Is(err, errNoPoint) {
			lost++
			continue
		}
		if err != nil {
			t.Fatalf("%+v\n%v", c, err)
		}
		judged++
		source := 0.0
		for i, p := range c.parts {
			if p.kind == pBattery || p.kind == pAlternator {
				source = max(source, p.volts)
			}
			if p.kind >= pLoadI && sol.Mode[i] == Conducts {
				loads++
			}
			if sol.Mode[i] == Off || sol.Mode[i] == Limits || sol.Mode[i] == Regulates {
				switched++
			}
		}
		for i, v := range sol.V {
			if limit := 1e-6*math.Abs(v) + 1e-9*source; !near(volts[i], v, limit) {
				t.Errorf("%+v\nV(n%d) = %.9f, ngspice %.9f", c, i, v, volts[i])
			}
		}
	}
	t.Logf("%d nets, %d live loads, %d parts off, limiting or regulating; ngspice found no operating point of %d", judged, loads, switched, lost)
	if judged < 100 || loads < 100 || switched < 50 || lost > judged/4 {
		t.Error("too few cases")
	}
}

// deep says that some load of constant power works below 4.5 V.
func deep(c circuit, sol Solution) bool {
	for i, p := range c.parts {
		if p.kind == pLoadP && sol.Mode[i] == Conducts && sol.V[p.a]-sol.V[p.b] < 4.5 {
			return true
		}
	}
	return false
}

var errNoPoint = errors.New("ngspice found no operating point")

func ngspice(dir string, c circuit, out []int) ([]float64, error) {
	var deck bytes.Buffer
	fmt.Fprintln(&deck, "* random net")
	for i, p := range c.parts {
		if slices.Contains(out, i) {
			continue
		}
		a, b := fmt.Sprint(p.a), fmt.Sprint(p.b)
		w := fmt.Sprintf("v(%s,%s)", a, b)
		current := func(format string, args ...any) {
			fmt.Fprintf(&deck, "B%d %s %s I=%s\n", i, a, b, fmt.Sprintf(format, args...))
		}
		switch p.kind {
		case pResistor, pLoadR:
			if p.ohm == 0 {
				fmt.Fprintf(&deck, "V%d %s %s 0\n", i, a, b)
			} else {
				fmt.Fprintf(&deck, "R%d %s %s %.17g\n", i, a, b, p.ohm)
			}
		case pContact:
			if p.closed {
				fmt.Fprintf(&deck, "R%d %s %s %.17g\n", i, a, b, p.ohm)
			}
		case pBattery:
			if p.ohm == 0 {
				fmt.Fprintf(&deck, "V%d %s %s %.17g\n", i, a, b, p.volts)
			} else {
				fmt.Fprintf(&deck, "V%d i%d %s %.17g\nR%d i%d %s %.17g\n", i, i, b, p.volts, i, i, a, p.ohm)
			}
		case pDiode:
			current("max(0,(%s-%.17g)/%.17g)", w, p.volts, p.ohm)
		case pAlternator:
			current("-min(%.17g,max(0,(%.17g-%s)/%.17g))", p.draw, p.volts, w, p.ohm)
		case pLoadI:
			current("%.17g*min(1,max(0,%s/0.01))", p.draw, w)
		case pLoadP:
			current("%.17g/max(%s,4)", p.draw, w)
		}
	}
	fmt.Fprint(&deck, ".options reltol=1e-10 abstol=1e-13 vntol=1e-11 gmin=1e-15 itl1=2000\n.control\nset numdgt=15\nop\nprint")
	for i := 1; i < c.nodes; i++ {
		fmt.Fprintf(&deck, " v(%d)", i)
	}
	fmt.Fprint(&deck, "\nquit 0\n.endc\n.end\n")
	file := filepath.Join(dir, "net.cir")
	if err := os.WriteFile(file, deck.Bytes(), 0o600); err != nil {
		return nil, err
	}
	text, err := exec.Command("ngspice", "-b", file).CombinedOutput()
	if bytes.Contains(text, []byte("op simulation(s) aborted")) {
		return nil, errNoPoint
	}
	if err != nil {
		return nil, fmt.Errorf("%w\n%s\n%s", err, deck.Bytes(), text)
	}
	volts := make([]float64, c.nodes)
	found := 0
	for lines := bufio.NewScanner(bytes.NewReader(text)); lines.Scan(); {
		name, value, ok := strings.Cut(lines.Text(), " = ")
		if !ok || !strings.HasPrefix(name, "v(") {
			continue
		}
		node, err1 := strconv.Atoi(strings.TrimSuffix(strings.TrimPrefix(name, "v("), ")"))
		v, err2 := strconv.ParseFloat(strings.TrimSpace(value), 64)
		if err1 == nil && err2 == nil {
			volts[node] = v
			found++
		}
	}
	if found != c.nodes-1 {
		return nil, fmt.Errorf("ngspice gave %d of %d voltages\n%s\n%s", found, c.nodes-1, deck.Bytes(), text)
	}
	return volts, nil
}
