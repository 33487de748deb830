package audit

import (
	"math"
	"slices"
	"strings"
)

// given: what a person fixed is there unchanged: pins, studs, feeds, gauges,
// families, colours, lengths, cavities, ways, splices, connectors, settings and
// what the table Wires says.
func (a *auditor) given() {
	a.givenCircuits()
	a.givenLegs()
	a.givenJoins()
	a.givenWays()
	a.givenWires()
	for _, row := range a.tables["Feeds"] {
		s := text(row, "setting")
		for _, f := range a.p.Feeds {
			if s == "" || !same(f.Name, row["feed"]) {
				continue
			}
			a.r.Checked["given"]++
			v, _, ok := a.amount(s)
			if ok && math.Abs(f.Rating-v) > 1e-9 && a.c.Fuses[s] == nil {
				a.say("given: setting %s of feed %s became %g A", s, f.Name, f.Rating)
			}
		}
	}
}

func (a *auditor) givenCircuits() {
	type key struct{ circuit, device, pin string }
	ends := map[key]bool{}
	feeds := map[[2]string]bool{}
	for _, e := range a.p.Ends {
		c := strings.ToLower(e.Circuit)
		ends[key{c, strings.ToLower(e.Device), strings.ToLower(e.Pin)}] = true
		if e.Stud != "" {
			ends[key{c, strings.ToLower(e.Stud), ""}] = true
		}
		feeds[[2]string{c, strings.ToLower(e.Feed)}] = true
	}
	stud := map[string]bool{}
	for _, row := range a.tables["Studs"] {
		stud[strings.ToLower(text(row, "stud"))] = true
	}
	low := func(row map[string]string, column string) string { return strings.ToLower(text(row, column)) }
	rows := map[string]int{}
	for _, row := range a.tables["Circuits"] {
		rows[low(row, "circuit")]++
	}
	of := map[string][]int{}
	for name, wires := range a.of {
		of[strings.ToLower(name)] = wires
	}
	for _, row := range a.tables["Circuits"] {
		c := low(row, "circuit")
		for _, side := range []string{"from", "to"} {
			dev, pin := low(row, side+" device"), low(row, side+" pin")
			switch {
			case dev == "":
			case stud[dev]:
				a.r.Checked["given"]++
				if !ends[key{c, dev, ""}] {
					a.say("given: stud %s on %s is not kept", dev, c)
				}
			case pin != "":
				a.r.Checked["given"]++
				if !ends[key{c, dev, pin}] {
					a.say("given: pin %s of %s on %s is not kept", pin, dev, c)
				}
			}
		}
		if f := low(row, "feed"); f != "" {
			a.r.Checked["given"]++
			if !feeds[[2]string{c, f}] {
				a.say("given: feed %s of %s is not kept", f, c)
			}
		}
		if rows[c] != 1 {
			continue // which wires lie on one row's way is the plan's to say
		}
		for _, i := range of[c] {
			w := &a.p.Wires[i]
			if w.Cable != "" {
				continue
			}
			for _, x := range []struct{ column, is string }{{"gauge", w.Gauge}, {"wire", w.Family}, {"colour", w.Colour}} {
				if v := text(row, x.column); v != "" {
					a.r.Checked["given"]++
					if !same(v, x.is) {
						a.say("given: %s %s of %s became %s", x.column, v, c, x.is)
					}
				}
			}
		}
	}
}

func (a *auditor) givenLegs() {
	for _, row := range a.tables["Legs"] {
		i, ok := a.leg[text(row, "from")+"–"+text(row, "to")]
		if !ok {
			continue
		}
		l := &a.p.Legs[i]
		if mm, ok := a.length(row["length"]); ok {
			a.r.Checked["given"]++
			if math.Abs(l.Length-mm) > 0.01 {
				a.say("given: leg %s of %s became %g mm", l.Name, row["length"], l.Length)
			}
		}
		if s := text(row, "sleeve"); s != "" {
			a.r.Checked["given"]++
			if l.Sleeve != s {
				a.say("given: sleeve %s of leg %s became %q", s, l.Name, l.Sleeve)
			}
		}
	}
}

