package page

import (
	"strings"
	"unicode"
)

// Missing is drawn for every character that a face lacks or that has no shape
// of its own (controls, direction marks), so that nothing vanishes.
const Missing = '\uFFFD'

// Dots ends a text that was cut.
const Dots = "…"

// LineHeight is the distance of two baselines, in em. The tallest and deepest
// Latin letters of the font need 1.17.
const LineHeight = 1.25

// baseline is the distance from the top of a line to its baseline, in em.
const baseline = 0.95

// Clean returns the text as it is drawn: line breaks and tabs as single
// spaces, everything that has no shape or no glyph in any face as Missing.
// Clean(Clean(s)) equals Clean(s).
func Clean(s string) string {
	clean := true
	for _, r := range s {
		if r < ' ' || r > '~' {
			clean = false
			break
		}
	}
	if clean {
		return s
	}
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\t':
			return ' '
		case shapeless(r), !Regular.Has(r), !Bold.Has(r), !Mono.Has(r):
			return Missing
		}
		return r
	}, strings.ReplaceAll(s, "\r\n", "\n"))
}

// shapeless tells characters that a viewer may swallow or that reorder others.
func shapeless(r rune) bool {
	return unicode.Is(unicode.Cc, r) || unicode.Is(unicode.Cf, r) || unicode.Is(unicode.Co, r) ||
		unicode.Is(unicode.Zl, r) || unicode.Is(unicode.Zp, r) || unicode.Is(unicode.Variation_Selector, r)
}

// Ellipsis cuts a text to the width, mm, and ends it with Dots where it had to.
// Where not even the dots fit it returns nothing.
func Ellipsis(f Face, size float64, s string, width float64) string {
	s = Clean(s)
	if fits(f, size, s, width) {
		return s
	}
	m := f.metrics()
	room := width/size - m.wide('…') + slack
	if room < 0 {
		return ""
	}
	end, w := 0, 0.0
	for i, r := range s {
		if w += m.wide(r); w > room {
			break
		}
		end = i + len(string(r))
	}
	return strings.TrimRight(s[:end], " ") + Dots
}

// slack forgives rounding when widths are compared, in em.
const slack = 1e-6

func fits(f Face, size float64, s string, width float64) bool {
	return Width(f, size, s) <= width+slack*size
}

// Fit makes a text fit into width mm on one line: at size where it can, else
// smaller, down to least, else cut with Dots at least. It returns the text to
// draw and its size.
func Fit(f Face, size, least float64, s string, width float64) (string, float64) {
	s = Clean(s)
	w := Width(f, size, s)
	if w <= width {
		return s, size
	}
	if shrunk := size * width / w; shrunk >= least {
		return s, shrunk
	}
	return Ellipsis(f, least, s, width), least
}

// Wrap breaks a text into lines of at most width mm. It breaks at line ends,
// spaces and after joining signs; a word longer than a line is broken where
// the line ends. There is always at least one line, and each holds at least
// one character.
func Wrap(f Face, size float64, s string, width float64) []string {
	m := f.metrics()
	room := width/size + slack
	var lines []string
	s = strings.ReplaceAll(strings.ReplaceAll(s, "\r\n", "\n"), "\r", "\n")
	for _, par := range strings.Split(s, "\n") {
		lines = wrap(lines, m, []rune(Clean(par)), room)
	}
	return lines
}

func wrap(lines []string, m *metrics, rs []rune, room float64) []string {
	start, brk, w, wBrk := 0, -1, 0.0, 0.0 // brk: the next line may start here
	cut := func(end int) {
		lines = append(lines, strings.TrimRight(string(rs[start:end]), " "))
	}
	for i := 0; i < len(rs); i++ {
		r := rs[i]
		if i > start && rs[i-1] == ' ' || breaksAfter(rs, i-1, start) {
			brk, wBrk = i, w
		}
		w += m.wide(r)
		if w <= room || r == ' ' {
			continue
		}
		if brk > start {
			cut(brk)
			start, w = brk, w-wBrk
		}
		if w > room && i > start {
			cut(i)
			start, w = i, m.wide(r)
		}
		brk = -1
	}
	cut(len(rs))
	return lines
}

// breaksAfter tells whether a line may end behind rs[i]: a joining sign that
// follows a letter or digit of the same line, so that -5 stays whole.
func breaksAfter(rs []rune, i, start int) bool {
	if i <= start || i+1 >= len(rs) || !strings.ContainsRune("-/_,;:|+–·→", rs[i]) {
		return false
	}
	return unicode.IsLetter(rs[i-1]) || (unicode.IsDigit(rs[i-1]) && !unicode.IsDigit(rs[i+1]))
}

// WrapTo is Wrap with at most most lines; the last one ends with Dots where
// text was left out.
func WrapTo(f Face, size float64, s string, width float64, most int) []string {
	lines := Wrap(f, size, s, width)
	if most < 1 || len(lines) <= most {
		return lines
	}
	lines = lines[:most]
	last := lines[most-1]
	for !fits(f, size, last+Dots, width) && last != "" {
		rs := []rune(last)
		last = string(rs[:len(rs)-1])
	}
	lines[most-1] = strings.TrimRight(last, " ") + Dots
	return lines
}

// Lines sets wrapped lines as texts under each other from the top left corner
// x, y. Height is len(lines)·LineHeight·size.
func Lines(f Face, size float64, lines []string, x, y float64, class Class) []Mark {
	var out []Mark
	for i, l := range lines {
		if l == "" {
			continue
		}
		out = append(out, Text{Class: class, At: Point{x, y + (float64(i)*LineHeight+baseline)*size}, Text: l, Face: f, Size: size})
	}
	return out
}
