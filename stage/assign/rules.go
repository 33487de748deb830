package assign

import (
	"keyon/model/finding"
	"keyon/model/source"
)

// Rules of the stage.
var Rules = []*finding.Rule{RulePin, RuleFeed, RuleStud, RuleKept, RuleBeside}

var practice = source.Ref{Kind: source.Practice, Doc: "roles", Where: "what feeds or reads what"}

// RulePin says that a device has no pin left for an end.
var RulePin = &finding.Rule{ID: "assign.pin", Severity: finding.Stop, Title: "no free pin",
	Text:   "The device has no free pin of a role that goes with the circuit's other ends and may carry its current.",
	Source: practice}

// RuleFeed says that no feed is left for a load.
var RuleFeed = &finding.Rule{ID: "assign.feed", Severity: finding.Stop, Title: "no free feed",
	Text:   "Every feed of the table Feeds that may carry the load serves another circuit.",
	Source: source.Ref{Kind: source.Judgement, Doc: "house-rules", Where: "one circuit a feed"}}

// RuleStud says that no ground stud has room.
var RuleStud = &finding.Rule{ID: "assign.stud", Severity: finding.Stop, Title: "no free stud",
	Text:   "No ground stud that the loom reaches has room for another lug.",
	Source: source.Ref{Kind: source.Standard, Doc: "AC 43.13-1B", Where: "11-174: at most 4 terminals a stud", Status: source.Seen}}

// RuleKept says that a kept choice could not stay.
var RuleKept = &finding.Rule{ID: "assign.kept", Severity: finding.Look, Title: "a kept pin, feed or stud had to change",
	Text:   "The choice that was relied on is taken by a given one, is gone, or no longer goes with the circuit.",
	Source: source.Ref{Kind: source.Judgement, Doc: "house-rules", Where: "kept choices"}}

// RuleBeside says that a row names a feed for which it has no side left.
var RuleBeside = &finding.Rule{ID: "assign.beside", Severity: finding.Look, Title: "a feed without a side",
	Text:   "A row names a feed, but both sides of its circuit are given and neither is that feed. Nothing is connected to it.",
	Source: source.Ref{Kind: source.Judgement, Doc: "house-rules", Where: "feeds"}}
