package graph

import "testing"

// skutella is the family S[k] on which the cut bound stays an eighth short:
// below each terminal of one level hangs the next, and each terminal t, of the
// seven non-zero words of three bits, joins the s with an odd s·t. With k = 1
// it is Skutella's example of 15 nodes.
func skutella(k int) (*Graph, []int) {
	odd := func(s, t int) bool { x := s & t; return (x^x>>1^x>>2)&1 == 1 }
	var edges []triple
	nodes := 1
	up := []int{0} // nodes above a terminal to be hung in
	var hang func(up []int, depth int)
	var terminals []int
	hang = func(up []int, depth int) {
		if depth == 0 {
			for _, u := range up {
				edges = append(edges, triple{u, nodes, 1})
			}
			terminals = append(terminals, nodes)
			nodes++
			return
		}
		first := nodes
		nodes += 7
		for s := 1; s <= 7; s++ {
			for _, u := range up {
				edges = append(edges, triple{u, first + s - 1, 1})
			}
		}
		for t := 1; t <= 7; t++ {
			var next []int
			for s := 1; s <= 7; s++ {
				if odd(s, t) {
					next = append(next, first+s-1)
				}
			}
			hang(next, depth-1)
		}
	}
	hang(up, k)
	return build(nodes, edges), append(terminals, 0)
}

// S[k] has optimum (3·7^k - 1)/2 (sbeyer/steiner-tree-results).
func TestSkutella(t *testing.T) {
	for _, c := range []struct {
		k, nodes, edges, budget int
		optimum                 int64
	}{{1, 15, 35, 0, 10}, {2, 106, 399, 2_000_000, 73}} {
		g, terminals := skutella(c.k)
		if g.Nodes() != c.nodes || g.Edges() != c.edges {
			t.Fatalf("S[%d] has %d nodes, %d edges", c.k, g.Nodes(), g.Edges())
		}
		tree, err := g.Steiner(terminals, nil, c.budget)
		if err != nil {
			t.Fatal(err)
		}
		checkTree(t, g, terminals, tree)
		t.Logf("S[%d]: cost %d, bound %d, optimum %d, %d edges looked at", c.k, tree.Cost, tree.Bound, c.optimum, tree.Work)
		if tree.Cost != c.optimum || tree.Bound > c.optimum || c.k == 1 && tree.Bound != c.optimum {
			t.Errorf("S[%d]: cost %d, bound %d, optimum %d", c.k, tree.Cost, tree.Bound, c.optimum)
		}
	}
}

// car is a graph like a car's: a trunk ladder with many branches.
func car(d *dice, nodes int) *Graph {
	g := New(nodes)
	for v := 1; v < nodes; v++ {
		up := v - 1 - d.roll(min(v, 40))
		g.AddEdge(v, up, int64(20_000+d.roll(400_000)))
		if v > 50 && d.roll(10) == 0 {
			g.AddEdge(v, v-1-d.roll(50), int64(20_000+d.roll(600_000)))
		}
	}
	return g
}

// A near target must not cost the whole graph.
func TestPathStaysNear(t *testing.T) {
	d := dice(5)
	g := car(&d, 30_000)
	reached := 0
	const queries = 20_000
	for range queries {
		from := d.roll(30_000)
		if _, _, ok := g.Path(from, []int{max(0, from-d.roll(20))}, nil); !ok {
			t.Fatal("no way")
		}
	}
	for range 100 {
		from := d.roll(30_000)
		g.Path(from, []int{max(0, from-d.roll(20))}, nil)
		for _, s := range g.stamp {
			if s == g.now {
				reached++
			}
		}
	}
	t.Logf("%d nodes reached per query of 30,000", reached/100)
	if reached/100 > 1000 {
		t.Errorf("%d nodes reached per query", reached/100)
	}
}

// A graph that is a tree is settled by looking at it once.
func TestTreeIsImmediate(t *testing.T) {
	d := dice(6)
	g := New(5000)
	for v := 1; v < 5000; v++ {
		g.AddEdge(v, d.roll(v), int64(1+d.roll(1000)))
	}
	var terminals []int
	for range 60 {
		terminals = append(terminals, d.roll(5000))
	}
	tree, err := g.Steiner(terminals, nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	checkTree(t, g, terminals, tree)
	if tree.Bound != tree.Cost || tree.Work > 10*5000 {
		t.Errorf("cost %d, bound %d, %d edges looked at", tree.Cost, tree.Bound, tree.Work)
	}
}

func TestSteinerOnACar(t *testing.T) {
	d := dice(7)
	g := car(&d, 30_000)
	for _, k := range []int{3, 6, 12, 25, 50} {
		var terminals []int
		middle := 15_000 + d.roll(1000)
		for range k {
			terminals = append(terminals, middle+d.roll(40*k))
		}
		tree, err := g.Steiner(terminals, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		checkTree(t, g, terminals, tree)
		t.Logf("%d terminals: cost %d, gap %.3f %%, %d edges looked at", k, tree.Cost, 100*float64(tree.Cost-tree.Bound)/float64(tree.Cost), tree.Work)
		if tree.Bound != tree.Cost {
			t.Errorf("%d terminals: not proven: cost %d, bound %d", k, tree.Cost, tree.Bound)
		}
	}
}

func TestBeyond(t *testing.T) {
	g := New(6)
	for v := 1; v < 6; v++ {
		g.AddEdge(v-1, v, 1)
	}
	first, second := g.Beyond([]int{0, 1, 2, 3}, 1, []int{0, 1, 2, 4, 5})
	if len(first) != 2 || first[0] != 0 || first[1] != 1 || len(second) != 2 || second[0] != 2 || second[1] != 4 {
		t.Errorf("Beyond = %v, %v", first, second)
	}
}

func TestNoNode(t *testing.T) {
	g := New(3)
	g.AddEdge(0, 1, 4)
	if _, err := g.Steiner([]int{0, 7}, nil, 0); err == nil {
		t.Error("terminal 7 of 3 nodes is taken")
	}
	if _, _, ok := g.Path(-1, []int{0}, nil); ok {
		t.Error("a way from node -1")
	}
	if _, _, ok := g.Path(0, []int{9}, nil); ok {
		t.Error("a way to node 9")
	}
	if tree, err := New(0).Steiner(nil, nil, 0); err != nil || tree.Cost != 0 {
		t.Errorf("no terminals: %+v, %v", tree, err)
	}
	_, err := g.Steiner([]int{2, 1, 0}, nil, 0)
	if err == nil || err.Error() != "no way from node 0 to node 2: the 3 terminals lie on 2 islands" {
		t.Errorf("islands: %v", err)
	}
}
