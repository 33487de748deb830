package resolve

import "keyon/model/part"

// load is n ends or pins with the same roles.
type load struct {
	set part.RoleSet
	n   int
}

func put(list []load, s part.RoleSet, n int) []load {
	for i := range list {
		if list[i].set == s {
			list[i].n += n
			return list
		}
	}
	return append(list, load{s, n})
}

// most is how many of a and b can be paired one to one, a pair having a role
// in common: the largest flow through roles (Ford and Fulkerson 1956).
func most(a, b []load) int {
	flow := make([]int, len(a)*len(b))
	left, right := make([]int, len(a)), make([]int, len(b))
	for i := range a {
		left[i] = a[i].n
	}
	for j := range b {
		right[j] = b[j].n
	}
	seen := make([]int, len(b))
	round, total := 0, 0
	var push func(i, n int) int // n of group i onwards; what got through
	push = func(i, n int) int {
		for j := range b {
			if a[i].set&b[j].set == 0 || seen[j] == round {
				continue
			}
			seen[j] = round
			got := min(n, right[j])
			right[j] -= got
			for h := 0; got == 0 && h < len(a); h++ {
				if back := flow[h*len(b)+j]; h != i && back > 0 {
					got = push(h, min(n, back))
					flow[h*len(b)+j] -= got
				}
			}
			if got > 0 {
				flow[i*len(b)+j] += got
				return got
			}
		}
		return 0
	}
	for i := range a {
		for left[i] > 0 {
			round++
			got := push(i, left[i])
			if got == 0 {
				break
			}
			left[i] -= got
			total += got
		}
	}
	return total
}
