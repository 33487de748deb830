package buildable_test

import (
	"testing"

	"keyon/check/buildable"
	"keyon/testkit/rules"
)

// Where no splice follows another, and no figure is missing, nothing is said.
func TestFixtures(t *testing.T) {
	rules.Family(t, buildable.Rules, buildable.RuleSplice, buildable.RuleFigures)
}
