package part

import (
	"encoding/json"
	"slices"
	"testing"
)

// TestSearch: everyday words find the trade's, and names come first.
func TestSearch(t *testing.T) {
	c := Embedded()
	for words, first := range map[string]string{
		"kill switch": "isolator-2p", "fuse box": "fuse-carrier-8", "ecu": "controller-120", "Crank sensor": "sensor-crank-hall-3w", "brake light": "lamp-brake",
		"D38999/26WD35SN": "38999-15-35S", "22759/32 22": "AS22759/32 22", "fan-300": "fan-300", "o2 sensor": "lambda-5w", "generator": "alternator", "eyelet M6 16-14": "ring-M6-16-14",
		"terminal 87a": "DIN 72552 87a", "bung 22D": "MS27488-22-2", "egt": "egt-can-8",
	} {
		hits := c.Search(words)
		if len(hits) == 0 || !slices.ContainsFunc(hits[:min(3, len(hits))], func(h Hit) bool { return h.ID == first }) {
			t.Errorf("%q finds %v, want %s among the first", words, hits[:min(4, len(hits))], first)
		}
	}
	for _, none := range []string{"", "   ", "zzz qqq"} {
		if hits := c.Search(none); len(hits) != 0 {
			t.Errorf("%q finds %v", none, hits[0])
		}
	}
	for typed, meant := range map[string]string{"AS22759/32-22": "AS22759/32 22", "38999_15_35s": "38999-15-35S", "fuel pump main": "fuel-pump-main", "M39029/58-361": "M39029/58-360", "nothing like it": ""} {
		if got := c.Near(typed, ""); got != meant {
			t.Errorf("%q is near %q, want %q", typed, got, meant)
		}
	}
}

// TestShow: every part of the catalogue can be shown and told as JSON; a
// figure nobody knows says so and never shows as zero.
func TestShow(t *testing.T) {
	c := Embedded()
	unknown := 0
	for _, h := range c.List("") {
		lines := c.Show(h.ID)
		if len(lines) < 3 {
			t.Errorf("%s %s: %d lines", h.Kind, h.ID, len(lines))
		}
		for _, l := range lines {
			if l.Value == NotKnown {
				unknown++
				if l.Source.Status != "missing" {
					t.Errorf("%s, %s: not known, status %s", h.ID, l.Label, l.Source.Status)
				}
			}
			if l.Value == "0" && l.Label != "gauge" && l.Label != "code" || l.Value == "" {
				t.Errorf("%s, %s: value %q", h.ID, l.Label, l.Value)
			}
			if l.Source.Doc == "" || l.Source.Status == "" {
				t.Errorf("%s, %s: no source", h.ID, l.Label)
			}
		}
		if _, err := json.Marshal(lines); err != nil {
			t.Error(err)
		}
	}
	if unknown == 0 {
		t.Error("no figure is unknown: AS22759/16 has no published outside diameter")
	}
	// Of a seen row, what is from memory prints as such.
	for _, l := range c.Show("M39029/58-363") {
		if from := map[string]string{"amps": "seen", "crimp tool": "memory"}[l.Label]; from != "" && string(l.Source.Status) != from {
			t.Errorf("M39029/58-363 %s: status %s, want %s", l.Label, l.Source.Status, from)
		}
	}
}

// TestContactsFor: what takes the gauge, and what also seals first.
func TestContactsFor(t *testing.T) {
	c := Embedded()
	for _, k := range []struct {
		size, gender, gauge string
		outside             float64 // mm
		want                string
		seals               bool
	}{
		{"22D", "socket", "22", 1.092, "M39029/56-348", true},
		{"22D", "pin", "22", 1.27, "M39029/58-360", true},
		{"22D", "pin", "20", 1.27, "", false},               // the barrel takes 28 to 22
		{"20", "pin", "24", 0.9398, "M39029/58-363", false}, // AS22759/32 24 is thinner than 1.02 mm
		{"20", "pin", "0.5mm2", 1.6, "M39029/58-363", true}, // between 24 (0.24 mm²) and 20 (0.62 mm²)
		{"20", "pin", "0.75mm2", 1.9, "", false},            // above 20
		{"16", "socket", "16", 1.727, "M39029/56-352", true},
		{"12", "pin", "12", 2.616, "M39029/58-365", true},
		{"10", "pin", "10", 3.404, "M39029/58-528", false}, // AS22759/41 10 is thinner than 3.43 mm
	} {
		list := c.ContactsFor(Cavity{Size: k.size}, k.gender, k.gauge, lengthMM(k.outside))
		got := ""
		if len(list) > 0 {
			got = list[0].ID
			if ok, known := list[0].Seals(lengthMM(k.outside)); !known || ok != k.seals {
				t.Errorf("%s on %g mm: seals %v", got, k.outside, ok)
			}
		}
		if got != k.want || len(list) > 1 {
			t.Errorf("size %s %s, gauge %s: %q, want %q", k.size, k.gender, k.gauge, got, k.want)
		}
	}
	for _, k := range [][3]string{{"M6", "22", "ring-M6-22-18"}, {"M8", "4", "ring-M8-4"}, {"M5", "0.5mm2", "ring-M5-22-18"}, {"M4", "00", ""}, {"M7", "22", ""}} {
		got := ""
		if l := c.LugFor(k[0], k[1]); l != nil {
			got = l.ID
		}
		if got != k[2] {
			t.Errorf("lug for stud %s, gauge %s: %q, want %q", k[0], k[1], got, k[2])
		}
	}
}

func BenchmarkLoad(b *testing.B) {
	for b.Loop() {
		load()
	}
}
