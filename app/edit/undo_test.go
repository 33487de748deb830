package edit

import (
	"fmt"
	"testing"

	"keyon/model/design"
	"keyon/model/fault"
	"keyon/model/settle"
)

func TestUndo(t *testing.T) {
	c := newCar(t)
	take(t, c, reading(t, "Circuits.csv", "circuit,from,from pin,to,to pin,gauge,shop note\nF1,ECU,01,PUMP,1,20,a\nF2,ECU,02,FAN,1,20,b\n"))
	anna, bert := by("anna"), by("bert")
	s := c.Book().Sheet("Circuits")
	at := func(i int, column string) settle.Cell {
		return settle.Cell{Table: "Circuits", Row: s.Rows[i].UID, Column: column}
	}
	want := func(texts ...string) {
		t.Helper()
		b := c.Book()
		s := b.Sheet("Circuits")
		var got []string
		for i := range s.Rows {
			got = append(got, s.Text(i, "circuit")+" "+s.Text(i, "gauge"))
		}
		if fmt.Sprint(got) != fmt.Sprint(texts) {
			t.Errorf("the table holds %q, want %q", got, texts)
		}
		if f, err := c.File().Load(); err != nil || f.Hash() != b.Hash() {
			t.Errorf("the book in memory is not that of the file (%v)", err)
		}
	}
	step := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	undo := func(who By, what string, f func(By) (string, error)) {
		t.Helper()
		got, err := f(who)
		if err != nil || got != what {
			t.Errorf("took back %q, want %q (%v)", got, what, err)
		}
	}
	step(c.Set(at(0, "gauge"), "20", "18", anna))
	step(c.Set(at(1, "gauge"), "20", "16", bert))
	step(c.Paste("paste", []Write{{at(0, "gauge"), "18", "14"}, {at(0, "circuit"), "F1", "F1A"}}, anna))
	want("F1A 14", "F2 16")
	undo(anna, "paste", c.Undo)
	want("F1 18", "F2 16")
	undo(anna, "cell", c.Undo) // bert's edit is none of hers
	want("F1 20", "F2 16")
	undo(anna, "cell", c.Redo)
	undo(anna, "paste", c.Redo)
	want("F1A 14", "F2 16")
	if _, err := c.Redo(anna); fault.Of(err) != fault.NotFound {
		t.Errorf("redo of nothing: %v", err)
	}
	undo(anna, "paste", c.Undo)
	undo(anna, "paste", c.Redo)
	undo(anna, "paste", c.Undo)
	step(c.Set(at(0, "gauge"), "18", "12", anna)) // ends the redo
	if _, err := c.Redo(anna); fault.Of(err) != fault.NotFound {
		t.Errorf("redo after another edit: %v", err)
	}
	step(c.Set(at(0, "gauge"), "12", "10", bert))
	if _, err := c.Undo(anna); fault.Of(err) != fault.Conflict {
		t.Errorf("undo of a cell that moved on: %v", err)
	}
	want("F1 10", "F2 16")

	// rows come and go
	saw := c.Book()
	step(c.Delete(saw, "Circuits", []string{s.Rows[0].UID}, bert))
	want("F2 16")
	if err := c.Delete(saw, "Circuits", []string{s.Rows[0].UID}, bert); fault.Of(err) != fault.Conflict {
		t.Errorf("removed twice: %v", err)
	}
	undo(bert, "delete rows", c.Undo)
	want("F1 10", "F2 16")
	uids, err := c.Add([]NewRow{{"Circuits", map[string]string{"circuit": "F3", "gauge": "22", "shop note": "n"}}, {"Circuits", map[string]string{"circuit": "F3"}}}, bert)
	if err != nil || len(uids) != 2 || uids[0] == uids[1] {
		t.Fatalf("added %q %v", uids, err)
	}
	want("F1 10", "F2 16", "F3 22", "F3 ")
	if i := len(c.Book().Sheet("Circuits").Rows) - 2; c.Book().Sheet("Circuits").Rows[i].UID != uids[0] {
		t.Errorf("the UIDs stand for other rows")
	}
	undo(bert, "add rows", c.Undo)
	want("F1 10", "F2 16")
	undo(bert, "add rows", c.Redo)
	want("F1 10", "F2 16", "F3 22", "F3 ")
	step(c.Set(settle.Cell{Table: "Circuits", Row: uids[1], Column: "note"}, "", "x", anna))
	if _, err := c.Undo(bert); fault.Of(err) != fault.Conflict {
		t.Errorf("undo would have taken a row that somebody edited: %v", err)
	}
	mustVerify(t, c)
	h, err := c.History(3)
	if err != nil || len(h) != 3 || h[0].Who != "anna" || h[0].Changes[0].New != (design.Cell{Text: "x"}) || h[1].What != "redo add rows" || len(h[1].Changes) != 2 {
		t.Errorf("history %+v %v", h, err)
	}
}

func TestSetRefuses(t *testing.T) {
	c := newCar(t)
	take(t, c, reading(t, "Zones.csv", "zone,ambient\ncabin,50\n"))
	cell := settle.Cell{Table: "Zones", Row: c.Book().Sheet("Zones").Rows[0].UID, Column: "ambient"}
	for name, e := range map[string]struct {
		cell settle.Cell
		who  string
		kind fault.Kind
	}{
		"no such table":  {settle.Cell{Table: "row", Row: cell.Row, Column: "ambient"}, "anna", fault.Invalid},
		"no such column": {settle.Cell{Table: "Zones", Row: cell.Row, Column: "heat"}, "anna", fault.Invalid},
		"no such row":    {settle.Cell{Table: "Zones", Row: "x", Column: "ambient"}, "anna", fault.Conflict},
		"nobody":         {cell, " ", fault.Invalid},
	} {
		if err := c.Set(e.cell, "50", "60", by(e.who)); fault.Of(err) != e.kind {
			t.Errorf("%s: %v, want kind %v", name, err, e.kind)
		}
	}
	if err := c.Set(cell, "50", "a\xffb", by("anna")); err != nil {
		t.Fatal(err)
	}
	if got := c.Book().Sheet("Zones").Text(0, "ambient"); got != "a\uFFFDb" {
		t.Errorf("broken text was stored as %q", got)
	}
	if err := c.Set(cell, "a\uFFFDb", "", by("anna")); err != nil {
		t.Fatal(err)
	}
	// another program edits the file meanwhile
	other, err := Open(c.File().Path)
	if err != nil {
		t.Fatal(err)
	}
	defer other.Close()
	if err := other.Set(cell, "", "70", by("bert")); err != nil {
		t.Fatal(err)
	}
	if err := c.Set(cell, "", "60", by("anna")); fault.Of(err) != fault.Conflict {
		t.Errorf("over an edit of another program: %v", err)
	}
	if err := other.Set(cell, "70", "75", by("bert")); err != nil {
		t.Fatal(err)
	}
	if changed, err := c.Refresh(); err != nil || !changed || c.Book().Sheet("Zones").Text(0, "ambient") != "75" {
		t.Errorf("the other's edit is not seen: %v %v", changed, err)
	}
	if changed, err := c.Refresh(); err != nil || changed {
		t.Errorf("refreshed without need: %v %v", changed, err)
	}
	if err := other.Set(cell, "75", "70", by("bert")); err != nil {
		t.Fatal(err)
	}
	if err := c.Set(cell, "70", "60", by("anna")); err != nil {
		t.Errorf("having seen it: %v", err)
	}
	mustVerify(t, c)
}
