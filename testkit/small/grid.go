package small

import (
	"fmt"
	"strings"
)

// Long is the text of a car of any length, for measuring growth: sections of
// ten devices on a trunk, joined by bulkhead connectors, with about a hundred
// wires each.
func Long(sections int) string {
	var places, legs, devices, joins, studs, circuits strings.Builder
	for s := range sections {
		for i := range 10 {
			fmt.Fprintf(&places, "T%d.%d, %d, 0, 0\nD%d.%d, %d, 300, 0\n", s, i, (s*11+i)*400, s, i, (s*11+i)*400)
			if i > 0 {
				fmt.Fprintf(&legs, "T%d.%d, T%d.%d, 400\n", s, i-1, s, i)
			}
			fmt.Fprintf(&legs, "T%d.%d, D%d.%d, 500\n", s, i, s, i)
			fmt.Fprintf(&devices, "d%d.%d, box, D%d.%d\n", s, i, s, i)
		}
		fmt.Fprintf(&studs, "G%d, T%d.5, ground, 4\n", s, s)
		if s > 0 {
			fmt.Fprintf(&joins, "J%d, bulkhead, T%d.9, T%d.0\n", s, s-1, s)
		}
		pin := make([]int, 10)
		next := func(i int) int { pin[i]++; return pin[i] }
		row := func(name string, a, b int, class, twist string) {
			fmt.Fprintf(&circuits, "%s, d%d.%d, %d, d%d.%d, %d, %s, %s\n", name, s, a, next(a), s, b, next(b), class, twist)
		}
		for k := range 50 {
			class, twist := "signal", ""
			if k%5 == 0 {
				class = "low-level"
			}
			if k%10 < 2 {
				twist = fmt.Sprintf("K%d.%d", s, k/10)
			}
			row(fmt.Sprintf("S%d.%d", s, k), k%10, (k+1+k/10)%10, class, twist)
		}
		for k := range 2 {
			p := next(0)
			for i := 1 + k; i < 9; i += 2 {
				fmt.Fprintf(&circuits, "V%d.%d, d%d.0, %d, d%d.%d, %d, sensor supply,\n", s, k, s, p, s, i, next(i))
			}
		}
		for i := range 4 {
			fmt.Fprintf(&circuits, "N%d, d%d.%d, %d, G%d, , ground,\n", s, s, 2*i, next(2*i), s)
		}
		if s > 0 {
			for k := range 10 {
				fmt.Fprintf(&circuits, "X%d.%d, d%d.%d, %d, d%d.%d, %d, signal,\n", s, k, s-1, k, 90+k, s, k, 80+k)
			}
		}
	}
	var pins strings.Builder
	for i := range 100 {
		fmt.Fprintf(&pins, "box, %d\n", i+1)
	}
	return "-- parts.csv --\npart, kind, connector\nbox, device, 38999-25-35S\n-- pins.csv --\npart, pin\n" + pins.String() +
		"-- places.csv --\nplace, x, y, z\n" + places.String() + "-- legs.csv --\nfrom, to, length\n" + legs.String() +
		"-- devices.csv --\ndevice, part, place\n" + devices.String() + "-- joins.csv --\njoin, kind, place a, place b\n" + joins.String() +
		"-- studs.csv --\nstud, place, use, most lugs\n" + studs.String() + "-- circuits.csv --\ncircuit, from device, from pin, to device, to pin, class, twist\n" + circuits.String()
}
