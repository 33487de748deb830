package design

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"keyon/model/finding"
	"keyon/model/settle"
	"keyon/model/source"
	"keyon/num/quantity"
)

// Rules that reading the tables can break.
var (
	RuleGarbled = &finding.Rule{ID: "table.garbled", Severity: finding.Stop, Title: "a cell can't be read",
		Text:   "The text of a cell is not what its column holds. Nothing is worked out in its place.",
		Source: source.Ref{Kind: source.Judgement, Doc: "house-rules", Where: "cells"}}
	RuleMust = &finding.Rule{ID: "table.must", Severity: finding.Stop, Title: "a cell that a row needs is blank",
		Text:   "The row can't be used without it.",
		Source: source.Ref{Kind: source.Judgement, Doc: "house-rules", Where: "cells"}}
	RuleTwice = &finding.Rule{ID: "table.twice", Severity: finding.Stop, Title: "two rows have one name",
		Text:   "Names tell things apart; the second row is not used.",
		Source: source.Ref{Kind: source.Judgement, Doc: "house-rules", Where: "names"}}
	Rules = []*finding.Rule{RuleGarbled, RuleMust, RuleTwice}
)

// reader reads one row.
type reader struct {
	d     *Design
	sheet *Sheet
	row   *Row
	dec   quantity.Decimal
	used  bool // false once a cell the row needs is missing
}

