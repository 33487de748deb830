package draw

import (
	"fmt"

	"keyon/format/page"
	"keyon/model/ring"
	"keyon/num/quantity"
)

// ringOut is the sheet for measuring every path of a loom end to end.
func (k *Car) ringOut(loom int) Paper {
	p := Paper{Title: "Ring-out sheet", For: "prove every path before the loom meets the car", Wide: true}
	t := table{id: "ring", name: "Ring-out", tick: true, cols: []page.Column{{Head: "Circuit", Weight: 2}, {Head: "From", Weight: 2}, {Head: "To", Weight: 2}, {Head: "Over wires", Weight: 1}, {Head: "Method"}, {Head: "Should read", Weight: 2}, {Head: "Reads", Width: 22}}}
	paths := ring.Paths(k.c, k.p, k.looms[loom].Wires)
	for i := range paths {
		x := &paths[i]
		var over []string
		for _, w := range x.Wires {
			over = append(over, k.wireNumber(w))
		}
		t.add("", txt(k.t.Circuits[x.Circuit].Name), txt(k.endName(x.From)), txt(k.endName(x.To)), txt(joined(over)), txt(x.Method.String()), txt(x.Reads()), cell{})
	}
	p.table(&t,
		page.Note{Kind: page.Caution, Text: "Loom off the car, or battery isolated and every device unplugged. After the paths look for shorts: each path against all others and against every screen stays silent."},
		page.List{Sign: page.Bullet, Items: []string{
			"Beep: there is copper, no more.",
			"Two-wire, zeroed: hold the leads together first and take that reading off. Read to 0.1 Ω.",
			fmt.Sprintf("Lamp load: a 21 W lamp on a 12 V battery through the path, %s A. Read the volts across the path.", quantity.Text(ring.LampAmps, 2)),
			"Four-wire: current and sense leads clipped to the contact itself. Read to 1 mΩ.",
			"Limits are a fifth above wire at 20 °C, at its greatest, with half of each end's contact; rounded up to what the method reads.",
		}})
	return p
}
