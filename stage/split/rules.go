package split

import "keyon/model/finding"

// Rules of what this stage can't settle: there are none. A circuit that can't
// be split has been reported by route or cross.
var Rules = []*finding.Rule{}