// Read makes the typed view of a book. It never fails: what can't be read is
// a finding at its cell. Rows without a UID get one (Book.Identify).
func Read(b *Book) *Design {
	b.Identify()
	d := &Design{Limits: map[string]Limit{}, Kept: map[KeptKey]Kept{}, Hash: b.Hash()}
	d.readCar(b)
	dec := d.Car.Units.Decimal
	each := func(table string, unique bool, f func(r *reader)) {
		s := b.Sheet(table)
		if s == nil {
			return
		}
		names := map[string]bool{}
		for _, i := range s.order() {
			r := &reader{d: d, sheet: s, row: &s.Rows[i], dec: dec, used: true}
			if s.blank(i) {
				continue
			}
			for c := range s.Table.Columns {
				if col := &s.Table.Columns[c]; col.Must && strings.TrimSpace(r.raw(col.Name)) == "" {
					r.used = false
					d.Findings = append(d.Findings, finding.Say(RuleMust, r.place(col.Name), "the "+col.Name+" is blank; the row is not used", "fill in the "+col.Name+", or delete the row"))
				}
			}
			if key := s.Key(i); unique && r.used {
				if names[key] {
					d.Findings = append(d.Findings, finding.Say(RuleTwice, r.place(s.Table.Match[0]), strings.ReplaceAll(key, "\x1f", " ")+" stands in an earlier row too; this row is not used", "rename or delete one of the two"))
					r.used = false
				}
				names[key] = true
			}
			f(r)
		}
	}
	each("Zones", true, func(r *reader) {
		add(r, &d.Zones, Zone{r.id(), r.name("zone"), r.amount("ambient"), r.list("exposures")})
	})
	each("Assemblies", true, func(r *reader) {
		add(r, &d.Assemblies, Assembly{r.id(), r.name("assembly"), r.flag("metal"), r.choice("hand")})
	})
	each("Places", true, func(r *reader) {
		add(r, &d.Places, Place{r.id(), r.name("place"), r.length("x"), r.length("y"), r.length("z"), r.length("±"), r.choice("state"), r.text("zone"), r.text("assembly")})
	})
	each("Legs", true, func(r *reader) {
		add(r, &d.Legs, Leg{r.id(), r.text("from"), r.text("to"), r.length("length"), r.text("zone"), r.text("sleeve"), r.length("hole"), r.list("keep out"), r.choice("finish"), r.text("loom"), r.choice("build")})
	})
	each("Looms", true, func(r *reader) {
		add(r, &d.Looms, Loom{r.id(), r.name("loom"), r.text("letter"), r.text("serial"), r.text("twin of"), r.text("release")})
	})
	each("Parts", true, func(r *reader) {
		add(r, &d.Parts, Part{ID: r.id(), Name: r.name("part"), Kind: r.choice("kind"), Title: r.text("title"), Like: r.text("like"), Connector: r.text("connector"), Family: r.text("family"), Gauge: r.text("gauge"), Tool: r.text("tool"), Source: r.text("source"),
			Diameter: r.length("diameter"), Least: r.length("least diameter"), Most: r.length("most diameter"), Strip: r.length("strip"), Area: r.amount("area"), OhmPerKm: r.amount("ohm per km"), Mass: r.amount("mass"), Temperature: r.amount("temperature"), Amps: r.amp("amps")})
	})
	each("Pins", true, func(r *reader) {
		add(r, &d.Pins, Pin{ID: r.id(), Part: r.text("part"), Pin: r.text("pin"), Connector: r.text("connector"), Cavity: r.text("cavity"), Role: r.text("role"), Index: r.text("index"), Group: r.text("group"), Swap: r.text("swap"), Contact: r.text("contact"), Reads: r.text("reads"), Note: r.text("note"),
			Amps: r.amp("amps"), Needed: r.flag("needed"), X: r.length("x"), Y: r.length("y")})
	})
	each("Links", true, func(r *reader) {
		add(r, &d.Links, Link{ID: r.id(), Part: r.text("part"), From: r.text("from pin"), To: r.text("to pin"), Kind: r.choice("kind"), Works: r.text("works"), Ohm: r.amount("ohm"), ClosedIn: r.list("closed in")})
	})
	each("Devices", true, func(r *reader) {
		add(r, &d.Devices, Device{r.id(), r.name("device"), r.text("part"), r.text("place"), r.length("lead"), r.text("connector"), r.text("exit"), r.amount("angle")})
	})
	each("Joins", true, func(r *reader) {
		add(r, &d.Joins, Join{r.id(), r.name("join"), r.choice("kind"), r.text("part"), r.text("place a"), r.text("place b"), r.choice("fixed half"), r.text("key"), r.amount("spare share"), r.choice("sockets")})
	})
	each("Studs", true, func(r *reader) {
		add(r, &d.Studs, Stud{r.id(), r.name("stud"), r.text("place"), r.text("thread"), r.count("most lugs"), r.choice("use")})
	})
	each("Circuits", true, func(r *reader) {
		add(r, &d.Circuits, Circuit{r.id(), r.name("circuit"), r.text("from device"), r.text("from pin"), r.text("to device"), r.text("to pin"), r.choice("class"), r.gauge("gauge"), r.text("wire"), r.text("colour"), r.text("twist"), r.text("cable"), r.text("feed"), r.text("note")})
	})
	each("Cables", true, func(r *reader) { add(r, &d.Cables, Cable{r.id(), r.name("cable"), r.text("part"), r.list("cores")}) })
	each("Feeds", true, func(r *reader) {
		add(r, &d.Feeds, Feed{r.id(), r.name("feed"), r.text("device"), r.text("pin"), r.text("setting"), r.choice("unprotected")})
	})
	each("States", true, func(r *reader) {
		add(r, &d.States, State{r.id(), r.name("state"), r.text("source"), r.amount("volts"), r.amount("engine speed"), r.amount("ambient"), r.amount("seconds")})
	})
	each("Loads", true, func(r *reader) {
		add(r, &d.Loads, Load{r.id(), r.text("device"), r.text("from pin"), r.text("to pin"), r.text("state"), r.amp("mean"), r.amp("rms"), r.amp("peak"), r.amp("inrush"), r.amount("power"), r.amount("resistance"), r.amount("inrush time"), r.amount("least volts")})
	})
	each("Wires", true, func(r *reader) {
		add(r, &d.Wires, Wire{r.id(), r.name("wire"), r.text("circuit"), r.gauge("gauge"), r.text("family"), r.text("colour"), r.text("label"), r.text("number"), r.length("length")})
	})
	each("Routes", true, func(r *reader) {
		add(r, &d.Routes, Route{r.id(), r.text("circuit"), r.text("from"), r.text("to"), r.choice("use")})
	})
	each("Cavities", true, func(r *reader) {
		add(r, &d.Cavities, Cavity{r.id(), r.text("join"), r.text("circuit"), r.text("cavity"), r.count("n")})
	})
	each("Splices", true, func(r *reader) {
		add(r, &d.Splices, Splice{r.id(), r.text("circuit"), r.text("place"), r.text("part")})
	})
	each("Bodies", true, func(r *reader) {
		add(r, &d.Bodies, Body{r.id(), r.name("body"), r.choice("kind"), r.text("assembly"), r.choice("nature"), r.list("points"), r.length("diameter")})
	})
	each("Stock", true, func(r *reader) {
		add(r, &d.Stock, Stock{r.id(), r.text("part"), r.gauge("gauge"), r.text("colour"), r.length("metres"), r.count("pieces")})
	})
	each("Limits", true, func(r *reader) {
		if l := (Limit{r.id(), r.name("limit"), r.text("value"), r.text("reason")}); r.used {
			d.Limits[l.Name] = l
		}
	})
	each("Waivers", true, func(r *reader) {
		add(r, &d.Waivers, Waiver{r.id(), r.text("rule"), r.text("thing"), r.text("field"), r.text("number"), r.text("reason"), r.text("name")})
	})
	each("Kept", true, func(r *reader) {
		if r.used {
			d.Kept[KeptKey{r.name("kind"), r.name("thing"), r.name("field")}] = Kept{r.id(), r.name("value"), r.name("loom"), r.name("since")}
		}
	})
	return d
}

