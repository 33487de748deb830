package signal_test

import (
	"testing"

	"keyon/check/signal"
	"keyon/testkit/rules"
)

func TestFixtures(t *testing.T) { rules.Family(t, signal.Rules) }
