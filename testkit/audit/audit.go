// Package audit checks a plan without sharing a line with the stages and
// checks that made it: it reads the JSON of `plan --json`, the tables as
// plain text, and the catalogue, and derives every hard constraint anew.
//
// It decides nothing about taste. Tolerances are stated where they are used.
package audit

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"keyon/model/part"
)

// Tables are the design's tables: rows of column → text.
type Tables map[string][]map[string]string

// Report is what an audit found.
type Report struct {
	Problems []string
	Worst    map[string]float64 // largest share of a limit that was used, by constraint
	Checked  map[string]int     // how often a constraint was looked at
}

// plan is what the auditor reads of the JSON: its own view of docs/json.md.
type plan struct {
	Wires []struct {
		ID, Number, Circuit, Class, Loom, Family, Gauge, Colour, Cable, Core string
		From                                                                 end     `json:"from_end"`
		To                                                                   end     `json:"to_end"`
		Area                                                                 float64 `json:"area_mm2"`
		OD                                                                   float64 `json:"od_mm"`
		Mass                                                                 float64 `json:"mass_g"`
		Ohm                                                                  float64 `json:"ohm_per_km"`
		Legs                                                                 []string
		Length                                                               float64 `json:"length_mm"`
		Cut                                                                  float64 `json:"cut_mm"`
		Tail                                                                 float64 `json:"tail_mm"`
		Network                                                              float64 `json:"network_mm"`
		Parallel                                                             int
		Origin                                                               map[string]string
	}
	Legs []struct {
		Name, From, To, Loom string
		Length               float64 `json:"length_mm"`
		Wires                []string
		Diameter             float64 `json:"diameter_mm"`
		Bound                float64 `json:"bound_mm"`
		Ambient              float64 `json:"ambient_c"`
	}
	Splices []struct {
		ID, Circuit, Place string
		Wires              []string
	}
	Ends     []struct{ ID, Circuit, Device, Stud, Feed, Pin, Connector, Cavity, Place, Role string }
	Cavities []struct {
		Join, Circuit, Cavity, Size string
		N                           int
	}
	Joins []struct{ Name, Kind, Part, Key, Sockets string }
	Feeds []struct {
		Name, Device, Pin, Setting string
		Rating                     float64 `json:"rating_a"`
	}
	Circuits []struct {
		Name, Class string
		Open        bool
	}
	States []struct {
		Name    string
		Seconds float64
		Devices []struct {
			Device, From, To string
			Volts, Amps      float64
			Way              float64 `json:"way_v"`
			Out              bool
		}
		Wires []struct {
			ID   string
			Amps float64
			T    float64 `json:"conductor_c"`
		}
	}
	Findings []struct {
		Rule, Severity, ID, Text, Waived string
		OK                               bool
	}
}

type end struct {
	Kind, Place, End, Device, Pin, Connector, Cavity, Join, Half, Splice, Stud, Contact, Seal, Lug string
}

// node is where a wire's end stands electrically.
func (e *end) node() string {
	switch e.Kind {
	case "cavity":
		return "join " + e.Join + " " + e.Cavity
	case "splice":
		return "splice " + e.Splice
	case "stud":
		return "end " + e.End
	}
	return "end " + e.End
}

// auditor is one audit.
type auditor struct {
	p      *plan
	tables Tables
	c      part.Catalogue
	r      Report
	leg    map[string]int
	wire   map[string]int
	parts  map[string]string // device → part
}

// Audit derives the constraints of a plan.
func Audit(planJSON []byte, tables Tables, c part.Catalogue) Report {
	a := &auditor{p: &plan{}, tables: tables, c: c, leg: map[string]int{}, wire: map[string]int{}, parts: map[string]string{}}
	a.r.Worst, a.r.Checked = map[string]float64{}, map[string]int{}
	if err := json.Unmarshal(planJSON, a.p); err != nil {
		a.say("the plan is no JSON: %v", err)
		return a.r
	}
	for i := range a.p.Legs {
		a.leg[a.p.Legs[i].Name] = i
	}
	for _, row := range tables["Devices"] {
		if row["connector"] == "" {
			a.parts[strings.TrimSpace(row["device"])] = strings.TrimSpace(row["part"])
		}
	}
	a.identity()
	a.cavities()
	a.contacts()
	a.roles()
	a.given()
	a.paths()
	a.connected()
	a.lengths()
	a.bundles()
	a.currents()
	a.capacity()
	a.drops()
	a.feeds()
	a.findings()
	return a.r
}

