package audit_test

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"unicode"

	"keyon/app/build"
	"keyon/app/report"
	"keyon/examples"
	"keyon/model/design"
	"keyon/model/part"
	"keyon/store/workbook"
	"keyon/testkit/audit"
	"keyon/testkit/cars"
)

// texts are a book's tables as the auditor reads them.
func texts(b *design.Book) audit.Tables {
	out := audit.Tables{}
	for i := range b.Sheets {
		s := &b.Sheets[i]
		for r := range s.Rows {
			row := map[string]string{}
			for c := range s.Table.Columns {
				cell := s.Rows[r].Cells[c]
				if cell.Unit != "" && cell.Text != "" && !strings.ContainsFunc(cell.Text, unicode.IsLetter) {
					cell.Text += " " + cell.Unit // the header's unit
				}
				row[s.Table.Columns[c].Name] = cell.Text
			}
			out[s.Table.Name] = append(out[s.Table.Name], row)
		}
	}
	return out
}

// planned plans a book and gives the JSON, as `plan --json` prints it.
func planned(t testing.TB, b *design.Book) ([]byte, part.Catalogue) {
	t.Helper()
	d := design.Read(b)
	p, err := build.Run(d, part.Embedded(), nil)
	if err != nil {
		t.Fatal(err)
	}
	c, _ := part.Embedded().With(d)
	data, err := json.Marshal(report.OfPlan(d, c, p, report.Plain))
	if err != nil {
		t.Fatal(err)
	}
	return data, c
}

func check(t *testing.T, name string, b *design.Book, worst map[string]float64) {
	t.Helper()
	data, c := planned(t, b)
	for _, s := range audit.Stops(data) {
		t.Errorf("%s: open stop: %s", name, s)
	}
	r := audit.Audit(data, texts(b), c)
	for _, p := range r.Problems {
		t.Errorf("%s: %s", name, p)
	}
	for _, what := range []string{"identity", "cavity", "contact", "role", "given", "path", "join", "connected", "length", "bundle", "loads", "network V", "network A", "capacity", "drop", "feed", "lugs"} {
		if (what == "role" || what == "join") && len(b.Sheet("Joins").Rows) == 0 {
			continue // a car of five wires
		}
		if r.Checked[what] == 0 {
			t.Errorf("%s: %s was checked nowhere", name, what)
		}
	}
	for k, v := range r.Worst {
		worst[k] = max(worst[k], v)
	}
}

func example(t testing.TB, name string) *design.Book {
	t.Helper()
	r, err := workbook.ReadFolder(name, examples.Folder(name))
	if err != nil {
		t.Fatal(err)
	}
	r.Book.Identify()
	return r.Book
}

func TestExamples(t *testing.T) {
	worst := map[string]float64{}
	for _, name := range examples.Names() {
		check(t, name, example(t, name), worst)
	}
	t.Logf("worst shares: %v", worst)
}

// large are the seeds of cars of 10,000 wires that are audited here: the run
// under the tag outside takes five.
var large uint64

// TestGenerated audits seeds 1 to 50 at 300 wires, every fifth all blank or
// given as far as the generator can.
func TestGenerated(t *testing.T) {
	last := uint64(50)
	if testing.Short() {
		last = 5
	}
	worst := map[string]float64{}
	for seed := uint64(1); seed <= last; seed++ {
		o := cars.Mixed
		switch seed % 5 {
		case 3:
			o = cars.Blank
		case 4:
			o = cars.Options{}
		}
		check(t, fmt.Sprintf("seed %d", seed), cars.Make(seed, 300, o), worst)
	}
	for seed := uint64(1); seed <= large; seed++ {
		check(t, fmt.Sprintf("seed %d, 10,000 wires", seed), cars.Make(seed, 10000, cars.Mixed), worst)
	}
	t.Logf("worst shares: %v", worst)
}

