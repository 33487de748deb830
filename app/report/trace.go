package report

import (
	"fmt"
	"slices"
	"strings"
)

// Trace is a circuit from end to end: `keyon trace --json`.
type Trace struct {
	Version int      `json:"version"`
	Circuit string   `json:"circuit"`
	Class   string   `json:"class"`
	Legs    []string `json:"legs"`
	Joins   []string `json:"joins"`
	Metres  float64  `json:"metres"`
	Reason  string   `json:"reason"`
	Wires   []Wire   `json:"wires"` // from the source outward
	Splices []Splice `json:"splices"`
	Ends    []End    `json:"ends"`
}

// TraceOf follows a circuit; ok is false where there is none of that name.
func TraceOf(p *Plan, circuit string) (*Trace, bool) {
	i := slices.IndexFunc(p.Circuits, func(c Circuit) bool { return c.Name == circuit })
	if i < 0 {
		return nil, false
	}
	c := &p.Circuits[i]
	t := &Trace{Version: Version, Circuit: c.Name, Class: c.Class, Legs: c.Legs, Joins: c.Joins, Metres: c.Metres, Reason: c.Reason, Wires: []Wire{}, Splices: []Splice{}, Ends: []End{}}
	var list []Wire
	for _, w := range p.Wires {
		if w.Circuit == circuit {
			list = append(list, w)
		}
	}
	t.Wires = outward(list)
	for _, s := range p.Splices {
		if s.Circuit == circuit {
			t.Splices = append(t.Splices, s)
		}
	}
	for _, e := range p.Ends {
		if e.Circuit == circuit {
			t.Ends = append(t.Ends, e)
		}
	}
	return t, true
}

// outward orders wires so that each follows one that it joins, as a person
// with a meter walks.
func outward(list []Wire) []Wire {
	node := func(e *WireEnd) string {
		switch {
		case e.Join != "":
			return "join " + e.Join + " " + e.Cavity
		case e.Splice != "":
			return "splice " + e.Splice
		}
		return e.Device + e.Stud + " " + e.Connector + " " + e.Pin
	}
	feeds := map[string]bool{}
	for i := range list {
		feeds[node(&list[i].ToEnd)] = true
	}
	out, used := []Wire{}, make([]bool, len(list))
	reached := map[string]bool{}
	var walk func(i int)
	walk = func(i int) {
		used[i] = true
		out = append(out, list[i])
		reached[node(&list[i].ToEnd)], reached[node(&list[i].FromEnd)] = true, true
		for k := range list {
			if !used[k] && node(&list[k].FromEnd) == node(&list[i].ToEnd) {
				walk(k)
			}
		}
	}
	for i := range list {
		if !used[i] && !feeds[node(&list[i].FromEnd)] {
			walk(i)
		}
	}
	for changed := true; changed; {
		changed = false
		for i := range list {
			if !used[i] && (reached[node(&list[i].FromEnd)] || reached[node(&list[i].ToEnd)]) {
				walk(i)
				changed = true
			}
		}
		if !changed {
			for i := range list {
				if !used[i] {
					walk(i)
					changed = true
					break
				}
			}
		}
	}
	return out
}

// Why is a chain of reasons: `keyon why --json`.
type Why struct {
	Version int       `json:"version"`
	Thing   string    `json:"thing"`
	Field   string    `json:"field"`
	Value   string    `json:"value"`
	Chain   []Because `json:"chain"`
}

// Because is one link of the chain: what was settled, how, and from what.
type Because struct {
	What   string `json:"what"`
	Origin string `json:"origin"`
	Reason string `json:"reason"`
}

// WhyFields lists what can be asked of a kind of thing.
var WhyFields = map[string][]string{
	"wire":    {"gauge", "family", "colour", "cut", "number", "label", "way", "pin", "cavity"},
	"leg":     {"length", "diameter", "sleeve"},
	"feed":    {"setting"},
	"join":    {"part", "key", "cavity"},
	"circuit": {"way", "pin", "splice"},
}

