// Package cross settles the connector of each join, its key and the half that
// has sockets, and the cavity of every circuit that crosses there.
//
// It decides on real cavity positions: contact size by current and given
// gauge, several contacts where one is too small, twisted and cabled kin side
// by side, ignition apart from low-level, spares spread. It takes the joins a
// circuit crosses from route. What contacts and seals fit the wire that is
// chosen later is left to size and the checks; so is whether a given cavity
// is wise.
package cross

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"

	"keyon/model/design"
	"keyon/model/finding"
	"keyon/model/flow"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/model/settle"
	"keyon/model/source"
	"keyon/num/conductor"
)

// need is one circuit that crosses a join.
type need struct {
	circuit  int
	amps     float64
	gauges   []part.Gauge  // given on rows whose way crosses
	ends     []part.Socket // cavities at the other end of the wires that meet here
	rootHalf string        // the half nearer the circuit's root
	hopeless bool          // no contact of the series takes a wire that fits both of its ends
	live     bool          // current comes from the root: that half stays live when unplugged
}

// work is one run.
type work struct {
	d        *design.Design
	c        part.Catalogue
	t        *plan.Things
	e        *plan.Ends
	needs    [][]need // by join
	kin      [][]int  // by circuit: what belongs beside it, itself included
	given    map[[2]int][]design.TextEntry
	load     float64 // share of a contact's rating it is chosen for
	bridges  *part.Bridges
	strict   bool                       // only sizes in which one wire fits both of its ends, and few contacts together
	list     []*part.Connector          // candidates, once asked
	bySize   map[string][]*part.Contact // once asked
	verdicts []finding.Verdict
	out      plan.Cavities
}

// Run settles connectors, keys, sockets and cavities of all joins.
func Run(d *design.Design, c part.Catalogue, t plan.Things, e plan.Ends, r plan.Routes) (plan.Cavities, []finding.Verdict) {
	w := &work{d: d, c: c, t: &t, e: &e, needs: make([][]need, len(t.Joins)), bridges: part.NewBridges(c)}
	// judgement: a contact chosen to four fifths leaves room for the copper that drop asks for
	w.load, _ = d.Number("contact load share", 0.8)
	w.out.Joins = make([]plan.JoinPart, len(t.Joins))
	w.readKin()
	w.readNeeds(r)
	w.readGiven()
	for j := range t.Joins {
		w.join(j)
	}
	w.keys()
	return w.out, w.verdicts
}

// readNeeds gathers what crosses each join.
func (w *work) readNeeds(r plan.Routes) {
	f := flow.Of(w.t, w.e, float64(w.d.Car.Volts))
	for i := range r.List {
		route := &r.List[i]
		if route.Open || len(route.Joins) == 0 {
			continue
		}
		walk := flow.Through(w.t, w.e, route)
		amps := walk.Amps(&f)
		over := walk.Over(flow.Rows(w.t, w.e, route.Circuit))
		for s := range walk.Steps {
			j := walk.Steps[s].Far(route)
			if j.Join < 0 {
				continue
			}
			n := need{circuit: route.Circuit, amps: amps[s], rootHalf: j.Half, live: !walk.Back}
			for _, row := range over[s] {
				g := w.d.Circuits[w.t.Circuits[route.Circuit].Rows[row].Design].Gauge
				// A gauge that doesn't carry the current even alone in the air, at a
				// rise of 100 °C, is a mistake that the checks speak of: it
				// chooses no contact, so that other circuits stay as they are.
				if alone, known := conductor.FreeAir(g.Value, 100); known && alone < n.amps {
					continue
				}
				if g.Is() && !slices.Contains(n.gauges, g.Value) {
					n.gauges = append(n.gauges, g.Value)
				}
			}
			if g := w.coreGauge(route.Circuit); g != "" {
				n.gauges = []part.Gauge{g}
			}
			n.ends = w.endsAcross(route, j.Join)
			w.needs[j.Join] = append(w.needs[j.Join], n)
		}
	}
}

// endsAcross lists the cavities that the wires of a route which meet at a join
// have at their other end: one wire must fit both.
func (w *work) endsAcross(route *plan.Route, join int) []part.Socket {
	var out []part.Socket
	for i := range route.Spans {
		s := &route.Spans[i]
		end := -1
		switch {
		case s.From.Join == join:
			end = s.To.End
		case s.To.Join == join:
			end = s.From.End
		}
		if end < 0 {
			continue
		}
		q := &w.e.List[end]
		if q.Device < 0 || q.Connector < 0 {
			continue
		}
		k := w.t.Devices[q.Device].Connectors[q.Connector].Part
		if k == nil {
			continue
		}
		for c := range k.Cavities {
			if k.Cavities[c].Name == q.Cavity {
				out = append(out, part.Socket{Cavity: k.Cavities[c], Sealed: k.Sealed})
			}
		}
	}
	return out
}

// readKin gathers what belongs side by side: circuits twisted or cabled
// together, and data circuits between the same devices, which are the two
// lines of one bus.
func (w *work) readKin() {
	w.kin = make([][]int, len(w.t.Circuits))
	bus := map[string][]int{}
	var order []string
	for c := range w.t.Circuits {
		if w.kin[c] = w.t.Circuits[c].Kin; len(w.kin[c]) > 0 || w.t.Circuits[c].Class.Value != "data" || c >= len(w.e.Of) {
			continue
		}
		var devices []int
		for _, i := range w.e.Of[c] {
			devices = append(devices, w.e.List[i].Device)
		}
		slices.Sort(devices)
		key := fmt.Sprint(devices)
		if len(bus[key]) == 0 {
			order = append(order, key)
		}
		bus[key] = append(bus[key], c)
	}
	for _, key := range order {
		if pair := bus[key]; len(pair) == 2 {
			w.kin[pair[0]], w.kin[pair[1]] = pair, pair
		}
	}
}

