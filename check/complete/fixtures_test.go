package complete_test

import (
	"strings"
	"testing"

	"keyon/app/build"
	"keyon/check/complete"
	"keyon/model/design"
	"keyon/model/finding"
	"keyon/model/part"
	"keyon/testkit/fixture"
)

// TestFixtures: each rule just inside and just outside. Cars are planned as a
// whole; what other families say about them is their own matter.
func TestFixtures(t *testing.T) {
	met := map[string][2]bool{} // by rule: passed, open
	fixture.Run(t, "testdata/*.txtar", func(d *design.Design, c part.Catalogue) []finding.Verdict {
		p, err := build.Run(d, part.Embedded(), nil)
		if err != nil {
			t.Fatal(err)
		}
		var out []finding.Verdict
		for _, v := range p.Verdicts {
			if strings.HasPrefix(v.Rule.ID, "complete.") {
				out = append(out, v)
				m := met[v.Rule.ID]
				m[0], m[1] = m[0] || v.OK, m[1] || !v.OK
				met[v.Rule.ID] = m
			}
		}
		return out
	})
	for _, r := range complete.Rules {
		if m := met[r.ID]; !m[1] || !m[0] && r != complete.RuleIdle {
			t.Errorf("%s: no fixture is inside and outside: %v", r.ID, m)
		}
	}
}
