package netsolve

import "math"

// graph is a symmetric pattern without diagonal: the neighbours of node i are
// adj[start[i]:start[i+1]], each once.
type graph struct {
	start []int32
	adj   []int32
}

func (g graph) size() int { return len(g.start) - 1 }

func (g graph) of(i int32) []int32 { return g.adj[g.start[i]:g.start[i+1]] }

// order returns the nodes in an order of elimination that keeps fill low.
//
// Leaves are taken off first, again and again, which orders a tree without any
// fill in linear time. What is left goes by approximate minimum degree
// (Amestoy, Davis, Duff, SIAM J. Matrix Anal. Appl. 17 (1996) 886-905), where
// series chains have degree two and so go first as well. Nodes with very many
// neighbours, such as a ground bus, come last: they would be last anyhow and
// are dear to carry along.
func order(g graph) []int32 {
	n := g.size()
	perm := make([]int32, 0, n)
	live := make([]bool, n)
	degree := make([]int32, n)
	for i := range int32(n) {
		live[i] = true
		degree[i] = int32(len(g.of(i)))
	}
	queue := make([]int32, 0, n)
	for i := range int32(n) {
		if degree[i] <= 1 {
			queue = append(queue, i)
		}
	}
	for len(queue) > 0 {
		i := queue[0]
		queue = queue[1:]
		live[i] = false
		perm = append(perm, i)
		for _, j := range g.of(i) {
			if !live[j] {
				continue
			}
			if degree[j]--; degree[j] == 1 {
				queue = append(queue, j)
			}
		}
	}
	var hubs []int32
	bound := int32(max(16, 10*math.Sqrt(float64(n)))) // as in the paper's published code
	for i := range int32(n) {
		if live[i] && degree[i] > bound {
			live[i] = false
			hubs = append(hubs, i)
		}
	}
	perm = minimumDegree(g, live, perm)
	return append(perm, hubs...)
}

// quotient is the quotient graph of a partial elimination. A variable is a node
// not yet eliminated, standing for weight nodes that have equal neighbours; an
// element is an eliminated node, standing for the clique it left behind.
type quotient struct {
	vars, els [][]int32 // neighbours of a variable: variables and elements
	clique    [][]int32 // variables of an element
	weight    []int32   // of a variable; 0 where merged into another or eliminated
	size      []int32   // weight of an element's clique
	absorbed  []bool    // element swallowed by a later one
	degree    []int32
	merged    [][]int32 // nodes that a variable stands for besides itself

	// Variables by degree: doubly linked lists.
	head, next, prev []int32
}

