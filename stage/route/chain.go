package route

import (
	"cmp"
)

// chain joins the ports of a piece one after another, the way a data bus runs
// (ISO 11898-2: a line, terminated at both ends, with short stubs). Inside the
// line a device takes two wires in one contact where its connector allows it;
// else, if splicing, there is a splice on its way, no farther from it than the
// longest stub.
//
// Between two given ends of a line along a tree, the least wire runs every
// branch off the way between them there and back. So the ends are the two
// that lie farthest apart: joins first, then terminated devices. Not ok if
// more than two ports must be ends of the line.
func (w *work) chain(p *piece, splicing bool) (wiring, bool) {
	from, to, ok := p.farthest(splicing)
	if !ok {
		return wiring{}, false
	}
	line := p.line(from, to)
	var g wiring
	at, node := p.ports[from].joint, p.ports[from].node
	room := 0 // wires the splice we stand at may still take
	for i := 1; i < len(line)-1; i++ {
		q := &p.ports[line[i]]
		if q.most >= 2 {
			g.spans = append(g.spans, p.span(at, node, q.joint, q.node))
			at, node, room = q.joint, q.node, 0
			continue
		}
		v := p.stub(q.node, p.ports[line[i-1]].node, p.ports[line[i+1]].node, int64(w.house.stub*1e6))
		if room < 2 || v != node {
			j := p.splice(len(g.splices), v)
			g.splices = append(g.splices, v)
			g.spans = append(g.spans, p.span(at, node, j, v))
			at, node, room = j, v, w.house.most-1
		}
		g.spans = append(g.spans, p.span(at, node, q.joint, q.node))
		room--
	}
	last := &p.ports[to]
	g.spans = append(g.spans, p.span(at, node, last.joint, last.node))
	g.price = int64(len(g.splices)) * int64(w.house.splice*1e6)
	return g, true
}

// farthest picks the ends of the line.
func (p *piece) farthest(splicing bool) (from, to int, ok bool) {
	last := func(q *port) bool { return q.joint.Join >= 0 || !splicing && q.most < 2 }
	must := 0
	for i := range p.ports {
		if last(&p.ports[i]) {
			must++
		}
	}
	if must > 2 {
		return 0, 0, false
	}
	worth := func(a, b int) (musts, ends int, far int64) {
		for _, i := range []int{a, b} {
			if last(&p.ports[i]) {
				musts++
			}
			if p.ports[i].ends {
				ends++
			}
		}
		return musts, ends, p.apart(p.ports[a].node, p.ports[b].node)
	}
	from, to = 0, 1
	m, e, d := worth(0, 1)
	for a := range p.ports {
		for b := a + 1; b < len(p.ports); b++ {
			m2, e2, d2 := worth(a, b)
			if cmp.Or(cmp.Compare(m2, m), cmp.Compare(e2, e), cmp.Compare(d2, d)) > 0 {
				from, to, m, e, d = a, b, m2, e2, d2
			}
		}
	}
	return from, to, true
}

// line is the order of the ports from one end to the other.
func (p *piece) line(from, to int) []int {
	main := p.way(p.ports[from].node, p.ports[to].node)
	onMain := make([]bool, len(p.place))
	for _, v := range main {
		onMain[v] = true
	}
	out := []int{from}
	here := func(v int) {
		for _, i := range p.at[v] {
			if i != from && i != to {
				out = append(out, i)
			}
		}
	}
	var branch func(v, back int)
	branch = func(v, back int) {
		here(v)
		for _, u := range p.near[v] {
			if u != back && !onMain[u] {
				branch(u, v)
			}
		}
	}
	for _, v := range main {
		branch(v, -1)
	}
	return append(out, to)
}

// stub is where the splice for a port at node v sits: on the part that the
// wires from before and to after it share, at most so far from it.
func (p *piece) stub(v, before, after int, most int64) int {
	a, b := p.way(v, before), p.way(v, after)
	at := v
	for i := 1; i < len(a) && i < len(b) && a[i] == b[i] && p.apart(v, a[i]) <= most; i++ {
		at = a[i]
	}
	return at
}
