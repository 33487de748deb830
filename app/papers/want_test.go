//go:build outside

package papers_test

import (
	"cmp"
	"encoding/json"
	"fmt"
	"maps"
	"math"
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

func memory(s string, yes bool) string {
	if yes && s != "" {
		return s + " (check)"
	}
	return s
}

// crimped is what a cut list says at an end.
func (o *oracle) crimped(e *report.WireEnd) any {
	id := e.Contact + e.Lug
	check := false
	if k := o.c.Contacts[e.Contact]; k != nil {
		check = k.Source.Status == "memory" || k.StripMost == 0
	}
	if l := o.c.Lugs[e.Lug]; l != nil {
		check = l.Source.Status == "memory"
	}
	switch {
	case id != "":
		return memory(id, check)
	case e.Kind == "splice":
		return "splice"
	case e.Kind == "free":
		return "cut back, insulate"
	}
	return "–"
}

// cutList: wires by reel, cables cut once.
func (o *oracle) cutList(loom string) want {
	u := o.unit()
	out := want{tab: "Cut list", group: "Reel", heads: []string{"Wire", "Cut|", "of it tail|", "at end", "Label", "End 1", "Strip 1|", "Contact or lug 1", "End 2", "Strip 2|", "Contact or lug 2"}, units: []string{"", u, u, "", "", "", u, "", "", u, ""}}
	type reel struct{ family, gauge, colour string }
	sum := map[reel]float64{}
	n := map[reel]int{}
	for _, w := range o.ofLoom(loom) {
		if w.Cable == "" && w.CutMM > 0 && w.AreaMM2 > 0 {
			r := reel{w.Family, w.Gauge, w.Colour}
			sum[r] += w.CutMM
			n[r]++
		}
	}
	for _, w := range o.ofLoom(loom) {
		if w.CutMM == 0 || w.AreaMM2 == 0 && w.Cable == "" {
			continue
		}
		group := ""
		if w.Cable == "" {
			r := reel{w.Family, w.Gauge, w.Colour}
			plural := "s"
			if n[r] == 1 {
				plural = ""
			}
			group = fmt.Sprintf("%s, %s %s, %s: %d wire%s, %s %s", w.Family, o.size(w), o.sizeUnit(), show(dashed(w.Colour)), n[r], plural, trim(o.long(sum[r]/1e3), 3), o.longUnit())
		} else {
			cut := 0.0
			for _, x := range o.ofLoom(loom) { // our cars run a cable once through a loom
				if x.Cable == w.Cable {
					cut = max(cut, x.CutMM)
				}
			}
			for i := range o.d.Cables {
				if o.d.Cables[i].Name == w.Cable {
					group = fmt.Sprintf("Cable %s, %s: cut once at %s %s, cores:", w.Cable, o.d.Cables[i].Part.Value, o.lengthText(cut), o.unit())
				}
			}
		}
		out.rows = append(out.rows, wantRow{group, "", []any{w.Number, o.length(w.CutMM), o.lengthOrBlank(w.TailMM), o.tailAt(w), w.Label, w.From, o.lengthOrBlank(w.FromEnd.StripMM), o.crimped(&w.FromEnd), w.To, o.lengthOrBlank(w.ToEnd.StripMM), o.crimped(&w.ToEnd)}})
	}
	return out
}

// tailAt: the ends whose leg is finished on the car.
func (o *oracle) tailAt(w *report.Wire) string {
	s := ""
	if w.TailMM == 0 {
		return s
	}
	if w.FromEnd.Kind != "splice" && o.leg(w.Legs[0]).Finish == "car" {
		s = "1"
	}
	if w.ToEnd.Kind != "splice" && o.leg(w.Legs[len(w.Legs)-1]).Finish == "car" {
		s = strings.TrimPrefix(s+", 2", ", ")
	}
	return s
}

// covering is how long a leg's sleeve is cut, mm: what shrinks 15 % longer.
func (o *oracle) covering(l *report.Leg) float64 {
	mm := l.LengthMM
	if s := o.c.Sleeves[l.Sleeve]; s != nil && strings.HasSuffix(s.Kind, "heat-shrink") {
		mm /= 0.85
	}
	return math.Ceil(mm/5-1e-6) * 5
}

// tools: contact or lug by gauge and family.
func (o *oracle) tools(loom string) want {
	out := want{tab: "Tools", heads: []string{"Contact or lug", "Wire", "Size", "Ends|", "Crimp tool, positioner, setting", "Strip", "Insert, extract", "Pull at least"}, units: []string{"", "", o.sizeUnit(), "", "", o.unit(), "", "N"}}
	type use struct{ id, family, gauge string }
	n := map[use]int{}
	size := map[use]string{}
	for _, w := range o.ofLoom(loom) {
		if w.AreaMM2 == 0 {
			continue
		}
		for _, e := range endsOf(w) {
			for _, id := range []string{e.at.Contact, e.at.Lug} {
				if id != "" {
					n[use{id, w.Family, w.Gauge}]++
					size[use{id, w.Family, w.Gauge}] = o.size(w)
				}
			}
		}
	}
	for u, ends := range n {
		tool, strip, insert := o.tooling(u.id)
		pull := ""
		if k := o.c.Contacts[u.id]; k != nil && k.Pull[u.gauge] > 0 {
			pull = memory(trim(k.Pull[u.gauge], 1), k.Source.Status == "memory" || slices.Contains(k.Check, "pull"))
		}
		out.rows = append(out.rows, wantRow{"", "", []any{u.id, u.family, size[u], number{float64(ends), 0}, dashed(tool), dashed(strip), dashed(insert), dashed(pull)}})
	}
	return out
}

func (o *oracle) tooling(id string) (tool, strip, insert string) {
	if k := o.c.Contacts[id]; k != nil {
		old := func(figure string) bool {
			return k.Source.Status == "memory" || slices.Contains(k.Check, figure)
		}
		if k.StripMost > 0 {
			strip = o.lengthText(float64(k.StripMost) * 1e3)
			if k.StripLeast > 0 && k.StripLeast < k.StripMost {
				strip = o.lengthText(float64(k.StripLeast)*1e3) + "–" + strip
			}
		}
		return memory(k.Tool, old("tool")), memory(strip, old("strip")), memory(k.Insert, old("insert"))
	}
	if l := o.c.Lugs[id]; l != nil {
		if l.Strip > 0 {
			strip = memory(o.lengthText(float64(l.Strip)*1e3), l.Source.Status == "memory")
		}
		return memory(l.Tool, l.Source.Status == "memory"), strip, ""
	}
	return "", "", ""
}

// label sheet, and the label file without the column of boxes.
func (o *oracle) labels(loom string) want {
	out := want{tab: "Label sheet", heads: []string{"Text", "Sleeve", "Where", "Count|"}, units: make([]string, 4)}
	unit := func(s string) string {
		if o.inch {
			return strings.ReplaceAll(s, "75 mm", "2.95 in")
		}
		return s
	}
	for _, w := range o.ofLoom(loom) {
		a, b := w.FromEnd.Label, w.ToEnd.Label
		where, n := "", 0
		one := func(e end, s string) string {
			if rest, ok := strings.CutSuffix(s, "the end"); ok {
				return rest + e.name
			}
			return s
		}
		ends := endsOf(w)
		switch noA, noB := strings.HasPrefix(a, "none"), strings.HasPrefix(b, "none"); {
		case a == b && a == "at the middle":
			where, n = a, 1
		case noA && noB:
			continue
		case a == b:
			where, n = "both ends, "+strings.TrimSuffix(a, " of the end"), 2
		case noA:
			where, n = one(ends[1], b), 1
		case noB:
			where, n = one(ends[0], a), 1
		default:
			where, n = one(ends[0], a)+"; "+one(ends[1], b), 2
		}
		out.rows = append(out.rows, wantRow{"", "", []any{w.Label, o.markSleeve(w), unit(where), number{float64(n), 0}}})
	}
	for _, name := range keys(o.sockets(loom)) {
		out.rows = append(out.rows, wantRow{"", "", []any{name, "connector label", "on the leg, behind " + name, number{1, 0}}})
	}
	return out
}

// markSleeve is the smallest shrink tube with at least 1.2 times the wire's
// outside before and at most 0.9 times after shrinking.
func (o *oracle) markSleeve(w *report.Wire) string {
	best := (*part.Sleeve)(nil)
	for _, s := range o.c.Sleeves {
		if s.Kind == "heat-shrink" && w.OutsideMM > 0 && float64(s.Expanded)*1e3 >= 1.2*w.OutsideMM && float64(s.Recovered)*1e3 <= 0.9*w.OutsideMM &&
			(best == nil || s.Expanded < best.Expanded || s.Expanded == best.Expanded && s.ID < best.ID) {
			best = s
		}
	}
	if best == nil {
		return "none fits"
	}
	return best.ID
}

// threads: by place, coverings first, each thing once, numbered.
func (o *oracle) threads(loom string) want {
	out := want{tab: "Thread-on", group: "End at", heads: []string{"No.|", "Goes on"}, units: make([]string, 2)}
	inLoom := map[string]bool{}
	for _, l := range o.p.Legs {
		inLoom[l.Name] = inLoom[l.Name] || l.Loom == loom
	}
	cover, rest := map[string][]string{}, map[string][]string{}
	for _, th := range o.p.Threads {
		if !inLoom[th.Leg] {
			continue
		}
		for _, item := range th.Items {
			if strings.HasPrefix(item, "covering ") {
				cover[th.Place] = append(cover[th.Place], item+", cut at "+o.lengthText(o.covering(o.leg(th.Leg)))+" "+o.unit()+", on leg "+th.Leg)
			} else if !slices.Contains(rest[th.Place], item) {
				rest[th.Place] = append(rest[th.Place], item)
			}
		}
	}
	for _, place := range slices.Compact(slices.Sorted(slices.Values(append(keys(cover), keys(rest)...)))) {
		for n, item := range append(slices.Clone(cover[place]), rest[place]...) {
			out.rows = append(out.rows, wantRow{"End at " + place, "", []any{number{float64(n + 1), 0}, item}})
		}
	}
	return out
}

// runs are the running dimensions of a loom's places from a datum, by the
// first way found; loops make more than one, and then the leg's own place in
// the list tells, so a loom with loops is measured over the legs printed.
func (o *oracle) leg(name string) *report.Leg {
	for i := range o.p.Legs {
		if o.p.Legs[i].Name == name {
			return &o.p.Legs[i]
		}
	}
	return nil
}

// splices: each wire of each splice.
func (o *oracle) splices(loom string, run map[string]float64) want {
	u := o.unit()
	out := want{tab: "Splices", group: "Splice", heads: []string{"Wire", "Comes from", "Size", "Colour", "Cut|"}, units: []string{"", "", o.sizeUnit(), "", u}}
	for _, s := range o.p.Splices {
		if s.Loom != loom {
			continue
		}
		what := "no splice of the catalogue fits"
		if s.Part != "" {
			what = s.Part
			if q := o.c.Splices[s.Part]; q != nil {
				what = memory(s.Part+", "+q.Title, q.Source.Status == "memory")
			}
		}
		where := ""
		if r, ok := run[s.Place]; ok {
			where = ", " + o.lengthText(r) + " " + u + " from datum"
		}
		group := s.Circuit + ", at " + s.Place + where + ": " + what
		for _, id := range s.Wires {
			w := o.wires[id]
			for _, e := range endsOf(w) {
				if e.at.Splice == s.ID {
					out.rows = append(out.rows, wantRow{group, "", []any{w.Number, e.far().name, o.size(w), dashed(w.Colour), o.length(w.CutMM)}})
				}
			}
		}
	}
	return out
}

// posts: lugs on studs, device posts and leads, thickest lowest.
func (o *oracle) posts(loom string, ground bool) want {
	out := want{tab: map[bool]string{true: "Grounds", false: "Posts"}[ground], group: "Post", heads: []string{"Order|", "Wire", "Circuit", "Comes from", "Lug", "Size", "Loom"}, units: []string{"", "", "", "", "", o.sizeUnit(), ""}}
	type stack struct {
		title string
		ends  []end
		here  bool
	}
	of := map[string]*stack{}
	for i := range o.p.Wires {
		w := &o.p.Wires[i]
		for _, e := range endsOf(w) {
			name, thread, isGround, most := "", "", false, 0
			switch e.at.Kind {
			case "stud":
				for _, s := range o.p.Studs {
					if s.Name == e.at.Stud {
						name, thread, isGround, most = "stud "+s.Name, s.Thread, s.Use == "ground", s.MostLugs
					}
				}
			case "cavity":
				for _, j := range o.p.Joins {
					if j.Name == e.at.Join && o.c.Connector(j.Part) == nil {
						name, thread = j.Name+"/"+e.at.Half, j.Part
					}
				}
			case "lead":
				name = e.name
				for _, q := range o.pins(e.at.Device) {
					if q.Name == e.at.Pin {
						thread, _ = strings.CutPrefix(q.Contact, "stud ")
						if thread == q.Contact {
							thread = ""
						}
					}
				}
			}
			if name == "" || isGround != ground {
				continue
			}
			s := of[name]
			if s == nil {
				s = &stack{title: name}
				if thread != "" {
					s.title += ", " + thread
				} else if e.at.Kind == "cavity" {
					s.title += ", thread not given"
				}
				s.title += ", at " + e.at.Place
				if thread != "" {
					s.title += o.torque(thread)
				}
				if most > 0 {
					s.title += fmt.Sprintf(", %%d of at most %d lug", most)
					if most > 1 {
						s.title += "s"
					}
				}
				of[name] = s
			}
			s.ends = append(s.ends, e)
			s.here = s.here || w.Loom == loom
		}
	}
	for _, name := range keys(of) {
		s := of[name]
		if !s.here {
			continue
		}
		slices.SortStableFunc(s.ends, func(a, b end) int {
			return cmp.Or(cmp.Compare(b.w.AreaMM2, a.w.AreaMM2), cmp.Compare(a.w.Number, b.w.Number))
		})
		title := s.title
		if strings.Contains(title, "%d") {
			title = fmt.Sprintf(title, len(s.ends))
		}
		for n, e := range s.ends {
			other := "this"
			if e.w.Loom != loom {
				other = cmp.Or(e.w.Loom, "none")
			}
			lug := o.crimped(&report.WireEnd{Contact: e.at.Contact, Lug: e.at.Lug})
			out.rows = append(out.rows, wantRow{title, "", []any{number{float64(n + 1), 0}, e.w.Number, e.w.Circuit, e.far().name, dashed(strings.TrimPrefix(lug.(string), "–")), o.size(e.w), other}})
		}
	}
	return out
}

func (o *oracle) pins(device string) []part.Pin {
	if q := o.device(device); q != nil {
		return q.Pins
	}
	return nil
}

func (o *oracle) torque(thread string) string {
	for _, id := range keys(o.c.Studs) {
		if s := o.c.Studs[id]; s.Thread == thread && s.TorqueMost > 0 {
			return memory(", nut "+trim(s.TorqueLeast, 1)+" to "+trim(s.TorqueMost, 1)+" N·m", s.Source.Status == "memory")
		}
	}
	return ", nut torque: the maker's figure"
}

// traces: every wire of every circuit of the loom.
func (o *oracle) traces(loom string) want {
	out := want{tab: "Traces", group: "Circuit", heads: []string{"Wire", "From", "To", "Size", "Colour", "Cut|", "Over places", "Loom"}, units: []string{"", "", "", o.sizeUnit(), "", o.unit(), "", ""}}
	here := map[string]bool{}
	for _, w := range o.ofLoom(loom) {
		here[w.Circuit] = true
	}
	for i := range o.p.Wires {
		w := &o.p.Wires[i]
		if !here[w.Circuit] {
			continue
		}
		at := w.FromEnd.Place
		var over []string
		for n, name := range w.Legs {
			l := o.leg(name)
			if at == l.From {
				at = l.To
			} else {
				at = l.From
			}
			if n+1 < len(w.Legs) {
				over = append(over, at)
			}
		}
		var cut any = "open"
		if w.CutMM > 0 {
			cut = o.length(w.CutMM)
		}
		out.rows = append(out.rows, wantRow{w.Circuit + ", " + w.Class, "", []any{w.Number, w.From, w.To, o.size(w), dashed(w.Colour), cut, dashed(strings.Join(over, ", ")), dashed(w.Loom)}})
	}
	return out
}

// feeds with a circuit in the loom; "" for all.
func (o *oracle) feeds(loom string) want {
	out := want{tab: "Feeds", heads: []string{"Feed", "Outlet", "Setting", "Rating|", "Most|", "In state", "Serves", "Weakest wire"}, units: []string{"", "", "", "A", "A", "", "", ""}}
	for _, f := range o.p.Feeds {
		var serves []string
		here := false
		for _, e := range o.p.Ends {
			if e.Feed == f.Name && !slices.Contains(serves, e.Circuit) {
				serves = append(serves, e.Circuit)
				here = here || o.has(e.Circuit, loom)
			}
		}
		if !here {
			continue
		}
		weak, state := "", f.State
		if w := o.wires[f.Weakest]; w != nil {
			weak = w.Number + " " + w.Circuit
		}
		if f.Amps == 0 {
			state = ""
		}
		outlet := ""
		if f.Device != "" && f.Pin != "" {
			outlet = f.Device + ":" + f.Pin
		}
		var rating any
		if f.RatingA > 0 {
			rating = number{f.RatingA, 2}
		}
		out.rows = append(out.rows, wantRow{"", "", []any{f.Name, dashed(outlet), settingOf(f.Setting), rating, number{f.Amps, 2}, state, anyOrder(serves), dashed(weak)}})
	}
	return out
}

// settingOf takes a setting with or without the mark of memory: the JSON
// doesn't say which fuse it is.
type settingOf string

// anyOrder is a list joined by commas in any order.
type anyOrder []string

func (o *oracle) has(circuit, loom string) bool {
	for i := range o.p.Wires {
		if w := &o.p.Wires[i]; w.Circuit == circuit && (loom == "" || w.Loom == loom) {
			return true
		}
	}
	return loom == ""
}

// loads of devices with a circuit in the loom: most amps and least volts.
func (o *oracle) loads(loom string) want {
	out := want{tab: "Loads", heads: []string{"Device", "From pin", "To pin", "Most|", "In state", "Least|", "In state", "Needs|", "Lost on the way|"}, units: []string{"", "", "", "A", "", "V", "", "V", "V"}}
	here := map[string]bool{}
	for _, e := range o.p.Ends {
		if e.Device != "" {
			here[e.Device] = here[e.Device] || o.has(e.Circuit, loom)
		}
	}
	type worst struct {
		most, least *report.DeviceVolts
		in, at      string
	}
	of := map[string]*worst{}
	for s := range o.p.States {
		for i := range o.p.States[s].Devices {
			x := &o.p.States[s].Devices[i]
			if !here[x.Device] {
				continue
			}
			k := x.Device + "\x00" + x.From + "\x00" + x.To
			w := of[k]
			if w == nil {
				w = &worst{most: x, least: x, in: o.p.States[s].Name, at: o.p.States[s].Name}
				of[k] = w
			}
			if x.Amps > w.most.Amps {
				w.most, w.in = x, o.p.States[s].Name
			}
			if x.Volts < w.least.Volts {
				w.least, w.at = x, o.p.States[s].Name
			}
		}
	}
	for _, k := range keys(of) {
		w := of[k]
		var needs any
		if w.least.LeastV > 0 {
			needs = number{w.least.LeastV, 2}
		}
		out.rows = append(out.rows, wantRow{"", "", []any{w.most.Device, dashed(w.most.From), dashed(w.most.To), number{w.most.Amps, 2}, w.in, number{w.least.Volts, 2}, w.at, needs, number{w.least.WayV, 3}}})
	}
	return out
}

// twists: wires of one twist group along the same legs.
func (o *oracle) twists(loom string) want {
	out := want{tab: "Twisted", heads: []string{"Group", "Wires", "Lay about|"}, units: []string{"", "", o.unit()}}
	of := map[string][]*report.Wire{}
	twist := map[string]string{}
	for _, c := range o.p.Circuits {
		twist[c.Name] = c.Twist
	}
	for _, w := range o.ofLoom(loom) {
		if g := twist[w.Circuit]; g != "" && w.Cable == "" && len(w.Legs) > 0 {
			k := g + "\x00" + strings.Join(slices.Sorted(slices.Values(w.Legs)), "\x00")
			of[k] = append(of[k], w)
		}
	}
	for _, k := range keys(of) {
		if len(of[k]) < 2 {
			continue
		}
		var numbers []string
		widest := 0.0
		for _, w := range of[k] {
			numbers = append(numbers, w.Number)
			widest = max(widest, w.OutsideMM)
		}
		group, _, _ := strings.Cut(k, "\x00")
		out.rows = append(out.rows, wantRow{"", "", []any{group, anyOrder(numbers), o.lengthOrBlank(math.Round(16*widest/5) * 5)}})
	}
	return out
}