// coreGauge is the gauge of the cable core a circuit runs on, "" where it
// runs on none.
func (w *work) coreGauge(circuit int) part.Gauge {
	k := w.t.Circuits[circuit].Cable
	if k < 0 || w.t.Cables[k].Part == nil {
		return ""
	}
	i := slices.Index(w.t.Cables[k].Circuits, circuit)
	if i < 0 || i >= len(w.t.Cables[k].Cores) {
		return ""
	}
	for _, core := range w.t.Cables[k].Part.Cores {
		if core.Name == w.t.Cables[k].Cores[i] {
			return core.Gauge
		}
	}
	return ""
}

// readGiven reads the table Cavities, by join and circuit; entry n-1 is the
// n-th contact's. Names that lead nowhere are resolve's to report.
func (w *work) readGiven() {
	w.given = map[[2]int][]design.TextEntry{}
	for i := range w.d.Cavities {
		x := &w.d.Cavities[i]
		j, known := w.t.JoinOf[x.Join.Value]
		c, ok := w.t.CircuitOf[x.Circuit.Value]
		n := x.N.Or(1)
		if !known || !ok || n < 1 || n > mostContacts {
			continue
		}
		key := [2]int{j, c}
		for len(w.given[key]) < n {
			w.given[key] = append(w.given[key], design.TextEntry{})
		}
		w.given[key][n-1] = x.Cavity
	}
}

// mostContacts bounds a typing mistake in the column n.
const mostContacts = 200

// join settles one join's connector, sockets and cavities.
func (w *work) join(j int) {
	k := &w.t.Joins[j]
	out := &w.out.Joins[j]
	switch k.Kind {
	case "grommet":
		return
	case "stud":
		out.Part = settle.Choose(k.Part, func() (string, settle.Reason, bool) {
			return "", settle.Reason{Text: "the shop must name the stud"}, false
		})
		for _, n := range w.needs[j] {
			w.out.Crossings = append(w.out.Crossings, plan.Crossing{Join: j, Circuit: n.circuit, N: 1,
				Cavity: settle.Value[string]{Value: "stud", Origin: settle.Worked, Reason: settle.Reason{Text: "the join is one stud", Source: house}}})
		}
		return
	}
	w.choosePart(j)
	w.chooseSockets(j)
	w.place(j)
}

var house = source.Ref{Kind: source.Judgement, Doc: "house-rules", Where: "joins"}

// chooseSockets gives sockets to the half that stays live when the join is
// open, so that nothing live can be touched.
func (w *work) chooseSockets(j int) {
	k := &w.t.Joins[j]
	e := w.d.Keep(k.Sockets, "join", string(k.ID), "sockets")
	w.out.Joins[j].Sockets = settle.Choose(e, func() (string, settle.Reason, bool) {
		// A given part with pins or sockets is that of the fixed half.
		fixed, other := "a", "b"
		if k.FixedHalf == "b" {
			fixed, other = "b", "a"
		}
		if c := w.out.Joins[j].Connector; c != nil && w.out.Joins[j].Part.Origin == settle.FromUser && c.Gender != "" {
			if c.Gender == "pin" {
				fixed = other
			}
			return fixed, settle.Reason{Text: "the given part " + c.ID + " is made with its " + c.Gender + " half fixed", Source: settle.GivenReason.Source}, true
		}
		live := map[string]int{}
		for _, n := range w.needs[j] {
			if n.live && w.t.Circuits[n.circuit].Class.Value == "power" {
				live[n.rootHalf]++
			}
		}
		half := fixed
		if live[other] > live[fixed] {
			half = other
		}
		return half, settle.Reason{Text: "sockets on the half that more power circuits come from, so that nothing live is bare when it is unplugged; the fixed half where neither is",
			Because: []settle.Term{settle.Num("power circuits from a", float64(live["a"]), ""), settle.Num("from b", float64(live["b"]), "")},
			Source:  source.Ref{Kind: source.Practice, Doc: "house-rules", Where: "live half has sockets"}}, true
	})
}

// at is where a join's findings point.
func (w *work) at(j int, field string) finding.Place {
	k := &w.t.Joins[j]
	cell := settle.Cell{Table: "Joins", Row: string(k.ID), Column: field}
	return finding.Place{Kind: "join", ID: k.Name, Field: field, Cell: cell}
}

// name is a crossing as people call it.
func (w *work) name(c, n, of int) string {
	s := w.t.Circuits[c].Name
	if of > 1 {
		s += " (contact " + strconv.Itoa(n) + " of " + strconv.Itoa(of) + ")"
	}
	return s
}

func amps(a float64) string { return fmt.Sprintf("%.1f A", a) }

// byCircuit is the order of crossings in the table.
func byCircuit(x, y plan.Crossing) int {
	return cmp.Or(cmp.Compare(x.Circuit, y.Circuit), cmp.Compare(x.N, y.N))
}
