package main

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"

	"keyon/app/build"
	"keyon/app/report"
	"keyon/examples"
	"keyon/model/design"
	"keyon/model/part"
	"keyon/testkit/audit"
	"keyon/testkit/cars"
)

// audited lets the auditor look at examples and generated cars.
func audited(r *tables) error {
	books := map[string][]*design.Book{}
	for _, name := range examples.Names() {
		b, err := example(name)
		if err != nil {
			return err
		}
		books["examples"] = append(books["examples"], b)
	}
	for seed := uint64(1); seed <= 50; seed++ {
		books["50 seeds, 300 wires"] = append(books["50 seeds, 300 wires"], cars.Make(seed, 300, cars.Mixed))
	}
	for seed := uint64(1); seed <= 5; seed++ {
		books["5 seeds, 10,000 wires"] = append(books["5 seeds, 10,000 wires"], cars.Make(seed, 10000, cars.Mixed))
	}
	kinds := slices.Sorted(maps.Keys(books))
	found := map[string]audit.Report{}
	names := map[string]bool{}
	for _, kind := range kinds {
		all := audit.Report{Worst: map[string]float64{}, Checked: map[string]int{}}
		for _, b := range books[kind] {
			one, err := auditOf(b)
			if err != nil {
				return err
			}
			all.Problems = append(all.Problems, one.Problems...)
			for k, v := range one.Worst {
				all.Worst[k], names[k] = max(all.Worst[k], v), true
			}
			for k, n := range one.Checked {
				all.Checked[k] += n
				names[k] = true
			}
		}
		found[kind] = all
	}
	head := []string{"constraint"}
	for _, kind := range kinds {
		head = append(head, kind+": looked at", "worst")
	}
	r.table(head...)
	for _, name := range slices.Sorted(maps.Keys(names)) {
		cells := []any{name}
		for _, kind := range kinds {
			worst := ""
			if w, ok := found[kind].Worst[name]; ok {
				worst = fmt.Sprintf("%.3g", w)
			}
			cells = append(cells, found[kind].Checked[name], worst)
		}
		r.row(cells...)
	}
	cells := []any{"problems"}
	for _, kind := range kinds {
		cells = append(cells, len(found[kind].Problems), "")
	}
	r.row(cells...)
	r.note("Worst is the largest share of a limit in use, or what its name says. The auditor shares no code with what it judges.")
	return nil
}

func auditOf(b *design.Book) (audit.Report, error) {
	d := design.Read(b)
	p, err := build.Run(d, part.Embedded(), nil)
	if err != nil {
		return audit.Report{}, err
	}
	c, _ := part.Embedded().With(d)
	data, err := json.Marshal(report.OfPlan(d, c, p, report.Plain))
	if err != nil {
		return audit.Report{}, err
	}
	return audit.Audit(data, texts(b), c), nil
}

// texts are a book's tables as the auditor reads them.
func texts(b *design.Book) audit.Tables {
	out := audit.Tables{}
	for i := range b.Sheets {
		s := &b.Sheets[i]
		for row := range s.Rows {
			cells := map[string]string{}
			for c := range s.Table.Columns {
				cells[s.Table.Columns[c].Name] = s.Rows[row].Cells[c].Text
			}
			out[s.Table.Name] = append(out[s.Table.Name], cells)
		}
	}
	return out
}
