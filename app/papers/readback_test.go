//go:build outside

package papers_test

import (
	"cmp"
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"keyon/app/open"
	"keyon/app/papers"
	"keyon/examples"
	"keyon/model/plan"
)

// TestReadBack writes the papers of cars and reads every one of them back with
// programs that are not ours: poppler for the print, openpyxl for the
// workbook, zbar for the codes. Each table must hold the rows that follow from
// `plan --json`, the car's tables and the catalogue, and no other; each number
// outside the tables must be one that is known to stand there.
func TestReadBack(t *testing.T) {
	for _, name := range examples.Names() {
		t.Run(name, func(t *testing.T) {
			car, p := example(t, name)
			readBack(t, car, p, papers.Options{Date: "2027-03-01"})
		})
	}
	t.Run("stopped", func(t *testing.T) {
		car, p := stopped(t)
		readBack(t, car, p, papers.Options{Date: "2027-03-01", Paper: "letter"})
	})
	for _, seed := range []uint64{1, 2, 3, 7} {
		t.Run(fmt.Sprint("made car ", seed), func(t *testing.T) {
			car, p := generated(t, seed)
			readBack(t, car, p, papers.Options{Date: "2027-03-01"})
		})
	}
}

func readBack(t *testing.T, car *open.Car, p *plan.Plan, opts papers.Options) {
	opts.Dir = filepath.Join(t.TempDir(), "papers")
	files, err := papers.Write(car, p, opts)
	if err != nil {
		t.Fatal(err)
	}
	o := newOracle(t, car, p)
	s := o.stock()
	pdfs := slices.DeleteFunc(slices.Clone(files), func(f string) bool { return filepath.Ext(f) != ".pdf" })
	looms := 0
	if total := len(o.p.Looms); total == 0 {
		t.Fatal("the car has no loom")
	}
	for i := range o.p.Looms { // the plan's order is that of the files
		loom := &o.p.Looms[i]
		if loom.Wires == 0 {
			continue
		}
		file := pdfs[looms]
		looms++
		base := strings.TrimSuffix(file, ".pdf")
		c := &packCheck{t: t, o: o, loom: loom.Name, where: loom.Name, book: readBook(t, base+".xlsx")}
		sound(t, file)
		sheets := readPDF(t, file)
		banner := o.open(loom.Name, "stop") > 0
		release := cmp.Or(loom.Release, "draft")
		c.papers = papersOf(t, sheets, banner, []string{o.p.Car, loom.Name, release, o.unit() + ", " + o.sizeUnit(), "2027-03-01"})
		c.cover(banner)
		c.tables(s)
		c.pinSheets()
		c.labelFile(base + "-labels.csv")
	}
	if looms+1 == len(pdfs) {
		sound(t, pdfs[looms])
		c := &packCheck{t: t, o: o, where: "tuner", book: readBook(t, strings.TrimSuffix(pdfs[looms], ".pdf")+".xlsx")}
		c.papers = papersOf(t, readPDF(t, pdfs[looms]), false, []string{o.p.Car, "2027-03-01"})
		c.tuner()
	} else {
		t.Errorf("%d PDF files for %d looms and a tuner", len(pdfs), looms)
	}
}

// sound: the file's structure is in order.
func sound(t *testing.T, file string) {
	t.Helper()
	if out := tool(t, "qpdf", "--check", file); !strings.Contains(out, "No syntax or stream encoding errors") {
		t.Errorf("qpdf --check %s: %s", file, out)
	}
	tool(t, "pdfinfo", file)
}

// open counts the open findings of a loom from a severity up.
func (o *oracle) open(loom, severity string) int {
	n := 0
	for _, f := range o.findings {
		here := len(f.Looms) == 0 || slices.Contains(f.Looms, loom)
		if !f.OK && f.Waived == "" && here && (f.Severity == "stop" || f.Severity == severity) {
			n++
		}
	}
	return n
}

// packCheck compares one pack.
type packCheck struct {
	t      *testing.T
	o      *oracle
	loom   string
	where  string
	book   map[string][][]any
	papers []paperPages
}

