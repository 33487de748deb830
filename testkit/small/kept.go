package small

import (
	"fmt"
	"slices"
	"strings"

	"keyon/model/plan"
	"keyon/model/settle"
)

// Kept writes the rows that keep routes and, where x is given, connectors,
// keys, sockets and cavities.
func Kept(c *Car, r *plan.Routes, x *plan.Cavities) string {
	var b strings.Builder
	b.WriteString("-- kept.csv --\nkind, thing, field, value\n")
	for i := range r.List {
		o, key := &r.List[i], c.T.Circuits[r.List[i].Circuit].Key()
		if o.Open {
			continue
		}
		var legs, joins, points []string
		for _, l := range o.Legs {
			legs = append(legs, string(c.T.Legs[l].ID))
		}
		for _, j := range o.Joins {
			joins = append(joins, string(c.T.Joins[j].ID))
		}
		for n := range o.Points {
			points = append(points, o.Points[n].Kind+"@"+string(c.T.Places[o.Points[n].Place].ID))
		}
		slices.Sort(legs)
		slices.Sort(joins)
		slices.Sort(points)
		fmt.Fprintf(&b, "circuit, %s, legs, %s | %s\n", key, strings.Join(legs, " "), strings.Join(joins, " "))
		if len(points) > 0 {
			fmt.Fprintf(&b, "circuit, %s, points, %s\n", key, strings.Join(points, " "))
		}
	}
	if x == nil {
		return b.String()
	}
	for i := range x.Joins {
		for field, v := range map[string]settle.Value[string]{"part": x.Joins[i].Part, "key": x.Joins[i].Key, "sockets": x.Joins[i].Sockets} {
			if v.Settled() {
				fmt.Fprintf(&b, "join, %s, %s, %s\n", c.T.Joins[i].ID, field, v.Value)
			}
		}
	}
	for _, k := range x.Crossings {
		if k.Cavity.Settled() {
			fmt.Fprintf(&b, "crossing, %s/%s/%d, cavity, %s\n", c.T.Joins[k.Join].ID, c.T.Circuits[k.Circuit].Key(), k.N, k.Cavity.Value)
		}
	}
	return b.String()
}