func add[T any](r *reader, rows *[]T, row T) {
	if r.used {
		*rows = append(*rows, row)
	}
}

// order is the canonical order of the rows: by what tells them apart, then UID.
func (s *Sheet) order() []int {
	o, keys := make([]int, len(s.Rows)), make([]string, len(s.Rows))
	for i := range o {
		o[i], keys[i] = i, s.Key(i)
	}
	slices.SortFunc(o, func(x, y int) int {
		if c := cmp.Compare(keys[x], keys[y]); c != 0 {
			return c
		}
		return cmp.Compare(s.Rows[x].UID, s.Rows[y].UID)
	})
	return o
}

func (s *Sheet) blank(row int) bool {
	for _, c := range s.Rows[row].Cells {
		if strings.TrimSpace(c.Text) != "" {
			return false
		}
	}
	return true
}

// readCar reads the settings first: how numbers are read depends on them.
func (d *Design) readCar(b *Book) {
	d.Car = Car{Volts: 12, Paper: "A4", Settings: map[string]TextEntry{}}
	s := b.Sheet("Car")
	for _, i := range s.order() {
		r := &reader{d: d, sheet: s, row: &s.Rows[i], used: true}
		key := strings.ToLower(strings.TrimSpace(r.raw("key")))
		e := r.text("value")
		if key == "" || e.State != settle.Given {
			continue
		}
		if _, twice := d.Car.Settings[key]; twice {
			d.Findings = append(d.Findings, finding.Say(RuleTwice, r.place("key"), key+" stands in an earlier row too; this row is not used", "delete one of the two"))
			continue
		}
		d.Car.Settings[key] = e
		word := strings.ToLower(e.Value)
		bad := func(want string) {
			d.Findings = append(d.Findings, finding.Say(RuleGarbled, r.place("value"), key+" is "+strconv.Quote(e.Text)+"; it can be "+want, "write "+want))
		}
		switch key {
		case "name":
			d.Car.Name = e.Value
		case "decimal":
			switch word {
			case "point", ".":
				d.Car.Units.Decimal = quantity.Point
			case "comma", ",":
				d.Car.Units.Decimal = quantity.Comma
			default:
				bad("point or comma")
			}
		case "units":
			switch word {
			case "mm":
			case "in", "inch", "inches":
				d.Car.Units.Inches = true
			default:
				bad("mm or in")
			}
		case "gauge":
			switch word {
			case "awg":
			case "mm2", "mm²":
				d.Car.Units.Metric = true
			default:
				bad("AWG or mm2")
			}
		case "paper":
			switch word {
			case "a4":
			case "letter":
				d.Car.Paper = "letter"
			default:
				bad("A4 or letter")
			}
		case "family":
			d.Car.Family = e
		}
	}
	number := func(key string, dim quantity.Dim, unit string) NumberEntry {
		e, ok := d.Car.Settings[key]
		n := NumberEntry{At: e.At, Text: e.Text}
		if !ok {
			return n
		}
		v, err := quantity.Parse(e.Text, dim, unit, d.Car.Units.Decimal)
		if err != nil {
			n.State = settle.Garbled
			d.Findings = append(d.Findings, finding.Say(RuleGarbled, finding.Place{Kind: "car", ID: key, Field: "value", Cell: e.At}, key+" is "+strconv.Quote(e.Text)+": "+err.Error(), "write "+dim.String()))
			return n
		}
		n.State, n.Value = settle.Given, v
		return n
	}
	d.Car.Volts = quantity.Volt(number("volts", quantity.VoltDim, "V").Or(12))
	d.Car.Altitude = quantity.Length(number("altitude", quantity.LengthDim, "m").Or(0))
	d.Car.Spares = number("spares", quantity.ShareDim, "")
}

