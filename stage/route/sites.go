package route

import (
	"math"
	"slices"
)

// tree settles a piece with splices: over those that are fixed, else over the
// places where splices cost least in wire, in splices and in standing too near
// a connector.
//
// The search begins once with a splice wherever the tree branches, and once
// with the best single one, then takes away, moves and adds one at a time
// while that helps. With three ends that is every choice there is.
func (w *work) tree(p *piece, fixed []int) wiring {
	if len(fixed) > 0 {
		return w.build(p, p.meet(fixed))
	}
	site := make([]int64, len(p.place))
	for v := range site {
		site[v] = -1
	}
	budget := 400_000 // nodes looked at
	price := func(splices []int) int64 {
		budget -= len(p.place)
		m := p.meet(splices)
		if len(m.hubs) == 0 {
			return math.MaxInt64
		}
		return m.wire + w.price(p, &m, site)
	}
	branches := []int{}
	for v := range p.place {
		if len(p.near[v])+len(p.at[v]) >= 3 && !slices.ContainsFunc(p.at[v], func(i int) bool { return p.ports[i].post }) {
			branches = append(branches, v)
		}
	}
	best, cost := branches, price(branches)
	try := func(splices []int) bool {
		if c := price(splices); c < cost {
			best, cost = splices, c
			return true
		}
		return false
	}
	descend := func() {
		for again := true; again && budget > 0; {
			again = false
			for _, v := range slices.Clone(best) {
				i, is := slices.BinarySearch(best, v)
				if !is {
					continue
				}
				less := slices.Delete(slices.Clone(best), i, i+1)
				moved := false
				for _, u := range p.near[v] {
					if j, taken := slices.BinarySearch(less, u); !taken && try(slices.Insert(slices.Clone(less), j, u)) {
						moved = true
						break
					}
				}
				again = again || moved || try(less)
			}
			for v := range p.place {
				if j, taken := slices.BinarySearch(best, v); !taken && try(slices.Insert(slices.Clone(best), j, v)) {
					again = true
				}
			}
		}
	}
	descend()
	many, manyCost := best, cost
	best, cost = nil, price(nil)
	for v := range p.place {
		if budget < 200_000 {
			break
		}
		try([]int{v})
	}
	descend()
	if manyCost <= cost {
		best = many
	}
	return w.build(p, p.meet(best))
}

// clearing is what keeps splices clear of connectors, made when first asked.
type clearing struct {
	connector []bool  // by place: a connector sits there
	legsAt    [][]int // by place
}

// price is what the splices of a meeting cost: each its site, and each wire
// from splice to splice. site remembers sites by node, -1 where not yet asked.
func (w *work) price(p *piece, m *meeting, site []int64) (sum int64) {
	link := int64(math.Round(w.house.link * 1e6))
	splices := make([]int, len(m.hubs))
	for h, v := range m.hubs {
		n := p.splicesAt(m, h, w.house.most)
		splices[h] = n
		if n == 0 {
			continue
		}
		if site[v] < 0 {
			site[v] = w.site(p.place[v])
		}
		sum += int64(n)*site[v] + int64(n-1)*link
	}
	for _, l := range m.links {
		if m.post[l[0]] < 0 && m.post[l[1]] < 0 {
			sum += link
		}
	}
	return sum
}

// crowding is how much a splice counts for each length it lacks of standing
// clear of a connector: it moves up a leg even if three wires get longer.
const crowding = 3 // judgement: house-rules, splice reach

// site is what a splice at a place costs, in micrometres of wire: a splice,
// and what it lacks of standing clear of the nearest connector.
func (w *work) site(place int) int64 {
	lacks := max(0, w.house.reach-w.clear(place))
	return int64(math.Round((w.house.splice + crowding*lacks) * 1e6))
}

// clear is the way over legs from a place to the nearest connector, or the
// reach where none is as near.
func (w *work) clear(place int) float64 {
	if w.connector == nil {
		w.connector = make([]bool, len(w.t.Places))
		for i := range w.t.Devices {
			for _, k := range w.t.Devices[i].Connectors {
				if k.Place >= 0 && k.Part != nil {
					w.connector[k.Place] = true
				}
			}
		}
		for i := range w.t.Joins {
			if j := &w.t.Joins[i]; j.A >= 0 && j.B >= 0 && parts(j) {
				w.connector[j.A], w.connector[j.B] = true, true
			}
		}
		w.legsAt = make([][]int, len(w.t.Places))
		for i := range w.t.Legs {
			if l := &w.t.Legs[i]; l.From >= 0 && l.To >= 0 && l.Length.Settled() {
				w.legsAt[l.From], w.legsAt[l.To] = append(w.legsAt[l.From], i), append(w.legsAt[l.To], i)
			}
		}
	}
	// Few places lie within a splice's reach, so the nearest is looked for in a
	// plain list.
	type stop struct {
		place int
		far   float64
	}
	open := []stop{{place, 0}}
	done := map[int]bool{}
	for len(open) > 0 {
		n := 0
		for i := range open {
			if open[i].far < open[n].far || open[i].far == open[n].far && open[i].place < open[n].place {
				n = i
			}
		}
		s := open[n]
		open = slices.Delete(open, n, n+1)
		if s.far >= w.house.reach {
			break
		}
		if w.connector[s.place] {
			return s.far
		}
		if done[s.place] {
			continue
		}
		done[s.place] = true
		for _, l := range w.legsAt[s.place] {
			k := &w.t.Legs[l]
			open = append(open, stop{k.From + k.To - s.place, s.far + float64(k.Length.Value)})
		}
	}
	return w.house.reach
}