// TestCatches plants errors in a sound plan; each must be reported.
func TestCatches(t *testing.T) {
	b := example(t, "tern")
	data, c := planned(t, b)
	tables := texts(b)
	if r := audit.Audit(data, tables, c); len(r.Problems) > 0 {
		t.Fatalf("the sound plan: %v", r.Problems)
	}
	wire := func(p map[string]any, i int) map[string]any { return p["wires"].([]any)[i].(map[string]any) }
	list := func(p map[string]any, name string) []any { return p[name].([]any) }
	obj := func(x any) map[string]any { return x.(map[string]any) }
	find := func(p map[string]any, key, value string) map[string]any {
		for _, w := range list(p, "wires") {
			if obj(w)[key] == value {
				return obj(w)
			}
		}
		t.Fatalf("no wire with %s %s", key, value)
		return nil
	}
	for _, x := range []struct {
		what, want string
		harm       func(p map[string]any)
	}{
		{"wire ID twice", "identity", func(p map[string]any) { wire(p, 1)["id"] = wire(p, 0)["id"] }},
		{"number twice", "identity", func(p map[string]any) { wire(p, 1)["number"] = wire(p, 0)["number"] }},
		{"cavity shared", "cavity", func(p map[string]any) {
			a, b := obj(list(p, "cavities")[0]), obj(list(p, "cavities")[1])
			b["cavity"] = a["cavity"]
		}},
		{"pin shared", "cavity", func(p map[string]any) {
			for _, e := range list(p, "ends") {
				if obj(e)["device"] == "controller" && obj(e)["cavity"] == "30" {
					obj(e)["cavity"] = "31"
				}
			}
		}},
		{"gauge too thick for its contact", "contact", func(p map[string]any) { find(p, "circuit", "GEAR")["gauge"] = "12" }},
		{"wire too thin for its seal", "contact", func(p map[string]any) { find(p, "circuit", "GEAR")["od_mm"] = 0.3 }},
		{"unknown cavity", "contact", func(p map[string]any) { obj(find(p, "circuit", "GEAR")["from_end"])["cavity"] = "zz" }},
		{"a signal on a coil output", "role", func(p map[string]any) {
			for _, e := range list(p, "ends") {
				if obj(e)["circuit"] == "GEAR" && obj(e)["device"] == "controller" {
					obj(e)["role"] = "coil"
				}
			}
		}},
		{"a given pin moved", "given", func(p map[string]any) {
			for _, e := range list(p, "ends") {
				if obj(e)["circuit"] == "MANIFOLD PRESSURE" && obj(e)["device"] == "controller" {
					obj(e)["pin"] = "AN 24"
				}
			}
		}},
		{"a given gauge changed", "given", func(p map[string]any) { find(p, "circuit", "GEARBOX STRAP")["gauge"] = "10" }},
		{"a leg missing on the way", "path", func(p map[string]any) {
			for _, w := range list(p, "wires") {
				if l := obj(w)["legs"].([]any); len(l) > 2 {
					obj(w)["legs"] = append(append([]any{}, l[0]), l[2:]...)
					return
				}
			}
		}},
		{"a wire missing", "connected", func(p map[string]any) { p["wires"] = list(p, "wires")[1:] }},
		{"too short", "length", func(p map[string]any) {
			w := find(p, "circuit", "GEAR")
			w["length_mm"], w["cut_mm"] = 100.0, 100.0
		}},
		{"cut shorter than it must be", "length", func(p map[string]any) { w := find(p, "circuit", "GEAR"); w["cut_mm"] = w["length_mm"].(float64) - 20 }},
		{"a bundle too thin", "bundle", func(p map[string]any) {
			for _, l := range list(p, "legs") {
				if len(obj(l)["wires"].([]any)) > 10 {
					obj(l)["diameter_mm"] = 3.0
					return
				}
			}
		}},
		{"current from nowhere", "currents", func(p map[string]any) {
			for _, w := range obj(list(p, "states")[0])["wires"].([]any) {
				if id := obj(w)["id"]; find(p, "id", id.(string))["circuit"] == "0V REAR" {
					obj(w)["amps"] = 3.0
				}
			}
		}},
		{"overloaded", "capacity", func(p map[string]any) {
			for _, s := range list(p, "states") {
				for _, w := range obj(s)["wires"].([]any) {
					if find(p, "id", obj(w)["id"].(string))["circuit"] == "GEAR" {
						obj(w)["amps"] = 25.0
					}
				}
			}
		}},
		{"drop told too small", "drop", func(p map[string]any) {
			for _, s := range list(p, "states") {
				for _, d := range obj(s)["devices"].([]any) {
					obj(d)["way_v"] = 0.0001
				}
			}
		}},
		{"a feed too large", "feed", func(p map[string]any) {
			for _, f := range list(p, "feeds") {
				obj(f)["rating_a"] = 300.0
			}
		}},
		{"a wire number of another loom", "identity", func(p map[string]any) {
			for _, w := range list(p, "wires") {
				if obj(w)["loom"] == "cabin loom" {
					obj(w)["number"] = "E999"
					return
				}
			}
		}},
		{"too many lugs", "lugs", func(p map[string]any) {
			for _, w := range list(p, "wires") {
				if e := obj(obj(w)["to_end"]); e["stud"] != nil {
					e["stud"] = "G4"
				}
			}
		}},
		{"a splice of another circuit", "splice", func(p map[string]any) { obj(list(p, "splices")[0])["circuit"] = "GEAR" }},
		{"both halves in one loom", "join", func(p map[string]any) {
			j := obj(list(p, "joins")[0])
			j["place_b"] = j["place_a"]
		}},
		{"a signal in a power leg", "keep out", func(p map[string]any) {
			for _, l := range list(p, "legs") {
				if n := obj(l)["name"]; n == "supply bar–module" {
					w := find(p, "circuit", "GEAR")
					w["legs"] = append([]any{n}, w["legs"].([]any)...)
				}
			}
		}},
		{"two circuits on one core", "cable", func(p map[string]any) {
			for _, w := range list(p, "wires") {
				if obj(w)["cable"] == "crank cable" {
					obj(w)["core"] = "white"
				}
			}
		}},
		{"a core of another gauge", "cable", func(p map[string]any) { find(p, "circuit", "KNOCK 1 +")["gauge"] = "20" }},
		{"a loom too thick for its hole", "hole", func(p map[string]any) {
			for _, l := range list(p, "legs") {
				obj(l)["covered_mm"] = 60.0
			}
		}},
		{"a given length changed", "given", func(p map[string]any) {
			for _, l := range list(p, "legs") {
				if obj(l)["name"] == "dash right–column" {
					obj(l)["length_mm"] = 250.0
				}
			}
		}},
		{"a given feed changed", "given", func(p map[string]any) {
			for _, e := range list(p, "ends") {
				if obj(e)["feed"] == "REAR F1" {
					obj(e)["feed"] = "REAR F2"
				}
			}
		}},
		{"a given stud changed", "given", func(p map[string]any) {
			for _, e := range list(p, "ends") {
				if obj(e)["stud"] == "G8" {
					obj(e)["stud"] = "G9"
				}
			}
		}},
		{"a load nobody asked for", "loads", func(p map[string]any) {
			d := obj(obj(list(p, "states")[0])["devices"].([]any)[0])
			d["amps"] = d["amps"].(float64) + 0.5
		}},
		{"volts told too high", "network V", func(p map[string]any) {
			d := obj(obj(list(p, "states")[2])["devices"].([]any)[3])
			d["volts"] = d["volts"].(float64) + 0.02
		}},
		{"a wire thinner than the currents know", "network", func(p map[string]any) {
			w := find(p, "circuit", "FUEL MAIN")
			w["ohm_per_km"] = w["ohm_per_km"].(float64) * 4
		}},
		{"a conductor colder than it runs", "network", func(p map[string]any) {
			for _, s := range list(p, "states") {
				for _, w := range obj(s)["wires"].([]any) {
					obj(w)["conductor_c"] = 20.0
				}
			}
		}},
		{"a state on another voltage", "given", func(p map[string]any) { obj(list(p, "states")[0])["supply_v"] = 11.0 }},
		{"findings out of order", "findings", func(p map[string]any) {
			f := list(p, "findings")
			f[0], f[len(f)-1] = f[len(f)-1], f[0]
		}},
	} {
		var p map[string]any
		if err := json.Unmarshal(data, &p); err != nil {
			t.Fatal(err)
		}
		x.harm(p)
		harmed, err := json.Marshal(p)
		if err != nil {
			t.Fatal(err)
		}
		r := audit.Audit(harmed, tables, c)
		found := false
		for _, s := range r.Problems {
			found = found || strings.HasPrefix(s, x.want)
		}
		if !found {
			t.Errorf("%s: not found by %s; problems: %v", x.what, x.want, r.Problems)
		}
	}
}
