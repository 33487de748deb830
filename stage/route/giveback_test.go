package route_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"keyon/model/plan"
	"keyon/stage/route"
	"keyon/testkit/small"
)

// Giving back, or keeping, every worked-out leg and splice changes nothing but
// where it is said to come from.
func TestGivingBack(t *testing.T) {
	texts := []string{small.Long(3), parts + comb + `
-- circuits.csv --
circuit, from device, from pin, to device, to pin, class
X, da, 1, db, 1, data
X, da, 1, dc, 1, data
X, da, 1, dd, 1, data
X, da, 1, de, 1, data
`}
	d := dice(7)
	for i := range 60 {
		text, _ := randomCar(&d, i%2 == 0)
		texts = append(texts, text)
	}
	for n, text := range texts {
		c := small.Text(t, text)
		first, _ := route.Run(c.D, c.T, c.E, plan.Guess{})
		for _, how := range []string{"given", "kept"} {
			c := small.Text(t, text+back(&c, &first, how))
			second, vs := route.Run(c.D, c.T, c.E, plan.Guess{})
			for _, v := range vs {
				t.Errorf("car %d, %s: %s", n, how, v.What)
			}
			for i := range first.List {
				a, b := first.List[i], second.List[i]
				b.Origin, b.Reason = a.Origin, a.Reason
				b.Points = slices.Clone(b.Points)
				for k := range b.Points {
					b.Points[k].Origin = a.Points[k].Origin
				}
				if t.Failed() {
					return
				}
				same(t, fmt.Sprintf("car %d, %s, %s", n, how, c.T.Circuits[i].Name), a, b)
			}
		}
	}
}

// back writes the rows that give, or keep, what was worked out.
func back(c *small.Car, r *plan.Routes, how string) string {
	if how == "kept" {
		return small.Kept(c, r, nil)
	}
	var routes, splices strings.Builder
	for i := range r.List {
		x, k := &r.List[i], &c.T.Circuits[r.List[i].Circuit]
		for _, l := range x.Legs {
			leg := &c.T.Legs[l]
			fmt.Fprintf(&routes, "%s, %s, %s\n", k.Name, c.T.Places[leg.From].Name, c.T.Places[leg.To].Name)
		}
		for n := range x.Points {
			p := &x.Points[n]
			if p.Kind == "splice" && !slices.ContainsFunc(x.Points[:n], func(q plan.Point) bool { return q.Kind == "splice" && q.Place == p.Place }) {
				fmt.Fprintf(&splices, "%s, %s\n", k.Name, c.T.Places[p.Place].Name)
			}
		}
	}
	return "-- routes.csv --\ncircuit, from, to\n" + routes.String() + "-- splices.csv --\ncircuit, place\n" + splices.String()
}
