package netsolve

// islands returns the groups of nodes that nothing ties to the reference: by
// lowest node, nodes ascending. With loads, a load ties its ends together.
func (n *Net) islands(loads bool) [][]int {
	root := make([]int, len(n.nodes))
	for i := range root {
		root[i] = i
	}
	find := func(i int) int {
		for root[i] != i {
			root[i] = root[root[i]]
			i = root[i]
		}
		return i
	}
	for e := range n.elems {
		el := &n.elems[e]
		if el.open || !loads && el.kind >= loadI {
			continue
		}
		// The lower node leads, so a group is led by its lowest.
		if a, b := find(el.a), find(el.b); a < b {
			root[b] = a
		} else {
			root[a] = b
		}
	}
	var all [][]int
	at := make([]int, len(n.nodes))
	for i := range root {
		r := find(i)
		if r == Reference {
			continue
		}
		if r == i {
			at[i] = len(all)
			all = append(all, nil)
		}
		all[at[r]] = append(all[at[r]], i)
	}
	return all
}
