package graph

// exchange looks for a way between two key nodes of the tree, branchings or
// terminals, that can be had for less, and puts it in the place of the other
// among the nodes.
func (s *solver) exchange(p *problem, tree []int32, in []bool) bool {
	x := exchanger{
		problem: p, in: in,
		near: make([][]int32, len(in)), side: make([]int32, len(in)),
		reached: make([]int32, len(in)), dist: make([]int64, len(in)), via: make([]int32, len(in)),
	}
	for _, i := range tree {
		x.near[p.edges[i].a] = append(x.near[p.edges[i].a], i)
		x.near[p.edges[i].b] = append(x.near[p.edges[i].b], i)
	}
	for v := range int32(len(in)) {
		if !x.key(v) {
			continue
		}
		for _, first := range x.near[v] {
			end, inner, length := x.way(v, first)
			if end < v || s.spent() {
				continue
			}
			s.work += len(tree)
			x.number++
			x.leave(v, first)
			for _, u := range inner {
				in[u] = false
			}
			if on := x.search(s, length); on >= 0 {
				for u := on; x.side[u] != x.number; u = p.edges[x.via[u]].far(u) {
					in[u] = true
				}
				return true
			}
			for _, u := range inner {
				in[u] = true
			}
		}
	}
	return false
}

// An exchanger is what exchange keeps of a tree and of the way it tries.
type exchanger struct {
	*problem
	in      []bool
	near    [][]int32 // edges of the tree at each node
	number  int32     // of the way
	side    []int32   // number of the last way that left the node on its first side
	reached []int32   // number of the last way whose search reached the node
	dist    []int64
	via     []int32
	heap    heap
}

func (x *exchanger) key(v int32) bool {
	return len(x.near[v]) > 0 && (x.terminal[v] || len(x.near[v]) > 2)
}

// way is the stretch of the tree from v by its first edge to the next key node.
func (x *exchanger) way(v, first int32) (end int32, inner []int32, length int64) {
	for i := first; ; i = x.near[end][0] ^ x.near[end][1] ^ i {
		end, length = x.edges[i].far(v), length+x.edges[i].cost
		if x.key(end) {
			return end, inner, length
		}
		inner = append(inner, end)
		v = end
	}
}

// leave starts a search from the part of the tree on v's side of the way.
func (x *exchanger) leave(v, first int32) {
	x.heap = x.heap[:0]
	x.side[v] = x.number
	for todo := []int32{v}; len(todo) > 0; {
		u := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		x.dist[u], x.reached[u] = 0, x.number
		x.heap.push(item{0, u})
		for _, i := range x.near[u] {
			if w := x.edges[i].far(u); i != first && x.side[w] != x.number {
				x.side[w] = x.number
				todo = append(todo, w)
			}
		}
	}
}

// search finds the nearest node of the tree's other part, if it is nearer than
// length; -1 if not.
func (x *exchanger) search(s *solver, length int64) int32 {
	for len(x.heap) > 0 {
		it := x.heap.pop()
		u := it.node
		if it.cost > x.dist[u] {
			continue
		}
		if x.in[u] && x.side[u] != x.number {
			return u
		}
		s.work += len(x.around[u])
		for _, i := range x.around[u] {
			w, d := x.edges[i].far(u), it.cost+x.edges[i].cost
			if d < length && (x.reached[w] != x.number || d < x.dist[w]) {
				x.dist[w], x.via[w], x.reached[w] = d, i, x.number
				x.heap.push(item{d, w})
			}
		}
	}
	return -1
}
