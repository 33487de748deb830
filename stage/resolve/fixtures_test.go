package resolve

import (
	"testing"

	"keyon/model/design"
	"keyon/model/finding"
	"keyon/model/part"
	"keyon/testkit/fixture"
)

// TestFixtures: what the stage reports, and at which row.
func TestFixtures(t *testing.T) {
	fixture.Run(t, "testdata/*.txtar", func(d *design.Design, c part.Catalogue) []finding.Verdict {
		_, vs := Run(d, c)
		return vs
	})
}