func (a *auditor) say(format string, args ...any) {
	if len(a.r.Problems) < 200 {
		a.r.Problems = append(a.r.Problems, fmt.Sprintf(format, args...))
	}
}

// worst notes how much of a limit is used; over the slack it is a problem.
func (a *auditor) worst(what string, value, limit, slack float64, where string) {
	a.r.Checked[what]++
	share := math.Inf(1)
	if limit > 0 {
		share = value / limit
	} else if value <= 0 {
		share = 0
	}
	a.r.Worst[what] = max(a.r.Worst[what], share)
	if share > 1+slack || math.IsNaN(share) {
		a.say("%s: %s: %g of %g", what, where, value, limit)
	}
}

// identity: IDs and numbers are unique.
func (a *auditor) identity() {
	numbers := map[string]bool{}
	for i := range a.p.Wires {
		w := &a.p.Wires[i]
		if _, twice := a.wire[w.ID]; twice || w.ID == "" {
			a.say("identity: wire ID %q twice or empty", w.ID)
		}
		a.wire[w.ID] = i
		if numbers[w.Number] || w.Number == "" {
			a.say("identity: wire number %q twice or empty", w.Number)
		}
		numbers[w.Number] = true
		a.r.Checked["identity"]++
	}
	ids := map[string]bool{}
	for _, e := range a.p.Ends {
		if ids[e.ID] {
			a.say("identity: end %s twice", e.ID)
		}
		ids[e.ID] = true
	}
}

// cavities: one circuit a cavity, one wire a contact on each half.
func (a *auditor) cavities() {
	who := map[string]string{}
	use := func(key, circuit string) {
		a.r.Checked["cavity"]++
		if o, ok := who[key]; ok && o != circuit {
			a.say("cavity: %s serves %s and %s", key, o, circuit)
		}
		who[key] = circuit
	}
	for _, x := range a.p.Cavities {
		use("join "+x.Join+" "+x.Cavity, x.Circuit)
	}
	for _, e := range a.p.Ends {
		if e.Device != "" && e.Cavity != "" {
			use("pin "+e.Device+" "+e.Connector+" "+e.Cavity, e.Circuit)
		}
	}
	wires := map[string]int{}
	for i := range a.p.Wires {
		for _, e := range []*end{&a.p.Wires[i].From, &a.p.Wires[i].To} {
			switch {
			case e.Kind == "cavity":
				wires[e.Join+"/"+e.Half+" "+e.Cavity]++
			case e.Kind == "pin" && e.Cavity != "":
				wires[e.Device+"/"+e.Connector+" "+e.Cavity]++
			}
		}
	}
	for k, n := range wires {
		if n > 1 && !a.takesTwo(k) {
			a.say("cavity: %d wires in %s", n, k)
		}
	}
}

// takesTwo says whether a device's connector lets a contact take two wires.
func (a *auditor) takesTwo(key string) bool {
	device, _, _ := strings.Cut(key, "/")
	if d := a.c.Devices[a.parts[device]]; d != nil {
		for _, k := range d.Connectors {
			if c := a.c.Connectors[k.Part]; c != nil && c.MostPerContact > 1 {
				return true
			}
		}
	}
	return false
}

// connector finds the part and contact gender a wire's end goes into.
func (a *auditor) connector(e *end) (k *part.Connector, gender string) {
	if e.Kind == "cavity" {
		for _, j := range a.p.Joins {
			if j.Name == e.Join {
				gender = "pin"
				if j.Sockets == e.Half {
					gender = "socket"
				}
				return a.c.Connectors[j.Part], gender
			}
		}
		return nil, ""
	}
	d := a.c.Devices[a.parts[e.Device]]
	if d == nil {
		return nil, ""
	}
	for _, x := range d.Connectors {
		if x.Name == e.Connector {
			if k = a.c.Connectors[x.Part]; k != nil {
				if gender = k.Gender; gender == "" {
					gender = "socket"
				}
			}
			return k, gender
		}
	}
	return nil, ""
}

