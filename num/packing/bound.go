package packing

import "math"

// proven lists ratios container / circle of optimal packings of n equal
// circles, n = 2..14 and 19, rounded down. Proofs: Graham 1968 and Pirl 1969 to
// n = 10, Melissen 1994 for 11 (memory); Fodor 1999, 2000, 2003 for 19, 12, 13;
// Ekanayake and LaFountain for 14 (memory). The value for 10 is a root of OEIS
// A281115.
var proven = map[int]float64{
	2:  2,
	3:  1 + 2/math.Sqrt(3),
	4:  1 + math.Sqrt2,
	5:  1 + math.Sqrt(2*(1+1/math.Sqrt(5))),
	6:  3,
	7:  3,
	8:  1 + 1/math.Sin(math.Pi/7),
	9:  1 + 1/math.Sin(math.Pi/8),
	10: 3.8130256313981,
	11: 1 + 1/math.Sin(math.Pi/9),
	12: 4.0296019301161,
	13: 2 + math.Sqrt(5),
	14: 4.3284285548608,
	19: 1 + math.Sqrt2 + math.Sqrt(6),
}

// lowerBound returns a diameter that no container of circles of diameter d,
// widest first, can be narrower than: the greatest of
//
//   - sqrt(sum d²), the area;
//   - the exact container of the three widest;
//   - for the k widest, all at least d[k-1]: the proven ratio for k equal
//     circles, or the inequality of Groemer 1960 and Oler 1961 (memory) for k
//     points at least one diameter apart in the circle of their centres,
//     k <= π/(2√3)·t² + π/2·t + 1 with t = (D - d)/d.
func lowerBound(d []float64) float64 {
	area := 0.0
	low := d[0]
	for i, v := range d {
		area += v * v
		k := i + 1
		if ratio, ok := proven[k]; ok {
			low = max(low, ratio*v)
		} else if k > 14 {
			a := math.Pi / (2 * math.Sqrt(3))
			t := (math.Sqrt(math.Pi*math.Pi/4+4*a*float64(k-1)) - math.Pi/2) / (2 * a)
			low = max(low, v*(1+t))
		}
	}
	low = max(low, math.Sqrt(area))
	if len(d) >= 2 {
		low = max(low, d[0]+d[1])
	}
	if len(d) >= 3 {
		low = max(low, 2*around3(d[0]/2, d[1]/2, d[2]/2))
	}
	return low * (1 - 1e-12) // roundings never lift it above an exact packing
}

// around3 returns the radius of the smallest circle round three circles of
// radius a >= b >= c: either c fits beside the other two in the circle that
// spans them, or the three touch one another and the container (Descartes:
// 1/R = 2·sqrt(1/ab + 1/bc + 1/ca) - 1/a - 1/b - 1/c).
func around3(a, b, c float64) float64 {
	if c <= a*b*(a+b)/(a*a+a*b+b*b) {
		return a + b
	}
	return 1 / (2*math.Sqrt(1/(a*b)+1/(b*c)+1/(c*a)) - 1/a - 1/b - 1/c)
}
