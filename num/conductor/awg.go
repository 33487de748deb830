package conductor

import (
	"math"
	"strconv"
	"strings"
)

// GaugeNumber reads an American wire gauge: "20" is 20, "0" is 0, "00" or
// "2/0" is -1, to "0000" or "4/0", -3. Above 40 the standard has no sizes.
func GaugeNumber(gauge string) (n int, ok bool) {
	if z, found := strings.CutSuffix(gauge, "/0"); found {
		if len(z) == 1 && z[0] >= '1' && z[0] <= '4' {
			return 1 - int(z[0]-'0'), true
		}
		return 0, false
	}
	if gauge != "" && strings.Trim(gauge, "0") == "" && len(gauge) <= 4 {
		return 1 - len(gauge), true
	}
	n, err := strconv.Atoi(gauge)
	if err != nil || n < 1 || n > 40 || gauge[0] < '1' || gauge[0] > '9' {
		return 0, false
	}
	return n, true
}

// GaugeDiameter is the diameter in m of a solid round wire of AWG number n:
//
//	d = 0.127 mm · 92^((36-n)/39)
//
// ASTM B258 (seen). The standard rounds to four figures; this doesn't.
func GaugeDiameter(n int) float64 {
	return 0.127e-3 * math.Pow(92, float64(36-n)/39)
}

// GaugeArea is the area in m² of a solid round wire of AWG number n. The
// stranded conductor of the same number has another area.
func GaugeArea(n int) float64 {
	d := GaugeDiameter(n)
	return math.Pi / 4 * d * d
}
