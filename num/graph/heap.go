package graph

// An item waits in a heap at its cost; of equal costs the lower node comes first.
type item struct {
	cost int64
	node int32
}

func (a item) before(b item) bool {
	return a.cost < b.cost || a.cost == b.cost && a.node < b.node
}

// heap is a binary heap of items. It is written out because container/heap boxes
// every item, which triples the time of a search.
type heap []item

func (h *heap) push(it item) {
	s := append(*h, it)
	i := len(s) - 1
	for i > 0 {
		up := (i - 1) / 2
		if !it.before(s[up]) {
			break
		}
		s[i] = s[up]
		i = up
	}
	s[i] = it
	*h = s
}

func (h *heap) pop() item {
	s := *h
	top, it := s[0], s[len(s)-1]
	s = s[:len(s)-1]
	for i := 0; len(s) > 0; {
		down := 2*i + 1
		if down+1 < len(s) && s[down+1].before(s[down]) {
			down++
		}
		if down >= len(s) || !s[down].before(it) {
			s[i] = it
			break
		}
		s[i] = s[down]
		i = down
	}
	*h = s
	return top
}
