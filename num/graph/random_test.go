package graph

import (
	"errors"
	"math"
	"math/bits"
	"slices"
	"testing"
)

// dice is a counted generator, so that a failing case can be had again:
// splitmix64, S. Vigna, public domain.
type dice uint64

func (d *dice) roll(n int) int {
	*d += 0x9e3779b97f4a7c15
	z := uint64(*d)
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return int((z ^ z>>31) % uint64(n))
}

func (d *dice) shuffle(n int, swap func(i, j int)) {
	for i := n - 1; i > 0; i-- {
		swap(i, d.roll(i+1))
	}
}

// triple is an edge as the tests keep it.
type triple struct {
	a, b int
	cost int64
}

func build(nodes int, edges []triple) *Graph {
	g := New(nodes)
	for _, e := range edges {
		g.AddEdge(e.a, e.b, e.cost)
	}
	return g
}

func (d *dice) graph(nodes, edges, dearest int) []triple {
	var list []triple
	for range edges {
		list = append(list, triple{d.roll(nodes), d.roll(nodes), int64(d.roll(dearest))})
	}
	return list
}

const never = math.MaxInt64 / 4

// bruteSteiner tries every set of nodes that holds the terminals and takes the
// cheapest spanning tree, by Prim on a matrix.
func bruteSteiner(nodes int, edges []triple, terminals []int) int64 {
	var cost [16][16]int64
	for i := range cost {
		for j := range cost[i] {
			cost[i][j] = never
		}
	}
	for _, e := range edges {
		if e.cost >= 0 {
			cost[e.a][e.b] = min(cost[e.a][e.b], e.cost)
			cost[e.b][e.a] = cost[e.a][e.b]
		}
	}
	must := uint(0)
	for _, t := range terminals {
		must |= 1 << t
	}
	best := int64(never)
	for set := uint(0); set < 1<<nodes; set++ {
		if set&must != must {
			continue
		}
		in := uint(1) << bits.TrailingZeros(set)
		sum := int64(0)
		for in != set {
			least, which := int64(never), -1
			for i := range nodes {
				for j := range nodes {
					if in>>i&1 == 1 && in>>j&1 == 0 && set>>j&1 == 1 && cost[i][j] < least {
						least, which = cost[i][j], j
					}
				}
			}
			if which < 0 {
				sum = never
				break
			}
			sum += least
			in |= 1 << which
		}
		best = min(best, sum)
	}
	return best
}

func TestSteinerAgainstEverySubset(t *testing.T) {
	d := dice(1)
	islands := 0
	for run := range 1200 {
		nodes := 2 + d.roll(8)
		if run%10 == 0 {
			nodes = 12
		}
		edges := d.graph(nodes, d.roll(4*nodes), 1+d.roll(12))
		var terminals []int
		for range 1 + d.roll(nodes+2) {
			terminals = append(terminals, d.roll(nodes))
		}
		if run%10 == 5 { // a cover problem, on which the ascent's bound falls short
			nodes, edges, terminals = 13, nil, []int{0, 7, 8, 9, 10, 11, 12}
			for s := 1; s <= 6; s++ {
				edges = append(edges, triple{0, s, int64(2 + d.roll(2))})
				for t := 7; t <= 12; t++ {
					if d.roll(2) == 0 {
						edges = append(edges, triple{s, t, int64(2 + d.roll(2))})
					}
				}
			}
		}
		want := bruteSteiner(nodes, edges, terminals)
		g := build(nodes, edges)
		tree, err := g.Steiner(terminals, nil, 0)
		var island *IslandError
		if want == never {
			if islands++; !errors.As(err, &island) || len(island.Islands) < 2 {
				t.Fatalf("run %d: %v, want an IslandError", run, err)
			}
			continue
		}
		if err != nil {
			t.Fatalf("run %d: %v", run, err)
		}
		checkTree(t, g, terminals, tree)
		if tree.Cost != want || tree.Bound != want {
			t.Fatalf("run %d: cost %d, bound %d, want %d; %d nodes, terminals %v, edges %v", run, tree.Cost, tree.Bound, want, nodes, terminals, edges)
		}

		// Branch and bound alone, where Dreyfus and Wagner would have come first.
		if terms := slices.Compact(slices.Sorted(slices.Values(terminals))); len(terms) > 2 {
			s := &solver{budget: ordinary}
			branched, err := g.steiner(terms, nil, s)
			if err != nil || branched.Cost != want || branched.Bound != want {
				t.Fatalf("run %d: branched to cost %d, bound %d, want %d, %v", run, branched.Cost, branched.Bound, want, err)
			}
			checkTree(t, g, terminals, branched)
		}

		// Whatever the budget, the bound holds and the tree is a tree.
		for _, budget := range []int{1, 30, 200} {
			short, err := g.Steiner(terminals, nil, budget)
			if err != nil || short.Bound > want || short.Cost < want {
				t.Fatalf("run %d: budget %d: cost %d, bound %d, optimum %d, %v", run, budget, short.Cost, short.Bound, want, err)
			}
			checkTree(t, g, terminals, short)
		}
		d.shuffle(len(edges), func(i, j int) { edges[i], edges[j] = edges[j], edges[i] })
		d.shuffle(len(terminals), func(i, j int) { terminals[i], terminals[j] = terminals[j], terminals[i] })
		if other, _ := build(nodes, edges).Steiner(terminals, nil, 0); other.Cost != want {
			t.Fatalf("run %d: cost %d after shuffling, %d before", run, other.Cost, want)
		}
	}
	if islands < 50 {
		t.Errorf("only %d cases with islands", islands)
	}
}

