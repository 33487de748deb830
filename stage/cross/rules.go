package cross

import (
	"keyon/model/finding"
	"keyon/model/source"
)

// Rules of what this stage can't settle.
var (
	RulePart = &finding.Rule{ID: "cross.part", Severity: finding.Stop, Title: "no connector takes what crosses a join",
		Text:   "No insert arrangement of the series has cavities for the contacts needed and the spare share.",
		Source: source.Ref{Kind: source.Standard, Doc: "MIL-STD-1560C", Where: "insert arrangements", Status: source.Seen}}
	RuleCavity = &finding.Rule{ID: "cross.cavity", Severity: finding.Stop, Title: "a crossing finds no cavity",
		Text:   "The connector has no free cavity with a contact for the circuit's current and given gauge, or the given cavity isn't there.",
		Source: source.Ref{Kind: source.Standard, Doc: "MIL-DTL-38999N", Where: "Tables IV and V", Status: source.Seen}}
	RuleKey = &finding.Rule{ID: "cross.key", Severity: finding.Look, Title: "no keying position left",
		Text:   "Equal connectors that can reach each other use up the keying positions there are.",
		Source: source.Ref{Kind: source.Practice, Doc: "house-rules", Where: "cross-plugging"}}
	RuleKept = &finding.Rule{ID: "cross.kept", Severity: finding.Look, Title: "a kept connector, cavity or key no longer holds",
		Text:   "The choice kept from an earlier plan has become impossible; a new one was worked out.",
		Source: source.Ref{Kind: source.Judgement, Doc: "house-rules", Where: "kept"}}
	Rules = []*finding.Rule{RulePart, RuleCavity, RuleKey, RuleKept}
)