// WhyOf explains a field of a thing, down to the sources. A thing is named by
// kind and name ("wire A012", "leg dash–box"), or by name where that is
// enough. The error says what can be asked.
func WhyOf(p *Plan, thing, name string) (*Why, error) {
	y := &Why{Version: Version, Thing: thing, Field: name}
	kind, id := "", thing
	if k, rest, ok := strings.Cut(thing, " "); ok && WhyFields[k] != nil {
		kind, id = k, rest
	}
	add := func(what, origin, reason string) { y.Chain = append(y.Chain, Because{what, origin, reason}) }
	if kind == "" || kind == "wire" {
		for i := range p.Wires {
			if w := &p.Wires[i]; w.ID == id || w.Number == id {
				return y, whyWire(p, w, name, y, add)
			}
		}
	}
	for i := range p.Legs {
		if l := &p.Legs[i]; (kind == "" || kind == "leg") && l.Name == id {
			switch name {
			case "length":
				y.Value = fmt.Sprintf("%g mm", l.LengthMM)
				add("length of leg "+l.Name, "", l.Reason)
			case "diameter":
				y.Value = fmt.Sprintf("%g mm", l.DiameterMM)
				add("diameter of leg "+l.Name, "worked out", fmt.Sprintf("%d wires packed as circles; no packing is under %.2f mm (physics: geometry)", len(l.Wires), l.BoundMM))
				for _, id := range l.Wires {
					if k := slices.IndexFunc(p.Wires, func(w Wire) bool { return w.ID == id }); k >= 0 {
						add("wire "+p.Wires[k].Number, p.Wires[k].Origin["gauge"], fmt.Sprintf("gauge %s of %s, %g mm outside", p.Wires[k].Gauge, p.Wires[k].Family, p.Wires[k].OutsideMM))
					}
				}
			case "sleeve":
				y.Value = l.Sleeve
				add("covering of leg "+l.Name, "", fmt.Sprintf("over %g mm", l.DiameterMM))
			default:
				return nil, noField("leg", name)
			}
			return y, nil
		}
	}
	for i := range p.Feeds {
		if f := &p.Feeds[i]; (kind == "" || kind == "feed") && f.Name == id {
			if name != "setting" {
				return nil, noField("feed", name)
			}
			y.Value = f.Setting
			add("setting of feed "+f.Name, "", f.Reason)
			add("load of feed "+f.Name, "worked out", fmt.Sprintf("%.2f A in %s (physics: Kirchhoff)", f.Amps, f.State))
			return y, nil
		}
	}
	for i := range p.Joins {
		if j := &p.Joins[i]; (kind == "" || kind == "join") && j.Name == id {
			switch name {
			case "part", "key":
				y.Value = map[string]string{"part": j.Part, "key": j.Key}[name]
				add(name+" of join "+j.Name, "", j.Reason)
			case "cavity":
				for _, c := range p.Cavities {
					if c.Join == j.Name {
						add(c.Circuit+" on cavity "+c.Cavity, c.Origin, c.Reason)
					}
				}
			default:
				return nil, noField("join", name)
			}
			return y, nil
		}
	}
	for i := range p.Circuits {
		if c := &p.Circuits[i]; (kind == "" || kind == "circuit") && c.Name == id {
			whyCircuit(p, c, name, add)
			if len(y.Chain) == 0 {
				return nil, noField("circuit", name)
			}
			return y, nil
		}
	}
	return nil, fmt.Errorf("nothing is called %q: name a wire by its number, or a leg, feed, join or circuit by its name", thing)
}

func noField(kind, name string) error {
	return fmt.Errorf("a %s has no %q to explain: ask for %s", kind, name, strings.Join(WhyFields[kind], ", "))
}

func whyWire(p *Plan, w *Wire, name string, y *Why, add func(a, b, c string)) error {
	y.Thing = "wire " + w.Number + " (" + w.Circuit + ")"
	value := map[string]string{"gauge": w.Gauge, "family": w.Family, "colour": w.Colour, "cut": fmt.Sprintf("%g mm", w.CutMM), "number": w.Number, "label": w.Label, "way": words(w.Legs)}
	switch name {
	case "gauge", "family", "colour", "cut", "number", "label":
		y.Value = value[name]
		add(name+" of wire "+w.Number, w.Origin[name], w.Reasons[name])
	case "way", "pin", "cavity":
	default:
		return noField("wire", name)
	}
	circuit := &p.Circuits[slices.IndexFunc(p.Circuits, func(c Circuit) bool { return c.Name == w.Circuit })]
	switch name {
	case "gauge":
		add("current of wire "+w.Number, "worked out", fmt.Sprintf("%.2f A in %s; it may carry %.2f A and reaches %.0f °C (physics: Kirchhoff)", w.Amps, w.State, w.CapacityA, w.ConductorC))
		for _, l := range w.Legs {
			if k := slices.IndexFunc(p.Legs, func(x Leg) bool { return x.Name == l }); k >= 0 {
				add("leg "+l, "", fmt.Sprintf("%d wires, %g mm, air %.0f °C", len(p.Legs[k].Wires), p.Legs[k].LengthMM, p.Legs[k].AmbientC))
			}
		}
		for _, f := range p.Feeds {
			for _, e := range p.Ends {
				if e.Circuit == w.Circuit && e.Feed == f.Name {
					add("setting of feed "+f.Name, "", f.Setting+": "+f.Reason)
				}
			}
		}
		whyCircuit(p, circuit, "way", add)
	case "cut", "way":
		for _, l := range w.Legs {
			if k := slices.IndexFunc(p.Legs, func(x Leg) bool { return x.Name == l }); k >= 0 {
				add("length of leg "+l, "", p.Legs[k].Reason)
			}
		}
		whyCircuit(p, circuit, "way", add)
	case "pin":
		whyCircuit(p, circuit, "pin", add)
	case "cavity":
		for _, c := range p.Cavities {
			if c.Circuit == w.Circuit {
				add("cavity "+c.Cavity+" of join "+c.Join, c.Origin, c.Reason)
			}
		}
	}
	return nil
}

func whyCircuit(p *Plan, c *Circuit, name string, add func(a, b, c string)) {
	switch name {
	case "way":
		add("way of circuit "+c.Name+" over "+words(c.Legs), "", c.Reason)
		whyCircuit(p, c, "pin", add)
	case "pin":
		for _, e := range p.Ends {
			if e.Circuit == c.Name {
				what := "pin " + e.Pin + " of " + e.Device
				if e.Stud != "" {
					what = "stud " + e.Stud
				}
				if e.Feed != "" {
					what += " (feed " + e.Feed + ")"
				}
				add(what, e.Origin, e.Reason)
			}
		}
	case "splice":
		for _, s := range p.Splices {
			if s.Circuit == c.Name {
				add("splice at "+s.Place, "", s.Reason)
			}
		}
	}
}