func (a *auditor) givenJoins() {
	for _, row := range a.tables["Joins"] {
		for _, j := range a.p.Joins {
			if !same(j.Name, row["join"]) {
				continue
			}
			for _, x := range []struct{ column, is string }{{"key", j.Key}, {"sockets", j.Sockets}} {
				if v := text(row, x.column); v != "" {
					a.r.Checked["given"]++
					if !same(v, x.is) {
						a.say("given: %s %s of join %s became %q", x.column, v, j.Name, x.is)
					}
				}
			}
			// A part may be written with its gender and key behind.
			if v := text(row, "part"); v != "" {
				a.r.Checked["given"]++
				if !strings.HasPrefix(strings.ToLower(v), strings.ToLower(j.Part)) && !strings.HasPrefix(strings.ToLower(j.Part), strings.ToLower(v)) {
					a.say("given: part %s of join %s became %q", v, j.Name, j.Part)
				}
			}
		}
	}
	for _, row := range a.tables["Cavities"] {
		n := a.number(row["n"])
		if n != n {
			n = 1
		}
		a.r.Checked["given"]++
		if !slices.ContainsFunc(a.p.Cavities, func(x struct {
			Join, Circuit, Cavity, Size string
			N                           int
		}) bool {
			return same(x.Join, row["join"]) && same(x.Circuit, row["circuit"]) && x.N == int(n) && x.Cavity == text(row, "cavity")
		}) {
			a.say("given: cavity %s of %s at %s is not kept", row["cavity"], row["circuit"], row["join"])
		}
	}
}

// givenWays: legs named for a circuit are on its way, legs to avoid are not,
// and a splice is where it was put.
func (a *auditor) givenWays() {
	legs := map[string][]string{}
	for _, c := range a.p.Circuits {
		legs[strings.ToLower(c.Name)] = c.Legs
	}
	for _, row := range a.tables["Routes"] {
		c := strings.ToLower(text(row, "circuit"))
		if _, ok := legs[c]; !ok {
			continue
		}
		a.r.Checked["given"]++
		on := false
		for _, name := range legs[c] {
			l := &a.p.Legs[a.leg[name]]
			on = on || same(l.From, row["from"]) && same(l.To, row["to"]) || same(l.From, row["to"]) && same(l.To, row["from"])
		}
		if on == (text(row, "use") == "avoid") {
			a.say("given: the way of %s over %s–%s (%s) is not kept", c, row["from"], row["to"], row["use"])
		}
	}
	for _, row := range a.tables["Splices"] {
		a.r.Checked["given"]++
		if !slices.ContainsFunc(a.p.Splices, func(s struct {
			ID, Circuit, Place, Loom string
			Wires                    []string
		}) bool {
			return same(s.Circuit, row["circuit"]) && same(s.Place, row["place"])
		}) {
			a.say("given: the splice of %s at %s is not kept", row["circuit"], row["place"])
		}
	}
}

func (a *auditor) givenWires() {
	by := map[string]int{}
	for i := range a.p.Wires {
		by[a.p.Wires[i].Number] = i
		by[a.p.Wires[i].ID] = i
	}
	for _, row := range a.tables["Wires"] {
		i, ok := by[text(row, "wire")]
		if !ok {
			continue
		}
		w := &a.p.Wires[i]
		for _, x := range []struct{ column, is string }{{"gauge", w.Gauge}, {"family", w.Family}, {"colour", w.Colour}, {"label", w.Label}, {"number", w.Number}} {
			if v := text(row, x.column); v != "" {
				a.r.Checked["given"]++
				if v != x.is {
					a.say("given: %s %s of wire %s became %s", x.column, v, w.ID, x.is)
				}
			}
		}
		if mm, ok := a.length(row["length"]); ok {
			a.r.Checked["given"]++
			if math.Abs(w.Cut-mm) > 0.01 {
				a.say("given: length %s of wire %s became %g mm", row["length"], w.ID, w.Cut)
			}
		}
	}
}
