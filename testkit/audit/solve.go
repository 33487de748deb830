package audit

import "container/heap"

// net is a network of conductances to be solved by eliminating one node after
// the other (star to mesh), the one with fewest neighbours first. Node 0 is
// the reference at 0 V.
type net struct {
	near   []map[int]float64 // by node: conductance to each neighbour but the reference
	leak   []float64         // to the reference
	inject []float64         // amps into the node
}

func (n *net) node() int {
	n.near, n.leak, n.inject = append(n.near, map[int]float64{}), append(n.leak, 0), append(n.inject, 0)
	return len(n.near) - 1
}

func (n *net) conduct(a, b int, siemens float64) {
	switch {
	case a == b:
	case a == 0:
		n.leak[b] += siemens
	case b == 0:
		n.leak[a] += siemens
	default:
		n.near[a][b] += siemens
		n.near[b][a] += siemens
	}
}

// push brings a current from outside into a and out of b.
func (n *net) push(a, b int, amps float64) {
	n.inject[a] += amps
	n.inject[b] -= amps
}

type gone struct {
	node   int
	near   []int
	g      []float64
	sum    float64
	inject float64
}

// solve gives the volts of every node. The net is used up.
func (n *net) solve() []float64 {
	volts := make([]float64, len(n.near))
	q := &queue{}
	for i := 1; i < len(n.near); i++ {
		heap.Push(q, [2]int{len(n.near[i]), i})
	}
	done := make([]bool, len(n.near))
	done[0] = true
	var steps []gone
	for q.Len() > 0 {
		top := heap.Pop(q).([2]int)
		k := top[1]
		if done[k] {
			continue
		}
		if top[0] != len(n.near[k]) {
			heap.Push(q, [2]int{len(n.near[k]), k})
			continue
		}
		done[k] = true
		s := gone{node: k, sum: n.leak[k], inject: n.inject[k]}
		for j, g := range n.near[k] {
			s.near, s.g = append(s.near, j), append(s.g, g)
			s.sum += g
			delete(n.near[j], k)
		}
		steps = append(steps, s)
		n.near[k] = nil
		if s.sum == 0 {
			continue
		}
		for i, x := range s.near {
			n.inject[x] += s.inject * s.g[i] / s.sum
			n.leak[x] += n.leak[k] * s.g[i] / s.sum
			for j := i + 1; j < len(s.near); j++ {
				n.conduct(x, s.near[j], s.g[i]*s.g[j]/s.sum)
			}
		}
	}
	for i := len(steps) - 1; i >= 0; i-- {
		s := &steps[i]
		if s.sum == 0 {
			// The last node of a group with no way to the reference: what is
			// pushed into it has nowhere to go, and drives its volts up.
			volts[s.node] = s.inject * 1e6
			continue
		}
		v := s.inject
		for j, x := range s.near {
			v += s.g[j] * volts[x]
		}
		volts[s.node] = v / s.sum
	}
	return volts
}

// queue is nodes by how many neighbours they had when they were put in.
type queue [][2]int

func (q queue) Len() int { return len(q) }
func (q queue) Less(i, j int) bool {
	return q[i][0] < q[j][0] || q[i][0] == q[j][0] && q[i][1] < q[j][1]
}
func (q queue) Swap(i, j int) { q[i], q[j] = q[j], q[i] }
func (q *queue) Push(x any)   { *q = append(*q, x.([2]int)) }
func (q *queue) Pop() any {
	x := (*q)[len(*q)-1]
	*q = (*q)[:len(*q)-1]
	return x
}