// contacts: the contact fits the cavity, takes the gauge, and its grommet
// closes round the wire.
func (a *auditor) contacts() {
	for i := range a.p.Wires {
		w := &a.p.Wires[i]
		for _, e := range []*end{&w.From, &w.To} {
			if e.Kind != "pin" && e.Kind != "cavity" {
				continue
			}
			k, gender := a.connector(e)
			if k == nil {
				continue
			}
			at := slices.IndexFunc(k.Cavities, func(c part.Cavity) bool { return c.Name == e.Cavity })
			if at < 0 {
				a.say("contact: %s has no cavity %q (wire %s)", k.ID, e.Cavity, w.Number)
				continue
			}
			contact := a.c.Contacts[e.Contact]
			if contact == nil {
				continue // the figures are missing and a finding says so
			}
			a.r.Checked["contact"]++
			if contact.Size != k.Cavities[at].Size && !slices.Contains(k.Cavities[at].Contacts, contact.ID) {
				a.say("contact: size %s in a cavity of size %s (wire %s)", contact.Size, k.Cavities[at].Size, w.Number)
			}
			if contact.Gender != "" && contact.Gender != gender {
				a.say("contact: %s in a half with %ss (wire %s)", contact.ID, gender, w.Number)
			}
			if w.Cable == "" && !slices.Contains(contact.Gauges, w.Gauge) && !strings.HasSuffix(w.Gauge, "mm2") {
				a.say("contact: %s does not take gauge %s (wire %s)", contact.ID, w.Gauge, w.Number)
			}
			if k.Sealed && w.Cable == "" && contact.WireMost > 0 && len(k.Cavities[at].Seals) == 0 && (w.OD < contact.WireLeast.MM()-1e-6 || w.OD > contact.WireMost.MM()+1e-6) {
				a.say("contact: %.3f mm outside the seal %.2f to %.2f mm (wire %s)", w.OD, contact.WireLeast.MM(), contact.WireMost.MM(), w.Number)
			}
		}
	}
}

// partners is the auditor's own table of what one end of a circuit needs at
// another (common practice). Roles that are not listed need nothing special.
var partners = map[string][]string{
	"analogue out":     {"analogue in", "digital in"},
	"resistive out":    {"temperature in", "analogue in"},
	"frequency out":    {"frequency in", "digital in"},
	"knock out":        {"knock in"},
	"coil in":          {"coil"},
	"injector in":      {"injector", "low side out", "ground"},
	"sensor supply in": {"sensor supply"},
	"thermocouple +":   {"thermocouple +"},
	"thermocouple -":   {"thermocouple -"},
	"bus high":         {"bus high"},
	"bus low":          {"bus low"},
	"starter in":       {"supply out", "battery +"},
}

// roles: each end that needs a partner has one on its circuit.
func (a *auditor) roles() {
	of := map[string][]string{}
	count := map[string]int{}
	for _, e := range a.p.Ends {
		of[e.Circuit] = append(of[e.Circuit], e.Role)
		count[e.Circuit+"\x00"+e.Role]++
	}
	for _, e := range a.p.Ends {
		need := partners[e.Role]
		if need == nil {
			continue
		}
		a.r.Checked["role"]++
		ok := false
		for _, r := range need {
			if r == e.Role {
				ok = ok || count[e.Circuit+"\x00"+r] > 1
			} else {
				ok = ok || slices.Contains(of[e.Circuit], r)
			}
		}
		if !ok {
			a.say("role: %s of %s on %s finds none of %v", e.Role, e.Device, e.Circuit, need)
		}
	}
}

