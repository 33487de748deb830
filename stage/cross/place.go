package cross

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"

	"keyon/model/design"
	"keyon/model/finding"
	"keyon/model/flow"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/model/settle"
	"keyon/model/source"
	"keyon/num/assign"
)

// place settles the cavities of a join: given, then kept, then the rest.
func (w *work) place(j int) {
	conn := w.out.Joins[j].Connector
	if conn == nil {
		// Nothing to choose from: what crosses still crosses.
		for _, n := range w.needs[j] {
			for i := range max(1, len(w.given[[2]int{j, n.circuit}])) {
				x := plan.Crossing{Join: j, Circuit: n.circuit, N: i + 1, Shield: w.shield(n.circuit), Cavity: settle.Value[string]{Reason: settle.Reason{Text: "the join has no connector"}}}
				if g := w.given[[2]int{j, n.circuit}]; i < len(g) {
					x.Cavity = settle.Choose(g[i], func() (string, settle.Reason, bool) { return "", x.Cavity.Reason, false })
				}
				w.out.Crossings = append(w.out.Crossings, x)
			}
		}
		return
	}
	list := w.contactsFor(j, conn)
	garbled := w.fix(j, conn, list)
	list, open := w.match(j, conn, list)
	w.improve(j, conn, list)
	w.missing(j, conn, list, open)
	var crossings []plan.Crossing
	for _, c := range list {
		n := &w.needs[j][c.need]
		x := plan.Crossing{Join: j, Circuit: n.circuit, N: c.n, Size: c.size, Shield: w.shield(n.circuit)}
		if c.cavity >= 0 {
			x.Size = conn.Cavities[c.cavity].Size
			x.Cavity = settle.Value[string]{Value: conn.Cavities[c.cavity].Name, Origin: c.origin, Reason: w.reason(conn, n, &c)}
		} else if e, ok := garbled[[2]int{n.circuit, c.n}]; ok {
			x.Cavity = settle.Choose(e, nil)
		}
		crossings = append(crossings, x)
	}
	slices.SortStableFunc(crossings, byCircuit)
	w.out.Crossings = append(w.out.Crossings, crossings...)
}

func (w *work) shield(circuit int) bool { return w.t.Circuits[circuit].Class.Value == "shield" }

func (w *work) reason(conn *part.Connector, n *need, c *contact) settle.Reason {
	switch c.origin {
	case settle.FromUser:
		return settle.GivenReason
	case settle.FromKept:
		return settle.KeptReason
	}
	a, _ := w.rating(&conn.Cavities[c.cavity], n.gauges)
	r := settle.Reason{Text: "smallest contact that carries it", Because: []settle.Term{settle.Num("expected", n.amps, "A")},
		Source: source.Ref{Kind: source.Standard, Doc: "MIL-DTL-38999N", Where: "Tables IV and V", Status: source.Seen}}
	if !math.IsInf(a, 1) {
		r.Because = append(r.Because, settle.Num("contact size "+conn.Cavities[c.cavity].Size, a, "A"))
	}
	if c.of > 1 {
		r.Text = "one of several contacts that carry it together"
		r.Because = append(r.Because, settle.Num("contacts", float64(c.of), ""), settle.Num("each counted on for", flow.ParallelShare*100, "%"))
	}
	if len(w.kin[n.circuit]) > 1 {
		r.Text += ", beside what it belongs with"
	}
	return r
}

