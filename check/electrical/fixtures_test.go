package electrical_test

import (
	"testing"

	"keyon/check/electrical"
	"keyon/testkit/rules"
)

// What reaches every load has nothing to say about a load.
func TestFixtures(t *testing.T) { rules.Family(t, electrical.Rules, electrical.RuleUnfed) }
