package part

import "testing"

func TestThin(t *testing.T) {
	c := Embedded()
	w := c.WireOf("AS22759/32", "22")
	if w == nil || w.OhmPerM != 0.0531 {
		t.Fatalf("22 AWG tin: %+v, want 53.1 ohm/km (MIL-DTL-29606A Table III-A)", w)
	}
	if k := c.Connectors["38999-15-35S"]; k == nil || len(k.Cavities) != 37 || k.Gender != "socket" {
		t.Fatalf("15-35: %+v, want 37 cavities (MIL-STD-1560C)", k)
	}
	got := c.ContactsFor(c.Connectors["38999-15-35S"].Cavities[0], "socket", "22", w.Outside)
	if len(got) != 1 || got[0].ID != "M39029/56-348" {
		t.Errorf("contact for 22 AWG in 22D: %v, want M39029/56-348", got)
	}
}

func BenchmarkLoad(b *testing.B) {
	for b.Loop() {
		load()
	}
}
