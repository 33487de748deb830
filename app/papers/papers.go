// Package papers writes a car's document sets: a pack for each loom as PDF
// and workbook with a label file, and the tuner's pack. A set is complete or
// absent: it is written beside its place and moved there at the end.
package papers

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"keyon/app/open"
	"keyon/draw"
	"keyon/format/page"
	"keyon/model/fault"
	"keyon/model/plan"
)

// Origin is what stands in the title block as maker.
const Origin = "keyon 0.1"

// Options say what to write.
type Options struct {
	Dir   string
	Looms []string // names; none: all, and the tuner's pack
	Paper string   // A4 or letter; blank: as the car says
	Date  string   // as printed
	Over  bool     // replace a set that is there
}

// Set makes the packs without writing them.
func Set(car *open.Car, p *plan.Plan, o Options) ([]draw.Pack, error) {
	size := page.A4
	paper := o.Paper
	if paper == "" {
		paper = car.Design.Car.Paper
	}
	switch strings.ToLower(paper) {
	case "", "a4":
	case "letter":
		size = page.Letter
	default:
		return nil, fault.New(fault.Usage, "write A4 or letter", fmt.Errorf("--paper %s is no paper size", paper))
	}
	c, _ := car.Catalogue.With(car.Design)
	k := draw.New(car.Design, c, p, draw.Options{Size: size, Date: o.Date, Origin: Origin})
	var packs []draw.Pack
	for _, l := range k.Looms() {
		if name := p.Things.Looms[l].Name; len(o.Looms) == 0 || slices.Contains(o.Looms, name) {
			packs = append(packs, k.Loom(l))
		}
	}
	for _, want := range o.Looms {
		if !slices.ContainsFunc(packs, func(x draw.Pack) bool { return x.Name == want }) {
			return nil, fault.New(fault.NotFound, "the car's looms: "+loomNames(p), fmt.Errorf("no loom is called %q", want))
		}
	}
	if len(o.Looms) == 0 {
		if t := k.Tuner(); len(t.Document.Pages) > 0 {
			packs = append(packs, t)
		}
	}
	if len(packs) == 0 {
		return nil, fault.New(fault.Invalid, "add legs between places, and circuits", errors.New("the car has no loom to write papers for"))
	}
	return packs, nil
}

func loomNames(p *plan.Plan) string {
	var names []string
	for i := range p.Things.Looms {
		names = append(names, p.Things.Looms[i].Name)
	}
	return strings.Join(names, ", ")
}
