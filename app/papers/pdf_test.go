//go:build outside

package papers_test

import (
	"cmp"
	"encoding/xml"
	"fmt"
	"math"
	"os/exec"
	"slices"
	"strings"
	"testing"
)

// The reader below knows how papers are set (page frame, gaps between columns
// and rows) and nothing of what makes them: it sees the words that poppler
// finds in the file.

// word is a word on a page, mm.
type word struct {
	X0 float64 `xml:"xMin,attr"`
	Y0 float64 `xml:"yMin,attr"`
	X1 float64 `xml:"xMax,attr"`
	Y1 float64 `xml:"yMax,attr"`
	S  string  `xml:",chardata"`
}

// em is the size of the writing: the font's lines are 1.163 em high.
func (w *word) em() float64 { return (w.Y1 - w.Y0) / 1.163 }

type sheetOfPaper struct {
	W     float64 `xml:"width,attr"`
	H     float64 `xml:"height,attr"`
	Words []word  `xml:"word"`
}

// tool runs a program of the system; a missing one skips the test.
func tool(t testing.TB, name string, args ...string) string {
	t.Helper()
	if _, err := exec.LookPath(name); err != nil {
		t.Skipf("%s is not installed", name)
	}
	out, err := exec.Command(name, args...).CombinedOutput()
	if err != nil {
		t.Fatalf("%s %s: %v\n%.3000s", name, strings.Join(args, " "), err, out)
	}
	return string(out)
}

// readPDF reads the words of a file, page by page, in millimetres.
func readPDF(t testing.TB, file string) []sheetOfPaper {
	t.Helper()
	out := tool(t, "pdftotext", "-bbox", file, "-")
	var doc struct {
		Pages []sheetOfPaper `xml:"body>doc>page"`
	}
	d := xml.NewDecoder(strings.NewReader(out))
	d.Strict = false
	if err := d.Decode(&doc); err != nil {
		t.Fatalf("read %s: %v", file, err)
	}
	const mm = 25.4 / 72
	for p := range doc.Pages {
		g := &doc.Pages[p]
		g.W, g.H = g.W*mm, g.H*mm
		for i := range g.Words {
			w := &g.Words[i]
			w.X0, w.X1, w.Y0, w.Y1 = w.X0*mm, w.X1*mm, w.Y0*mm, w.Y1*mm
		}
	}
	return doc.Pages
}

// Measures of our sheets, mm.
const (
	bodyTop  = 21   // the frame ends above
	barHigh  = 8    // a banner takes that much more
	footHigh = 27.5 // title block and status line
	colGap   = 2.2  // more than the widest space within a cell, less than two paddings
)

// segment is a run of words without a wide gap.
type segment struct {
	x0, x1 float64
	text   string
}

// line is the segments on one baseline.
type line struct {
	y, em    float64
	segments []segment
}

func (l *line) text() string {
	var out []string
	for _, s := range l.segments {
		out = append(out, s.text)
	}
	return strings.Join(out, " ")
}

// lines gathers words into lines from top to bottom, tick boxes left out.
func lines(words []word) []line {
	words = slices.DeleteFunc(slices.Clone(words), func(w word) bool { return w.S == "☐" })
	base := func(w *word) float64 { return w.Y0 + 0.928*w.em() }
	slices.SortStableFunc(words, func(a, b word) int {
		return cmp.Or(cmp.Compare(math.Round(base(&a)*5), math.Round(base(&b)*5)), cmp.Compare(a.X0, b.X0))
	})
	var out []line
	for i := range words {
		w := &words[i]
		if n := len(out); n == 0 || math.Abs(out[n-1].y-base(w)) > 0.4 {
			out = append(out, line{y: base(w), em: w.em()})
		}
		l := &out[len(out)-1]
		l.segments = append(l.segments, segment{w.X0, w.X1, w.S})
	}
	for i := range out {
		l := &out[i]
		slices.SortStableFunc(l.segments, func(a, b segment) int { return cmp.Compare(a.x0, b.x0) })
		var merged []segment
		for _, s := range l.segments {
			if n := len(merged); n > 0 && s.x0-merged[n-1].x1 < colGap {
				merged[n-1].x1, merged[n-1].text = s.x1, merged[n-1].text+" "+s.text
				continue
			}
			merged = append(merged, s)
		}
		l.segments = merged
	}
	return out
}