// fix gives contacts their given and kept cavities. A given cavity that isn't
// there is reported; a kept one that can't be is let go. Garbled cells come
// back, by circuit and contact: nothing is worked out in their place.
func (w *work) fix(j int, conn *part.Connector, list []contact) (garbled map[[2]int]design.TextEntry) {
	garbled = map[[2]int]design.TextEntry{}
	find := func(name string) int {
		return slices.IndexFunc(conn.Cavities, func(c part.Cavity) bool { return c.Name == name })
	}
	taken := map[int]bool{}
	for i := range list {
		c := &list[i]
		circuit := w.needs[j][c.need].circuit
		g := w.given[[2]int{j, circuit}]
		if c.n > len(g) || g[c.n-1].State == settle.Blank {
			continue
		}
		e := g[c.n-1]
		if e.State == settle.Garbled {
			garbled[[2]int{circuit, c.n}] = e
			continue
		}
		c.origin = settle.FromUser
		if c.cavity = find(e.Value); c.cavity < 0 {
			garbled[[2]int{circuit, c.n}] = e
			p := finding.Place{Kind: "cavity", ID: w.t.Joins[j].Name + " " + w.t.Circuits[circuit].Name, Field: "cavity", Cell: e.At}
			w.verdicts = append(w.verdicts, finding.Say(RuleCavity, p, w.t.Joins[j].Name+" has no cavity "+e.Value+": "+conn.ID+" has "+strconv.Itoa(len(conn.Cavities))+", "+conn.Cavities[0].Name+" to "+conn.Cavities[len(conn.Cavities)-1].Name, "give one of its cavities", "leave it blank to have it worked out"))
			continue
		}
		taken[c.cavity] = true
	}
	for i := range list {
		c := &list[i]
		if c.origin == settle.FromUser {
			continue
		}
		k := &w.t.Circuits[w.needs[j][c.need].circuit]
		if _, bad := garbled[[2]int{w.needs[j][c.need].circuit, c.n}]; bad {
			continue
		}
		var e design.TextEntry
		for _, id := range k.IDs {
			if e.State == settle.Kept {
				break
			}
			e = w.d.Keep(e, "crossing", string(w.t.Joins[j].ID)+"/"+string(id)+"/"+strconv.Itoa(c.n), "cavity")
		}
		if e.State != settle.Kept {
			continue
		}
		at, why := find(e.Value), ""
		switch {
		case at < 0:
			why = conn.ID + " has no such cavity"
		case taken[at]:
			why = "it is taken by another circuit"
		case !w.legal(conn, &w.needs[j][c.need], c, at):
			why = "its contact doesn't carry " + amps(w.needs[j][c.need].amps) + " or take the given gauge"
		}
		if why != "" {
			w.verdicts = append(w.verdicts, finding.Say(RuleKept, w.at(j, "cavity"), w.t.Joins[j].Name+": the kept cavity "+e.Value+" of "+w.name(w.needs[j][c.need].circuit, c.n, c.of)+" is left, "+why, "look at the new cavity; keep it by printing or freezing again"))
			continue
		}
		c.cavity, c.origin, taken[at] = at, settle.FromKept, true
	}
	return garbled
}

// legal says that a contact may sit in a cavity: it carries its share of the
// current and takes the given gauges.
func (w *work) legal(conn *part.Connector, n *need, c *contact, cavity int) bool {
	a, ok := w.rating(&conn.Cavities[cavity], n.gauges)
	return ok && a >= c.share
}

