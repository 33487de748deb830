//go:build outside

package papers_test

import (
	"cmp"
	"encoding/json"
	"maps"
	"slices"
	"strconv"
	"strings"
	"testing"

	"keyon/app/open"
	"keyon/app/report"
	"keyon/model/design"
	"keyon/model/part"
	"keyon/model/plan"
)

// oracle says what papers must show, from `plan --json`, the tables the car
// was given in, and the catalogue. It shares no code with draw, buy and ring.
type oracle struct {
	p     report.Plan
	d     *design.Design
	c     part.Catalogue
	wires map[string]*report.Wire
	inch  bool
	mm2   bool

	findings []struct {
		Severity, Waived string
		OK               bool
		Looms            []string
	}
}

func newOracle(t testing.TB, car *open.Car, p *plan.Plan) *oracle {
	t.Helper()
	text, err := json.Marshal(report.OfPlan(car.Design, car.Catalogue, p, car.Cell))
	if err != nil {
		t.Fatal(err)
	}
	o := &oracle{d: car.Design, inch: car.Design.Car.Units.Inches, mm2: car.Design.Car.Units.Metric, wires: map[string]*report.Wire{}}
	var parts map[string]json.RawMessage
	if err := json.Unmarshal(text, &parts); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(parts["findings"], &o.findings); err != nil {
		t.Fatal(err)
	}
	delete(parts, "findings")
	if text, err = json.Marshal(parts); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(text, &o.p); err != nil {
		t.Fatal(err)
	}
	o.c, _ = car.Catalogue.With(car.Design)
	for i := range o.p.Wires {
		o.wires[o.p.Wires[i].ID] = &o.p.Wires[i]
	}
	return o
}

// A cell is a string, a dashed, a number, or nil for blank.
type (
	dashed string // "–" in print where it is blank
	number struct {
		v      float64
		places int
	}
)

// want is a table that a paper must show.
type want struct {
	tab   string // of the workbook
	group string // the workbook's head of the groups
	heads []string
	units []string
	rows  []wantRow
}

type wantRow struct {
	group string // in print
	book  string // in the workbook; group where blank
	cells []any
}

func (o *oracle) length(mm float64) any {
	if o.inch {
		return number{mm / 25.4, 2}
	}
	return number{mm, 1}
}

func (o *oracle) lengthOrBlank(mm float64) any {
	if mm <= 0 {
		return nil
	}
	return o.length(mm)
}

func (o *oracle) lengthText(mm float64) string { return show(o.length(mm)) }

func (o *oracle) unit() string {
	if o.inch {
		return "in"
	}
	return "mm"
}

func (o *oracle) sizeUnit() string {
	if o.mm2 {
		return "mm²"
	}
	return "AWG"
}

func (o *oracle) size(w *report.Wire) string {
	switch {
	case w.AreaMM2 == 0:
		return "open"
	case o.mm2:
		return trim(w.AreaMM2, 2)
	}
	return w.Gauge
}

// long is a length in metres in the car's unit for long lengths.
func (o *oracle) long(m float64) float64 {
	if o.inch {
		return m / 0.3048
	}
	return m
}

func (o *oracle) longUnit() string {
	if o.inch {
		return "ft"
	}
	return "m"
}

