package resolve

import "container/heap"

// decide settles what is left, the clearest case first: the circuit whose
// second best class costs most beside its best.
func (k *classing) decide() {
	open := &clearest{k: k}
	var start []int
	for c := range k.all {
		if k.undecided(c) {
			k.priceNames(c)
		}
		start = append(start, c)
	}
	if !k.follow(start) {
		k.undo()
	}
	k.trail = k.trail[:0]
	for c := range k.all {
		open.add(c)
	}
	for len(open.list) > 0 {
		x := heap.Pop(open).(clear)
		c := x.circuit
		if !k.undecided(c) || x.regret != k.regret(c) {
			continue
		}
		before := k.all[c].alive
		o := k.cheapest(c)
		k.trail = append(k.trail[:0], change{c, before})
		k.all[c].alive = 1 << o
		if k.work <= mostPairings && !k.follow([]int{c}) {
			k.undo()
			k.all[c].alive = before &^ (1 << o)
			open.add(c)
			continue
		}
		for _, t := range k.trail {
			open.add(t.circuit)
		}
	}
}

func (k *classing) undecided(c int) bool { return k.all[c].alive&(k.all[c].alive-1) != 0 }

// clear is a circuit with what its best class saves.
type clear struct{ circuit, regret int }

// clearest is a heap of undecided circuits. A circuit stands in it once for
// every change of its choice; entries that no longer hold are passed over.
type clearest struct {
	k    *classing
	list []clear
}

func (h *clearest) Len() int { return len(h.list) }
func (h *clearest) Less(i, j int) bool {
	a, b := h.list[i], h.list[j]
	return a.regret > b.regret || a.regret == b.regret && a.circuit < b.circuit
}
func (h *clearest) Swap(i, j int) { h.list[i], h.list[j] = h.list[j], h.list[i] }
func (h *clearest) Push(x any)    { h.list = append(h.list, x.(clear)) }
func (h *clearest) Pop() any {
	x := h.list[len(h.list)-1]
	h.list = h.list[:len(h.list)-1]
	return x
}

func (h *clearest) add(c int) {
	if h.k.undecided(c) {
		heap.Push(h, clear{c, h.k.regret(c)})
	}
}

func (k *classing) undo() {
	for i := len(k.trail) - 1; i >= 0; i-- {
		k.all[k.trail[i].circuit].alive = k.trail[i].alive
	}
	k.trail = k.trail[:0]
}

// cheapest is the cheapest option a circuit still has.
func (k *classing) cheapest(c int) int {
	x := &k.all[c]
	best := -1
	for o := range x.options {
		if x.alive&(1<<o) != 0 && (best < 0 || x.options[o].price < x.options[best].price) {
			best = o
		}
	}
	return best
}

// regret is what a circuit's second best class costs more than its best.
func (k *classing) regret(c int) int {
	x := &k.all[c]
	best, second := 1<<30, 1<<30
	for o := range x.options {
		if x.alive&(1<<o) == 0 {
			continue
		}
		if p := x.options[o].price; p < best {
			best, second = p, best
		} else {
			second = min(second, p)
		}
	}
	return second - best
}
