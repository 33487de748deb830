package graph

// A solver keeps the best tree while problems are split and shrunk.
type solver struct {
	parts  [][2]int32 // of a made edge: the two it was made of, or an edge of the graph and -1
	best   []int32    // made edges of the best tree
	upper  int64      // its cost
	work   int
	budget int
	few    int // terminals up to which Dreyfus and Wagner are thought of
}

// make notes an edge made of two, or of one of the graph's (y = -1).
func (s *solver) make(x, y int32) int32 {
	s.parts = append(s.parts, [2]int32{x, y})
	return int32(len(s.parts) - 1)
}

// expand appends the graph's edges that a made edge stands for.
func (s *solver) expand(to []int, made int32) []int {
	p := s.parts[made]
	if p[1] < 0 {
		return append(to, int(p[0]))
	}
	return s.expand(s.expand(to, p[0]), p[1])
}

// offer keeps a tree of the problem, given by its edges, if it is the best yet.
func (s *solver) offer(p *problem, edges []int32) {
	cost := p.base
	for _, i := range edges {
		cost += p.edges[i].cost
	}
	if cost >= s.upper {
		return
	}
	s.upper = cost
	s.best = append(s.best[:0], p.chosen...)
	for _, i := range edges {
		s.best = append(s.best, p.edges[i].made)
	}
}

func (s *solver) spent() bool { return s.work >= s.budget }

// solve looks for a tree of the problem that beats the best, and returns a bound
// that every tree of the problem reaches; a bound of s.upper or more says that
// none beats the best.
func (s *solver) solve(p *problem) int64 {
	bound := p.base
	for round := 0; ; round++ {
		s.reduce(p)
		if p.left <= 1 {
			s.offer(p, nil)
			return p.base
		}
		p = p.copy()
		if w := s.wagnerWork(p); w <= cheap*len(p.edges) && s.work+w <= s.budget {
			return s.wagner(p)
		}
		lower, slack, root := s.ascend(p, round)
		bound = max(bound, p.base+lower)
		s.tryTrees(p, slack, root, round > 0)
		if bound >= s.upper || s.spent() {
			return bound
		}
		if !s.drop(p, root, lower, slack) && round >= rounds {
			break
		}
	}
	if w := s.wagnerWork(p); w <= s.budget-s.work {
		return s.wagner(p)
	}
	return max(bound, s.branch(p))
}

// branch splits the problem at the busiest node that is no terminal, into the
// trees that pass it and those that don't, and returns the lesser bound.
func (s *solver) branch(p *problem) int64 {
	v := -1
	for u, edges := range p.around {
		if !p.terminal[u] && (v < 0 || len(edges) > len(p.around[v])) {
			v = u
		}
	}
	with := p.copy()
	with.terminal[v] = true
	with.left++
	bound := s.solve(with)
	if s.spent() {
		return p.base
	}
	without := p.copy()
	for _, i := range without.around[v] {
		without.edges[i].dropped = true
	}
	return min(bound, s.solve(without))
}

const (
	cheap  = 64 // times the edges: Dreyfus and Wagner below this need no bounds first
	rounds = 3  // of bounding from another root after nothing more could be dropped
)
