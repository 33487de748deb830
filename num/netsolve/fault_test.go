package netsolve

import (
	"fmt"
	"slices"
	"testing"
)

// Each fault of random nets is compared with the dense oracle's answer for the
// circuit with the part gone or the short in it.
func TestStudyDense(t *testing.T) {
	r := counter(43)
	kinds := map[string]int{}
	faults := 0
	for range 30 {
		c := randomCircuit(&r, pDiode, pAlternator, pLoadI, pLoadR, pLoadP)
		st, err := c.net().Study(Options{})
		if err != nil {
			continue
		}
		out := outs(st.Base())
		for i, p := range c.parts {
			open := circuit{c.nodes, slices.Clone(c.parts)}
			open.parts[i] = part{kind: pContact, a: p.a, b: p.b}
			want := oracle(open, slices.DeleteFunc(slices.Clone(out), func(o int) bool { return o == i })...)
			if want.hard {
				continue
			}
			faults++
			sol, err := st.Open(Elem(i))
			sol.Out = slices.DeleteFunc(sol.Out, func(o Elem) bool { return int(o) == i })
			sol.Unfed = slices.DeleteFunc(sol.Unfed, func(o Elem) bool { return int(o) == i })
			judge(t, open, sol, err, want, kinds)
			if t.Failed() {
				t.Fatalf("open e%d", i)
			}
		}
		for node := 1; node < c.nodes; node++ {
			to := r.below(node)
			short := circuit{c.nodes, append(slices.Clone(c.parts), part{kind: pResistor, a: node, b: to, ohm: 0.003})}
			want := oracle(short, out...)
			if want.hard {
				continue
			}
			faults++
			sol, err := st.Short(node, to, 0.003)
			if err == nil {
				sol.I = append(sol.I, (sol.V[node]-sol.V[to])/0.003)
			}
			judge(t, short, sol, err, want, kinds)
			if t.Failed() {
				t.Fatalf("short n%d to n%d", node, to)
			}
		}
	}
	t.Log(faults, "faults:", kinds)
	if faults < 300 || kinds["no root"] < 5 {
		t.Errorf("too few cases: %d faults, %v", faults, kinds)
	}
}

// A net that is changed after its study doesn't change the study.
func TestStudyKeepsItsNet(t *testing.T) {
	n := New("minus")
	bus, a := n.Node("bus"), n.Node("a")
	n.Battery("battery", bus, Reference, 12, 0.1)
	wire := n.Resistor("wire", bus, a, 0.4)
	spare := n.Resistor("spare", bus, a, 0.4)
	n.LoadI("load", a, Reference, 4, 0)
	st, err := n.Study(Options{})
	if err != nil || !near(st.Base().V[a], 10.8, 1e-12) {
		t.Fatalf("%+v, %v", st.Base(), err)
	}
	n.SetOhm(wire, 7)
	sol, err := st.Open(spare)
	if err != nil || !near(sol.V[a], 10, 1e-12) {
		t.Errorf("V(a) %g, %v, want 10 V", sol.V[a], err)
	}
	// By hand: 12 V behind 0.1 + 0.2 Ω, 4 A drawn beside 10 mΩ to the reference.
	if sol, err = st.Short(a, Reference, 0.01); err != nil || !near(sol.V[a], (12/0.3-4)/(1/0.3+100), 1e-12) || len(sol.I) != n.Elems() {
		t.Errorf("shorted: V(a) %g, %v", sol.V[a], err)
	}
	if _, err = st.Short(a, 99, 0.01); err == nil {
		t.Error("a short to no node has a solution")
	}
}

func BenchmarkStudy(b *testing.B) {
	for _, n := range []int{1000, 10000} {
		st, err := carLike(n).Study(Options{})
		if err != nil {
			b.Fatal(err)
		}
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			r := counter(1)
			for range b.N {
				if _, err := st.Open(Elem(r.below(st.n.Elems()))); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
