package conductor

// Other schemes of current capacity, for the column beside ours. None of them
// sizes a wire.

type sized struct {
	number int // AWG
	amps   float64
}

func lookUp(table []sized, gauge string) (amps float64, ok bool) {
	n, ok := GaugeNumber(gauge)
	if !ok {
		return 0, false
	}
	for _, row := range table {
		if row.number == n {
			return row.amps, true
		}
	}
	return 0, false
}

// A counted factor holds for up to that many wires.
type counted struct {
	most   int
	factor float64
}

func forCount(table []counted, n int) float64 {
	for _, row := range table {
		if n <= row.most {
			return row.factor
		}
	}
	return table[len(table)-1].factor
}

var (
	// ABYC E-11, wire rated 105 °C, 30 °C air; cableyutai.com.tw/tech-02.htm (seen).
	abycAmps = []sized{{18, 20}, {16, 25}, {14, 35}, {12, 45}, {10, 60}, {8, 80}, {6, 120}, {4, 160}, {2, 210},
		{1, 245}, {0, 285}, {-1, 330}, {-2, 385}, {-3, 445}}
	abycCount = []counted{{2, 1}, {3, 0.7}, {6, 0.6}, {24, 0.5}, {25, 0.4}} // bluesea.com/resources/529 (seen)

	// MIL-STD-975M App. A 3.16: 70 °C, hard vacuum, 200 °C insulation, as transcribed
	// in a public program (seen).
	mil975Amps = []sized{{30, 1.3}, {28, 1.8}, {26, 2.5}, {24, 3.3}, {22, 4.5}, {20, 6.5}, {18, 9.2}, {16, 13}, {14, 19},
		{12, 25}, {10, 33}, {8, 44}, {6, 60}, {4, 81}, {2, 108}, {0, 147}, {-1, 169}}

	// NEC Table 310.16, copper, up to 3 conductors, 30 °C, and 310.15(B)(3)(a), as
	// copied in public programs (seen).
	nec75 = []sized{{14, 20}, {12, 25}, {10, 35}, {8, 50}, {6, 65}, {4, 85}, {2, 115}, {1, 130}, {0, 150}, {-1, 175},
		{-2, 200}, {-3, 230}}
	nec90 = []sized{{18, 14}, {16, 18}, {14, 25}, {12, 30}, {10, 40}, {8, 55}, {6, 75}, {4, 95}, {2, 130}, {1, 150},
		{0, 170}, {-1, 195}, {-2, 225}, {-3, 260}}
	necCount = []counted{{3, 1}, {6, 0.8}, {9, 0.7}, {20, 0.5}, {30, 0.45}, {40, 0.4}, {41, 0.35}}
)

// ABYC is the current of ABYC E-11 for 105 °C wire, n of them bundled, in 30 °C air
// or, inside an engine space, 50 °C (factor 0.85).
func ABYC(gauge string, n int, engineSpace bool) (amps float64, ok bool) {
	amps, ok = lookUp(abycAmps, gauge)
	amps *= forCount(abycCount, n)
	if engineSpace {
		amps *= 0.85
	}
	return amps, ok
}

// MIL975 is the current of MIL-STD-975M App. A 3.16 at 70 °C in vacuum for n wires
// in a bundle: single-wire current · F_N · F_insulation, with
//
//	F_N = (29 - N)/28 for 2 to 15, 0.5 above
//
// and F_insulation 1, 0.8, 0.7, 0.5 for 200, 150, 135, 105 °C; between them the
// lower, below 105 °C not ok.
func MIL975(gauge string, n int, insulation float64) (amps float64, ok bool) {
	amps, ok = lookUp(mil975Amps, gauge)
	switch {
	case n > 15:
		amps *= 0.5
	case n > 1:
		amps *= float64(29-n) / 28
	}
	switch {
	case insulation >= 200:
		return amps, ok
	case insulation >= 150:
		return amps * 0.8, ok
	case insulation >= 135:
		return amps * 0.7, ok
	case insulation >= 105:
		return amps * 0.5, ok
	}
	return 0, false
}

// NEC is the current of NEC Table 310.16 at 30 °C for n conductors together, in the
// column for 75 or 90 °C wire; not ok below 75 °C.
func NEC(gauge string, n int, insulation float64) (amps float64, ok bool) {
	table := nec90
	switch {
	case !(insulation >= 75):
		return 0, false
	case insulation < 90:
		table = nec75
	}
	amps, ok = lookUp(table, gauge)
	return amps * forCount(necCount, n), ok
}
