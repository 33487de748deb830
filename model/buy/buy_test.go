package buy

import (
	"testing"

	"keyon/model/design"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/model/settle"
	"keyon/num/quantity"
)

// TestTwoInOne: two wires in one contact take one contact, one seal, one
// cavity; the unused cavity of a sealed connector takes a plug. Spares by
// MIL-DTL-38999N 3.4.3.3: one contact, one plug.
func TestTwoInOne(t *testing.T) {
	hole := func(name string) part.Cavity { return part.Cavity{Name: name, Size: "20"} }
	plug := &part.Connector{Head: part.Head{ID: "plug"}, Sealed: true, Cavities: []part.Cavity{hole("1"), hole("2"), hole("3")}}
	c := part.Catalogue{Seals: map[string]*part.Seal{"stop": {Head: part.Head{ID: "stop"}, Plug: true, Sizes: []string{"20"}}}}
	p := &plan.Plan{}
	p.Things = plan.Things{Looms: []plan.Loom{{Name: "loom", Letter: "A"}}, Places: []plan.Place{{Name: "here"}}, Circuits: []plan.Circuit{{Name: "C"}},
		Devices: []plan.Device{{Name: "box", Connectors: []plan.Connector{{Part: plug}}}}}
	for i, cavity := range []string{"1", "1", "3"} {
		p.Ends.List = append(p.Ends.List, plan.End{Device: 0, Connector: 0, Cavity: cavity, Feed: -1})
		p.Wires.List = append(p.Wires.List, plan.Wire{Cable: -1, From: plan.WireEnd{Kind: plan.AtPin, End: i}, To: plan.WireEnd{Kind: plan.AtLead, End: -1}})
		p.Sizes.Wires = append(p.Sizes.Wires, plan.WireSize{Wire: &part.Wire{Family: "W", Gauge: "20"}, From: plan.EndParts{Contact: "pin", Seal: "seal"}, To: plan.EndParts{Lug: "ring"}})
		p.Cuts.Wires = append(p.Cuts.Wires, plan.Cut{Cut: settle.Value[quantity.Length]{Value: 1.5, Origin: settle.Worked}})
	}
	b := design.NewBook()
	b.Sheet("Stock").Add("part", "W", "gauge", "20", "metres", "2")
	x := Of(design.Read(b), c, p)[0]
	got := map[string]Line{}
	for _, l := range x.Lines {
		got[l.Kind] = l
	}
	for kind, want := range map[string]Line{
		"connector": {Pieces: 1, Buy: 1},
		"contact":   {Pieces: 2, Spare: 1, Buy: 3},
		"seal":      {Pieces: 2, Spare: 1, Buy: 3},
		"plug":      {Pieces: 1, Spare: 1, Buy: 2},
		"lug":       {Pieces: 3, Spare: 1, Buy: 4},
		"wire":      {Metres: 4.5, Spare: 0.23, Stock: 2, Buy: 2.8}, // 5 % of 4.5 m up to 0.01 m; 2.73 m up to 0.1 m
	} {
		l := got[kind]
		if l.Pieces != want.Pieces || l.Metres != want.Metres || l.Spare != want.Spare || l.Stock != want.Stock || l.Buy != want.Buy {
			t.Errorf("%s: %+v, want %+v", kind, l, want)
		}
	}
	if len(x.Connectors) != 1 || len(x.Connectors[0].Fills) != 2 || len(x.Connectors[0].Fills[0].Ends) != 2 || len(x.Connectors[0].Plugs) != 1 {
		t.Errorf("connectors %+v", x.Connectors)
	}
}

// TestNatural: as people count.
func TestNatural(t *testing.T) {
	list := []string{"", "A", "A9", "A10", "A10b", "B1", "a"}
	for i := range list {
		for j := range list {
			if o := Natural(list[i], list[j]); o != sign(i-j) {
				t.Errorf("Natural(%q, %q) = %d", list[i], list[j], o)
			}
		}
	}
}

func sign(n int) int { return min(1, max(-1, n)) }