// match gives every contact without a cavity one, at the least mismatch of
// sizes. Kin and contacts of one circuit take neighbouring cavities of the
// order they are made in, ignition begins at one end and low-level at the
// other, and what stays free is spread between.
func (w *work) match(j int, conn *part.Connector, list []contact) (placed []contact, open int) {
	taken := make([]bool, len(conn.Cavities))
	for _, c := range list {
		if c.cavity >= 0 {
			taken[c.cavity] = true
		}
	}
	var free, rows []int
	for i := range conn.Cavities {
		if !taken[i] {
			free = append(free, i)
		}
	}
	for i, c := range list {
		if c.cavity < 0 && c.origin != settle.FromUser {
			rows = append(rows, i)
		}
	}
	if len(rows) == 0 {
		return list, 0
	}
	lead := make([]int, len(list)) // first of its kin here
	for i, c := range list {
		lead[i] = w.needs[j][c.need].circuit
		for _, k := range w.kin[lead[i]] {
			if slices.ContainsFunc(w.needs[j], func(n need) bool { return n.circuit == k }) {
				lead[i] = k
				break
			}
		}
	}
	side := func(i int) int {
		switch temper(w.t.Circuits[lead[i]].Class.Value) {
		case rough:
			return 0
		case tender:
			return 2
		}
		return 1
	}
	slices.SortStableFunc(rows, func(x, y int) int {
		return cmp.Or(cmp.Compare(side(x), side(y)), cmp.Compare(lead[x], lead[y]))
	})
	// Each contact has a wish among the free cavities of its size: as far along
	// them as it is along the contacts of that size.
	wish := make([]int, len(rows))
	for _, s := range sizeNames(conn) {
		var places, who []int
		for col, v := range free {
			if conn.Cavities[v].Size == s {
				places = append(places, col)
			}
		}
		for r, i := range rows {
			if list[i].size == s {
				who = append(who, r)
			}
		}
		for k, r := range who {
			start := k // first of the group it stands in
			for start > 0 && lead[rows[who[start-1]]] == lead[rows[r]] {
				start--
			}
			at := k
			if len(places) > len(who) {
				at = start*len(places)/len(who) + k - start
			}
			wish[r] = -1
			if at < len(places) {
				wish[r] = places[at]
			}
		}
	}
	rank := map[string]int{}
	for i, s := range w.ranked(conn) {
		rank[s] = i
	}
	cost := make([][]int64, len(rows))
	for r, i := range rows {
		c := &list[i]
		n := &w.needs[j][c.need]
		cost[r] = make([]int64, len(free))
		ok := map[string]bool{}
		fit := w.sizes(conn, n)
		for col, v := range free {
			s := conn.Cavities[v].Size
			legal, known := ok[s]
			if !known {
				legal = w.legal(conn, n, c, v)
				ok[s] = legal
			}
			if !legal {
				cost[r][col] = assign.Forbidden
				continue
			}
			apart := int64(abs(col - wish[r]))
			if wish[r] < 0 {
				apart = 0
			}
			cost[r][col] = int64(abs(rank[s]-rank[c.size]))*1_000_000 + apart*apart
			if !slices.ContainsFunc(fit, func(x size) bool { return x.name == s }) {
				if w.strict {
					cost[r][col] = assign.Forbidden
				} else {
					cost[r][col] += 1_000_000_000 // no one wire fits here and at its other end
				}
			}
		}
	}
	col, _, err := assign.Solve(cost)
	if err != nil {
		panic("stage cross: " + err.Error())
	}
	placed = slices.Clone(list)
	for r, i := range rows {
		if col[r] == assign.None {
			open++
			continue
		}
		placed[i].cavity, placed[i].origin = free[col[r]], settle.Worked
	}
	return placed, open
}

func abs(x int) int { return max(x, -x) }

// sizeNames are a connector's contact sizes in the order of its cavities.
func sizeNames(conn *part.Connector) []string {
	var out []string
	for _, c := range conn.Cavities {
		if !slices.Contains(out, c.Size) {
			out = append(out, c.Size)
		}
	}
	return out
}

// ranked are a connector's sizes by the current they carry.
func (w *work) ranked(conn *part.Connector) []string {
	var out []string
	for _, s := range w.sizes(conn, &need{}) {
		out = append(out, s.name)
	}
	return out
}

// missing reports contacts without a cavity. What the connector lacks in
// number route has said already.
func (w *work) missing(j int, conn *part.Connector, list []contact, open int) {
	var currents []float64
	for _, n := range w.needs[j] {
		currents = append(currents, n.amps)
	}
	if _, more := flow.Fill(conn, currents); open == 0 || more > 0 {
		return
	}
	var who []string
	for _, c := range list {
		if c.cavity < 0 && c.origin != settle.FromUser {
			n := &w.needs[j][c.need]
			s := w.name(n.circuit, c.n, c.of) + " with " + amps(n.amps)
			if len(n.gauges) > 0 {
				s += " on gauge " + strings.Join(n.gauges, ", ")
			}
			who = append(who, s)
		}
	}
	w.verdicts = append(w.verdicts, finding.Say(RuleCavity, w.at(j, "part"), w.t.Joins[j].Name+": "+conn.ID+" has no cavity for "+strings.Join(who, "; "), "give a connector with larger contacts", "leave the part blank to have it worked out", "lift the given gauge"))
}