func trim(v float64, places int) string {
	s := strconv.FormatFloat(v, 'f', places, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}

// show is a cell as printed.
func show(x any) string {
	switch x := x.(type) {
	case string:
		return x
	case dashed:
		return cmp.Or(string(x), "–")
	case number:
		return trim(x.v, x.places)
	case int:
		return strconv.Itoa(x)
	}
	return ""
}

// end is one end of a wire, with the name that papers give it.
type end struct {
	w    *report.Wire
	to   bool
	at   *report.WireEnd
	name string
}

func endsOf(w *report.Wire) [2]end {
	return [2]end{{w, false, &w.FromEnd, w.From}, {w, true, &w.ToEnd, w.To}}
}

func (e end) far() end { return endsOf(e.w)[map[bool]int{false: 1, true: 0}[e.to]] }

func (o *oracle) ofLoom(loom string) []*report.Wire {
	var out []*report.Wire
	for i := range o.p.Wires {
		if o.p.Wires[i].Loom == loom {
			out = append(out, &o.p.Wires[i])
		}
	}
	return out
}

// device is the catalogue's part of a device of the car.
func (o *oracle) device(name string) *part.Device {
	for i := range o.d.Devices {
		if d := &o.d.Devices[i]; d.Name == name && d.Part.Is() {
			return o.c.Devices[d.Part.Value]
		}
	}
	return nil
}

// plug is the loom's connector at a device, nil for posts and leads.
func (o *oracle) plug(device, connector string) *part.Connector {
	q := o.device(device)
	if q == nil {
		return nil
	}
	for _, x := range q.Connectors {
		if x.Name == connector {
			return o.c.Connector(x.Part)
		}
	}
	return nil
}

// keyOf is the keying position of a device's connector or of a join.
func (o *oracle) keyOf(s *socket) string {
	if s.join != nil {
		return s.join.Key
	}
	device, connector, _ := strings.Cut(s.name, "/")
	if q := o.device(device); q != nil {
		for _, x := range q.Connectors {
			if x.Name == connector && x.Key != "" {
				return x.Key
			}
		}
	}
	if len(s.part.Keys) > 0 {
		return s.part.Keys[0]
	}
	return ""
}

// socket is a connector of a loom as the plan's JSON has it.
type socket struct {
	name  string
	part  *part.Connector
	half  string
	join  *report.Join
	ends  map[string][]end // by cavity
	where string           // place
}

func (s *socket) gender() string {
	switch {
	case s.part.Gender != "":
		return s.part.Gender
	case s.join != nil && s.join.Sockets == s.half:
		return "socket"
	case s.join != nil:
		return "pin"
	}
	return ""
}

func (o *oracle) sockets(loom string) map[string]*socket {
	out := map[string]*socket{}
	for _, w := range o.ofLoom(loom) {
		for _, e := range endsOf(w) {
			var s socket
			switch {
			case e.at.Kind == "cavity":
				for i := range o.p.Joins {
					if o.p.Joins[i].Name == e.at.Join {
						s.join = &o.p.Joins[i]
					}
				}
				s = socket{name: e.at.Join + "/" + e.at.Half, part: o.c.Connector(s.join.Part), half: e.at.Half, join: s.join}
			case e.at.Kind == "pin" && e.at.Device != "":
				s = socket{name: e.at.Device, part: o.plug(e.at.Device, e.at.Connector)}
				if e.at.Connector != "" {
					s.name += "/" + e.at.Connector
				}
			}
			if s.part == nil {
				continue
			}
			if out[s.name] == nil {
				s.ends, s.where = map[string][]end{}, e.at.Place
				out[s.name] = &s
			}
			out[s.name].ends[e.at.Cavity] = append(out[s.name].ends[e.at.Cavity], e)
		}
	}
	return out
}

func keys[V any](m map[string]V) []string { return slices.Sorted(maps.Keys(m)) }

// fits counts what goes into a connector: contacts, seals and plugs by part,
// and cavities without a contact or plug part.
func (o *oracle) fits(s *socket) (contacts, seals, plugs map[string]int, bare, open int, empty []string) {
	contacts, seals, plugs = map[string]int{}, map[string]int{}, map[string]int{}
	for _, cavity := range keys(s.ends) {
		contact, seal := "", ""
		for _, e := range s.ends[cavity] {
			contact, seal = cmp.Or(contact, e.at.Contact), cmp.Or(seal, e.at.Seal)
		}
		if contact == "" {
			bare++
		} else {
			contacts[contact]++
		}
		if seal != "" {
			seals[seal]++
		}
	}
	if s.part.Sealed {
		for _, h := range s.part.Cavities {
			if s.ends[h.Name] != nil {
				continue
			}
			empty = append(empty, h.Name)
			if q := o.c.PlugFor(h.Size); q != nil {
				plugs[q.ID]++
			} else {
				open++
			}
		}
	}
	return
}
