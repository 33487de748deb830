package route

import (
	"slices"

	"keyon/model/part"
	"keyon/model/plan"
)

// piece is the part of a circuit's tree inside one loom: a tree of places with
// the ports at which wires end.
type piece struct {
	place  []int   // by node, rising
	up     []int   // by node: the node before it on the way from node 0, -1
	leg    []int   // by node: leg to up; -1 through a grommet
	length []int64 // by node: cost of that leg
	far    []int64 // by node: cost from node 0
	deep   []int   // by node: edges from node 0
	order  []int   // nodes, each after its up
	near   [][]int // by node: neighbours, rising
	ports  []port
	at     [][]int // by node: ports
	total  int64
}

// port is an end, a half of a join, or the free end of a shield.
type port struct {
	node  int
	joint plan.Joint
	most  int  // wires that may end there
	post  bool // a stud or a post of a device: wires end in lugs of their own
	ends  bool // a bus is terminated there
}

// pieces parts a circuit's tree at the joins it crosses.
func (w *work) pieces(c int) []*piece {
	var at []int // places
	type edge struct{ a, b, leg int }
	var edges []edge
	var ports []port // node is the place here
	for _, i := range w.e.Of[c] {
		x := &w.e.List[i]
		p := port{node: x.Place, joint: plan.Joint{Place: x.Place, End: i, Join: -1, Point: -1, Beside: -1}}
		p.most, p.post, p.ends = w.takes(i)
		ports = append(ports, p)
		at = append(at, x.Place)
	}
	for _, i := range w.beside(c) {
		x := &w.e.List[i]
		_, _, terminated := w.takes(i)
		ports = append(ports, port{node: x.Place, joint: plan.Joint{Place: x.Place, End: -1, Join: -1, Point: -1, Beside: i}, most: 1, ends: terminated})
		at = append(at, x.Place)
	}
	for _, e := range w.ways[c].edges {
		a, b := w.net.g.Ends(e)
		at = append(at, a, b)
		k := w.net.kinds[e]
		switch {
		case k.leg >= 0:
			edges = append(edges, edge{a, b, k.leg})
		case !parts(&w.t.Joins[k.join]):
			edges = append(edges, edge{a, b, -1})
		default:
			j := &w.t.Joins[k.join]
			ports = append(ports,
				port{node: j.A, joint: plan.Joint{Place: j.A, End: -1, Join: k.join, Half: "a", Point: -1, Beside: -1}, most: 1},
				port{node: j.B, joint: plan.Joint{Place: j.B, End: -1, Join: k.join, Half: "b", Point: -1, Beside: -1}, most: 1})
		}
	}
	slices.Sort(at)
	at = slices.Compact(at)
	index := func(place int) int { i, _ := slices.BinarySearch(at, place); return i }
	type arm struct{ to, leg int }
	around := make([][]arm, len(at))
	for _, e := range edges {
		a, b := index(e.a), index(e.b)
		around[a], around[b] = append(around[a], arm{b, e.leg}), append(around[b], arm{a, e.leg})
	}
	in := make([]*piece, len(at))
	node := make([]int, len(at))
	var out []*piece
	for start := range at {
		if in[start] != nil {
			continue
		}
		p := &piece{}
		out = append(out, p)
		members := []int{start}
		in[start] = p
		for i := 0; i < len(members); i++ {
			for _, m := range around[members[i]] {
				if in[m.to] == nil {
					in[m.to] = p
					members = append(members, m.to)
				}
			}
		}
		slices.Sort(members)
		for i, m := range members {
			node[m] = i
			p.place = append(p.place, at[m])
		}
		n := len(members)
		p.up, p.leg, p.length, p.far, p.deep = make([]int, n), make([]int, n), make([]int64, n), make([]int64, n), make([]int, n)
		p.near, p.at = make([][]int, n), make([][]int, n)
		p.order = append(p.order, 0)
		p.up[0], p.leg[0] = -1, -1
		for i := 0; i < len(p.order); i++ {
			v := p.order[i]
			for _, m := range around[members[v]] {
				u := node[m.to]
				p.near[v] = append(p.near[v], u)
				if u == p.up[v] {
					continue
				}
				p.up[u], p.leg[u], p.deep[u] = v, m.leg, p.deep[v]+1
				if m.leg >= 0 {
					p.length[u] = w.net.legCost(m.leg)
				}
				p.far[u] = p.far[v] + p.length[u]
				p.total += p.length[u]
				p.order = append(p.order, u)
			}
			slices.Sort(p.near[v])
		}
	}
	for _, q := range ports {
		i := index(q.node)
		p := in[i]
		q.node = node[i]
		p.at[q.node] = append(p.at[q.node], len(p.ports))
		p.ports = append(p.ports, q)
	}
	return out
}

// takes is how many wires may end at an end, whether they end in lugs, and
// whether a bus is terminated there.
func (w *work) takes(end int) (most int, post, terminated bool) {
	x := &w.e.List[end]
	if x.Stud >= 0 {
		return max(1, w.t.Studs[x.Stud].MostLugs), true, false
	}
	if x.Device < 0 || x.PinIndex < 0 || w.t.Devices[x.Device].Part == nil {
		return 1, false, false
	}
	v := &w.t.Devices[x.Device]
	pin := &v.Part.Pins[x.PinIndex]
	for _, l := range v.Part.Links {
		terminated = terminated || l.Kind == part.Terminator
	}
	if _, ok := pin.Stud(); ok && x.Connector < 0 {
		return w.house.lugs, true, terminated
	}
	if x.Connector >= 0 && v.Connectors[x.Connector].Part != nil {
		return max(1, v.Connectors[x.Connector].Part.MostPerContact), false, terminated
	}
	return 1, false, terminated
}

// way is the nodes from a to b, both included.
func (p *piece) way(a, b int) []int {
	var front, back []int
	for a != b {
		if p.deep[a] >= p.deep[b] {
			front = append(front, a)
			a = p.up[a]
		} else {
			back = append(back, b)
			b = p.up[b]
		}
	}
	front = append(front, a)
	slices.Reverse(back)
	return append(front, back...)
}

// apart is what a wire from a to b costs.
func (p *piece) apart(a, b int) int64 {
	d := p.far[a] + p.far[b]
	for a != b {
		if p.deep[a] >= p.deep[b] {
			a = p.up[a]
		} else {
			b = p.up[b]
		}
	}
	return d - 2*p.far[a]
}

// legs are the legs of a way, in order.
func (p *piece) legs(way []int) []int {
	out := []int{}
	for i := 1; i < len(way); i++ {
		v := way[i]
		if p.up[v] != way[i-1] {
			v = way[i-1]
		}
		if p.leg[v] >= 0 {
			out = append(out, p.leg[v])
		}
	}
	return out
}

// node finds a place in the piece, -1 if it lies elsewhere.
func (p *piece) node(place int) int {
	if i, ok := slices.BinarySearch(p.place, place); ok {
		return i
	}
	return -1
}