func minimumDegree(g graph, live []bool, perm []int32) []int32 {
	n := g.size()
	q := quotient{
		vars: make([][]int32, n), els: make([][]int32, n), clique: make([][]int32, n),
		weight: make([]int32, n), size: make([]int32, n), absorbed: make([]bool, n),
		degree: make([]int32, n), merged: make([][]int32, n),
		head: make([]int32, n+1), next: make([]int32, n), prev: make([]int32, n),
	}
	for d := range q.head {
		q.head[d] = -1
	}
	left := int32(0)
	flat := make([]int32, 0, len(g.adj)) // the lists only shrink, so they share one array
	for i := range int32(n) {
		if !live[i] {
			continue
		}
		left++
		from := len(flat)
		for _, j := range g.of(i) {
			if live[j] {
				flat = append(flat, j)
			}
		}
		q.vars[i] = flat[from:len(flat):len(flat)]
		q.weight[i] = 1
		q.degree[i] = int32(len(q.vars[i]))
	}
	// Backwards, so that of equal degrees the lowest node stands in front.
	for i := int32(n - 1); i >= 0; i-- {
		if live[i] {
			q.insert(i)
		}
	}

	inPivot := make([]int32, n) // stamp: in the clique of the pivot at hand
	outside := make([]int32, n) // weight of an element's clique outside the pivot's
	seen := make([]int32, n)    // stamp of outside
	hashOf := make([]uint32, n)
	byHash := make([]int32, n) // a variable of the clique with that hash
	hashed := make([]int32, n) // stamp of byHash
	stamp := int32(0)
	least := int32(0)
	for left > 0 {
		for q.head[least] < 0 {
			least++
		}
		p := q.head[least]
		q.remove(p)
		stamp++
		inPivot[p] = stamp

		var clique []int32
		take := func(list []int32) {
			for _, i := range list {
				if q.weight[i] > 0 && inPivot[i] != stamp {
					inPivot[i] = stamp
					clique = append(clique, i)
				}
			}
		}
		take(q.vars[p])
		for _, e := range q.els[p] {
			if !q.absorbed[e] {
				take(q.clique[e])
				q.absorbed[e] = true
				q.clique[e] = nil
			}
		}
		q.vars[p], q.els[p] = nil, nil

		total := int32(0)
		for _, i := range clique {
			q.remove(i)
			total += q.weight[i]
			for _, e := range q.els[i] {
				if q.absorbed[e] {
					continue
				}
				if seen[e] != stamp {
					seen[e] = stamp
					outside[e] = q.size[e]
				}
				outside[e] -= q.weight[i]
			}
		}

		left -= q.weight[p]
		perm = q.emit(perm, p)
		q.weight[p] = 0

		for _, i := range clique {
			degree := total - q.weight[i]
			hash := uint32(0)
			els := q.els[i][:0]
			for _, e := range q.els[i] {
				// An element wholly inside the pivot's clique says nothing more.
				if q.absorbed[e] || outside[e] == 0 {
					continue
				}
				els = append(els, e)
				degree += outside[e]
				hash += uint32(e) * 2654435761
			}
			vars := q.vars[i][:0]
			for _, j := range q.vars[i] {
				if q.weight[j] > 0 && inPivot[j] != stamp {
					vars = append(vars, j)
					degree += q.weight[j]
					hash += uint32(j) * 2654435761
				}
			}
			if len(els) == 0 && len(vars) == 0 {
				// Its neighbours are the pivot's: eliminated along with it, no
				// more fill.
				left -= q.weight[i]
				total -= q.weight[i]
				perm = q.emit(perm, i)
				q.weight[i] = 0
				continue
			}
			q.els[i] = append(els, p)
			q.vars[i] = vars
			q.degree[i] = min(left-q.weight[i], q.degree[i]+total-q.weight[i], degree)
			hashOf[i] = hash % uint32(n)
		}

		kept := clique[:0]
		for _, i := range clique {
			if q.weight[i] == 0 {
				continue
			}
			h := hashOf[i]
			if j := byHash[h]; hashed[h] == stamp && q.same(i, j) {
				q.degree[j] -= q.weight[i]
				q.weight[j] += q.weight[i]
				q.weight[i] = 0
				q.merged[j] = append(append(q.merged[j], i), q.merged[i]...)
				q.vars[i], q.els[i], q.merged[i] = nil, nil, nil
				continue
			}
			byHash[h], hashed[h] = i, stamp
			kept = append(kept, i)
		}
		for _, i := range kept {
			q.degree[i] = max(q.degree[i], 0)
			q.insert(i)
			least = min(least, q.degree[i])
		}
		if len(kept) == 0 {
			q.absorbed[p] = true
			continue
		}
		q.clique[p] = kept
		q.size[p] = total
	}
	return perm
}

// same says whether two variables have the same neighbours besides each other.
// Their lists hold the pivot's element last and no member of its clique, and
// lists of equal sets may differ in order.
func (q *quotient) same(i, j int32) bool {
	return sameSet(q.vars[i], q.vars[j]) && sameSet(q.els[i], q.els[j])
}

func sameSet(a, b []int32) bool {
	if len(a) != len(b) {
		return false
	}
	for _, x := range a {
		found := false
		for _, y := range b {
			if x == y {
				found = true
				break
			}
		}
		if !found {
			return false
		}
	}
	return true
}

func (q *quotient) emit(perm []int32, i int32) []int32 {
	return append(append(perm, i), q.merged[i]...)
}

func (q *quotient) insert(i int32) {
	d := q.degree[i]
	q.next[i], q.prev[i] = q.head[d], -1
	if q.head[d] >= 0 {
		q.prev[q.head[d]] = i
	}
	q.head[d] = i
}

func (q *quotient) remove(i int32) {
	if q.prev[i] >= 0 {
		q.next[q.prev[i]] = q.next[i]
	} else {
		q.head[q.degree[i]] = q.next[i]
	}
	if q.next[i] >= 0 {
		q.prev[q.next[i]] = q.prev[i]
	}
}
