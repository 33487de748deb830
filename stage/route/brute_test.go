package route_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"keyon/testkit/small"
)

// The oracle tries every tree there is: any number of splices at any places,
// joined with the ends by every labelled tree in which an end has one wire and
// a splice three or four (Prüfer's numbering of labelled trees), each wire by
// the shortest way of the whole graph. It shares nothing with the stage.
type oracle struct {
	dist  [][]float64 // mm
	site  []float64   // mm, by place
	ports []int       // places
	most  int
	link  float64 // mm, between two splices
}

func (o *oracle) best() float64 {
	best := math.Inf(1)
	p := len(o.ports)
	if p == 2 {
		return o.dist[o.ports[0]][o.ports[1]]
	}
	var sites []int
	var pick func(from, left int)
	pick = func(from, left int) {
		if left == 0 {
			best = min(best, o.trees(sites))
			return
		}
		for v := from; v < len(o.dist); v++ {
			sites = append(sites, v)
			pick(v, left-1)
			sites = sites[:len(sites)-1]
		}
	}
	for k := 1; k <= p-2; k++ {
		pick(0, k)
	}
	return best
}

func (o *oracle) trees(sites []int) float64 {
	p, k := len(o.ports), len(sites)
	at := append(append([]int{}, o.ports...), sites...)
	fixed := 0.0
	for _, v := range sites {
		fixed += o.site[v]
	}
	best := math.Inf(1)
	seq := make([]int, p+k-2)
	count := make([]int, p+k)
	var fill func(i int)
	fill = func(i int) {
		if i < len(seq) {
			for s := p; s < p+k; s++ {
				if count[s] < o.most-1 {
					count[s]++
					seq[i] = s
					fill(i + 1)
					count[s]--
				}
			}
			return
		}
		for s := p; s < p+k; s++ {
			if count[s] < 2 {
				return
			}
		}
		degree := make([]int, p+k)
		for v := range degree {
			degree[v] = 1 + count[v]
		}
		sum := fixed
		for _, s := range seq {
			for v := range degree {
				if degree[v] == 1 {
					sum += o.wire(at, v, s)
					degree[v], degree[s] = 0, degree[s]-1
					break
				}
			}
		}
		last := []int{}
		for v := range degree {
			if degree[v] == 1 {
				last = append(last, v)
			}
		}
		sum += o.wire(at, last[0], last[1])
		best = min(best, sum)
	}
	fill(0)
	return best
}

// wire is what one between vertices a and b costs.
func (o *oracle) wire(at []int, a, b int) float64 {
	d := o.dist[at[a]][at[b]]
	if a >= len(o.ports) && b >= len(o.ports) {
		d += o.link
	}
	return d
}

// dice is a small counted generator (xorshift).
type dice uint64

func (d *dice) roll(n int) int {
	*d ^= *d << 13
	*d ^= *d >> 7
	*d ^= *d << 17
	return int(uint64(*d>>11) % uint64(n))
}

// randomCar is a graph of places with boxes at some of them and one circuit
// over all boxes, and the oracle that knows the same.
func randomCar(d *dice, loops bool) (string, oracle) {
	n := 4 + d.roll(4)
	var b strings.Builder
	b.WriteString(parts + "-- places.csv --\nplace\n")
	o := oracle{most: 4, link: float64(100 * d.roll(4))}
	for i := range n {
		fmt.Fprintf(&b, "P%d\n", i)
		o.dist = append(o.dist, make([]float64, n))
		for k := range n {
			if k != i {
				o.dist[i][k] = math.Inf(1)
			}
		}
	}
	b.WriteString("-- legs.csv --\nfrom, to, length\n")
	leg := func(i, k int) {
		if !math.IsInf(o.dist[i][k], 1) || i == k {
			return
		}
		l := float64(50 * (1 + d.roll(30)))
		fmt.Fprintf(&b, "P%d, P%d, %g\n", i, k, l)
		o.dist[i][k], o.dist[k][i] = l, l
	}
	for i := 1; i < n; i++ {
		leg(d.roll(i), i)
	}
	if loops {
		for range 1 + d.roll(3) {
			i, k := d.roll(n), d.roll(n)
			leg(min(i, k), max(i, k))
		}
	}
	for k := range n {
		for i := range n {
			for j := range n {
				o.dist[i][j] = min(o.dist[i][j], o.dist[i][k]+o.dist[k][j])
			}
		}
	}
	ends := 3 + d.roll(3)
	b.WriteString("-- devices.csv --\ndevice, part, place\n")
	for i := range ends {
		o.ports = append(o.ports, d.roll(n))
		fmt.Fprintf(&b, "d%d, box, P%d\n", i, o.ports[i])
	}
	b.WriteString("-- circuits.csv --\ncircuit, from device, from pin, to device, to pin, class\n")
	for i := 1; i < ends; i++ {
		fmt.Fprintf(&b, "X, d0, 1, d%d, 1, power\n", i)
	}
	reach := float64(100 * d.roll(5))
	splice := float64(100 * (1 + d.roll(6)))
	fmt.Fprintf(&b, "-- limits.csv --\nlimit, value, reason\nsplice reach, %g, test\nsplice cost, %g, test\nsplice after splice, %g, test\nmost wires in a splice, 4, test\n", reach, splice, o.link)
	for v := range n {
		near := math.Inf(1)
		for _, p := range o.ports {
			near = min(near, o.dist[v][p])
		}
		o.site = append(o.site, splice+3*max(0, reach-near))
	}
	return b.String(), o
}

// TestAgainstEveryTree: on looms without loops the stage finds the least in 49
// of 50 cases; it misses some where several devices sit at one place within a
// splice's reach. Where legs form loops the tree is chosen before the points,
// so more is missed. What it says can't be beaten, nothing beats.
func TestAgainstEveryTree(t *testing.T) {
	most, gap := map[bool]int{false: 8, true: 40}, map[bool]float64{false: 0.07, true: 0.30}
	for _, loops := range []bool{false, true} {
		worse, worst, cases := 0, 0.0, 0
		d := dice(42)
		for range 400 {
			text, o := randomCar(&d, loops)
			c := small.Text(t, text)
			r := run(t, &c)[0]
			got := r.Cost * 1e3
			best := o.best()
			cases++
			if got < best-1e-6 {
				t.Fatalf("got %g mm, below the least possible %g:\n%s\n%s", got, best, text, show(&c, &r))
			}
			if r.Bound*1e3 > best+1e-6 {
				t.Fatalf("the bound %g mm is above the least possible %g:\n%s", r.Bound*1e3, best, text)
			}
			if got > best+1e-6 {
				worse++
				worst = max(worst, got/best-1)
			}
		}
		t.Logf("loops %v: %d of %d not the least, worst %.1f %%", loops, worse, cases, worst*100)
		if worse > most[loops] || worst > gap[loops] {
			t.Errorf("loops %v: at most %d of %d, and %g %%, may cost more than the least", loops, most[loops], cases, gap[loops]*100)
		}
	}
}
