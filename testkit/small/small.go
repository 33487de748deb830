// Package small makes the smallest cars that show something: tables written
// as text, resolved, with the pins as they stand there. It spares tests of a
// stage from going through assign, which is judged elsewhere.
package small

import (
	"slices"
	"testing"

	"keyon/model/design"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/model/settle"
	"keyon/stage/resolve"
	"keyon/testkit/fixture"
)

// Car is a resolved car with all ends settled.
type Car struct {
	Book *design.Book
	D    *design.Design
	C    part.Catalogue
	T    plan.Things
	E    plan.Ends
}

// Text reads a car from a fixture's text.
func Text(t testing.TB, text string) Car {
	t.Helper()
	c := fixture.Text(t, text)
	return Book(t, c.Book, c.Catalogue)
}

// Book reads a car from its tables.
func Book(t testing.TB, b *design.Book, c part.Catalogue) Car {
	t.Helper()
	car := Car{Book: b, D: design.Read(b), C: c}
	car.T, _ = resolve.Run(car.D, c)
	car.E = Ends(&car.T)
	return car
}

// Ends settles every declared end whose pin is given.
func Ends(t *plan.Things) plan.Ends {
	var e plan.Ends
	e.Of = make([][]int, len(t.Circuits))
	for c := range t.Circuits {
		for _, x := range t.Circuits[c].Ends {
			end := plan.End{ID: x.ID, Circuit: c, Row: x.Row, Device: x.Device, Stud: x.Stud, Feed: x.Feed, PinIndex: -1, Connector: -1, Place: -1}
			switch {
			case x.Stud >= 0:
				s := &t.Studs[x.Stud]
				end.Place, end.Pin = s.Place, settle.Value[string]{Value: s.Name, Origin: settle.FromUser}
			case x.Device >= 0 && x.Pin.Is() && t.Devices[x.Device].Part != nil:
				d := &t.Devices[x.Device]
				end.PinIndex = slices.IndexFunc(d.Part.Pins, func(p part.Pin) bool { return p.Name == x.Pin.Value })
				if end.PinIndex < 0 {
					break
				}
				p := &d.Part.Pins[end.PinIndex]
				end.Pin, end.Place, end.Role, end.Cavity = settle.Value[string]{Value: p.Name, Origin: settle.FromUser}, d.Place, p.Role, p.Cavity
				end.Connector = slices.IndexFunc(d.Connectors, func(k plan.Connector) bool { return k.Name == p.Connector })
				if end.Connector >= 0 {
					if q := d.Connectors[end.Connector].Place; q >= 0 {
						end.Place = q
					}
				}
			}
			e.Of[c] = append(e.Of[c], len(e.List))
			e.List = append(e.List, end)
		}
	}
	return e
}

// Circuit finds a circuit's index.
func (c *Car) Circuit(t testing.TB, name string) int {
	t.Helper()
	i, ok := c.T.CircuitOf[name]
	if !ok {
		t.Fatalf("no circuit %s", name)
	}
	return i
}

// Legs are the names of legs.
func (c *Car) Legs(legs []int) []string {
	out := []string{}
	for _, l := range legs {
		out = append(out, c.T.Legs[l].Name)
	}
	return out
}
