package draw

import (
	"math"
	"slices"
	"testing"

	"keyon/format/page"
	"keyon/model/buy"
	"keyon/model/part"
)

// TestKeys: the minor keys of shell 9, position N, stand at 105, 140, 215 and
// 265 degrees from the main key, anticlockwise when one looks into the
// receptacle (MIL-DTL-38999N fig. 6). From behind that turns round: a plug is
// seen as one looks into its receptacle, a receptacle the other way. Of a half
// that may be either nothing is drawn but the main key.
func TestKeys(t *testing.T) {
	c := part.Embedded()
	for _, x := range []struct {
		what string
		k    buy.Connector
		want []float64 // degrees, anticlockwise on the paper from the top
	}{
		{"plug", buy.Connector{Free: true}, []float64{0, 105, 140, 215, 265}},
		{"mounted half", buy.Connector{Fixed: true}, []float64{0, 95, 145, 220, 255}},
		{"either half", buy.Connector{}, []float64{0}},
	} {
		x.k.Part, x.k.Key, x.k.Gender = c.Connectors["38999-9-98S"], "N", "socket"
		d, _ := Face(&x.k, 60)
		var got []float64
		for _, m := range d.Marks {
			p, ok := m.(page.Polygon)
			if !ok {
				continue
			}
			tip := p.Points[2]
			a := math.Atan2(30-tip.X, 30-tip.Y) * 180 / math.Pi
			got = append(got, math.Mod(math.Round(a)+360, 360))
		}
		slices.Sort(got)
		if !slices.Equal(got, x.want) {
			t.Errorf("%s: keys at %v, want %v", x.what, got, x.want)
		}
	}
}
