package conductor

import "math"

// bundleFactor[n-1][i] is the factor for n wires at 20, 40, 60, 80, 100 % loading.
// MIL-W-5088L Fig. 4 (FAA AC 43.13-1B Fig. 11-5), third-party reading, ±0.01 (seen).
var bundleFactor = [19][5]float64{
	{1, 1, 1, 1, 1},
	{0.9675, 0.92, 0.91, 0.87, 0.825},
	{0.935, 0.855, 0.815, 0.77, 0.725},
	{0.9075, 0.805, 0.75, 0.705, 0.66},
	{0.875, 0.76, 0.695, 0.65, 0.61},
	{0.85, 0.725, 0.655, 0.605, 0.5725},
	{0.82, 0.695, 0.625, 0.57, 0.54},
	{0.795, 0.6675, 0.595, 0.5425, 0.5125},
	{0.775, 0.645, 0.575, 0.52, 0.485},
	{0.755, 0.6225, 0.55, 0.5, 0.465},
	{0.735, 0.6, 0.53, 0.48, 0.445},
	{0.715, 0.585, 0.515, 0.465, 0.43},
	{0.6975, 0.5675, 0.495, 0.4475, 0.415},
	{0.685, 0.5525, 0.48, 0.435, 0.3975},
	{0.67, 0.54, 0.465, 0.42, 0.385},
	{0.6575, 0.5275, 0.455, 0.41, 0.37},
	{0.645, 0.515, 0.4425, 0.3975, 0.36},
	{0.635, 0.505, 0.4325, 0.3875, 0.35},
	{0.625, 0.495, 0.4225, 0.38, 0.3425},
}

// bundleFall is the exponent m of F(N) = F(19)·(N/19)^-m above 19 wires, one a
// curve. At 20 % it goes through 0.615 at 20 wires (the same reading, seen) and
// 0.52 at 33, the factor that makes FAA AC 43.13-1B Table 11-9 sizes 24 to 10
// follow from the free-air chart (computed); the others go through 10 and 19
// wires of their own curve (computed).
var bundleFall = [5]float64{0.333, 0.357, 0.411, 0.428, 0.476}

// Bundle is the factor on the free-air current of each wire in a bundle of n
// at the loading 0 to 1, the share of the bundle's capacity in use:
// MIL-W-5088L Fig. 4, straight between its curves of 20 to 100 %. Below 20 %
// the 20 % curve stands. A wire alone, or n < 1, has factor 1.
//
// Above 19 wires the curve is carried on as a power of n. Only the 20 % curve has
// points there, at 20 and 33 wires, so a factor from any higher curve, or for
// more than 33 wires, is extrapolated. A loading above 1 or NaN gives NaN.
func Bundle(n int, loading float64) (factor float64, extrapolated bool) {
	if !(loading <= 1) {
		return math.NaN(), false
	}
	if n <= 1 {
		return 1, false
	}
	x := max(loading*5-1, 0)
	i := min(int(x), 3)
	f := x - float64(i)
	return curve(n, i)*(1-f) + curve(n, i+1)*f, n > 33 || n > 19 && x > 0
}

func curve(n, i int) float64 {
	if n <= 19 {
		return bundleFactor[n-1][i]
	}
	return bundleFactor[18][i] * math.Pow(float64(n)/19, -bundleFall[i])
}

// Altitude is the factor on the current for thinner air at the height in m:
//
//	F = 1 - 0.005·h + 2.5e-5·h²      h in 1000 ft
//
// through 1 at sea level, 0.91 at 20,000 ft (FAA AC 43.13-1B p. 11-27, seen) and
// 0.79 at 60,000 ft (from Table 11-9, computed). Below sea level 1; NaN above
// 60,000 ft, 18,288 m.
func Altitude(height float64) float64 {
	h := height / (1000 * Foot)
	switch {
	case !(h <= 60):
		return math.NaN()
	case h <= 0:
		return 1
	}
	return 1 - 0.005*h + 2.5e-5*h*h
}

// Capacity is the continuous current of a wire in its bundle:
//
//	I = I_free · F_bundle(n, loading) · F_altitude
//
// free is its free-air current in A, height in m. FAA AC 43.13-1B 11-66 to 11-69.
func Capacity(free float64, n int, loading, height float64) (amps float64, extrapolated bool, err error) {
	err = inRange("current capacity",
		limit{"free-air current, A", free, 0, 1e5},
		limit{"loading", loading, 0, 1},
		limit{"altitude, m", height, -500, 60000 * Foot})
	if err != nil {
		return 0, false, err
	}
	f, extrapolated := Bundle(n, loading)
	return free * f * Altitude(height), extrapolated, nil
}

// A Share is one wire of a bundle: what it could carry alone and what it carries.
type Share struct {
	Free float64 // A in free air
	Amps float64 // A carried
}

// A Loading says how hard a bundle is worked.
type Loading struct {
	Step         float64 // 0.2, 0.4 … 1: the loading the factor was taken at
	Factor       float64 // bundle factor times altitude factor
	Sum          float64 // A carried by all wires
	Capacity     float64 // A all wires could carry, each at Factor
	Over         []int   // wires above their own capacity, by place in the list
	OK           bool    // Sum ≤ Step·Capacity and Over is empty
	Extrapolated bool    // the factor is beyond the chart
}

// Load finds the loading of a bundle: the smallest step p of 20, 40 … 100 % with
//
//	ΣI ≤ p · Σ(I_free · F_bundle(N, p) · F_altitude)
//
// and judges each wire against its own current at that factor. A higher step
// only lowers the wires' own capacity, so the first that holds the sum is the
// kindest. If none does, the step is 100 % and the answer not OK. FAA AC 43.13-1B
// 11-69; that p caps the sum is from memory.
//
// Wires that carry next to nothing count in N.
func Load(wires []Share, height float64) (Loading, error) {
	var l Loading
	free := 0.0
	for _, w := range wires {
		err := inRange("bundle loading",
			limit{"free-air current, A", w.Free, 0, 1e5},
			limit{"current, A", w.Amps, 0, 1e5})
		if err != nil {
			return Loading{}, err
		}
		free += w.Free
		l.Sum += w.Amps
	}
	if err := inRange("bundle loading", limit{"altitude, m", height, -500, 60000 * Foot}); err != nil {
		return Loading{}, err
	}
	for step := 1; step <= 5; step++ {
		l.Step = float64(step) / 5
		l.Factor, l.Extrapolated = Bundle(len(wires), l.Step)
		l.Factor *= Altitude(height)
		l.Capacity = free * l.Factor
		if l.OK = l.Sum <= l.Step*l.Capacity; l.OK {
			break
		}
	}
	for i, w := range wires {
		if w.Amps > w.Free*l.Factor {
			l.Over = append(l.Over, i)
			l.OK = false
		}
	}
	return l, nil
}
