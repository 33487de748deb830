// Package rules runs the fixtures of a family of rules over the whole pipeline
// and holds each rule to a case just inside and one just outside its limit.
//
// What other families say about a fixture's car is their own matter.
package rules

import (
	"strings"
	"testing"

	"keyon/app/build"
	"keyon/model/design"
	"keyon/model/finding"
	"keyon/model/part"
	"keyon/testkit/fixture"
)

// Met is how a rule was met by fixtures.
type Met struct{ Passed, Open bool }

// Family compares what the rules say about testdata/*.txtar of the calling
// package with what the fixtures want, and fails for a rule that no fixture
// meets both ways. Rules in silent say nothing where all is well.
func Family(t *testing.T, rules []*finding.Rule, silent ...*finding.Rule) {
	t.Helper()
	family, _, _ := strings.Cut(rules[0].ID, ".")
	met := map[string]Met{}
	fixture.Run(t, "testdata/*.txtar", func(d *design.Design, _ part.Catalogue) []finding.Verdict {
		p, err := build.Run(d, part.Embedded(), nil)
		if err != nil {
			t.Fatal(err)
		}
		var out []finding.Verdict
		for _, v := range p.Verdicts {
			if name, _, _ := strings.Cut(v.Rule.ID, "."); name == family {
				out = append(out, v)
				m := met[v.Rule.ID]
				met[v.Rule.ID] = Met{m.Passed || v.OK, m.Open || !v.OK}
			}
		}
		return out
	})
	for _, r := range rules {
		quiet := false
		for _, s := range silent {
			quiet = quiet || r == s
		}
		if m := met[r.ID]; !m.Open || !m.Passed && !quiet {
			t.Errorf("%s: no fixture is inside and outside: %+v", r.ID, m)
		}
	}
}
