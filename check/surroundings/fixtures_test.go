package surroundings_test

import (
	"testing"

	"keyon/check/surroundings"
	"keyon/testkit/rules"
)

func TestFixtures(t *testing.T) { rules.Family(t, surroundings.Rules) }