// body is what stands within a page's frame; number and title stand above.
func (g *sheetOfPaper) body(banner bool) (number string, title string, pageOf string, body []word, foot []word) {
	top := float64(bodyTop)
	if banner {
		top += barHigh
	}
	var head []word
	for _, w := range g.Words {
		switch {
		case w.Y1 < bodyTop:
			head = append(head, w)
		case w.Y0 > g.H-footHigh:
			foot = append(foot, w)
		case w.Y0 > top-2:
			body = append(body, w)
		}
	}
	slices.SortFunc(head, func(a, b word) int { return cmp.Compare(a.X0, b.X0) })
	var words []string
	for _, w := range head {
		words = append(words, w.S)
	}
	if i := slices.Index(words, "page"); len(words) > 0 && i > 0 {
		return words[0], strings.Join(words[1:i], " "), strings.Join(words[i:], " "), body, foot
	}
	return "", "", strings.Join(words, " "), body, foot
}

// squeezed is a text without spaces, as wrapping may add or take them.
func squeezed(s string) string { return strings.Join(strings.Fields(s), "") }

// got is a row as read.
type got struct {
	group string
	cells []string // by column, without spaces
}

// find reads all rows of the table with these heads from a paper's pages.
// Heads that end with "|" are set to the right. What is not in the table is
// appended to rest.
func find(pages [][]word, heads []string, rest *[]line) []got {
	right := make([]bool, len(heads))
	names := make([]string, len(heads))
	for i, h := range heads {
		names[i], right[i] = squeezed(strings.TrimSuffix(h, "|")), strings.HasSuffix(h, "|")
	}
	var out []got
	group := ""
	for _, words := range pages {
		all := lines(words)
		var at []segment // of the heads; nil outside the table
		last, lastEm := 0.0, 0.0
		inGroup := false
		for i := range all {
			l := &all[i]
			if h := headAt(l, names); h != nil {
				at, last, lastEm, inGroup = h, 0, 0, false
				continue
			}
			if at == nil {
				*rest = append(*rest, *l)
				continue
			}
			if last == 0 && l.em < 2.6 { // units below the heads
				continue
			}
			more := last > 0 && l.y-last < 1.25*l.em*1.12 && math.Abs(l.em-lastEm) < 0.1
			cols := columnsOf(l, at, right)
			// A line of one segment begins a group, goes on with a row, or is no
			// part of the table.
			title := len(l.segments) == 1 && math.Abs(l.segments[0].x0-at[0].x0) < 0.5 && !right[0]
			if right[0] {
				title = len(l.segments) == 1 && l.segments[0].x0 < at[0].x1 && cols == nil
			}
			if l.em > 4.1 || last > 0 && l.em < 2.6 || cols == nil && !title || len(l.segments) == 1 && !title && !more {
				at, group = nil, ""
				*rest = append(*rest, *l)
				continue
			}
			last, lastEm = l.y, l.em
			if title && (!more || inGroup) {
				if !more {
					group = ""
				}
				group += squeezed(l.segments[0].text)
				inGroup = true
				continue
			}
			if !more || inGroup || len(out) == 0 {
				out = append(out, got{group: group, cells: make([]string, len(heads))})
			}
			inGroup = false
			row := &out[len(out)-1]
			for k, s := range l.segments {
				row.cells[cols[k]] += squeezed(s.text)
			}
		}
	}
	return out
}

// headAt returns where the heads stand if the line is the last one of a
// table's head.
func headAt(l *line, heads []string) []segment {
	segs := l.segments
	if n := len(segs); n > 0 && segs[n-1].text == "Done" {
		segs = segs[:n-1]
	}
	if len(segs) != len(heads) {
		return nil
	}
	for i, s := range segs {
		if t := squeezed(s.text); t == "" || !strings.HasSuffix(heads[i], t) {
			return nil
		}
	}
	return segs
}

// columnsOf finds the column of each segment of a line; nil where one fits
// none.
func columnsOf(l *line, heads []segment, right []bool) []int {
	out := make([]int, len(l.segments))
	for k, s := range l.segments {
		best := -1
		for i, h := range heads {
			if !right[i] && math.Abs(s.x0-h.x0) < 0.5 {
				best = i
			}
		}
		if best < 0 {
			for i, h := range heads {
				if right[i] && s.x1 < h.x1+0.5 && s.x1 > h.x1-12 && (best < 0 || h.x1 < heads[best].x1) {
					best = i
				}
			}
		}
		if best < 0 {
			return nil
		}
		out[k] = best
	}
	return out
}

func (g got) String() string { return fmt.Sprintf("[%s] %q", g.group, g.cells) }
