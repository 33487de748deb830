package ring

import (
	"math"
	"slices"
	"testing"

	"keyon/model/part"
	"keyon/model/plan"
	"keyon/model/settle"
	"keyon/num/quantity"
)

// loom is wires as pairs of ends; an end above zero is a splice, below zero a
// flying lead.
func loom(ends ...[2]int) *plan.Plan {
	p := &plan.Plan{}
	at := func(n int) plan.WireEnd {
		if n > 0 {
			return plan.WireEnd{Kind: plan.AtSplice, Splice: n, End: -1, Crossing: -1}
		}
		return plan.WireEnd{Kind: plan.AtLead, Splice: -1, End: -1, Crossing: -1}
	}
	for _, e := range ends {
		p.Wires.List = append(p.Wires.List, plan.Wire{From: at(e[0]), To: at(e[1])})
		p.Sizes.Wires = append(p.Sizes.Wires, plan.WireSize{})
		p.Cuts.Wires = append(p.Cuts.Wires, plan.Cut{})
	}
	return p
}

// TestLimits by hand: 2 m of 14.8 mΩ/m are 29.6 mΩ, two half contacts of
// 3.77 mΩ make 33.37 mΩ, a fifth more 40.044 mΩ; at 1.75 A that is 0.0701 V.
func TestLimits(t *testing.T) {
	c := part.Catalogue{Contacts: map[string]*part.Contact{"16": {Ohm: 0.00377}}}
	for _, x := range []struct {
		amps  quantity.Ampere
		wire  float64 // Ω per m
		reads string
	}{
		{0.99, 0.0148, "beeps"},
		{1, 0.0148, "at most 0.1 Ω"},
		{4.99, 0.05, "at most 0.2 Ω"}, // 103.77 mΩ, a fifth more 124.5 mΩ
		{5, 0.0148, "burns bright, at most 0.1 V"},
		{19.9, 0.005, "burns bright, at most 0.05 V"}, // 13.77 mΩ: 0.0289 V
		{20, 0.0148, "at most 41 mΩ"},
		{20, 0, "no figure for the limit"},
	} {
		p := loom([2]int{-1, -2})
		p.Sizes.Wires[0] = plan.WireSize{Amps: x.amps, Wire: &part.Wire{OhmPerM: quantity.Ohm(x.wire)}, From: plan.EndParts{Contact: "16"}, To: plan.EndParts{Contact: "16"}}
		p.Cuts.Wires[0].Cut = settle.Value[quantity.Length]{Value: 2, Origin: settle.Worked}
		paths := Paths(c, p, []int{0})
		if len(paths) != 1 || paths[0].Reads() != x.reads {
			t.Errorf("%v A, %v Ω/m: %+v, want %q", x.amps, x.wire, paths, x.reads)
		}
	}
}

// TestPaths: every probe end but the first is reached once, through chains of
// splices; a shield's free end isn't.
func TestPaths(t *testing.T) {
	p := loom([2]int{-1, 1}, [2]int{1, -2}, [2]int{1, 2}, [2]int{2, -3}, [2]int{2, -4}, [2]int{-5, -6}, [2]int{1, 2}, [2]int{2, -7})
	p.Wires.List[7].To.Kind = plan.AtFree
	all := []int{0, 1, 2, 3, 4, 5, 6, 7}
	var ways [][]int
	for _, x := range Paths(part.Catalogue{}, p, all) {
		ways = append(ways, x.Wires)
		if !math.IsNaN(x.Ohm) {
			t.Errorf("wires without a size have %v Ω", x.Ohm)
		}
	}
	want := [][]int{{0, 1}, {0, 2, 3}, {0, 2, 4}, {5}}
	if !slices.EqualFunc(ways, want, slices.Equal[[]int]) {
		t.Errorf("paths %v, want %v", ways, want)
	}
}
