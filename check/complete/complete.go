// Package complete judges whether everything is there: devices powered and
// grounded, needed pins used, nothing used twice, no end nowhere, unused
// cavities plugged.
//
// It works from design, catalogue and plan. What resolve or assign reported
// already stays silent here: one cause, one finding.
package complete

import (
	"fmt"
	"slices"
	"strings"

	"keyon/model/design"
	"keyon/model/finding"
	"keyon/model/part"
	"keyon/model/plan"
)

// Rules of the family.
var Rules = []*finding.Rule{RuleSupply, RuleGround, RulePin, RuleTwice, RuleEnd, RulePlug, RuleIdle}

// judge carries what the rules of one run share.
type judge struct {
	d    *design.Design
	c    part.Catalogue
	p    *plan.Plan
	t    *plan.Things
	used map[[2]int][]int // device, pin: ends there
	lost map[string]int   // pin: circuit ends that name it on a device there isn't, which has been reported
	out  []finding.Verdict
}

// Run judges a plan.
func Run(d *design.Design, c part.Catalogue, p *plan.Plan) []finding.Verdict {
	if len(p.Ends.Of) != len(p.Things.Circuits) {
		return nil
	}
	if len(p.Things.Devices) == 0 && len(d.Devices) > 0 {
		return nil // nothing was planned, which has been said
	}
	j := &judge{d: d, c: c, p: p, t: &p.Things, used: map[[2]int][]int{}, lost: map[string]int{}}
	for i := range p.Ends.List {
		if e := &p.Ends.List[i]; e.Device >= 0 && e.PinIndex >= 0 {
			k := [2]int{e.Device, e.PinIndex}
			j.used[k] = append(j.used[k], i)
		} else if e.Device < 0 && e.Stud < 0 && e.Row >= 0 {
			row := &d.Circuits[j.t.Circuits[e.Circuit].Rows[e.Row].Design]
			pin := row.ToPin
			if strings.HasSuffix(e.ID, "/from") {
				pin = row.FromPin
			}
			if pin.Is() {
				j.lost[pin.Value]++
			}
		}
	}
	for i := range j.t.Devices {
		if j.t.Devices[i].Part != nil {
			j.device(i)
		}
	}
	j.twice()
	j.ends()
	j.plugs()
	j.idle()
	return j.out
}

func (j *judge) add(v finding.Verdict) { j.out = append(j.out, v) }

// end is the place of an end: the pin's cell of its circuit row.
func (j *judge) end(i int) finding.Place {
	e := &j.p.Ends.List[i]
	q := &j.t.Circuits[e.Circuit]
	row := &j.d.Circuits[q.Rows[max(e.Row, 0)].Design]
	p := finding.Place{Kind: "circuit", ID: q.Name, Field: "to pin", Cell: row.ToPin.At}
	if strings.HasSuffix(e.ID, "/from") {
		p.Field, p.Cell = "from pin", row.FromPin.At
	}
	return p
}

func plural(n int, word string) string {
	if n == 1 {
		return "1 " + word
	}
	return fmt.Sprintf("%d %ss", n, word)
}

// natural sorts names without touching the caller's slice.
func sorted(names []string) []string {
	out := slices.Clone(names)
	slices.Sort(out)
	return out
}
