package route

import (
	"cmp"
	"slices"

	"keyon/model/plan"
)

// meeting says who joins whom in a piece: every port goes to the nearest hub,
// and the hubs are joined at least cost. Along a tree that is the least wire
// there can be for given hubs.
//
// Hubs are nodes with splices, and nodes with a post. links are pairs of hubs.
type meeting struct {
	hubs  []int // nodes, rising
	post  []int // by hub: the port of the post there, -1
	hub   []int // by port: into hubs; -1 for the post itself
	links [][2]int
	wire  int64 // cost of all wires
}

// meet joins the ports of a piece over splices at the nodes and the posts
// there are.
func (p *piece) meet(splices []int) meeting {
	var m meeting
	host := make([]int, len(p.place)) // by node: hub, or -1
	for v := range host {
		host[v] = -1
	}
	post := func(v int) int {
		for _, i := range p.at[v] {
			if p.ports[i].post {
				return i
			}
		}
		return -1
	}
	for v := range p.place {
		_, cut := slices.BinarySearch(splices, v)
		if q := post(v); cut || q >= 0 {
			host[v] = len(m.hubs)
			m.hubs = append(m.hubs, v)
			m.post = append(m.post, q)
		}
	}
	// Nearest hub of each node along the tree: up the order, then down it.
	dist := make([]int64, len(p.place))
	own := make([]int, len(p.place))
	const far = int64(1) << 60
	for v := range dist {
		dist[v], own[v] = far, -1
		if host[v] >= 0 {
			dist[v], own[v] = 0, host[v]
		}
	}
	offer := func(v int, d int64, hub int) {
		if hub >= 0 && host[v] < 0 && (d < dist[v] || d == dist[v] && hub < own[v]) {
			dist[v], own[v] = d, hub
		}
	}
	for i := len(p.order) - 1; i > 0; i-- {
		v := p.order[i]
		offer(p.up[v], dist[v]+p.length[v], own[v])
	}
	for _, v := range p.order[1:] {
		offer(v, dist[p.up[v]]+p.length[v], own[p.up[v]])
	}
	m.hub = make([]int, len(p.ports))
	for i := range p.ports {
		v := p.ports[i].node
		m.hub[i] = own[v]
		if host[v] >= 0 && m.post[host[v]] == i {
			m.hub[i] = -1
			continue
		}
		m.wire += dist[v]
	}
	// Regions of nearest hubs that touch give the candidates (Mehlhorn 1988).
	type border struct {
		cost int64
		a, b int
	}
	var borders []border
	for _, v := range p.order[1:] {
		if a, b := own[v], own[p.up[v]]; a != b && a >= 0 && b >= 0 {
			borders = append(borders, border{dist[v] + p.length[v] + dist[p.up[v]], min(a, b), max(a, b)})
		}
	}
	slices.SortFunc(borders, func(x, y border) int {
		return cmp.Or(cmp.Compare(x.cost, y.cost), cmp.Compare(x.a, y.a), cmp.Compare(x.b, y.b))
	})
	group := make([]int, len(m.hubs))
	for i := range group {
		group[i] = i
	}
	find := func(i int) int {
		for group[i] != i {
			group[i] = group[group[i]]
			i = group[i]
		}
		return i
	}
	for _, b := range borders {
		if x, y := find(b.a), find(b.b); x != y {
			group[max(x, y)] = min(x, y)
			m.links = append(m.links, [2]int{b.a, b.b})
			m.wire += b.cost
		}
	}
	return m
}

// splicesAt is how many splices a hub needs: each of most wires leaves one
// wire instead of most-1, until one splice, or the post, takes the rest.
func (p *piece) splicesAt(m *meeting, hub, most int) int {
	wires := 0
	for _, h := range m.hub {
		if h == hub {
			wires++
		}
	}
	for _, l := range m.links {
		if l[0] == hub || l[1] == hub {
			wires++
		}
	}
	if q := m.post[hub]; q >= 0 {
		return ceil(wires-max(1, p.ports[q].most), most-2)
	}
	return max(1, ceil(wires-2, most-2))
}

func ceil(a, b int) int {
	if a <= 0 {
		return 0
	}
	return (a + b - 1) / b
}

// arm is one wire that arrives at a hub.
type arm struct {
	joint plan.Joint
	node  int
}

// build makes the spans of a meeting. Where more wires meet than one splice
// takes there are several in a row at the place, to be staggered on the bench.
func (w *work) build(p *piece, m meeting) wiring {
	most := w.house.most
	site := make([]int64, len(p.place))
	for v := range site {
		site[v] = -1
	}
	g := wiring{price: w.price(p, &m, site)}
	arms := make([][]arm, len(m.hubs))
	for i := range p.ports {
		if h := m.hub[i]; h >= 0 {
			arms[h] = append(arms[h], arm{p.ports[i].joint, p.ports[i].node})
		}
	}
	// From the outermost hub inward, so that a link begins at a joint that is
	// there: each hub hands its last joint to the one it is linked to.
	parent, order := m.rooted()
	for i := len(order) - 1; i >= 0; i-- {
		h := order[i]
		v, in, up := m.hubs[h], arms[h], 0
		if parent[h] >= 0 {
			up = 1
		}
		slices.SortStableFunc(in, func(x, y arm) int { return cmp.Compare(x.node, y.node) })
		lead := func(to plan.Joint, n int) {
			for _, a := range in[:n] {
				g.spans = append(g.spans, p.span(a.joint, a.node, to, v))
			}
		}
		merge := func(n int) plan.Joint {
			j := p.splice(len(g.splices), v)
			g.splices = append(g.splices, v)
			lead(j, n)
			in = append([]arm{{j, v}}, in[n:]...)
			return j
		}
		var last plan.Joint
		if q := m.post[h]; q >= 0 {
			last = p.ports[q].joint
			room := max(1, p.ports[q].most-up)
			for len(in) > room {
				merge(min(most-1, len(in)-room+1))
			}
			lead(last, len(in))
		} else {
			for len(in)+up > most {
				merge(most - 1)
			}
			last = merge(len(in))
		}
		if parent[h] >= 0 {
			arms[parent[h]] = append(arms[parent[h]], arm{last, v})
		}
	}
	return g
}

// rooted orders the hubs outward from the first: a post if there is one.
func (m *meeting) rooted() (parent, order []int) {
	parent = make([]int, len(m.hubs))
	seen := make([]bool, len(m.hubs))
	start := 0
	for h := range m.hubs {
		if m.post[h] >= 0 {
			start = h
			break
		}
	}
	around := make([][]int, len(m.hubs))
	for _, l := range m.links {
		around[l[0]], around[l[1]] = append(around[l[0]], l[1]), append(around[l[1]], l[0])
	}
	parent[start], seen[start] = -1, true
	order = []int{start}
	for i := 0; i < len(order); i++ {
		slices.Sort(around[order[i]])
		for _, h := range around[order[i]] {
			if !seen[h] {
				seen[h], parent[h] = true, order[i]
				order = append(order, h)
			}
		}
	}
	return parent, order
}
