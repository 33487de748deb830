package complete

import (
	"fmt"
	"slices"
	"strings"

	"keyon/model/design"
	"keyon/model/finding"
	"keyon/model/part"
	"keyon/model/plan"
	"keyon/model/settle"
	"keyon/model/source"
)

// RuleEnd: no circuit ends nowhere.
var RuleEnd = &finding.Rule{ID: "complete.end", Severity: finding.Stop, Title: "circuit with one end",
	Text:   "A circuit joins at least two ends; a shield that runs with others may end free on one side.",
	Source: source.Ref{Kind: source.Judgement, Doc: "house-rules", Where: "circuits"}}

// RulePlug: unused cavities of sealed connectors are closed.
var RulePlug = &finding.Rule{ID: "complete.plug", Severity: finding.Note, Title: "unused cavities to plug",
	Text:   "Each unused cavity of a sealed connector gets a sealing plug; the buying list counts them.",
	Source: source.Ref{Kind: source.Standard, Doc: "MIL-DTL-38999N", Where: "3.4.3.3", Status: source.Seen}}

// RuleIdle: what nothing uses.
var RuleIdle = &finding.Rule{ID: "complete.idle", Severity: finding.Note, Title: "nothing uses it",
	Text:   "A device, feed, stud, leg, join, cable or loom that no circuit touches is either spare or forgotten.",
	Source: source.Ref{Kind: source.Judgement, Doc: "house-rules", Where: "spares"}}

func (j *judge) ends() {
	for c := range j.t.Circuits {
		q := &j.t.Circuits[c]
		ends := j.p.Ends.Of[c]
		row := &j.d.Circuits[q.Rows[0].Design]
		place := finding.Place{Kind: "circuit", ID: q.Name, Field: "to device", Cell: row.ToDevice.At}
		if row.FromDevice.Text == "" {
			place.Field, place.Cell = "from device", row.FromDevice.At
		}
		if len(ends) >= 2 || len(ends) == 1 && q.Class.Value == "shield" && len(q.Kin) > 0 {
			j.add(finding.Pass(RuleEnd, place, fmt.Sprintf("%s joins %s", q.Name, plural(len(ends), "end"))))
			continue
		}
		j.add(finding.Say(RuleEnd, place, fmt.Sprintf("%s has %s, at least 2 are needed", q.Name, plural(len(ends), "end")), "name the other end", "delete the circuit"))
	}
}

// plugs counts the unused cavities of each sealed connector.
func (j *judge) plugs() {
	for i := range j.t.Devices {
		dev := &j.t.Devices[i]
		for k := range dev.Connectors {
			taken := map[string]bool{}
			for n := range dev.Part.Pins {
				if p := &dev.Part.Pins[n]; p.Connector == dev.Connectors[k].Name && len(j.used[[2]int{i, n}]) > 0 {
					taken[p.Cavity] = true
				}
			}
			name := dev.Name
			if dev.Connectors[k].Name != "" {
				name += "/" + dev.Connectors[k].Name
			}
			j.unused(finding.Place{Kind: "device", ID: dev.Name, Field: strings.TrimSpace("connector " + dev.Connectors[k].Name), Cell: dev.At("part")}, name, dev.Connectors[k].Part, taken)
		}
	}
	for i := range j.t.Joins {
		if i >= len(j.p.Cavities.Joins) {
			return
		}
		taken := map[string]bool{}
		for k := range j.p.Cavities.Crossings {
			if x := &j.p.Cavities.Crossings[k]; x.Join == i {
				taken[x.Cavity.Value] = true
			}
		}
		j.unused(finding.Place{Kind: "join", ID: j.t.Joins[i].Name, Field: "cavities", Cell: j.t.Joins[i].Part.At}, j.t.Joins[i].Name, j.p.Cavities.Joins[i].Connector, taken)
	}
}

func (j *judge) unused(place finding.Place, name string, k *part.Connector, taken map[string]bool) {
	if k == nil || !k.Sealed || len(taken) == 0 {
		return
	}
	open, unknown := 0, ""
	for i := range k.Cavities {
		if taken[k.Cavities[i].Name] {
			continue
		}
		open++
		if j.c.PlugFor(k.Cavities[i].Size) == nil {
			unknown = k.Cavities[i].Size
		}
	}
	switch {
	case open == 0:
		j.add(finding.Pass(RulePlug, place, name+" has no unused cavity"))
	case unknown != "":
		j.add(finding.Say(RulePlug, place, fmt.Sprintf("%s: %s to plug, and no plug of the catalogue fits size %s", name, plural(open, "unused cavity"), unknown), "add the plug to Parts"))
	default:
		j.add(finding.Pass(RulePlug, place, fmt.Sprintf("%s: %d unused cavities, plugs are on the buying list", name, open)))
	}
}

