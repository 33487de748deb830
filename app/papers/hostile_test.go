package papers_test

import (
	"fmt"
	"strings"
	"testing"

	"keyon/examples"
	"keyon/format/page"
	"keyon/format/page/sample"
	"keyon/format/sheet"
	"keyon/store/workbook"
)

// TestHostileNames: whatever people call things, papers stay readable and no
// cell becomes a formula. Names come from foreign files.
func TestHostileNames(t *testing.T) {
	for n, bad := range sample.Hostile {
		if bad = bad[:min(len(bad), 300)]; strings.TrimSpace(bad) == "" {
			continue
		}
		r, err := workbook.ReadFolder("retrofit", examples.Folder("retrofit"))
		if err != nil {
			t.Fatal(err)
		}
		names := map[string]string{}
		for _, table := range []string{"Devices", "Places", "Joins", "Studs", "Circuits", "Looms"} {
			s := r.Book.Sheet(table)
			for i := range s.Rows {
				if name := s.Rows[i].Cells[0].Text; name != "" && names[name] == "" {
					names[name] = fmt.Sprintf("%s %d", bad, len(names))
				}
			}
		}
		for s := range r.Book.Sheets {
			for i := range r.Book.Sheets[s].Rows {
				cells := r.Book.Sheets[s].Rows[i].Cells
				for c := range cells {
					if new := names[cells[c].Text]; new != "" {
						cells[c].Text = new
					}
				}
			}
		}
		car, p := planned(t, r.Book)
		if len(p.Wires.List) < 10 {
			t.Fatalf("name %d: only %d wires: the car was not renamed as one", n, len(p.Wires.List))
		}
		for _, pack := range set(t, car, p) {
			for i, problem := range page.Check(pack.Document) {
				if i < 3 {
					t.Errorf("name %d, %.20q: %.200v", n, pack.Name, problem)
				}
			}
			if _, err := sheet.Write(pack.Book); err != nil {
				t.Errorf("name %d: %v", n, err)
			}
			for row := range strings.Lines(string(pack.Labels)) {
				if strings.ContainsAny(row[:1], "=+-@") {
					t.Errorf("name %d: a label that a spreadsheet would run: %.60q", n, row)
				}
			}
		}
	}
}