// given: pins, gauges and lengths that a person fixed are there unchanged.
func (a *auditor) given() {
	type key struct{ circuit, device, pin string }
	ends := map[key]bool{}
	for _, e := range a.p.Ends {
		ends[key{e.Circuit, e.Device, e.Pin}] = true
		if e.Stud != "" {
			ends[key{e.Circuit, e.Stud, ""}] = true
		}
	}
	rows := map[string]int{}
	for _, row := range a.tables["Circuits"] {
		rows[strings.TrimSpace(row["circuit"])]++
	}
	for _, row := range a.tables["Circuits"] {
		c := strings.TrimSpace(row["circuit"])
		for _, side := range []string{"from", "to"} {
			dev, pin := strings.TrimSpace(row[side+" device"]), strings.TrimSpace(row[side+" pin"])
			if dev == "" || pin == "" {
				continue
			}
			a.r.Checked["given"]++
			if !ends[key{c, dev, pin}] {
				a.say("given: pin %s of %s on %s is not kept", pin, dev, c)
			}
		}
		if g := strings.TrimSpace(row["gauge"]); g != "" && rows[c] == 1 {
			for i := range a.p.Wires {
				if w := &a.p.Wires[i]; w.Circuit == c && w.Cable == "" {
					a.r.Checked["given"]++
					if w.Gauge != g {
						a.say("given: gauge %s of %s became %s", g, c, w.Gauge)
					}
				}
			}
		}
	}
	for _, row := range a.tables["Legs"] {
		l := strings.TrimSpace(row["length"])
		i, ok := a.leg[strings.TrimSpace(row["from"])+"–"+strings.TrimSpace(row["to"])]
		if l == "" || !ok {
			continue
		}
		var v float64
		if _, err := fmt.Sscanf(l, "%g", &v); err == nil && !strings.ContainsAny(l, "minft'\"") {
			a.r.Checked["given"]++
			if math.Abs(a.p.Legs[i].Length-v) > 0.01 {
				a.say("given: leg %s of %s mm became %g mm", a.p.Legs[i].Name, l, a.p.Legs[i].Length)
			}
		}
	}
}

// paths: the legs of a wire hang together from its one end's place to the
// other's, all in its loom.
func (a *auditor) paths() {
	for i := range a.p.Wires {
		w := &a.p.Wires[i]
		at := w.From.Place
		for _, name := range w.Legs {
			l, ok := a.leg[name]
			if !ok {
				a.say("path: wire %s runs in unknown leg %s", w.Number, name)
				break
			}
			a.r.Checked["path"]++
			g := &a.p.Legs[l]
			if g.Loom != w.Loom {
				a.say("path: wire %s of %s runs in leg %s of %s", w.Number, w.Loom, name, g.Loom)
			}
			switch at {
			case g.From:
				at = g.To
			case g.To:
				at = g.From
			default:
				a.say("path: wire %s leaves %s for leg %s", w.Number, at, name)
			}
		}
		if at != w.To.Place {
			a.say("path: wire %s ends at %s, not at %s", w.Number, at, w.To.Place)
		}
	}
}

// connected: wires, splices and crossings join all ends of a circuit.
func (a *auditor) connected() {
	open := map[string]bool{}
	for _, c := range a.p.Circuits {
		open[c.Name] = c.Open
	}
	head := map[string]string{}
	var find func(string) string
	find = func(x string) string {
		if head[x] == "" || head[x] == x {
			head[x] = x
			return x
		}
		head[x] = find(head[x])
		return head[x]
	}
	for i := range a.p.Wires {
		w := &a.p.Wires[i]
		head[find(w.Circuit+"\x00"+w.From.node())] = find(w.Circuit + "\x00" + w.To.node())
	}
	// A circuit that crosses on several contacts is one on either side.
	first := map[string]string{}
	for _, x := range a.p.Cavities {
		k := x.Join + "\x00" + x.Circuit
		n := x.Circuit + "\x00join " + x.Join + " " + x.Cavity
		if first[k] != "" {
			head[find(n)] = find(first[k])
		}
		first[k] = n
	}
	root := map[string]string{}
	for _, e := range a.p.Ends {
		if open[e.Circuit] || e.Role == "shield" || a.shieldCircuit(e.Circuit) {
			continue
		}
		a.r.Checked["connected"]++
		r := find(e.Circuit + "\x00end " + e.ID)
		if root[e.Circuit] == "" {
			root[e.Circuit] = r
		} else if root[e.Circuit] != r {
			a.say("connected: circuit %s is in pieces", e.Circuit)
			root[e.Circuit] = r
		}
	}
}

