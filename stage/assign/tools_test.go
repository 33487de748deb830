package assign_test

import (
	"keyon/model/finding"
	"keyon/model/part"
	"keyon/num/quantity"
	"keyon/testkit/fixture"
)

type verdict = finding.Verdict

func said(vs []verdict) (out []string) {
	for _, v := range vs {
		out = append(out, v.Rule.ID+": "+v.What)
	}
	return out
}

// limit sets what a bank of a fixture's own part may give.
func limit(c fixture.Case, id part.ID, bank string, most float64) {
	d := *c.Catalogue.Devices[id]
	d.GroupAmps = map[string]quantity.Ampere{bank: quantity.Ampere(most)}
	c.Catalogue.Devices[id] = &d
}
