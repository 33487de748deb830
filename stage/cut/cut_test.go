package cut

import (
	"math"
	"reflect"
	"testing"

	"keyon/model/design"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/model/settle"
	"keyon/num/quantity"
)

// bench is one wire over one leg of 1,000 mm between two connectors.
func bench(build string, onCar bool) (plan.Things, plan.Wires) {
	length := settle.Value[quantity.Length]{Value: 1, Origin: settle.FromUser}
	t := plan.Things{
		Places:   []plan.Place{{Name: "a"}, {Name: "b"}},
		Legs:     []plan.Leg{{Name: "a–b", From: 0, To: 1, Length: length, Build: build, OnCar: onCar}},
		Looms:    []plan.Loom{{Name: "loom", Letter: "A"}},
		Circuits: []plan.Circuit{{Name: "C1"}},
	}
	w := plan.Wires{List: []plan.Wire{{ID: "w1", Row: -1, Cable: -1, From: plan.WireEnd{Kind: plan.AtPin, Place: 0, End: -1}, To: plan.WireEnd{Kind: plan.AtPin, Place: 1, End: -1}, Legs: []int{0}, Parallel: 1}}}
	return t, w
}

func run(d *design.Design, t plan.Things, w plan.Wires) plan.Cuts {
	out, _ := Run(d, part.Embedded(), t, plan.Ends{}, plan.Cavities{}, w, plan.Sizes{Wires: make([]plan.WireSize, len(w.List))}, plan.Bundles{Legs: make([]plan.Bundle, len(t.Legs))})
	return out
}

// TestLength repeats the sums of the package comment by hand.
func TestLength(t *testing.T) {
	d := design.Read(design.NewBook())
	for _, x := range []struct {
		name, build string
		onCar       bool
		end         plan.EndKind
		want, tail  float64
	}{
		{"straight", "taped", false, plan.AtPin, 1000 + 2*(50+40), 0},
		{"twisted 3 %", "twisted", false, plan.AtPin, 1030 + 2*(50+40), 0},
		{"on the car, both ends", "taped", true, plan.AtPin, 1000 + 2*(50+40), 300},
		{"to a splice", "taped", false, plan.AtSplice, 1000 + 90 + 20, 0},
		{"to a stud, up to 5 mm", "twisted", false, plan.AtStud, 1030 + 90 + 40, 0},
	} {
		things, w := bench(x.build, x.onCar)
		w.List[0].To.Kind = x.end
		got := run(d, things, w).Wires[0]
		if math.Abs(got.Length.MM()-x.want) > 1e-9 || math.Abs(got.Tail.MM()-x.tail) > 1e-9 || math.Abs(got.Cut.Value.MM()-x.want-x.tail) > 1e-9 {
			t.Errorf("%s: length %v mm, tail %v mm, cut %v mm; want %v and %v mm", x.name, got.Length.MM(), got.Tail.MM(), got.Cut.Value.MM(), x.want, x.tail)
		}
	}
}

// TestGivenShort: a given length stays and is judged.
func TestGivenShort(t *testing.T) {
	for text, ok := range map[string]bool{"1180": true, "1179": false} {
		b := design.NewBook()
		b.Sheet("Wires").Add("wire", "w1", "length", text)
		things, w := bench("taped", false)
		out, verdicts := Run(design.Read(b), part.Embedded(), things, plan.Ends{}, plan.Cavities{}, w, plan.Sizes{Wires: make([]plan.WireSize, 1)}, plan.Bundles{Legs: make([]plan.Bundle, 1)})
		if len(verdicts) != 1 || verdicts[0].OK != ok {
			t.Errorf("length %s: verdicts %+v, want ok %v", text, verdicts, ok)
		}
		if out.Wires[0].Cut.Origin != settle.FromUser {
			t.Errorf("length %s was not kept", text)
		}
	}
}

// TestNumbers: kept numbers stay, and no number is used again after its wire
// is gone.
func TestNumbers(t *testing.T) {
	things, w := bench("taped", false)
	w.List = append(w.List, w.List[0], w.List[0])
	w.List[1].ID, w.List[2].ID = "w2", "w3"
	free := run(design.Read(design.NewBook()), things, w)
	if got := []string{free.Wires[0].Number.Value, free.Wires[1].Number.Value, free.Wires[2].Number.Value}; !reflect.DeepEqual(got, []string{"A001", "A002", "A003"}) {
		t.Errorf("numbers %v", got)
	}
	b := design.NewBook()
	b.Sheet("Kept").Add("kind", "wire", "thing", "w2", "field", "number", "value", "A001")
	b.Sheet("Kept").Add("kind", "wire", "thing", "gone", "field", "number", "value", "A007")
	kept := run(design.Read(b), things, w)
	if got := []string{kept.Wires[0].Number.Value, kept.Wires[1].Number.Value, kept.Wires[2].Number.Value}; !reflect.DeepEqual(got, []string{"A008", "A001", "A009"}) {
		t.Errorf("numbers beside kept ones %v, want A008 A001 A009", got)
	}
	given := design.NewBook()
	for i := range free.Wires {
		given.Sheet("Wires").Add("wire", w.List[i].ID, "number", free.Wires[i].Number.Value)
	}
	again := run(design.Read(given), things, w)
	for i := range again.Wires {
		if again.Wires[i].Number.Value != free.Wires[i].Number.Value {
			t.Errorf("giving numbers back changed %s to %s", free.Wires[i].Number.Value, again.Wires[i].Number.Value)
		}
	}
}

// TestLabelPlace follows AC 43.13-1B 11-208: none under 3 in, one at the
// middle up to 7 in, else within 3 in of each end.
func TestLabelPlace(t *testing.T) {
	b := design.NewBook()
	for _, l := range []string{"end allowance", "stand-off"} {
		b.Sheet("Limits").Add("limit", l, "value", "0", "reason", "test")
	}
	d := design.Read(b)
	for metres, want := range map[float64]string{0.070: "none, shorter than 75 mm", 0.150: "at the middle", 0.400: "within 75 mm of the end"} {
		things, w := bench("taped", false)
		things.Legs[0].Length.Value = quantity.Length(metres)
		if got := run(d, things, w).Wires[0].LabelAt[0]; got != want {
			t.Errorf("%v m: label %q, want %q", metres, got, want)
		}
	}
}
