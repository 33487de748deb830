package netsolve

import (
	"fmt"
	"testing"
)

// carLike is a net with the shape of a wired car, of any size: feeds in a row
// along a bus, which is closed to a ring every eighth feed; at each feed a tree
// of conductors with a few wires in parallel or across; and loads of every kind
// that return through splices and studs to the reference.
func carLike(n int) *Net {
	net := New("minus")
	r := counter(3)
	ohm := func() float64 { return 0.002 + 0.02*r.unit() }
	node := func() int { return net.Node(fmt.Sprint("n", net.Nodes())) }
	bus := node()
	net.Battery("battery", bus, Reference, 12.6, 0.005/float64(n)*1000)
	net.Alternator("alternator", bus, Reference, 14.2, 0.08*float64(n), 0.002/float64(n)*1000)
	stiff := 0.0005 / float64(n) * 1000
	ring := bus
	for feed := 1; net.Nodes() < n; feed++ {
		next := node()
		net.Resistor("bar", bus, next, stiff)
		if bus = next; feed%8 == 0 {
			net.Resistor("ring", ring, bus, stiff)
			ring = bus
		}
		stud := node()
		net.Resistor("stud", stud, Reference, 0.0005)
		fused := node()
		net.Contact("fuse", bus, fused, 0.003, feed%50 > 0)
		tree := []int{fused}
		for range 30 + r.below(60) {
			i := node()
			net.Resistor("wire", tree[len(tree)-1-r.below(min(len(tree), 6))], i, ohm())
			if r.below(8) == 0 {
				net.Resistor("across", tree[len(tree)-1-r.below(min(len(tree), 6))], i, ohm())
			}
			tree = append(tree, i)
			ground := Reference
			switch r.below(4) {
			case 0:
				ground = stud
			case 1:
				ground = node()
				net.Resistor("return", ground, stud, ohm())
			}
			switch r.below(8) {
			case 0:
				net.LoadI("sensor", i, ground, 0.5*r.unit(), 6)
			case 1:
				net.LoadR("lamp", i, ground, 20+200*r.unit(), 0)
			case 2:
				net.LoadP("pump", i, ground, 6*r.unit(), 8)
			case 3:
				net.Diode("diode", i, fused, 0.5, 0.02)
			}
		}
	}
	return net
}

func BenchmarkSolve(b *testing.B) {
	for _, n := range []int{1000, 10000, 100000} {
		b.Run(fmt.Sprint("first/", n), func(b *testing.B) {
			for range b.N {
				b.StopTimer()
				net := carLike(n)
				b.StartTimer()
				sol, err := net.Solve(Options{})
				if err != nil {
					b.Fatal(err)
				}
				b.ReportMetric(float64(len(net.shape.row))/float64(len(net.shape.pairRow)), "fill")
				b.ReportMetric(float64(sol.Factors), "factors")
				b.ReportMetric(float64(sol.Steps), "steps")
			}
		})
		net := carLike(n)
		b.Run(fmt.Sprint("again/", n), func(b *testing.B) {
			for range b.N {
				if _, err := net.Solve(Options{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func grid(k int) graph {
	var g graph
	at := func(x, y int) int32 { return int32(y*k + x) }
	g.start = append(g.start, 0)
	for y := range k {
		for x := range k {
			for _, d := range [][2]int{{-1, 0}, {1, 0}, {0, -1}, {0, 1}} {
				if nx, ny := x+d[0], y+d[1]; nx >= 0 && ny >= 0 && nx < k && ny < k {
					g.adj = append(g.adj, at(nx, ny))
				}
			}
			g.start = append(g.start, int32(len(g.adj)))
		}
	}
	return g
}

func BenchmarkOrder(b *testing.B) {
	for _, k := range []int{32, 100, 316} {
		g := grid(k)
		b.Run(fmt.Sprint("grid/", k*k), func(b *testing.B) {
			for range b.N {
				p := newPattern(g)
				b.ReportMetric(float64(len(p.row)), "rows")
			}
		})
	}
}
