package split_test

import (
	"fmt"
	"testing"

	"keyon/testkit/small"
)

// A sensor added to a frozen car changes nothing of another circuit: no leg,
// no splice, no cavity, no wire's identity.
func TestAddToFrozen(t *testing.T) {
	text := small.Long(3)
	before := over(small.Text(t, text))
	frozen := text + small.Kept(&before.Car, &before.R, &before.X)
	after := over(small.Text(t, frozen+`
-- devices.csv --
device, part, place
new, box, D1.4
-- circuits.csv --
circuit, from device, from pin, to device, to pin, class
AAA1, new, 1, d0.3, 98, signal
AAA2, new, 2, d0.3, 99, sensor return
AAA3, new, 3, G1, , ground
V0.0, d0.0, 1, new, 4, sensor supply
`))
	old, now := before.wires(), after.wires()
	lost := 0
	for id, w := range old {
		if now[id] == w {
			continue
		}
		if lost++; lost < 10 {
			t.Errorf("%s: was %s, is %q", id, w, now[id])
		}
	}
	if len(now) <= len(old) {
		t.Errorf("%d wires, were %d", len(now), len(old))
	}
}

// wires are all wires but those of the circuit that gets a further end, by ID.
func (p *planned) wires() map[string]string {
	out := map[string]string{}
	for i := range p.W.List {
		w := &p.W.List[i]
		if name := p.T.Circuits[w.Circuit].Name; name != "V0.0" {
			s := fmt.Sprint(name, " ", p.end(&w.From), " ", p.end(&w.To), " ", p.Legs(w.Legs))
			if w.To.Crossing >= 0 {
				s += " " + p.X.Crossings[w.To.Crossing].Cavity.Value
			}
			out[w.ID] = s
		}
	}
	return out
}
