package desk_test

import (
	"path/filepath"
	"testing"
	"time"

	"keyon/app/desk"
	"keyon/app/edit"
	"keyon/store/workbook"
)

func clock() time.Time { return time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC) }

// TestDesk: a desk has its plan after opening, and a new one after an edit
// that came through it; undo brings the old one back.
func TestDesk(t *testing.T) {
	path := filepath.Join(t.TempDir(), "car.keyon")
	car, err := edit.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	r, err := workbook.ReadPath("../../examples/retrofit")
	if err != nil {
		t.Fatal(err)
	}
	if err := car.Take(car.Import(r), edit.By{Who: "anna", When: clock()}); err != nil {
		t.Fatal(err)
	}
	if err := car.Close(); err != nil {
		t.Fatal(err)
	}
	k, err := desk.Open(path, clock)
	if err != nil {
		t.Fatal(err)
	}
	defer k.Close()
	v := k.Fresh(time.Minute)
	if !v.Whole() || len(v.Plan.Wires.List) == 0 {
		t.Fatalf("no whole plan after opening: %v", v.Broken)
	}
	wires := len(v.Plan.Wires.List)
	row := ""
	s := v.Book.Sheet("Circuits")
	for i := range s.Rows {
		if s.Text(i, "circuit") == "LAMP" {
			row = s.Rows[i].UID
		}
	}
	if _, err := k.Delete("Circuits", []string{row}, nil, "anna"); err != nil {
		t.Fatal(err)
	}
	if v = k.Fresh(time.Minute); len(v.Plan.Wires.List) != wires-1 {
		t.Errorf("without LAMP the plan has %d wires, want %d", len(v.Plan.Wires.List), wires-1)
	}
	if _, err := k.Undo("anna"); err != nil {
		t.Fatal(err)
	}
	if v = k.Fresh(time.Minute); len(v.Plan.Wires.List) != wires {
		t.Errorf("after undo the plan has %d wires, want %d", len(v.Plan.Wires.List), wires)
	}
}