// Prices of a query must act as if the graph had been built with them.
func TestPricesOfAQuery(t *testing.T) {
	d := dice(2)
	for run := range 300 {
		nodes := 3 + d.roll(10)
		edges := d.graph(nodes, 3*nodes, 20)
		g := build(nodes, edges)
		priced := slices.Clone(edges)
		for i := range priced {
			priced[i].cost = int64(d.roll(30) - 5)
		}
		terminals := []int{d.roll(nodes), d.roll(nodes), d.roll(nodes), d.roll(nodes)}
		price := func(e int) int64 { return priced[e].cost }
		got, err1 := g.Steiner(terminals, price, 0)
		want, err2 := build(nodes, priced).Steiner(terminals, nil, 0)
		if (err1 == nil) != (err2 == nil) || got.Cost != want.Cost || !slices.Equal(got.Edges, want.Edges) {
			t.Fatalf("run %d: priced %+v %v, built %+v %v", run, got, err1, want, err2)
		}
		p1, c1, ok1 := g.Path(terminals[0], terminals[1:], price)
		p2, c2, ok2 := build(nodes, priced).Path(terminals[0], terminals[1:], nil)
		if c1 != c2 || ok1 != ok2 || !slices.Equal(p1, p2) {
			t.Fatalf("run %d: path %v %d, built %v %d", run, p1, c1, p2, c2)
		}
	}
}

// Paths against Floyd and Warshall's table of all distances.
func TestPathAgainstAllDistances(t *testing.T) {
	d := dice(3)
	for run := range 300 {
		nodes := 1 + d.roll(14)
		edges := d.graph(nodes, d.roll(3*nodes), 8)
		for i := range edges {
			if d.roll(8) == 0 {
				edges[i].cost = Closed
			}
		}
		dist := make([][]int64, nodes)
		for i := range dist {
			dist[i] = slices.Repeat([]int64{never}, nodes)
			dist[i][i] = 0
		}
		for _, e := range edges {
			if e.cost >= 0 {
				dist[e.a][e.b] = min(dist[e.a][e.b], e.cost)
				dist[e.b][e.a] = dist[e.a][e.b]
			}
		}
		for k := range nodes {
			for i := range nodes {
				for j := range nodes {
					dist[i][j] = min(dist[i][j], dist[i][k]+dist[k][j])
				}
			}
		}
		g := build(nodes, edges)
		for range 5 {
			from, to := d.roll(nodes), []int{d.roll(nodes), d.roll(nodes)}
			want := min(dist[from][to[0]], dist[from][to[1]])
			way, cost, ok := g.Path(from, to, nil)
			if ok != (want < never) || ok && cost != want {
				t.Fatalf("run %d: Path(%d, %v) = %d, %v, want %d", run, from, to, cost, ok, want)
			}
			if !ok {
				continue
			}
			at, sum := from, int64(0)
			for _, e := range way {
				a, b := g.Ends(e)
				if a != at && b != at {
					t.Fatalf("run %d: edge %d doesn't leave node %d", run, e, at)
				}
				at, sum = a+b-at, sum+g.Cost(e)
			}
			if sum != want || !slices.Contains(to, at) {
				t.Fatalf("run %d: way %v costs %d and ends at %d", run, way, sum, at)
			}
			if low := slices.Min(to); at != low && dist[from][low] == want {
				t.Fatalf("run %d: ended at %d, though %d is as near", run, at, low)
			}
		}
	}
}