func (r *reader) id() ID                   { return ID(r.row.UID) }
func (r *reader) raw(column string) string { return r.cell(column).Text }

func (r *reader) cell(column string) Cell {
	i := r.sheet.Table.Index(column)
	if i < 0 {
		panic("design: table " + r.sheet.Table.Name + " has no column " + column)
	}
	if i >= len(r.row.Cells) {
		return Cell{}
	}
	return r.row.Cells[i]
}

func (r *reader) name(column string) string { return strings.TrimSpace(r.raw(column)) }

func (r *reader) at(column string) settle.Cell {
	return settle.Cell{Table: r.sheet.Table.Name, Row: r.row.UID, Column: column}
}

// kinds are the singular words of the tables, for places of findings.
var kinds = map[string]string{"Car": "car", "Zones": "zone", "Assemblies": "assembly", "Places": "place", "Legs": "leg", "Looms": "loom", "Parts": "part", "Pins": "pin", "Links": "link", "Devices": "device", "Joins": "join", "Studs": "stud", "Circuits": "circuit", "Cables": "cable", "Feeds": "feed", "States": "state", "Loads": "load", "Wires": "wire", "Routes": "route", "Cavities": "cavity", "Splices": "splice", "Bodies": "body", "Stock": "stock", "Limits": "limit", "Waivers": "waiver", "Kept": "kept"}

// Singular is the word for one row of a table: "Legs" gives "leg".
func Singular(table string) string { return kinds[table] }

func (r *reader) place(column string) finding.Place {
	var id []string
	for _, m := range r.sheet.Table.Match {
		if t := r.name(m); t != "" {
			id = append(id, t)
		}
	}
	return finding.Place{Kind: kinds[r.sheet.Table.Name], ID: strings.Join(id, " "), Field: column, Cell: r.at(column)}
}

func (r *reader) garbled(column, why, fix string) {
	r.d.Findings = append(r.d.Findings, finding.Say(RuleGarbled, r.place(column), "the "+column+" is "+strconv.Quote(clip(r.raw(column)))+": "+why, fix))
}

func clip(s string) string {
	if r := []rune(s); len(r) > 60 {
		return string(r[:57]) + "…"
	}
	return s
}

// entry reads a cell with a parser.
func entry[T any](r *reader, column string, parse func(text, unit string) (T, string)) settle.Entry[T] {
	c := r.cell(column)
	e := settle.Entry[T]{Text: c.Text, At: r.at(column)}
	t := strings.TrimSpace(c.Text)
	if t == "" {
		return e
	}
	v, why := parse(t, c.Unit)
	if why != "" {
		e.State = settle.Garbled
		r.garbled(column, why, "correct the cell, or leave it blank")
		return e
	}
	e.State, e.Value = settle.Given, v
	return e
}

func (r *reader) text(column string) TextEntry {
	return entry(r, column, func(t, _ string) (string, string) { return t, "" })
}

func (r *reader) amount(column string) NumberEntry {
	col := r.sheet.Table.Column(column)
	return entry(r, column, func(t, unit string) (float64, string) {
		if unit == "" {
			unit = col.Unit
		}
		v, err := quantity.Parse(t, col.Dim, unit, r.dec)
		if err != nil {
			return 0, err.Error()
		}
		if signed := col.Name == "x" || col.Name == "y" || col.Name == "z" || col.Dim == quantity.CelsiusDim || col.Dim == quantity.AngleDim; v < 0 && !signed {
			return 0, "less than zero"
		}
		if col.Dim == quantity.ShareDim && v > 1 {
			return 0, "more than the whole; a share is 0.2 or 20 %"
		}
		return v, ""
	})
}

func (r *reader) length(column string) LengthEntry { return lift[quantity.Length](r.amount(column)) }
func (r *reader) amp(column string) AmpEntry       { return lift[quantity.Ampere](r.amount(column)) }