func (c *packCheck) paper(title string) *paperPages {
	for i := range c.papers {
		if slices.Contains(strings.Split(c.papers[i].title, " · "), title) {
			return &c.papers[i]
		}
	}
	return &paperPages{}
}

// table compares a table in print and workbook; what else stands on the pages
// comes back.
func (c *packCheck) table(title string, w want) []line {
	c.t.Helper()
	var rest []line
	w.printed(c.t, c.where+", "+title, find(c.paper(title).pages, w.heads, &rest))
	w.booked(c.t, c.where, c.book)
	return rest
}

// tables compares all papers but pin sheets and cover.
func (c *packCheck) tables(s *shelf) {
	o := c.o
	c.numbers("Buying list", c.table("Buying list", o.buying(c.loom, s)), "15", "5", "10", "1", "2", "26", "38999", "3.4.3.3", "3", "4")
	c.numbers("Tool sheet", c.table("Tool sheet", o.tools(c.loom)))
	twists := o.twists(c.loom)
	cut := c.table("Cut list", o.cutList(c.loom))
	known := []string{}
	if len(twists.rows) > 0 {
		c.table("Cut list", twists)
		for _, r := range twists.rows {
			for _, x := range r.cells {
				known = append(known, figure.FindAllString(cells([]any{x}), -1)...)
			}
		}
	}
	said := ""
	for _, l := range cut {
		said += squeezed(l.text())
	}
	for _, w := range o.ofLoom(c.loom) {
		if w.Cable == "" && (w.CutMM == 0 || w.AreaMM2 == 0) {
			known = append(known, figure.FindAllString(w.Number+" "+w.Circuit, -1)...)
			if !strings.Contains(said, squeezed(w.Number+" "+w.Circuit)) {
				c.t.Errorf("%s, Cut list: %s is open and not said to be", c.where, w.Number)
			}
		}
	}
	c.numbers("Cut list", cut, known...)
	c.reels()
	labels := c.table("Label sheet", o.labels(c.loom))
	c.plugLabels(labels)
	c.numbers("Thread-on list", c.table("Thread-on list", o.threads(c.loom)))
	run := c.breakout()
	c.table("Splices, studs and grounds", o.splices(c.loom, run))
	grounds, posts := o.posts(c.loom, true), o.posts(c.loom, false)
	grounds.booked(c.t, c.where, c.book)
	posts.booked(c.t, c.where, c.book)
	grounds.rows = append(grounds.rows, posts.rows...)
	var rest []line
	grounds.printed(c.t, c.where+", lugs", find(c.paper("Splices, studs and grounds").pages, grounds.heads, &rest))
	c.table("Feeds and loads", o.feeds(c.loom))
	c.table("Feeds and loads", o.loads(c.loom))
	c.numbers("Circuit traces", c.table("Circuit traces", o.traces(c.loom)))
	c.ringOut()
}

var figure = regexp.MustCompile(`\d+(\.\d+)*`)

// numbers: outside the tables only these stand on a paper.
func (c *packCheck) numbers(title string, rest []line, known ...string) {
	c.t.Helper()
	if c.paper(title).title != title { // the rest is another paper's
		return
	}
	for _, l := range rest {
		for _, n := range figure.FindAllString(l.text(), -1) {
			if !slices.Contains(known, n) {
				c.t.Errorf("%s, %s: %q is not known in %q", c.where, title, n, l.text())
			}
		}
	}
}

// reels: within a reel the longest wire comes first.
func (c *packCheck) reels() {
	var rest []line
	w := c.o.cutList(c.loom)
	group, last := "", math.Inf(1)
	for _, r := range find(c.paper("Cut list").pages, w.heads, &rest) {
		cut, _ := strconv.ParseFloat(r.cells[1], 64)
		if r.group == group && cut > last {
			c.t.Errorf("%s, cut list: %s is longer than the wire before it", c.where, r.cells[0])
		}
		group, last = r.group, cut
	}
}

