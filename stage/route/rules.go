package route

import (
	"keyon/model/finding"
	"keyon/model/source"
)

// Rules of what this stage can't settle.
var (
	RuleWay = &finding.Rule{ID: "route.way", Severity: finding.Stop, Title: "no way between the ends of a circuit",
		Text:   "The legs and joins that the circuit's class may use don't connect all of its ends.",
		Source: source.Ref{Kind: source.Judgement, Doc: "house-rules", Where: "routes"}}
	RuleCavities = &finding.Rule{ID: "route.cavities", Severity: finding.Stop, Title: "more circuits than a join has cavities for",
		Text:   "What must cross there, and has no other way, takes more contacts than the given connector has.",
		Source: source.Ref{Kind: source.Judgement, Doc: "house-rules", Where: "joins"}}
	RulePoints = &finding.Rule{ID: "route.points", Severity: finding.Stop, Title: "no place where wires of a circuit may join",
		Text:   "A circuit of three or more ends needs a splice, a stud or a contact that takes two wires. Wires of low-level, thermocouple, coax, ignition, injection, heavy and extinguisher circuits are not spliced unless a splice is given.",
		Source: source.Ref{Kind: source.Practice, Doc: "house-rules", Where: "splices"}}
	RuleGiven = &finding.Rule{ID: "route.given", Severity: finding.Stop, Title: "a given leg or splice can't be used",
		Text:   "A row of Routes or Splices names a leg that there is not, or a place off every way of its circuit.",
		Source: source.Ref{Kind: source.Judgement, Doc: "house-rules", Where: "routes"}}
	RuleKept = &finding.Rule{ID: "route.kept", Severity: finding.Look, Title: "a kept way no longer holds",
		Text:   "The way kept from an earlier plan has become impossible; a new one was worked out.",
		Source: source.Ref{Kind: source.Judgement, Doc: "house-rules", Where: "kept"}}
	Rules = []*finding.Rule{RuleWay, RuleCavities, RulePoints, RuleGiven, RuleKept}
)
