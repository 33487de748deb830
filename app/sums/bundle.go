package sums

import (
	"fmt"
	"strconv"
	"strings"

	"keyon/model/fault"
	"keyon/model/settle"
	"keyon/model/source"
	"keyon/num/packing"
	"keyon/num/quantity"
)

// BundleAnswer is how round wires lie closest together.
type BundleAnswer struct {
	Version    int            `json:"version"`
	DiameterMM float64        `json:"diameter_mm"`
	BoundMM    float64        `json:"bound_mm"` // no arrangement is smaller
	Circles    []BundleCircle `json:"circles"`
	Reasons    Reasons        `json:"reasons"`
}

// BundleCircle is one wire; the container's centre is at 0, 0.
type BundleCircle struct {
	X float64 `json:"x"`
	Y float64 `json:"y"`
	D float64 `json:"d"`
}

// mostWires bounds a question.
const mostWires = 1000

// Bundle packs wires given as diameters or counts of them: 2.1x7 1.4 0.9x12.
func Bundle(terms []string) (*BundleAnswer, error) {
	var d []float64
	for _, t := range terms {
		size, count := t, 1
		if i := strings.LastIndexAny(t, "xX×*"); i > 0 {
			n, err := strconv.Atoi(strings.TrimLeft(t[i:], "xX×*"))
			if err != nil || n < 1 || n > mostWires {
				return nil, fault.New(fault.Usage, "write diameters such as 2.1x7 1.4 0.9x12", fmt.Errorf("%q is no diameter and count", t))
			}
			size, count = t[:i], n
		}
		v, err := ask("diameter", size, quantity.LengthDim, "mm")
		if err != nil {
			return nil, err
		}
		if v <= 0 {
			return nil, fault.New(fault.Usage, "", fmt.Errorf("diameter %q must be above zero", size))
		}
		for range count {
			d = append(d, v*1e3)
		}
	}
	if len(d) == 0 || len(d) > mostWires {
		return nil, fault.New(fault.Usage, "", fmt.Errorf("%d wires: from 1 to %d can be packed", len(d), mostWires))
	}
	r, err := packing.Pack(d, packing.Calc)
	if err != nil {
		return nil, fault.New(fault.Usage, "", err)
	}
	x := &BundleAnswer{Version: Version, DiameterMM: r.Diameter, BoundMM: r.LowerBound, Circles: make([]BundleCircle, len(r.Circles)), Reasons: Reasons{}}
	for i, c := range r.Circles {
		x.Circles[i] = BundleCircle{c.X, c.Y, c.D}
	}
	x.Reasons.add(settle.Reason{Text: "smallest circle found round the wires, none overlapping", Because: []settle.Term{settle.Num("wires", float64(len(d)), ""), settle.Num("diameter", r.Diameter, "mm"), settle.Num("no arrangement is under", r.LowerBound, "mm")}, Source: source.Ref{Kind: source.Physics, Doc: "geometry"}})
	return x, nil
}
