package cli

import (
	"fmt"
	"io"
	"strings"

	"keyon/app/report"
	"keyon/model/finding"
)

// printFinding writes a finding the way a person reads it: place first, then
// what, then where the numbers come from and what to do.
func printFinding(w io.Writer, v *finding.Verdict, cell report.CellName) {
	at := ""
	if v.Place.Cell.Table != "" {
		at = " (" + cell(v.Place.Cell) + ")"
	}
	fmt.Fprintf(w, "%s%s: %s: %s: %s\n", join(v.Place.Kind, v.Place.ID, v.Place.Field), at, v.Severity(), v.Rule.Title, v.What)
	if len(v.Terms) > 0 {
		var t []string
		for _, x := range v.Terms {
			t = append(t, strings.TrimSpace(fmt.Sprintf("%s %.6g %s", x.Name, x.Value, x.Unit)))
		}
		fmt.Fprintf(w, "    from %s\n", strings.Join(t, ", "))
	}
	for _, f := range v.Fixes {
		fmt.Fprintf(w, "    fix  %s\n", f.Text)
	}
	if v.Waived != "" {
		fmt.Fprintf(w, "    accepted: %s\n", v.Waived)
	}
	fmt.Fprintf(w, "    rule %s (%s)\n", v.Rule.ID, v.Rule.Source)
}

func join(words ...string) string {
	var out []string
	for _, w := range words {
		if w != "" {
			out = append(out, w)
		}
	}
	return strings.Join(out, " ")
}

// count prints "3 stops, 1 look, 12 notes" of the open findings.
func count(vs []finding.Verdict) string {
	n := [3]int{}
	waived := 0
	for i := range vs {
		switch {
		case vs[i].Open():
			n[vs[i].Severity()]++
		case !vs[i].OK:
			waived++
		}
	}
	s := plural(n[finding.Stop], "stop") + ", " + plural(n[finding.Look], "look") + ", " + plural(n[finding.Note], "note")
	if waived > 0 {
		s += ", " + plural(waived, "accepted finding")
	}
	return s
}

func plural(n int, word string) string {
	switch {
	case n == 0:
		return "no " + word
	case n == 1:
		return "1 " + word
	case strings.HasSuffix(word, "x") || strings.HasSuffix(word, "sh"):
		return fmt.Sprintf("%d %ses", n, word)
	case strings.HasSuffix(word, "ty"):
		return fmt.Sprintf("%d %sies", n, word[:len(word)-1])
	}
	return fmt.Sprintf("%d %ss", n, word)
}
