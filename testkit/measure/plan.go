package main

import (
	"cmp"
	"fmt"
	"slices"
	"sync"
	"time"

	"keyon/app/build"
	"keyon/examples"
	"keyon/model/design"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/testkit/cars"
)

const runs = 15

// examplesPlanned times the examples as they are, with all that may be blank
// blank, and the stages of the largest.
func examplesPlanned(r *tables) error {
	c := part.Embedded()
	r.table("car", "wires", "open stops", "cold, least", "cold, middle", "after an edit, least", "middle")
	var tern *design.Book
	for _, name := range examples.Names() {
		b, err := example(name)
		if err != nil {
			return err
		}
		for _, blank := range []bool{false, true} {
			label := name
			if blank {
				b = blanked(b)
				label += ", all blank"
			}
			if err := bothWays(r, label, b, c); err != nil {
				return err
			}
			if name == "tern" && !blank {
				tern = b
			}
		}
	}
	r.note("\"After an edit\" changes a leg's length each time and plans again with the memory of the plan before. Times include reading the\ntables; the catalogue is in memory. Middle of %d runs.", runs)
	if tern == nil {
		return nil
	}
	r.table("stage or check", "tern cold, least", "after an edit, least")
	cold, order, err := stages(runs, func(mem *build.Memory) (*design.Design, *build.Memory) { return design.Read(tern), mem }, c, false)
	if err != nil {
		return err
	}
	legs, n := tern.Sheet("Legs"), 0
	warm, _, err := stages(runs, func(mem *build.Memory) (*design.Design, *build.Memory) {
		n++
		legs.Rows[0].Cells[legs.Table.Index("length")] = design.Cell{Text: fmt.Sprint(600 + n)}
		return design.Read(tern), mem
	}, c, true)
	if err != nil {
		return err
	}
	for _, name := range order {
		r.row(name, milli(cold[name]), milli(warm[name]))
	}
	r.note("Checks run side by side, and so do the states inside size and power.")
	return nil
}

// bothWays times a car cold and after edits.
func bothWays(r *tables, label string, b *design.Book, c part.Catalogue) error {
	var p *plan.Plan
	least, middle, err := timed(runs, func() (err error) {
		p, err = build.Run(design.Read(b), c, nil)
		return err
	})
	if err != nil {
		return err
	}
	mem, b := build.NewMemory(), b.Clone()
	legs, n := b.Sheet("Legs"), 0
	edit := func() error {
		n++
		legs.Rows[n%len(legs.Rows)].Cells[legs.Table.Index("length")] = design.Cell{Text: fmt.Sprint(600 + n)}
		_, err := build.Run(design.Read(b), c, mem)
		return err
	}
	if err := edit(); err != nil {
		return err
	}
	l, m, err := timed(runs, edit)
	if err != nil {
		return err
	}
	r.row(label, len(p.Wires.List), stops(p.Verdicts), milli(least), milli(middle), milli(l), milli(m))
	return nil
}

// stages times every stage and check, the least of n runs each; order is that
// in which they came.
func stages(n int, next func(*build.Memory) (*design.Design, *build.Memory), c part.Catalogue, keep bool) (least map[string]time.Duration, order []string, err error) {
	least = map[string]time.Duration{}
	mem := build.NewMemory()
	for range n {
		var mu sync.Mutex
		took := map[string]time.Duration{}
		if !keep {
			mem = build.NewMemory()
		}
		mem.Trace = func(name string, d time.Duration) {
			mu.Lock()
			defer mu.Unlock()
			took[name] += d
		}
		d, m := next(mem)
		start := time.Now()
		if _, err := build.Run(d, c, m); err != nil {
			return nil, nil, err
		}
		took["all"] = time.Since(start)
		for name, t := range took {
			if old, ok := least[name]; !ok || t < old {
				least[name] = t
			}
		}
	}
	for i := range build.Stages {
		order = append(order, build.Stages[i].Name)
	}
	for i := range build.Checks {
		order = append(order, "check "+build.Checks[i].Name)
	}
	return least, append(order, "all"), nil
}

// blanked is a copy with every cell blank that may be. Pins of power, heavy
// and extinguisher circuits stay: which post of an isolator or relay a cable
// goes to can't be told from roles alone.
func blanked(b *design.Book) *design.Book {
	b = b.Clone()
	for i := range b.Sheets {
		s := &b.Sheets[i]
		for c := range s.Table.Columns {
			col := &s.Table.Columns[c]
			for row := range s.Rows {
				if !col.Blank || s.Table.Name == "Circuits" && (col.Name == "from pin" || col.Name == "to pin") && slices.Contains([]string{"power", "heavy", "extinguisher"}, s.Text(row, "class")) {
					continue
				}
				s.Rows[row].Cells[c] = design.Cell{}
			}
		}
	}
	return b
}

// growth times generated cars of growing size.
func growth(r *tables) error {
	c := part.Embedded()
	r.table("wires", "open stops", "passes", "read", "planned cold", "µs a wire", "× time for × wires", "after an edit")
	before, wires := time.Duration(0), 0
	for _, want := range []int{100, 1000, 10000, 100000} {
		b := cars.Make(1, want, cars.Mixed)
		n := cmp.Or(map[bool]int{true: 9}[want < 10000], 3)
		var p *plan.Plan
		read, _, _ := timed(n, func() error { design.Read(b); return nil })
		d := design.Read(b)
		mem := build.NewMemory()
		took, _, err := timed(n, func() (err error) {
			mem = build.NewMemory()
			p, err = build.Run(d, c, mem)
			return err
		})
		if err != nil {
			return err
		}
		legs := b.Sheet("Legs")
		edit, _, err := timed(1, func() error {
			legs.Rows[len(legs.Rows)/2].Cells[legs.Table.Index("length")] = design.Cell{Text: "777"}
			_, err := build.Run(design.Read(b), c, mem)
			return err
		})
		if err != nil {
			return err
		}
		times := ""
		if before > 0 {
			times = fmt.Sprintf("%.1f for %.1f", float64(took)/float64(before), float64(len(p.Wires.List))/float64(wires))
		}
		before, wires = took, len(p.Wires.List)
		r.row(wires, stops(p.Verdicts), len(p.Passes), milli(read), milli(took), took.Microseconds()/int64(max(1, wires)), times, milli(edit))
	}
	r.note("Cars of `testkit/cars`, seed 1, about half given: blocks of up to 300 wires, each with its controller, module, bulkheads and rear, chained by\nin-line joins and a bus. The least of nine runs, of three from 10,000 wires.")
	return nil
}