// plugLabels: each connector has a label to cut out, with a code a camera
// reads.
func (c *packCheck) plugLabels(rest []line) {
	var said []string
	after := false
	for _, l := range rest {
		if strings.HasPrefix(l.text(), "Connector labels") {
			after = true
			continue
		}
		after = after && l.text() != "Breakout list"
		if after {
			for _, s := range l.segments {
				said = append(said, s.text)
			}
		}
	}
	slices.Sort(said)
	if want := keys(c.o.sockets(c.loom)); !slices.Equal(said, want) {
		c.t.Errorf("%s: labels to cut out %q, want %q", c.where, said, want)
	}
}

// labelFile is what a label printer takes.
func (c *packCheck) labelFile(file string) {
	data, err := os.ReadFile(file)
	if err != nil {
		c.t.Fatal(err)
	}
	rows, err := csv.NewReader(strings.NewReader(string(data))).ReadAll()
	if err != nil {
		c.t.Fatal(err)
	}
	var have, need []string
	for _, r := range rows[1:] {
		for i := range r {
			r[i] = strings.TrimPrefix(r[i], "'")
		}
		have = append(have, strings.Join(r, "|"))
	}
	for _, r := range c.o.labels(c.loom).rows {
		code := ""
		if r.cells[1] == "connector label" {
			code = "keyon plug " + r.cells[0].(string)
		}
		need = append(need, strings.Join([]string{show(r.cells[0]), show(r.cells[1]), show(r.cells[2]), show(r.cells[3]), code}, "|"))
	}
	slices.Sort(have)
	slices.Sort(need)
	if !slices.Equal(have, need) {
		c.t.Errorf("%s: %s differs: %d rows, want %d", c.where, file, len(have), len(need))
	}
}

// breakout walks the printed tree: each leg once, its length, the running
// dimension, its cross-section; and the drawing's figures. It returns the
// running dimensions, mm.
func (c *packCheck) breakout() map[string]float64 {
	o, title := c.o, "Breakout list"
	heads := []string{"Place", "On leg from", "Leg|", "From datum|", "Wires|", "Diameter|", "Covering", "Finish"}
	var rest []line
	rows := find(c.paper(title).pages, heads, &rest)
	datum, map1 := "", map[string]string{}
	for _, l := range rest {
		if l.text() == "Legs" { // below the drawing
			break
		}
		if s, ok := strings.CutPrefix(l.text(), "Datum: "); ok {
			datum, _, _ = strings.Cut(s, ". Lay the tape")
		}
		if datum != "" && len(l.segments) == 2 && l.segments[1].x1 > 150 {
			map1[squeezed(l.segments[0].text)] = l.segments[1].text
		}
	}
	c.table(title, c.places())
	filled := map[string]int{}
	for _, s := range o.sockets(c.loom) {
		filled[s.where] += len(s.ends)
	}
	for place, n := range filled {
		if n > filled[datum] {
			c.t.Errorf("%s: the datum is %q, more wires end at %s", c.where, datum, place)
		}
	}
	run := map[string]float64{squeezed(datum): 0}
	seen := map[string]bool{}
	tab := c.book["Breakouts"]
	for n, r := range rows {
		leg := o.leg2(c.loom, r.cells[1], r.cells[0])
		if leg == nil || seen[leg.Name] {
			c.t.Errorf("%s, %s: no such leg, or twice: %v", c.where, title, r)
			continue
		}
		seen[leg.Name] = true
		cells := []any{number{math.NaN(), 0}, number{math.NaN(), 0}}
		from, known := run[r.cells[1]]
		if r.cells[3] == "–" { // it closes a loop
			cells = []any{o.length(leg.LengthMM), "–"}
		} else if !known {
			c.t.Errorf("%s, %s: %v hangs on a place that comes later", c.where, title, r)
		} else {
			run[r.cells[0]] = from + leg.LengthMM
			cells = []any{o.length(leg.LengthMM), o.length(from + leg.LengthMM)}
		}
		cells = append(cells, number{float64(len(leg.Wires)), 0}, o.lengthOrBlank(leg.CoveredMM), dashed(leg.Sleeve), leg.Finish)
		for k, x := range cells {
			if !sameText(x, r.cells[k+2]) {
				c.t.Errorf("%s, %s: %v: %s is %q, want %s", c.where, title, r, heads[k+2], r.cells[k+2], show(x))
			}
			if n+1 < len(tab) && r.cells[3] != "–" && !sameCell(x, tab[n+1][k+2]) {
				c.t.Errorf("%s, tab Breakouts: row %d, %s is %v, want %s", c.where, n+2, heads[k+2], tab[n+1][k+2], show(x))
			}
		}
	}
	for _, l := range o.p.Legs {
		if l.Loom == c.loom && !seen[l.Name] {
			c.t.Errorf("%s, %s: leg %s is missing", c.where, title, l.Name)
		}
	}
	out := map[string]float64{}
	places := map[string]bool{}
	for _, l := range o.p.Legs {
		places[l.From], places[l.To] = true, true
	}
	for place := range places {
		mm, ok := run[squeezed(place)]
		if !ok {
			continue
		}
		out[place] = mm
		want := o.lengthText(mm)
		if place == datum {
			want = "datum"
		}
		if have := map1[squeezed(place)]; have != want {
			c.t.Errorf("%s, %s: the drawing says %q at %s, want %q", c.where, title, have, place, want)
		}
	}
	if len(map1) != len(run) {
		c.t.Errorf("%s, %s: the drawing has %d places, want %d", c.where, title, len(map1), len(run))
	}
	return out
}

