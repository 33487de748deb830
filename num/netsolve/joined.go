package netsolve

import "fmt"

// joined is the net with elements without resistance taken out: their ends are
// one group, at fixed voltages to each other.
type joined struct {
	group  []int32   // of each node: -1 with the reference, else from 0
	offset []float64 // voltage of a node above its group
	groups int
	tree   []branch // rigid elements, each after the one it hangs from
}

// branch is a rigid element seen from the node it hangs from.
type branch struct {
	elem Elem
	from int
	to   int
}

// join groups the nodes. Its error names an element that closes a loop without
// resistance, in which currents would be undefined.
func join(n *Net) (*joined, error) {
	j := &joined{group: make([]int32, len(n.nodes)), offset: make([]float64, len(n.nodes))}
	var rigid []Elem
	for e := range n.elems {
		if n.elems[e].rigid() {
			rigid = append(rigid, Elem(e))
		}
	}
	if len(rigid) == 0 {
		for i := range j.group {
			j.group[i] = int32(i) - 1
		}
		j.groups = len(n.nodes) - 1
		return j, nil
	}

	at := make([][]Elem, len(n.nodes))
	for _, e := range rigid {
		el := &n.elems[e]
		at[el.a] = append(at[el.a], e)
		at[el.b] = append(at[el.b], e)
	}
	const fresh = -2
	for i := range j.group {
		j.group[i] = fresh
	}
	used := make([]bool, len(n.elems))
	next := int32(-1)
	for i := range n.nodes {
		if j.group[i] != fresh {
			continue
		}
		j.group[i] = next
		for queue := []int{i}; len(queue) > 0; queue = queue[1:] {
			from := queue[0]
			for _, e := range at[from] {
				if used[e] {
					continue
				}
				used[e] = true
				el := &n.elems[e]
				to, rise := el.b, -el.volts
				if from == el.b {
					to, rise = el.a, el.volts
				}
				if j.group[to] != fresh {
					return nil, fmt.Errorf("netsolve: element %s closes a loop without resistance at node %s", el.name, n.nodes[to])
				}
				j.group[to] = next
				j.offset[to] = j.offset[from] + rise
				j.tree = append(j.tree, branch{e, from, to})
				queue = append(queue, to)
			}
		}
		next++
	}
	j.groups = int(next)
	return j, nil
}

// currents fills in the currents of the rigid elements from those of all
// others: what flows out of the far part of a tree comes in over its branch.
func (j *joined) currents(n *Net, amps []float64) {
	if len(j.tree) == 0 {
		return
	}
	out := make([]float64, len(n.nodes))
	for e := range n.elems {
		el := &n.elems[e]
		if !el.rigid() {
			out[el.a] += amps[e]
			out[el.b] -= amps[e]
		}
	}
	for i := len(j.tree) - 1; i >= 0; i-- {
		b := j.tree[i]
		out[b.from] += out[b.to]
		if n.elems[b.elem].a == b.from {
			amps[b.elem] = out[b.to]
		} else {
			amps[b.elem] = -out[b.to]
		}
	}
}
