package build_test

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"keyon/app/build"
	"keyon/app/report"
	"keyon/examples"
	"keyon/model/design"
	"keyon/model/finding"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/store/workbook"
	"keyon/testkit/cars"
)

// books are the cars the promise is held to.
func books(t testing.TB) map[string]*design.Book {
	out := map[string]*design.Book{}
	for _, name := range examples.Names() {
		r, err := workbook.ReadFolder(name, examples.Folder(name))
		if err != nil {
			t.Fatal(err)
		}
		r.Book.Identify()
		out[name] = r.Book
	}
	for seed := uint64(1); seed <= 3; seed++ {
		out[fmt.Sprintf("seed %d", seed)] = cars.Make(seed, 250, cars.Mixed)
	}
	return out
}

func run(t testing.TB, b *design.Book, mem *build.Memory) (*design.Design, *plan.Plan) {
	t.Helper()
	d := design.Read(b)
	p, err := build.Run(d, part.Embedded(), mem)
	if err != nil {
		t.Fatal(err)
	}
	return d, p
}

// bytes is the plan as `plan --json` prints it.
func bytes(t testing.TB, d *design.Design, p *plan.Plan) string {
	t.Helper()
	data, err := json.MarshalIndent(report.OfPlan(d, part.Embedded(), p, report.Plain), "", " ")
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// facts is the plan without how it came about: what must not change when
// everything worked out is given back.
func facts(t testing.TB, d *design.Design, p *plan.Plan) any {
	t.Helper()
	var v map[string]any
	if err := json.Unmarshal([]byte(bytes(t, d, p)), &v); err != nil {
		t.Fatal(err)
	}
	for _, k := range []string{"design", "findings", "passes", "changed"} {
		delete(v, k)
	}
	var strip func(any)
	strip = func(x any) {
		switch x := x.(type) {
		case map[string]any:
			for _, k := range []string{"origin", "reason", "reasons", "bound_metres"} {
				delete(x, k)
			}
			for _, y := range x {
				strip(y)
			}
		case []any:
			for _, y := range x {
				strip(y)
			}
		}
	}
	strip(v)
	return v
}

// TestRowOrder: shuffling the rows of every table changes no byte.
func TestRowOrder(t *testing.T) {
	for name, b := range books(t) {
		d, p := run(t, b, nil)
		want := bytes(t, d, p)
		r := rand.New(rand.NewPCG(1, 2))
		for range 3 {
			s := b.Clone()
			for i := range s.Sheets {
				rows := s.Sheets[i].Rows
				r.Shuffle(len(rows), func(x, y int) { rows[x], rows[y] = rows[y], rows[x] })
			}
			d, p := run(t, s, nil)
			if got := bytes(t, d, p); got != want {
				t.Fatalf("%s: shuffled rows changed the plan: %s", name, cmp.Diff(strings.Split(want, "\n"), strings.Split(got, "\n")))
			}
		}
	}
}

// TestInputsUnchanged: planning changes neither the book nor the design.
func TestInputsUnchanged(t *testing.T) {
	for name, b := range books(t) {
		before := b.Clone()
		d := design.Read(b)
		again := design.Read(b)
		if _, err := build.Run(d, part.Embedded(), nil); err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(b, before) {
			t.Errorf("%s: the book was changed", name)
		}
		if !reflect.DeepEqual(d, again) {
			t.Errorf("%s: the design was changed", name)
		}
	}
}

// set writes a cell of the row with a UID.
func set(b *design.Book, table, uid, column, text string) {
	s := b.Sheet(table)
	for r := range s.Rows {
		if s.Rows[r].UID == uid {
			s.Rows[r].Cells[s.Table.Index(column)] = design.Cell{Text: text}
			return
		}
	}
	panic("no row " + uid + " in " + table)
}

// giveBack writes everything that was worked out into the tables.
func giveBack(b *design.Book, d *design.Design, p *plan.Plan) *design.Book {
	out := b.Clone()
	t := &p.Things
	mm := func(x float64) string { return strings.TrimSuffix(fmt.Sprintf("%.6f", x), ".000000") }
	for i := range p.Ends.List {
		e := &p.Ends.List[i]
		uid, side, _ := strings.Cut(e.ID, "/")
		declared := slices.ContainsFunc(t.Circuits[e.Circuit].Ends, func(x plan.DeclaredEnd) bool { return x.ID == e.ID })
		switch {
		case !e.Pin.Settled():
		case e.Stud >= 0 && !declared:
			set(out, "Circuits", uid, side+" device", t.Studs[e.Stud].Name)
		case e.Feed >= 0 && !declared:
			set(out, "Circuits", uid, "feed", t.Feeds[e.Feed].Name)
		case e.Device >= 0 && e.PinIndex >= 0 && declared:
			set(out, "Circuits", uid, side+" pin", e.Pin.Value)
		}
	}
	for i := range t.Circuits {
		for _, r := range t.Circuits[i].Rows {
			set(out, "Circuits", string(d.Circuits[r.Design].ID), "class", t.Circuits[i].Class.Value)
		}
	}
	for i := range t.Legs {
		l := &t.Legs[i]
		if l.Length.Settled() {
			set(out, "Legs", string(l.ID), "length", mm(l.Length.Value.MM())+" mm")
		}
		if s := p.Bundles.Legs[i].Sleeve; s.Settled() {
			set(out, "Legs", string(l.ID), "sleeve", s.Value)
		}
	}
	for i := range t.Joins {
		j := &p.Cavities.Joins[i]
		for column, v := range map[string]string{"part": j.Part.Value, "key": j.Key.Value, "sockets": j.Sockets.Value} {
			if v != "" {
				set(out, "Joins", string(t.Joins[i].ID), column, v)
			}
		}
	}
	for i := range p.Cavities.Crossings {
		x := &p.Cavities.Crossings[i]
		if x.Cavity.Settled() && !slices.ContainsFunc(d.Cavities, func(c design.Cavity) bool {
			return c.Join.Value == t.Joins[x.Join].Name && c.Circuit.Value == t.Circuits[x.Circuit].Name && c.N.Or(1) == x.N
		}) {
			out.Sheet("Cavities").Add("join", t.Joins[x.Join].Name, "circuit", t.Circuits[x.Circuit].Name, "n", fmt.Sprint(x.N), "cavity", x.Cavity.Value)
		}
	}
	for i := range p.Routes.List {
		r := &p.Routes.List[i]
		name := t.Circuits[r.Circuit].Name
		for _, l := range r.Legs {
			from, to := t.Places[t.Legs[l].From].Name, t.Places[t.Legs[l].To].Name
			if !slices.ContainsFunc(d.Routes, func(x design.Route) bool { return x.Circuit.Value == name && x.From.Value == from && x.To.Value == to }) {
				out.Sheet("Routes").Add("circuit", name, "from", from, "to", to)
			}
		}
	}
	for i := range p.Wires.Splices {
		s := &p.Wires.Splices[i]
		name, place := t.Circuits[s.Circuit].Name, t.Places[s.Place].Name
		if !slices.ContainsFunc(d.Splices, func(x design.Splice) bool { return x.Circuit.Value == name && x.Place.Value == place }) {
			out.Sheet("Splices").Add("circuit", name, "place", place, "part", p.Sizes.Splices[i].Value)
		}
	}
	for i := range p.Wires.List {
		s, c := &p.Sizes.Wires[i], &p.Cuts.Wires[i]
		pairs := []string{"wire", p.Wires.List[i].ID, "colour", s.Colour.Value, "length", mm(c.Cut.Value.MM()) + " mm", "label", c.Label.Value, "number", c.Number.Value}
		if p.Wires.List[i].Cable < 0 {
			pairs = append(pairs, "gauge", s.Gauge.Value, "family", s.Family.Value)
		}
		out.Sheet("Wires").Add(pairs...)
	}
	for i := range t.Feeds {
		if v := p.Sizes.Feeds[i].Setting; v.Settled() && v.Value != "unprotected" {
			set(out, "Feeds", string(t.Feeds[i].ID), "setting", v.Value)
		}
	}
	out.Identify()
	return out
}

// TestGiveBack: giving back everything that was worked out changes nothing
// but who says so.
func TestGiveBack(t *testing.T) {
	for name, b := range books(t) {
		d, p := run(t, b, nil)
		back := giveBack(b, d, p)
		d2, p2 := run(t, back, nil)
		if diff := cmp.Diff(facts(t, d, p), facts(t, d2, p2)); diff != "" {
			t.Errorf("%s: giving back changed the plan:\n%.4000s", name, diff)
		}
		for _, v := range p2.Verdicts {
			if v.Open() && v.Severity() == finding.Stop && v.Rule != nil {
				t.Errorf("%s: given back, %s says: %s", name, v.Rule.ID, v.What)
			}
		}
	}
}

// TestBlankAll: Tern with every blankable cell blanked plans without a stop.
func TestBlankAll(t *testing.T) {
	b := books(t)["tern"].Clone()
	for i := range b.Sheets {
		s := &b.Sheets[i]
		for c := range s.Table.Columns {
			if !s.Table.Columns[c].Blank {
				continue
			}
			for r := range s.Rows {
				s.Rows[r].Cells[c] = design.Cell{}
			}
		}
	}
	_, p := run(t, b, nil)
	for _, v := range p.Verdicts {
		if v.Open() && v.Severity() == finding.Stop {
			t.Errorf("%s %s: %s", v.Rule.ID, v.Place.ID, v.What)
		}
	}
}

// edits is how many random edits are compared with a cold plan here; the run
// under the tag outside makes a thousand.
var edits = 10

// TestEditedEqualsCold: a plan after an edit, made with a memory, has the
// bytes of a cold one.
func TestEditedEqualsCold(t *testing.T) {
	good := books(t)["tern"]
	b := good.Clone()
	mem := build.NewMemory()
	run(t, b, mem)
	r := rand.New(rand.NewPCG(7, 7))
	for n := range edits {
		if n%50 == 0 {
			b = good.Clone() // a car of a thousand slips is none any more
		}
		randomEdit(r, b)
		d, warm := run(t, b, mem)
		_, cold := run(t, b, nil)
		if bytes(t, d, warm) != bytes(t, d, cold) {
			t.Fatalf("edit %d: the edited plan differs from a cold one", n)
		}
	}
}

// randomEdit changes one cell to something a person might type.
func randomEdit(r *rand.Rand, b *design.Book) {
	pick := func(n int) int { return r.IntN(n) }
	s := b.Sheet([]string{"Legs", "Circuits", "Places", "Loads", "Feeds", "Joins"}[pick(6)])
	row := &s.Rows[pick(len(s.Rows))]
	c := pick(len(s.Table.Columns))
	col := &s.Table.Columns[c]
	switch {
	case col.Must || col.Kind == design.Ref || col.Kind == design.Name:
		return
	case pick(3) == 0:
		row.Cells[c] = design.Cell{}
	case col.Kind == design.Amount:
		row.Cells[c] = design.Cell{Text: fmt.Sprint(1 + pick(900))}
	case len(col.Choices) > 0:
		row.Cells[c] = design.Cell{Text: col.Choices[pick(len(col.Choices))]}
	case col.Kind == design.Gauge:
		row.Cells[c] = design.Cell{Text: []string{"24", "22", "20", "16"}[pick(4)]}
	}
}

// frozen writes a plan's choices into the table Kept.
func frozen(b *design.Book, p *plan.Plan) *design.Book {
	out := b.Clone()
	for _, c := range build.Freeze(p, "") {
		out.Sheet("Kept").Add("kind", c.Kind, "thing", c.Thing, "field", c.Field, "value", c.Value, "loom", c.Loom)
	}
	out.Identify()
	return out
}

// TestFrozen: a frozen car plans to the same facts, and adding one sensor
// changes no pin, cavity, route, splice, gauge or label of another circuit.
func TestFrozen(t *testing.T) {
	b := books(t)["tern"]
	d, p := run(t, b, nil)
	kept := frozen(b, p)
	dk, pk := run(t, kept, nil)
	if diff := cmp.Diff(facts(t, d, p), facts(t, dk, pk)); diff != "" {
		t.Fatalf("freezing changed the plan:\n%.3000s", diff)
	}
	kept.Sheet("Devices").Add("device", "added sensor", "part", "damper-position", "place", "damper front left")
	kept.Sheet("Circuits").Add("circuit", "ADDED", "from device", "added sensor", "from pin", "OUT", "to device", "controller")
	kept.Sheet("Circuits").Add("circuit", "5V ADDED", "from device", "logger", "to device", "added sensor", "to pin", "5V", "class", "sensor supply")
	kept.Sheet("Circuits").Add("circuit", "0V WHEELS FRONT", "to device", "added sensor", "to pin", "0V", "class", "sensor return")
	kept.Identify()
	_, pa := run(t, kept, nil)
	before, after := map[string]report.Wire{}, map[string]report.Wire{}
	for _, w := range report.OfPlan(dk, part.Embedded(), pk, report.Plain).Wires {
		before[w.ID] = w
	}
	for _, w := range report.OfPlan(dk, part.Embedded(), pa, report.Plain).Wires {
		after[w.ID] = w
	}
	changed := 0
	for id, w := range before {
		if w.Circuit == "0V WHEELS FRONT" {
			continue // its own circuit grew
		}
		n, ok := after[id]
		if !ok {
			t.Errorf("wire %s %s is gone", w.Number, w.Circuit)
			continue
		}
		if w.Gauge != n.Gauge || w.Label != n.Label || w.Number != n.Number || w.Colour != n.Colour || w.FromEnd != n.FromEnd || w.ToEnd != n.ToEnd || !slices.Equal(w.Legs, n.Legs) {
			t.Errorf("wire %s of %s changed:\n%s", w.Number, w.Circuit, cmp.Diff(w, n))
		}
		if w.CutMM != n.CutMM {
			if changed++; int(w.CutMM-n.CutMM)%5 != 0 {
				t.Errorf("wire %s: cut %g became %g: no whole step", w.Number, w.CutMM, n.CutMM)
			}
		}
	}
	found := false
	for _, w := range after {
		found = found || w.Circuit == "ADDED"
	}
	if !found {
		t.Error("the sensor that was added has no wire")
	}
}
