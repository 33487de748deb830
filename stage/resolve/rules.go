package resolve

import (
	"keyon/model/finding"
	"keyon/model/source"
)

func house(where string) source.Ref {
	return source.Ref{Kind: source.Judgement, Doc: "house-rules", Where: where}
}

// Rules of resolving names.
var (
	RuleName = &finding.Rule{ID: "resolve.name", Severity: finding.Stop, Title: "a name leads nowhere",
		Text: "A cell names a thing that no row defines. What depends on it stays open; nothing is guessed in its place.", Source: house("names")}
	RuleTwin = &finding.Rule{ID: "resolve.twin", Severity: finding.Stop, Title: "one name for two kinds of things",
		Text: "Circuits name devices, studs and feeds by one name, so no two of these may share it.", Source: house("names")}
	RuleSide = &finding.Rule{ID: "resolve.side", Severity: finding.Stop, Title: "a pin without its device",
		Text: "A circuit row names a pin but not the device it belongs to.", Source: house("names")}
	RulePosition = &finding.Rule{ID: "resolve.position", Severity: finding.Stop, Title: "a position is given in part",
		Text: "A place has some of x, y and z. A blank coordinate is not zero.", Source: house("places")}
	RuleLength = &finding.Rule{ID: "resolve.length", Severity: finding.Stop, Title: "a leg has no length",
		Text: "A leg's length is given, or follows from the positions of both its places.", Source: house("legs")}
	RuleLeg = &finding.Rule{ID: "resolve.leg", Severity: finding.Stop, Title: "a leg or join leads back to its own place",
		Text: "Its two places must differ: a leg lies between them, and each half of a join has its own.", Source: house("legs")}
	RuleLoom = &finding.Rule{ID: "resolve.loom", Severity: finding.Stop, Title: "a loom's name and its legs don't agree",
		Text: "A loom is what is left when every join is open: connected legs have one name, and legs of one name are connected. Its letter is its own.", Source: house("looms")}
	RuleConflict = &finding.Rule{ID: "resolve.conflict", Severity: finding.Stop, Title: "two rows disagree",
		Text: "Rows that describe one thing say different things about it; the first one holds.", Source: house("names")}
	RuleCores = &finding.Rule{ID: "resolve.cores", Severity: finding.Stop, Title: "more circuits than cores",
		Text: "Each circuit of a cable has a core of its own; a shield circuit has the drain.", Source: house("cables")}
	RuleLoad = &finding.Rule{ID: "resolve.load", Severity: finding.Look, Title: "a load can be read in two ways",
		Text: "A load is given once, in amps, watts or ohms, between two pins.", Source: house("loads")}
	RuleSource = &finding.Rule{ID: "resolve.source", Severity: finding.Stop, Title: "a state has no source",
		Text: "A state's source is the battery or the alternator.", Source: house("states")}
	RuleScope = &finding.Rule{ID: "resolve.scope", Severity: finding.Stop, Title: "outside the scope of 60 V DC",
		Text: "The rules and figures here hold up to 60 V DC. A car above that is not planned.", Source: house("scope")}

	Rules = []*finding.Rule{RuleName, RuleTwin, RuleSide, RulePosition, RuleLength, RuleLeg, RuleLoom, RuleConflict, RuleCores, RuleLoad, RuleSource, RuleScope}
)
