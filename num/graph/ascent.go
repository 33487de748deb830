package graph

import (
	"math"
	"slices"
)

// hopeless is more than any tree costs.
const hopeless = math.MaxInt64 / 4

// ascend is the dual ascent of Wong (Math. Programming 28, 1984, 271-287) from a
// root terminal: every set of nodes that holds a terminal and not the root must
// be entered, so each such set may pay for its entering arcs as long as no arc
// is paid more than it costs. The sum paid is a bound on every tree.
//
// slack is what is left unpaid of each arc: arc 2i goes from a to b of edge i,
// arc 2i+1 back. Sets with few entering arcs pay first. Stopping early leaves a
// lower bound that still holds. Where the terminals aren't joined the bound is
// hopeless.
func (s *solver) ascend(p *problem, round int) (bound int64, slack []int64, root int32) {
	slack = make([]int64, 2*len(p.edges))
	for i, e := range p.edges {
		slack[2*i], slack[2*i+1] = e.cost, e.cost
	}
	var waiting heap
	var terms []int32
	for v, t := range p.terminal {
		if t {
			terms = append(terms, int32(v))
		}
	}
	root = terms[round%len(terms)]
	for _, t := range terms {
		if t != root {
			waiting.push(item{int64(len(p.around[t])), t})
		}
	}
	inside := make([]int32, len(p.around)) // number of the last set that held the node
	var set, cut []int32
	for number := int32(1); len(waiting) > 0 && !s.spent(); number++ {
		t := waiting.pop().node
		inside[t] = number
		set, cut = append(set[:0], t), cut[:0]
		for grown := 0; !s.spent(); {
			for ; grown < len(set); grown++ {
				v := set[grown]
				s.work += len(p.around[v])
				for _, i := range p.around[v] {
					a := entering(&p.edges[i], i, v)
					w := p.edges[i].far(v)
					switch {
					case inside[w] == number:
					case slack[a] == 0:
						inside[w] = number
						set = append(set, w)
					default:
						cut = append(cut, a)
					}
				}
			}
			if inside[root] == number {
				break
			}
			s.work += len(cut)
			least := int64(math.MaxInt64)
			cut = slices.DeleteFunc(cut, func(a int32) bool {
				if inside[p.tail(a)] == number {
					return true
				}
				least = min(least, slack[a])
				return false
			})
			if len(cut) == 0 {
				return hopeless, slack, root
			}
			size := item{int64(len(cut)), t}
			if len(waiting) > 0 && waiting[0].before(size) {
				waiting.push(size)
				break
			}
			bound += least
			for _, a := range cut {
				if slack[a] -= least; slack[a] > 0 {
					continue
				}
				if w := p.tail(a); inside[w] != number {
					inside[w] = number
					set = append(set, w)
				}
			}
		}
	}
	return bound, slack, root
}

// entering is the arc of edge i that enters v.
func entering(e *link, i, v int32) int32 {
	if e.b == v {
		return 2 * i
	}
	return 2*i + 1
}

// tail is the node that an arc leaves.
func (p *problem) tail(arc int32) int32 {
	e := &p.edges[arc/2]
	if arc%2 == 0 {
		return e.a
	}
	return e.b
}

// drop removes edges that no tree better than the best can use, and reports
// whether it found any. A tree that uses the arc v-w costs at least
//
//	bound + slack(root to v) + slack(v-w) + slack(w to the nearest terminal)
//
// with slack along the least way.
func (s *solver) drop(p *problem, root int32, bound int64, slack []int64) bool {
	from := s.slackFrom(p, []int32{root}, slack, false)
	var terms []int32
	for v, t := range p.terminal {
		if t && int32(v) != root {
			terms = append(terms, int32(v))
		}
	}
	to := s.slackFrom(p, terms, slack, true)
	room := s.upper - p.base - bound
	useless := func(arc int32, v, w int32) bool {
		return from[v] >= room || to[w] >= room || from[v]+slack[arc]+to[w] >= room
	}
	found := false
	for i := range p.edges {
		e := &p.edges[i]
		if !e.dropped && useless(int32(2*i), e.a, e.b) && useless(int32(2*i+1), e.b, e.a) {
			e.dropped = true
			found = true
		}
	}
	return found
}

// slackFrom is the least slack of a way from the sources to each node, or back
// from each node to a source.
func (s *solver) slackFrom(p *problem, sources []int32, slack []int64, back bool) []int64 {
	dist := make([]int64, len(p.around))
	for v := range dist {
		dist[v] = hopeless
	}
	var h heap
	for _, v := range sources {
		dist[v] = 0
		h.push(item{0, v})
	}
	for len(h) > 0 {
		it := h.pop()
		v := it.node
		if it.cost > dist[v] {
			continue
		}
		s.work += len(p.around[v])
		for _, i := range p.around[v] {
			a := entering(&p.edges[i], i, v)
			if !back {
				a ^= 1
			}
			w := p.edges[i].far(v)
			if d := it.cost + slack[a]; d < dist[w] {
				dist[w] = d
				h.push(item{d, w})
			}
		}
	}
	return dist
}
