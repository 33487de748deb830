// Package audit checks a plan without sharing a line with the stages and
// checks that made it: it reads the JSON of `plan --json`, the tables as
// plain text, and the catalogue, and derives every hard constraint anew.
//
// It decides nothing about taste. Tolerances are stated where they are used.
// What the plan says is open is left out: a finding reports it.
package audit

import (
	"encoding/json"
	"fmt"
	"math"
	"sort"
	"strings"

	"keyon/model/part"
)

// Tables are the design's tables: rows of column → text, as they were typed.
type Tables = map[string][]map[string]string

// Report is what an audit found.
type Report struct {
	Problems []string
	Worst    map[string]float64 // largest share of a limit that was used, or what the name says, by constraint
	Checked  map[string]int     // how often a constraint was looked at
}

// plan is what the auditor reads of the JSON: its own view of docs/json.md.
type plan struct {
	Wires []struct {
		ID, Number, Circuit, Class, Loom, Family, Gauge, Colour, Label, Cable, Core string
		From                                                                        end     `json:"from_end"`
		To                                                                          end     `json:"to_end"`
		OD                                                                          float64 `json:"od_mm"`
		Mass                                                                        float64 `json:"mass_g"`
		Ohm                                                                         float64 `json:"ohm_per_km"`
		Legs                                                                        []string
		Length                                                                      float64 `json:"length_mm"`
		Cut                                                                         float64 `json:"cut_mm"`
		Tail                                                                        float64 `json:"tail_mm"`
		Network                                                                     float64 `json:"network_mm"`
		Parallel                                                                    int
		Origin                                                                      map[string]string
	}
	Legs []struct {
		Name, From, To, Loom, Sleeve string
		Length                       float64 `json:"length_mm"`
		Wires                        []string
		Diameter                     float64 `json:"diameter_mm"`
		Bound                        float64 `json:"bound_mm"`
		Covered                      float64 `json:"covered_mm"`
		Ambient                      float64 `json:"ambient_c"`
	}
	Splices []struct {
		ID, Circuit, Place, Loom string
		Wires                    []string
	}
	Ends     []struct{ ID, Circuit, Device, Stud, Feed, Pin, Connector, Cavity, Place, Role string }
	Cavities []struct {
		Join, Circuit, Cavity, Size string
		N                           int
	}
	Joins []struct {
		Name, Kind, Part, Key, Sockets string
		A                              string `json:"place_a"`
		B                              string `json:"place_b"`
	}
	Studs []struct {
		Name, Place, Use string
		Most             int `json:"most_lugs"`
	}
	Feeds []struct {
		Name, Device, Pin, Setting string
		Rating                     float64 `json:"rating_a"`
	}
	Looms    []struct{ Name, Letter string }
	Circuits []struct {
		Name, Class string
		Open        bool
		Legs, Joins []string
	}
	States []struct {
		Name    string
		Supply  string
		Volts   float64 `json:"supply_v"`
		Seconds float64
		Devices []struct {
			Device, From, To string
			Volts, Amps      float64
			Way              float64 `json:"way_v"`
			Least            float64 `json:"least_v"`
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
	}
	return "end " + e.End
}

// auditor is one audit.
type auditor struct {
	p      *plan
	tables Tables
	c      part.Catalogue
	comma  bool // the car writes decimals with a comma
	r      Report
	leg    map[string]int
	wire   map[string]int
	of     map[string][]int  // by circuit: its wires
	parts  map[string]string // device → part
	class  map[string]string // circuit → class
	open   map[string]bool   // circuits the plan leaves open
}

// Audit derives the constraints of a plan.
func Audit(planJSON []byte, tables Tables, c part.Catalogue) Report {
	a := &auditor{p: &plan{}, tables: tables, c: c, leg: map[string]int{}, wire: map[string]int{}, of: map[string][]int{}, parts: map[string]string{}, class: map[string]string{}, open: map[string]bool{}}
	a.r.Worst, a.r.Checked = map[string]float64{}, map[string]int{}
	if err := json.Unmarshal(planJSON, a.p); err != nil {
		a.say("the plan is no JSON: %v", err)
		return a.r
	}
	a.comma = same(a.car("decimal"), "comma")
	for i := range a.p.Legs {
		a.leg[a.p.Legs[i].Name] = i
	}
	for i := range a.p.Wires {
		a.of[a.p.Wires[i].Circuit] = append(a.of[a.p.Wires[i].Circuit], i)
	}
	for _, c := range a.p.Circuits {
		a.class[c.Name], a.open[c.Name] = c.Class, c.Open
	}
	for _, row := range tables["Devices"] {
		if text(row, "connector") == "" {
			a.parts[text(row, "device")] = text(row, "part")
		}
	}
	a.identity()
	a.cavities()
	a.contacts()
	a.studs()
	a.roles()
	a.given()
	a.paths()
	a.looms()
	a.cables()
	a.connected()
	a.lengths()
	a.bundles()
	a.loads()
	a.currents()
	a.network()
	a.capacity()
	a.drops()
	a.feeds()
	a.findings()
	return a.r
}

// car is a value of the table Car.
func (a *auditor) car(key string) string {
	for _, row := range a.tables["Car"] {
		if same(row["key"], key) {
			return text(row, "value")
		}
	}
	return ""
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

// identity: IDs and numbers are unique, numbers begin with their loom's letter
// where nobody gave them.
func (a *auditor) identity() {
	letter := map[string]string{}
	seen := map[string]bool{}
	for _, l := range a.p.Looms {
		if seen[l.Letter] {
			a.say("identity: loom letter %q twice", l.Letter)
		}
		letter[l.Name], seen[l.Letter] = l.Letter, true
	}
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
		if w.Origin["number"] == "worked out" && !strings.HasPrefix(w.Number, letter[w.Loom]) {
			a.say("identity: wire number %q in loom %s, letter %s", w.Number, w.Loom, letter[w.Loom])
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

// findings: open ones first; among them stops, then looks, then notes.
func (a *auditor) findings() {
	rank := map[string]int{"stop": 2, "look": 1, "note": 0}
	order := make([]int, len(a.p.Findings))
	for i, f := range a.p.Findings {
		a.r.Checked["findings"]++
		if !f.OK && f.Waived == "" {
			order[i] = 10 + rank[f.Severity]
		}
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
