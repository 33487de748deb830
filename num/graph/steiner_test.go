package graph

import (
	"bufio"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"
)

// stp reads a Steiner problem in SteinLib's text form.
func stp(t *testing.T, name string) (*Graph, []int) {
	t.Helper()
	f, err := os.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var g *Graph
	var terminals []int
	for lines := bufio.NewScanner(f); lines.Scan(); {
		var a, b, c int
		if n, _ := fmt.Sscanf(lines.Text(), "Nodes %d", &a); n == 1 {
			g = New(a)
		}
		if n, _ := fmt.Sscanf(lines.Text(), "E %d %d %d", &a, &b, &c); n == 3 {
			g.AddEdge(a-1, b-1, int64(c))
		}
		if n, _ := fmt.Sscanf(lines.Text(), "T %d", &a); n == 1 {
			terminals = append(terminals, a-1)
		}
	}
	return g, terminals
}

// checkTree holds a tree to what it claims: it joins the terminals, has no ring
// and no dead end, and costs what it says.
func checkTree(t *testing.T, g *Graph, terminals []int, tree Tree) {
	t.Helper()
	near := map[int][]int{}
	cost := int64(0)
	for _, e := range tree.Edges {
		a, b := g.Ends(e)
		near[a], near[b] = append(near[a], b), append(near[b], a)
		cost += g.Cost(e)
	}
	if cost != tree.Cost || tree.Bound > tree.Cost {
		t.Errorf("edges cost %d, Cost %d, Bound %d", cost, tree.Cost, tree.Bound)
	}
	if len(tree.Edges) == 0 {
		return
	}
	reached := map[int]bool{terminals[0]: true}
	for todo := []int{terminals[0]}; len(todo) > 0; todo = todo[1:] {
		for _, v := range near[todo[0]] {
			if !reached[v] {
				reached[v] = true
				todo = append(todo, v)
			}
		}
	}
	for _, v := range terminals {
		if !reached[v] {
			t.Errorf("terminal %d not joined", v)
		}
	}
	if len(reached) != len(tree.Edges)+1 || len(near) != len(reached) {
		t.Errorf("%d edges over %d nodes, %d of them joined: no tree", len(tree.Edges), len(near), len(reached))
	}
	for v, n := range near {
		if len(n) == 1 && !slices.Contains(terminals, v) {
			t.Errorf("dead end at node %d", v)
		}
	}
}

// OR-Library set B (SteinLib B), optima as published.
func TestSteinerB(t *testing.T) {
	optimum := []int64{82, 83, 138, 59, 61, 122, 111, 104, 220, 86, 88, 174, 165, 235, 318, 127, 131, 218}
	for i, want := range optimum {
		g, terminals := stp(t, filepath.Join("testdata", "steiner_b", fmt.Sprintf("b%02d.stp", i+1)))
		tree, err := g.Steiner(terminals, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		checkTree(t, g, terminals, tree)
		if tree.Cost != want || tree.Bound != want {
			t.Errorf("b%02d: cost %d, bound %d, want %d proven", i+1, tree.Cost, tree.Bound, want)
		}
		t.Logf("b%02d: %d nodes, %d edges, %d terminals: %d proven after %d edges looked at", i+1, g.Nodes(), g.Edges(), len(terminals), tree.Cost, tree.Work)
	}
}
