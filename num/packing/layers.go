package packing

import "math"

// TakeUp is the length of a wire over the length of bundle it lies in, on a
// helix of mean diameter pitch with lay length lay (one full turn):
// sqrt(1 + (π·pitch/lay)²). A straight wire has lay +Inf and take-up 1.
func TakeUp(pitch, lay float64) float64 { return math.Hypot(1, math.Pi*pitch/lay) }

// LayAngle is the angle between a wire so laid and the axis, in radians.
func LayAngle(pitch, lay float64) float64 { return math.Atan(math.Pi * pitch / lay) }

// spacing is the least angle, seen along the axis, between two wires on
// helices of radius a and b about one axis with the same lay and hand, so that
// their centre lines stay apart by the given distance; +Inf where they cannot.
//
// At angle α the square of the distance between points that are u apart in
// angle is a² + b² - 2ab·cos u + h²(α-u)², h = lay/2π. It is least where
// ab·sin u = h²(α-u); that and distance² = apart² give a quadratic in cos u.
// For α up to π there is one such point, and any pair further round is further
// apart, so neighbours decide for equal wires.
func spacing(a, b, apart, lay float64) float64 {
	if a+b < apart*(1-1e-12) {
		return math.Inf(1)
	}
	if math.Abs(a-b) >= apart {
		return 0
	}
	h := lay / (2 * math.Pi)
	k := a * b / (h * h)
	q := (a*a+b*b-apart*apart)/(a*b) + k
	cos := q / (1 + math.Sqrt(max(1+k*q, 0)))
	u := math.Acos(min(max(cos, -1), 1))
	return u + k*math.Sin(u)
}

// closing is the angle by which n equal wires may exceed a full turn before
// they count as too many: six round an equal core fit exactly when straight.
const closing = 1e-9

// HelixRadius is the least radius of the centre lines of n equal wires of
// diameter d, laid side by side in one layer, that keeps them from
// overlapping. It is zero for one wire, d/(2·sin(π/n)) where lay is +Inf, and
// +Inf where n·d is lay or more, as no radius makes room then.
func HelixRadius(n int, d, lay float64) float64 {
	if n < 2 {
		return 0
	}
	if float64(n)*d >= lay {
		return math.Inf(1)
	}
	each := 2 * math.Pi / float64(n)
	return leastFrom(d/(2*math.Sin(math.Pi/float64(n))), func(radius float64) bool {
		return spacing(radius, radius, d, lay) <= each*(1+1e-13)
	})
}

// Capacity is how many wires of diameter d fit side by side on a rigid round
// core.
func Capacity(core, d, lay float64) int {
	each := spacing((core+d)/2, (core+d)/2, d, lay)
	if each > math.Pi+closing {
		return 1
	}
	return int((2*math.Pi + closing) / each)
}

// Seat lays wires of the given diameters, in order, side by side on a rigid
// round core, and returns the angle of each in radians from the first, spare
// room shared evenly. It reports false where they do not fit. Wires that are
// no neighbours are kept apart too, so a thin wire between thick ones costs
// what it must. Not every layer that could close is found: none is returned
// that overlaps.
func Seat(core float64, d []float64, lay float64) (angles []float64, fits bool) {
	n := len(d)
	need := func(i, j int) float64 {
		return spacing((core+d[i])/2, (core+d[j])/2, (d[i]+d[j])/2, lay)
	}
	angles = make([]float64, n)
	spare := 2 * math.Pi
	for j := 1; j < n; j++ {
		for i := range j {
			angles[j] = max(angles[j], angles[i]+need(i, j))
		}
	}
	for j := 1; j < n; j++ {
		for i := range j {
			spare = min(spare, angles[i]+2*math.Pi-angles[j]-need(i, j))
		}
	}
	if n > 1 && !(spare >= -closing) {
		return nil, false
	}
	for i := range angles {
		if n > 1 && spare > 0 {
			angles[i] += spare * float64(i) / float64(n)
		}
	}
	return angles, true
}

// LeastCore is the diameter of the thinnest round core on which Seat lays the
// wires; zero for fewer than two, +Inf where their diameters add up to lay or
// more. What lies inside is built up to it with fillers or tape.
func LeastCore(d []float64, lay float64) float64 {
	sum := 0.0
	for _, v := range d {
		sum += v
	}
	if len(d) < 2 {
		return 0
	}
	if sum >= lay {
		return math.Inf(1)
	}
	return leastFrom(0, func(core float64) bool {
		_, fits := Seat(core, d, lay)
		return fits
	})
}

// leastFrom is the least number from low on at which fits holds, to 1e-12 of
// itself and never below; fits stays true above it. It is +Inf where fits fails at every number it can tell apart.
func leastFrom(low float64, fits func(float64) bool) float64 {
	if fits(low) {
		return low
	}
	step := max(low, 1) / 64
	high := low + step
	for !fits(high) {
		low, step = high, 2*step
		high += step
		if math.IsInf(high, 1) {
			return high
		}
	}
	for high-low > 1e-12*high {
		if mid := low + (high-low)/2; fits(mid) {
			high = mid
		} else {
			low = mid
		}
	}
	return high
}

// Regular is the outer diameter, in wire diameters, of n equal straight wires
// laid up as cable makers do: a core of up to eight in a ring, with one wire in
// the middle where there is room, then layers that rest on what lies below.
// It also gives the wires per layer from the inside out; the last may be short
// of full. None have diameter zero.
func Regular(n int) (factor float64, layers []int) {
	if n < 1 {
		return 0, nil
	}
	// wide[m] is the least diameter of m wires, under[m] how many of them lie
	// under the last layer.
	wide, under := make([]float64, n+1), make([]int, n+1)
	wide[1] = 1
	for ring := 2; ring <= 8; ring++ {
		d := 1 + 1/math.Sin(math.Pi/float64(ring))
		for loose := range 2 {
			if m := ring + loose; m <= n && (loose == 0 || d >= 3) && (wide[m] == 0 || d < wide[m]-1e-9) {
				wide[m], under[m] = d, loose
			}
		}
	}
	core := 1
	for m := 6; m <= n; m++ {
		for core+Capacity(wide[core], 1, math.Inf(1)) < m {
			core++
		}
		if d := wide[core] + 2; wide[m] == 0 || d <= wide[m]+1e-9 {
			wide[m], under[m] = d, core
		}
	}
	for m := n; m > 0; m = under[m] {
		layers = append(layers, m-under[m])
	}
	for i, j := 0, len(layers)-1; i < j; i, j = i+1, j-1 {
		layers[i], layers[j] = layers[j], layers[i]
	}
	return wide[n], layers
}
