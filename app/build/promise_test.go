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

// seeds is how many generated cars of each kind the promise is held to here.
var seeds = uint64(2)

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
	for seed := uint64(1); seed <= seeds; seed++ {
		out[fmt.Sprintf("seed %d", seed)] = cars.Make(seed, 250, cars.Mixed)
		out[fmt.Sprintf("seed %d blank", seed)] = cars.Make(seed, 120, cars.Blank)
		out[fmt.Sprintf("seed %d given", seed)] = cars.Make(seed, 120, cars.Options{})
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
	comma := slices.ContainsFunc(b.Sheet("Car").Rows, func(r design.Row) bool { return r.Cells[0].Text == "decimal" && r.Cells[1].Text == "comma" })
	mm := func(x float64) string {
		text := strings.TrimSuffix(fmt.Sprintf("%.6f", x), ".000000")
		if comma {
			text = strings.Replace(text, ".", ",", 1)
		}
		return text
	}
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
	for i := range t.Looms {
		for r, row := range out.Sheet("Looms").Rows {
			if out.Sheet("Looms").Text(r, "loom") == t.Looms[i].Name {
				set(out, "Looms", row.UID, "letter", t.Looms[i].Letter)
			}
		}
	}
	for i := range t.Cables {
		var cores []string
		for _, c := range t.Cables[i].Circuits {
			cores = append(cores, t.Circuits[c].Name)
		}
		set(out, "Cables", string(t.Cables[i].ID), "cores", strings.Join(cores, "; "))
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

// edits is how many random edits are compared with a cold plan here, nine of
// ten on a small car; the run under the tag outside makes a thousand of the
// example car.
var edits, ternEdits = 90, 10

// TestEditedEqualsCold: a plan after an edit, made with a memory, has the
// bytes of a cold one.
func TestEditedEqualsCold(t *testing.T) {
	for _, x := range []struct {
		name  string
		good  *design.Book
		edits int
	}{{"small", cars.Make(5, 60, cars.Mixed), edits}, {"tern", books(t)["tern"], ternEdits}} {
		b := x.good.Clone()
		mem := build.NewMemory()
		run(t, b, mem)
		r := rand.New(rand.NewPCG(7, 7))
		for n := range x.edits {
			if n%50 == 0 {
				b = x.good.Clone() // a car of a thousand slips is none any more
			}
			what := randomEdit(r, b)
			d, warm := run(t, b, mem)
			_, cold := run(t, b, nil)
			if got, want := bytes(t, d, warm), bytes(t, d, cold); got != want {
				t.Fatalf("%s, edit %d (%s): the edited plan differs from a cold one:\n%.2000s", x.name, n, what, cmp.Diff(strings.Split(want, "\n"), strings.Split(got, "\n")))
			}
		}
	}
}

// randomEdit does one thing that a person might: types into a cell, empties
// it, mistypes it, deletes a row, or copies one.
func randomEdit(r *rand.Rand, b *design.Book) string {
	pick := func(n int) int { return r.IntN(n) }
	for {
		s := &b.Sheets[pick(len(b.Sheets))]
		if len(s.Rows) == 0 || s.Table.Name == "Car" {
			continue
		}
		k := pick(len(s.Rows))
		c := pick(len(s.Table.Columns))
		col := &s.Table.Columns[c]
		cell := &s.Rows[k].Cells[c]
		what := s.Table.Name + " " + s.Key(k) + " " + col.Name
		switch {
		case pick(12) == 0:
			s.Rows = slices.Delete(s.Rows, k, k+1)
			return "deleted " + what
		case pick(12) == 0:
			copied := design.Row{Cells: slices.Clone(s.Rows[k].Cells), Extra: slices.Clone(s.Rows[k].Extra)}
			s.Rows = append(s.Rows, copied)
			b.Identify()
			return "copied " + what
		case pick(15) == 0:
			*cell = design.Cell{Text: "2,5x"}
		case pick(4) == 0 && !col.Must:
			*cell = design.Cell{}
		case col.Kind == design.Amount:
			*cell = design.Cell{Text: fmt.Sprint(1 + pick(900))}
		case len(col.Choices) > 0:
			*cell = design.Cell{Text: col.Choices[pick(len(col.Choices))]}
		case col.Kind == design.Gauge:
			*cell = design.Cell{Text: []string{"24", "22", "20", "16"}[pick(4)]}
		default: // what another row says there
			*cell = s.Rows[pick(len(s.Rows))].Cells[c]
		}
		return what + " = " + cell.Text
	}
}
