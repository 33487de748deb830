package build_test

import (
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"keyon/app/build"
	"keyon/app/report"
	"keyon/model/design"
	"keyon/model/part"
	"keyon/model/plan"
)

// frozen writes a plan's choices that touch a loom, "" for all, into the table Kept.
func frozen(b *design.Book, p *plan.Plan, loom string) *design.Book {
	out := b.Clone()
	for _, c := range build.Freeze(p, loom) {
		out.Sheet("Kept").Add("kind", c.Kind, "thing", c.Thing, "field", c.Field, "value", c.Value, "loom", c.Loom)
	}
	out.Identify()
	return out
}

// TestFreeze: a frozen car plans to the same facts, and freezing what is
// frozen keeps the same choices.
func TestFreeze(t *testing.T) {
	for name, b := range books(t) {
		d, p := run(t, b, nil)
		dk, pk := run(t, frozen(b, p, ""), nil)
		if diff := cmp.Diff(facts(t, d, p), facts(t, dk, pk)); diff != "" {
			t.Errorf("%s: freezing changed the plan:\n%.3000s", name, diff)
		}
		if len(pk.Changed) > 0 {
			t.Errorf("%s: %d choices changed, first %+v", name, len(pk.Changed), pk.Changed[0])
		}
		if diff := cmp.Diff(build.Freeze(p, ""), build.Freeze(pk, "")); diff != "" {
			t.Errorf("%s: freezing again keeps something else:\n%.2000s", name, diff)
		}
	}
}

// TestFreezeLoom: a frozen loom keeps its wires as they are. What the other
// looms have may change: with the frozen gauges given, theirs may be thinner.
func TestFreezeLoom(t *testing.T) {
	for name, b := range books(t) {
		d, p := run(t, b, nil)
		for i := range min(2, len(p.Things.Looms)) {
			loom := p.Things.Looms[i].Name
			dk, pk := run(t, frozen(b, p, loom), nil)
			if len(pk.Changed) > 0 {
				t.Errorf("%s: freezing %q: %d choices changed, first %+v", name, loom, len(pk.Changed), pk.Changed[0])
			}
			after := wires(dk, pk)
			for id, w := range wires(d, p) {
				if n := after[id]; w.Loom == loom && !alike(w, n) {
					t.Errorf("%s: freezing %q: wire %s of %s changed:\n%s", name, loom, w.Number, w.Circuit, cmp.Diff(w, n))
				}
			}
		}
	}
}

// wires are a plan's wires by ID, as the JSON has them.
func wires(d *design.Design, p *plan.Plan) map[string]report.Wire {
	out := map[string]report.Wire{}
	for _, w := range report.OfPlan(d, part.Embedded(), p, report.Plain).Wires {
		out[w.ID] = w
	}
	return out
}

// alike says that two wires are made the same way, but for their length.
func alike(a, b report.Wire) bool {
	return a.Gauge == b.Gauge && a.Family == b.Family && a.Label == b.Label && a.Number == b.Number && a.Colour == b.Colour && a.FromEnd == b.FromEnd && a.ToEnd == b.ToEnd && slices.Equal(a.Legs, b.Legs)
}

// TestOneSensorMore: a sensor added to a frozen car changes no pin, cavity,
// route, splice, gauge or label of another circuit, and cut lengths only by
// whole rounding steps.
func TestOneSensorMore(t *testing.T) {
	for name, b := range books(t) {
		_, p := run(t, b, nil)
		kept := frozen(b, p, "")
		dk, pk := run(t, kept, nil)
		place, from := "", ""
		for i := range pk.Things.Devices {
			switch d := &pk.Things.Devices[i]; {
			case d.Part == nil || d.Place < 0:
			case d.Part.ID == "controller-120":
				from = d.Name
			case d.Part.Kind == "sensor":
				place = pk.Things.Places[d.Place].Name
			}
		}
		if place == "" || from == "" {
			continue
		}
		kept.Sheet("Devices").Add("device", "added sensor", "part", "damper-position", "place", place)
		kept.Sheet("Circuits").Add("circuit", "ADDED", "from device", "added sensor", "from pin", "OUT", "to device", from)
		kept.Sheet("Circuits").Add("circuit", "5V ADDED", "from device", from, "to device", "added sensor", "to pin", "5V", "class", "sensor supply")
		own := map[string]bool{"ADDED": true, "5V ADDED": true, "0V ADDED": true}
		if name == "tern" { // the return of an older circuit grows
			kept.Sheet("Circuits").Add("circuit", "0V WHEELS FRONT", "to device", "added sensor", "to pin", "0V", "class", "sensor return")
			own["0V WHEELS FRONT"] = true
		} else {
			kept.Sheet("Circuits").Add("circuit", "0V ADDED", "from device", from, "to device", "added sensor", "to pin", "0V", "class", "sensor return")
		}
		kept.Identify()
		da, pa := run(t, kept, nil)
		before, after := wires(dk, pk), wires(da, pa)
		for id, w := range before {
			if own[w.Circuit] {
				continue
			}
			n, ok := after[id]
			if !ok {
				t.Errorf("%s: wire %s %s is gone", name, w.Number, w.Circuit)
				continue
			}
			if !alike(w, n) {
				t.Errorf("%s: wire %s of %s changed:\n%s", name, w.Number, w.Circuit, cmp.Diff(w, n))
			}
			if w.CutMM != n.CutMM && int(w.CutMM-n.CutMM)%5 != 0 {
				t.Errorf("%s: wire %s: cut %g became %g: no whole step", name, w.Number, w.CutMM, n.CutMM)
			}
		}
		found := false
		for _, w := range after {
			found = found || w.Circuit == "ADDED"
		}
		if !found {
			t.Errorf("%s: the sensor that was added has no wire", name)
		}
	}
}
