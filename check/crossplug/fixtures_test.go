package crossplug_test

import (
	"testing"

	"keyon/check/crossplug"
	"keyon/testkit/rules"
)

// A loom without a twin has no hand to tell.
func TestFixtures(t *testing.T) { rules.Family(t, crossplug.Rules, crossplug.RuleHand) }