// idle notes what no circuit touches, kind by kind. What an open circuit may
// still take, and what has a finding of its own, is not noted.
func (j *judge) idle() {
	t := j.t
	devices, studs, feeds := make([]bool, len(t.Devices)), make([]bool, len(t.Studs)), make([]bool, len(t.Feeds))
	mark := func(used []bool, i int) {
		if i >= 0 {
			used[i] = true
		}
	}
	openEnd, openWay := false, false
	for i := range j.p.Routes.List {
		openWay = openWay || j.p.Routes.List[i].Open
	}
	for i := range j.p.Ends.List {
		e := &j.p.Ends.List[i]
		openEnd = openEnd || e.Stud < 0 && (e.Device < 0 || e.PinIndex < 0)
		mark(devices, e.Device)
		mark(studs, e.Stud)
		mark(feeds, e.Feed)
	}
	legs, joins := make([]bool, len(t.Legs)), make([]bool, len(t.Joins))
	for i := range j.p.Wires.List {
		for _, l := range j.p.Wires.List[i].Legs {
			legs[l] = true
		}
	}
	for i := range j.p.Routes.List {
		for _, k := range j.p.Routes.List[i].Joins {
			joins[k] = true
		}
	}
	note := func(used bool, place finding.Place, what string, fixes ...string) {
		if !used {
			j.add(finding.Say(RuleIdle, place, what, fixes...))
		}
	}
	cell := func(table string, row design.ID, column string) settle.Cell {
		return settle.Cell{Table: table, Row: string(row), Column: column}
	}
	for i := range t.Devices {
		if x := &t.Devices[i]; x.Part != nil && !needs(x.Part) {
			note(devices[i], finding.Place{Kind: "device", ID: x.Name, Field: "circuits", Cell: cell("Devices", x.ID, "device")}, "no circuit ends at "+x.Name, "add its circuits, or delete the device")
		}
	}
	for i := range t.Studs {
		x := &t.Studs[i]
		_, twin := t.DeviceOf[x.Name]
		note(studs[i] || openEnd || twin, finding.Place{Kind: "stud", ID: x.Name, Field: "circuits", Cell: cell("Studs", x.ID, "stud")}, "no circuit ends on stud "+x.Name, "delete it, or leave it as a spare")
	}
	for i := range t.Feeds {
		x := &t.Feeds[i]
		note(feeds[i] || openEnd, finding.Place{Kind: "feed", ID: x.Name, Field: "circuits", Cell: cell("Feeds", x.ID, "feed")}, "no circuit takes power from feed "+x.Name, "leave it as a spare")
	}
	for i := range t.Legs {
		x := &t.Legs[i]
		note(legs[i] || openWay || x.From == x.To || !x.Length.Settled(), finding.Place{Kind: "leg", ID: x.Name, Field: "wires", Cell: cell("Legs", x.ID, "from")}, "no wire runs in leg "+x.Name, "delete it, or leave it for later")
	}
	for i := range t.Joins {
		x := &t.Joins[i]
		note(joins[i] || openWay, finding.Place{Kind: "join", ID: x.Name, Field: "circuits", Cell: cell("Joins", x.ID, "join")}, "no circuit crosses join "+x.Name, "delete it, or leave it for later")
	}
	for i := range t.Cables {
		x := &t.Cables[i]
		note(len(x.Circuits) > 0, finding.Place{Kind: "cable", ID: x.Name, Field: "cores", Cell: cell("Cables", x.ID, "cable")}, "no circuit runs in cable "+x.Name, "name its circuits, or delete it")
	}
	for i := range j.d.Looms {
		x := &j.d.Looms[i]
		built := slices.ContainsFunc(t.Looms, func(m plan.Loom) bool { return m.Name == x.Name })
		note(built, finding.Place{Kind: "loom", ID: x.Name, Field: "legs", Cell: cell("Looms", x.ID, "loom")}, "no leg belongs to loom "+x.Name, "name it in the legs, or delete it")
	}
}