// places: what ends or joins at each place of the loom.
func (c *packCheck) places() want {
	o := c.o
	at := map[string]anyOrder{}
	for _, s := range o.sockets(c.loom) {
		at[s.where] = append(at[s.where], s.name)
	}
	for _, s := range o.p.Splices {
		if s.Loom == c.loom {
			at[s.Place] = append(at[s.Place], "splice "+s.Circuit)
		}
	}
	for _, ground := range []bool{true, false} {
		seen := map[string]bool{}
		for _, r := range o.posts(c.loom, ground).rows {
			name, rest, _ := strings.Cut(r.group, ", at ")
			name, _, _ = strings.Cut(name, ", ")
			place, _, _ := strings.Cut(rest, ", ")
			if !seen[name] {
				at[place] = append(at[place], name)
			}
			seen[name] = true
		}
	}
	out := want{tab: "Places", heads: []string{"Place", "What ends or joins here"}, units: make([]string, 2)}
	for _, place := range keys(at) {
		out.rows = append(out.rows, wantRow{"", "", []any{place, at[place]}})
	}
	return out
}

// leg2 is a loom's leg between two places, as printed without spaces.
func (o *oracle) leg2(loom, a, b string) (found *legOf) {
	for i := range o.p.Legs {
		l := &o.p.Legs[i]
		x, y := squeezed(l.From), squeezed(l.To)
		if l.Loom == loom && (x == a && y == b || x == b && y == a) {
			return l
		}
	}
	return nil
}

// ringOut: every path, and each row of the workbook as in print.
func (c *packCheck) ringOut() {
	heads := []string{"Circuit", "From", "To", "Over wires", "Method", "Should read", "Reads"}
	var rest []line
	var rows [][]string
	for _, r := range find(c.paper("Ring-out sheet").pages, heads, &rest) {
		rows = append(rows, r.cells)
	}
	c.o.passes(c.t, c.loom, rows)
	c.numbers("Ring-out sheet", rest, "0.1", "21", "12", "1.75", "1", "20")
	tab := c.book["Ring-out"]
	if len(tab) != len(rows)+1 && len(rows) > 0 {
		c.t.Errorf("%s: %d rows of ring-out in the workbook, %d in print", c.where, len(tab)-1, len(rows))
		return
	}
	for n, r := range rows {
		for k := range 6 {
			if s, _ := tab[n+1][k].(string); squeezed(s) != r[k] {
				c.t.Errorf("%s: ring-out row %d: workbook %q, print %q", c.where, n+1, s, r[k])
			}
		}
	}
}
