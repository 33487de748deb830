package finding

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

var (
	table   = &Rule{ID: "table.garbled", Severity: Stop}
	pin     = &Rule{ID: "complete.pin", Severity: Stop}
	drop    = &Rule{ID: "electrical.drop", Severity: Look, Grave: 2}
	foreign = &Rule{ID: "zoo.lion", Severity: Stop}
)

func TestJudge(t *testing.T) {
	most, least := Limit{AtMost: true, Value: 0.5, Unit: "V"}, Limit{Value: 0.5, Unit: "V"}
	for _, c := range []struct {
		value    float64
		limit    Limit
		ok       bool
		margin   float64
		severity Severity
	}{
		{0.5, most, true, 0, Look}, // at the limit is inside
		{0.51, most, false, -0.02, Look},
		{1.0, most, false, -1, Look}, // twice the limit, and no more
		{1.01, most, false, -1.02, Stop},
		{0.6, least, true, 0.2, Look},
		{0.4, least, false, -0.2, Look},
		{2, Limit{AtMost: true}, false, -2, Stop}, // of a zero limit the value itself counts
		{math.NaN(), most, false, math.NaN(), Look},
	} {
		v := Judge(drop, Place{}, c.value, c.limit, "")
		same := math.Abs(v.Margin()-c.margin) < 1e-12 || math.IsNaN(v.Margin()) && math.IsNaN(c.margin)
		if v.OK != c.ok || !same || v.Severity() != c.severity {
			t.Errorf("Judge(%v against %+v): ok %v margin %v %v, want %v %v %v", c.value, c.limit, v.OK, v.Margin(), v.Severity(), c.ok, c.margin, c.severity)
		}
	}
	if v := Say(drop, Place{}, "no number"); v.Severity() != Look || v.OK {
		t.Errorf("Say: %v %v, want an open look", v.Severity(), v.OK)
	}
}

// Stops come before looks, what is read first before what follows from it,
// open before passed; and the order they were said in doesn't matter.
func TestSort(t *testing.T) {
	at := func(id string) Place { return Place{Kind: "device", ID: id} }
	far := Judge(drop, at("b"), 2, Limit{AtMost: true, Value: 0.5}, "far")
	near := Judge(drop, at("a"), 0.6, Limit{AtMost: true, Value: 0.5}, "near")
	waived := Say(table, at("a"), "waived")
	waived.Waived = "accepted"
	want := []Verdict{Say(table, at("z"), "read"), Say(pin, at("a"), "pin"), Say(pin, at("b"), "pin"), far, Say(foreign, at("a"), "unknown family"), near, waived, Pass(pin, at("a"), "passed")}
	words := func(vs []Verdict) (out []string) {
		for _, v := range vs {
			out = append(out, v.Rule.ID+" "+v.Place.ID+" "+v.What)
		}
		return
	}
	r := rand.New(rand.NewPCG(1, 2))
	for range 20 {
		got := slices.Clone(want)
		r.Shuffle(len(got), func(i, j int) { got[i], got[j] = got[j], got[i] })
		Sort(got)
		if !slices.Equal(words(got), words(want)) {
			t.Fatalf("Sort: %q, want %q", words(got), words(want))
		}
	}
	if s, ok := Worst([]Verdict{near, waived, far}); s != Stop || !ok {
		t.Errorf("Worst: %v %v, want stop", s, ok)
	}
	if _, ok := Worst([]Verdict{waived}); ok {
		t.Error("Worst: a waived finding counts")
	}
}