// shieldCircuit: a shield is grounded at one end only, so its other end hangs free.
func (a *auditor) shieldCircuit(name string) bool {
	for _, c := range a.p.Circuits {
		if c.Name == name {
			return c.Class == "shield"
		}
	}
	return false
}

// lengths: a wire is at least as long as its legs, and not much longer than
// lay and end allowances explain: 10 % and 400 mm.
func (a *auditor) lengths() {
	for i := range a.p.Wires {
		w := &a.p.Wires[i]
		sum := 0.0
		for _, l := range w.Legs {
			if k, ok := a.leg[l]; ok {
				sum += a.p.Legs[k].Length
			}
		}
		a.r.Checked["length"]++
		if w.Length < sum-1e-6 {
			a.say("length: wire %s has %g mm over legs of %g mm", w.Number, w.Length, sum)
		}
		if w.Length > sum*1.1+400 {
			a.say("length: wire %s has %g mm over legs of %g mm: too much", w.Number, w.Length, sum)
		}
		if w.Origin["cut"] != "given" && math.Abs(w.Cut-w.Length-w.Tail) > 5 {
			a.say("length: wire %s is cut to %g mm, not %g + %g", w.Number, w.Cut, w.Length, w.Tail)
		}
		if w.Cut < w.Length-1e-6 {
			a.say("length: wire %s is cut shorter (%g) than it must be (%g)", w.Number, w.Cut, w.Length)
		}
	}
}

// bundles: no thinner than its copper and insulation, nor much thicker.
func (a *auditor) bundles() {
	for i := range a.p.Legs {
		l := &a.p.Legs[i]
		cables := map[string]bool{}
		sum, first, second := 0.0, 0.0, 0.0
		known := len(l.Wires) > 0
		for _, id := range l.Wires {
			k, ok := a.wire[id]
			if !ok {
				a.say("bundle: leg %s holds unknown wire %s", l.Name, id)
				continue
			}
			w := &a.p.Wires[k]
			if !slices.Contains(w.Legs, l.Name) {
				a.say("bundle: wire %s is in leg %s, which is not on its way", w.Number, l.Name)
			}
			od := w.OD
			if w.Cable != "" {
				if cables[w.Cable] {
					continue
				}
				cables[w.Cable] = true
				od = 0
				for _, row := range a.tables["Cables"] {
					if row["cable"] == w.Cable {
						if c := a.c.Cables[row["part"]]; c != nil {
							od = c.Outside.MM()
						}
					}
				}
			}
			known = known && od > 0
			sum += od * od
			if od > first {
				first, second = od, first
			} else {
				second = max(second, od)
			}
		}
		if !known || l.Diameter == 0 {
			continue
		}
		a.r.Checked["bundle"]++
		least := max(math.Sqrt(sum), first+second)
		if l.Diameter < least-1e-6 {
			a.say("bundle: leg %s is %g mm, its wires need %g mm", l.Name, l.Diameter, least)
		}
		if l.Diameter > 1.5*math.Sqrt(sum)+0.2 {
			a.say("bundle: leg %s is %g mm for wires of %g mm", l.Name, l.Diameter, math.Sqrt(sum))
		}
		if l.Bound > l.Diameter+1e-6 {
			a.say("bundle: leg %s: bound %g above %g", l.Name, l.Bound, l.Diameter)
		}
	}
}

// findings: stops first, open before passed.
func (a *auditor) findings() {
	rank := map[string]int{"stop": 2, "look": 1, "note": 0}
	order := make([]int, len(a.p.Findings))
	for i, f := range a.p.Findings {
		if !f.OK && f.Waived == "" {
			order[i] = 10
		}
		order[i] += rank[f.Severity]
	}
	if !sort.SliceIsSorted(order, func(i, j int) bool { return order[i] > order[j] }) {
		a.say("findings: not in order")
	}
}

// Stops lists the open stop findings, for callers that expect none.
func Stops(planJSON []byte) []string {
	var p plan
	if err := json.Unmarshal(planJSON, &p); err != nil {
		return []string{err.Error()}
	}
	var out []string
	for _, f := range p.Findings {
		if f.Severity == "stop" && !f.OK && f.Waived == "" {
			out = append(out, f.Rule+" "+f.ID+": "+f.Text)
		}
	}
	return out
}