func lift[Q ~float64](e NumberEntry) settle.Entry[Q] {
	return settle.Entry[Q]{State: e.State, Value: Q(e.Value), Text: e.Text, At: e.At}
}

func (r *reader) count(column string) CountEntry {
	return entry(r, column, func(t, _ string) (int, string) {
		n, err := strconv.Atoi(t)
		if err != nil || n < 0 {
			return 0, "not a whole number"
		}
		return n, ""
	})
}

func (r *reader) flag(column string) FlagEntry {
	return entry(r, column, func(t, _ string) (bool, string) {
		switch strings.ToLower(t) {
		case "yes", "y", "true", "x", "1":
			return true, ""
		case "no", "n", "false", "0", "-":
			return false, ""
		}
		return false, "neither yes nor no"
	})
}

func (r *reader) choice(column string) TextEntry {
	col := r.sheet.Table.Column(column)
	return entry(r, column, func(t, _ string) (string, string) {
		if c, ok := pick(t, col.Choices); ok {
			return c, ""
		}
		return "", "it can be " + strings.Join(col.Choices, ", ")
	})
}

func pick(t string, choices []string) (string, bool) {
	for _, c := range choices {
		if plain(c) == plain(t) {
			return c, true
		}
	}
	return "", false
}

func (r *reader) list(column string) ListEntry {
	col := r.sheet.Table.Column(column)
	return entry(r, column, func(t, _ string) ([]string, string) {
		var out []string
		for _, p := range strings.FieldsFunc(t, func(c rune) bool { return c == ',' || c == ';' || c == '\n' || c == '\r' }) {
			if p = strings.TrimSpace(p); p == "" {
				continue
			}
			if len(col.Choices) > 0 {
				c, ok := pick(p, col.Choices)
				if !ok {
					return nil, strconv.Quote(clip(p)) + " is not one of " + strings.Join(col.Choices, ", ")
				}
				p = c
			}
			out = append(out, p)
		}
		if out == nil {
			return nil, "an empty list"
		}
		return out, ""
	})
}

func (r *reader) gauge(column string) GaugeEntry {
	return entry(r, column, func(t, unit string) (string, string) {
		metric := r.d.Car.Units.Metric
		if unit != "" {
			metric = !strings.EqualFold(unit, "awg")
		}
		g, ok := ParseGauge(t, metric, r.dec)
		if !ok {
			return "", "not a conductor size: write an AWG number such as 22 or 00, or 0.5 mm2"
		}
		return g, ""
	})
}

// gaugeUnit reports whether a heading's unit says how sizes are counted.
func gaugeUnit(unit string) bool {
	switch strings.ToLower(strings.TrimSpace(unit)) {
	case "awg", "mm2", "mm²", "sqmm":
		return true
	}
	return false
}

// ParseGauge reads a conductor size into its canonical form: "22", "0", "00"
// for AWG (1/0 is 0, 2/0 is 00), "0.5mm2" for square millimetres. A number
// with a fraction is square millimetres; a whole one is by default AWG.
func ParseGauge(text string, metric bool, dec quantity.Decimal) (string, bool) {
	t := strings.ToLower(strings.Join(strings.Fields(text), ""))
	for _, w := range []string{"mm2", "mm²", "sqmm"} {
		if rest, ok := strings.CutSuffix(t, w); ok {
			return square(rest, dec)
		}
	}
	a := strings.TrimPrefix(strings.TrimSuffix(strings.TrimPrefix(t, "awg"), "awg"), "#")
	awg := a != t
	if n, ok := strings.CutSuffix(a, "/0"); ok && len(n) == 1 && n >= "1" && n <= "4" {
		return strings.Repeat("0", int(n[0]-'0')), true
	}
	if !awg && (metric && strings.Trim(a, "0") != "" || strings.ContainsAny(a, ".,")) {
		return square(a, dec)
	}
	if a != "" && len(a) <= 4 && strings.Trim(a, "0") == "" {
		return a, true
	}
	n, err := strconv.Atoi(a)
	if err != nil || n < 1 || n > 40 || a[0] == '+' || a[0] == '0' {
		return "", false
	}
	return strconv.Itoa(n), true
}

func square(t string, dec quantity.Decimal) (string, bool) {
	v, err := quantity.Parse(t, quantity.Number, "", dec)
	if err != nil || v <= 0 || v > 500 {
		return "", false
	}
	return quantity.Text(v, 3) + "mm2", true
}
