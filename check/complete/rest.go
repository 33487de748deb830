package complete

import (
	"fmt"

	"keyon/model/finding"
	"keyon/model/part"
	"keyon/model/source"
)

// RuleEnd: no circuit ends nowhere.
var RuleEnd = &finding.Rule{ID: "complete.end", Severity: finding.Stop, Title: "circuit with one end",
	Text:   "A circuit joins at least two ends.",
	Source: source.Ref{Kind: source.Judgement, Doc: "house-rules", Where: "circuits"}}

// RulePlug: unused cavities of sealed connectors are closed.
var RulePlug = &finding.Rule{ID: "complete.plug", Severity: finding.Note, Title: "unused cavities to plug",
	Text:   "Each unused cavity of a sealed connector gets a sealing plug; the buying list counts them.",
	Source: source.Ref{Kind: source.Standard, Doc: "MIL-DTL-38999N", Where: "3.4.3.3", Status: source.Seen}}

// RuleIdle: what nothing uses.
var RuleIdle = &finding.Rule{ID: "complete.idle", Severity: finding.Note, Title: "nothing uses it",
	Text:   "A device, leg or stud that no circuit touches is either spare or forgotten.",
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
		if len(ends) >= 2 {
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
			j.unused(finding.Place{Kind: "device", ID: dev.Name, Field: "connector " + dev.Connectors[k].Name}, name, dev.Connectors[k].Part, taken)
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

func (j *judge) idle() {
	busy := make([]bool, len(j.t.Devices))
	studs := make([]bool, len(j.t.Studs))
	for i := range j.p.Ends.List {
		e := &j.p.Ends.List[i]
		if e.Device >= 0 {
			busy[e.Device] = true
		}
		if e.Stud >= 0 {
			studs[e.Stud] = true
		}
	}
	for i := range j.t.Devices {
		if !busy[i] && j.t.Devices[i].Part != nil {
			j.add(finding.Say(RuleIdle, finding.Place{Kind: "device", ID: j.t.Devices[i].Name, Field: "circuits", Cell: j.deviceCell(i)}, "no circuit ends at "+j.t.Devices[i].Name, "add its circuits, or delete the device"))
		}
	}
	for i := range j.t.Studs {
		if !studs[i] {
			j.add(finding.Say(RuleIdle, finding.Place{Kind: "stud", ID: j.t.Studs[i].Name, Field: "circuits"}, "no circuit ends on stud "+j.t.Studs[i].Name, "delete it, or leave it as a spare"))
		}
	}
	used := make([]bool, len(j.t.Legs))
	for i := range j.p.Wires.List {
		for _, l := range j.p.Wires.List[i].Legs {
			used[l] = true
		}
	}
	for i := range j.t.Legs {
		if !used[i] {
			j.add(finding.Say(RuleIdle, finding.Place{Kind: "leg", ID: j.t.Legs[i].Name, Field: "wires"}, "no wire runs in leg "+j.t.Legs[i].Name, "delete it, or leave it for later"))
		}
	}
}