func TestBridgesAndComponents(t *testing.T) {
	d := dice(4)
	for run := range 300 {
		nodes := 1 + d.roll(12)
		edges := d.graph(nodes, d.roll(2*nodes), 5)
		g := build(nodes, edges)
		parts := func(without int) int {
			part := g.Components(func(e int) int64 {
				if e == without {
					return Closed
				}
				return 0
			})
			return slices.Max(part) + 1
		}
		// Parts by merging labels, edge by edge.
		label := make([]int, nodes)
		for v := range label {
			label[v] = v
		}
		count := nodes
		for _, e := range edges {
			if x, y := label[e.a], label[e.b]; x != y {
				count--
				for v := range label {
					if label[v] == x {
						label[v] = y
					}
				}
			}
		}
		whole := parts(-1)
		if whole != count {
			t.Fatalf("run %d: %d parts, want %d", run, whole, count)
		}
		var want []int
		for e := range edges {
			if parts(e) > whole {
				want = append(want, e)
			}
		}
		if got := g.Bridges(nil); !slices.Equal(got, want) {
			t.Fatalf("run %d: bridges %v, want %v", run, got, want)
		}
	}
}

// Dreyfus and Wagner against branch and bound, on graphs where many trees cost
// nearly the same.
func TestTwoProofsAgree(t *testing.T) {
	d := dice(8)
	for run := range 40 {
		nodes := 40
		var edges []triple
		for range 150 {
			edges = append(edges, triple{d.roll(nodes), d.roll(nodes), int64(10 + d.roll(2))})
		}
		g := build(nodes, edges)
		terms := []int{0, 1, 2, 3, 4, 5, 6, 7}
		want, err1 := g.steiner(terms, nil, &solver{budget: ordinary, few: 15})
		got, err2 := g.steiner(terms, nil, &solver{budget: ordinary})
		if err1 != nil || err2 != nil {
			continue
		}
		if got.Cost != want.Cost || got.Bound != got.Cost || want.Bound != want.Cost {
			t.Fatalf("run %d: branched to %d (bound %d), by sets %d (bound %d)", run, got.Cost, got.Bound, want.Cost, want.Bound)
		}
	}
}

// The busiest node may be one that no cheapest tree passes.
func TestBranchTriesBothSides(t *testing.T) {
	p := newProblem(5)
	s := &solver{upper: 1000, budget: ordinary}
	for v := range int32(4) {
		p.terminal[v] = true
		p.add(v, 4, 90, s.make(v, -1))
		p.add(v, (v+1)%4, 100, s.make(4+v, -1))
	}
	p.left = 4
	p.edges[1].cost, p.edges[3].cost, p.edges[5].cost = 10, 10, 10
	if bound := s.branch(p); bound != 30 || s.upper != 30 {
		t.Errorf("bound %d, best %d, want 30", bound, s.upper)
	}
}

// A way that costs 10 between two terminals, where one round by two nodes that
// the tree doesn't have costs 6.
func TestBetterExchangesWays(t *testing.T) {
	p := newProblem(6)
	s := &solver{upper: 1000, budget: ordinary}
	for i, e := range []triple{{0, 1, 10}, {1, 2, 10}, {2, 3, 10}, {0, 4, 2}, {4, 5, 2}, {5, 3, 2}} {
		p.add(int32(e.a), int32(e.b), e.cost, s.make(int32(i), -1))
	}
	for v := range 4 {
		p.terminal[v] = true
	}
	p.left = 4
	s.better(p, []bool{true, true, true, true, false, false}, true)
	if s.upper != 26 {
		t.Errorf("tree of %d, want 26", s.upper)
	}
}
