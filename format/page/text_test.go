package page_test

import (
	"math"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"

	"keyon/format/page"
	"keyon/format/page/sample"
)

// The trade's signs and the letters of our neighbours are in every face.
func TestFacesHaveTheSigns(t *testing.T) {
	const signs = "Ω²³±°µμ→←×–—·≤≥≈√∅⌀☐☑…−ÀÉÎÕÜßçñøØĄČĐĘŁŃŐŘŚŤŮŽαβγδΩАБВГДЖЯ½"
	for _, f := range []page.Face{page.Regular, page.Bold, page.Mono} {
		for _, r := range signs {
			if !f.Has(r) {
				t.Errorf("%v has no %q", f, r)
			}
		}
		if !f.Has(page.Missing) {
			t.Errorf("%v has no replacement sign", f)
		}
	}
	if s := page.Clean(signs); s != signs {
		t.Errorf("Clean(%q) = %q", signs, s)
	}
}

// DejaVu Sans Mono sets every letter 1233 of 2048 units wide, which is 602
// thousandths of an em (hmtx table of the font, read with a font viewer).
func TestMonoWidth(t *testing.T) {
	for _, s := range []string{"A", "i", "0", "Ω", "→"} {
		if w := page.Width(page.Mono, 10, s); math.Abs(w-6.02) > 1e-9 {
			t.Errorf("Width(mono, 10, %q) = %v, want 6.02", s, w)
		}
	}
}

func TestClean(t *testing.T) {
	for _, c := range []struct{ in, want string }{
		{"plain", "plain"},
		{"a\tb\nc\r\nd", "a b c d"},
		{"a\x00b\x7f", "a\uFFFDb\uFFFD"},
		{"\xff", "\uFFFD"},
		{"\u202eabc\u200f", "\uFFFDabc\uFFFD"},
		{"🔥日", "\uFFFD\uFFFD"},
		{"soft\u00adhyphen", "soft\uFFFDhyphen"},
		{"0.2 Ω ± 10 %", "0.2 Ω ± 10 %"},
	} {
		if got := page.Clean(c.in); got != c.want {
			t.Errorf("Clean(%q) = %q, want %q", c.in, got, c.want)
		}
	}
}

var anyText = rapid.OneOf(
	rapid.String(),
	rapid.SampledFrom(sample.Hostile),
	rapid.StringMatching(`[a-zA-Z0-9 /_,:·-]{0,60}`),
)

func TestCleanKeepsEveryCharacter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anyText.Draw(t, "s")
		got := page.Clean(s)
		if page.Clean(got) != got {
			t.Fatalf("Clean is not idempotent on %q", s)
		}
		want := utf8.RuneCountInString(strings.ReplaceAll(s, "\r\n", "\n"))
		if n := utf8.RuneCountInString(got); n != want {
			t.Fatalf("Clean(%q) has %d characters, want %d", s, n, want)
		}
	})
}

func TestWrapFillsLinesAndLosesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anyText.Draw(t, "s")
		f := page.Face(rapid.IntRange(0, 2).Draw(t, "face"))
		width := rapid.Float64Range(0.1, 120).Draw(t, "width")
		lines := page.Wrap(f, 3, s, width)
		for _, l := range lines {
			if page.Width(f, 3, l) > width+1e-3 && utf8.RuneCountInString(l) > 1 {
				t.Fatalf("line %q is %v wide, more than %v", l, page.Width(f, 3, l), width)
			}
		}
		bare := func(s string) string { return strings.ReplaceAll(s, " ", "") }
		got, want := bare(strings.Join(lines, "")), bare(page.Clean(strings.NewReplacer("\r\n", "", "\r", "", "\n", "").Replace(s)))
		if got != want {
			t.Fatalf("Wrap(%q, %v) = %q", s, width, lines)
		}
	})
}

func TestWrapBreaks(t *testing.T) {
	for _, c := range []struct {
		in    string
		width float64 // in letters of the mono face
		want  string
	}{
		{"one two three", 7, "one two|three"},
		{"one  two", 4, "one|two"},
		{"ECU-A/X2", 5, "ECU-|A/X2"},
		{"from -5 V", 6, "from|-5 V"},
		{"abcdefgh", 3, "abc|def|gh"},
		{"a\nb\n\nc", 9, "a|b||c"},
		{"", 5, ""},
	} {
		got := strings.Join(page.Wrap(page.Mono, 1, c.in, c.width*0.602), "|")
		if got != c.want {
			t.Errorf("Wrap(%q, %v letters) = %q, want %q", c.in, c.width, got, c.want)
		}
	}
}

func TestFitAndEllipsis(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anyText.Draw(t, "s")
		width := rapid.Float64Range(0, 120).Draw(t, "width")
		got, size := page.Fit(page.Bold, 4, 2.5, s, width)
		if w := page.Width(page.Bold, size, got); w > width+1e-3 {
			t.Fatalf("Fit(%q, %v) = %q, %v: %v wide", s, width, got, size, w)
		}
		if size < 2.5-1e-9 || size > 4 {
			t.Fatalf("Fit(%q, %v): size %v", s, width, size)
		}
		clean := page.Clean(s)
		if got != clean && got != "" && !(strings.HasSuffix(got, page.Dots) && strings.HasPrefix(clean, strings.TrimSuffix(got, page.Dots))) {
			t.Fatalf("Fit(%q, %v) = %q", s, width, got)
		}
	})
	if got := page.WrapTo(page.Mono, 1, "one two three four", 5*0.602, 2); strings.Join(got, "|") != "one|two…" {
		t.Errorf("WrapTo = %q", got)
	}
}
