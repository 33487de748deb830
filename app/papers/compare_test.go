//go:build outside

package papers_test

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// sameText compares a cell of the print, without spaces, with what it must say.
func sameText(want any, have string) bool {
	switch x := want.(type) {
	case number:
		v, err := strconv.ParseFloat(have, 64)
		_, decimals, _ := strings.Cut(have, ".")
		return err == nil && len(decimals) <= x.places && math.Abs(v-x.v) <= 0.5*math.Pow10(-x.places)*1.0001+1e-9
	case anyOrder:
		return slices.Equal(slices.Sorted(slices.Values(strings.Split(have, ","))), sortedSqueezed(x))
	case oneOf:
		return slices.Contains(x, have)
	case settingOf:
		return strings.TrimSuffix(have, "(check)") == squeezed(show(dashed(x)))
	}
	return have == squeezed(show(want))
}

func sortedSqueezed(list []string) []string {
	var out []string
	for _, s := range strings.Split(strings.Join(list, ","), ",") {
		out = append(out, squeezed(s))
	}
	slices.Sort(out)
	return out
}

// sameCell compares a cell of the workbook with what it must hold.
func sameCell(want any, have any) bool {
	switch x := want.(type) {
	case number:
		v, ok := have.(float64)
		return ok && math.Abs(v-x.v) <= 0.5*math.Pow10(-x.places)*1.0001+1e-9
	case nil:
		return have == nil || have == ""
	case anyOrder:
		s, ok := have.(string)
		return ok && sameText(x, squeezed(s))
	case oneOf:
		s, _ := have.(string)
		return slices.Contains(x, squeezed(s))
	case settingOf:
		s, _ := have.(string)
		return strings.TrimSuffix(s, " (check)") == string(x)
	case dashed:
		if have == nil {
			have = ""
		}
		return have == string(x)
	case string:
		if have == nil {
			have = ""
		}
		return have == x || x == "–" && have == "–"
	}
	return false
}

// printed compares the rows read from a paper with what it must show.
func (w want) printed(t *testing.T, where string, rows []got) {
	t.Helper()
	used := make([]bool, len(rows))
	bad := 0
	for _, r := range w.rows {
		i := 0
		for ; i < len(rows); i++ {
			if !used[i] && w.fits(r, rows[i]) {
				break
			}
		}
		if i == len(rows) {
			if bad++; bad <= 4 {
				t.Errorf("%s: not printed: [%s] %s%s", where, r.group, cells(r.cells), nearest(rows, r))
			}
			continue
		}
		used[i] = true
	}
	for i, r := range rows {
		if !used[i] {
			if bad++; bad <= 6 {
				t.Errorf("%s: printed without need: %v", where, r)
			}
		}
	}
	if bad > 6 {
		t.Errorf("%s: %d rows differ", where, bad)
	}
}

func (w want) fits(r wantRow, g got) bool {
	group := g.group
	if strings.HasPrefix(group, "Reel") { // reels are counted as they come
		_, group, _ = strings.Cut(group, ":")
	}
	if group != squeezed(r.group) {
		return false
	}
	for k, c := range r.cells {
		if !sameText(c, g.cells[k]) {
			return false
		}
	}
	return true
}

func cells(list []any) string {
	var out []string
	for _, c := range list {
		if a, ok := c.(anyOrder); ok {
			c = strings.Join(a, ", ")
		}
		if s, ok := c.(settingOf); ok {
			c = string(s)
		}
		if s, ok := c.(oneOf); ok {
			c = strings.Join(s, " or ")
		}
		out = append(out, show(c))
	}
	return fmt.Sprintf("%q", out)
}

// nearest helps to see what differs: the row with most cells the same.
func nearest(rows []got, r wantRow) string {
	best, most := "", 0
	for _, g := range rows {
		n := 0
		for k, c := range r.cells {
			if sameText(c, g.cells[k]) && g.cells[k] != "" {
				n++
			}
		}
		if n > most {
			best, most = "\n\tnearest: "+g.String(), n
		}
	}
	return best
}

// booked compares a tab of the workbook with what it must hold.
func (w want) booked(t *testing.T, where string, book map[string][][]any) {
	t.Helper()
	tab := book[w.tab]
	if len(w.rows) == 0 && tab == nil {
		return
	}
	if tab == nil {
		t.Errorf("%s: the workbook has no tab %q", where, w.tab)
		return
	}
	var heads []any
	if w.group != "" {
		heads = append(heads, w.group)
	}
	for i, h := range w.heads {
		h = strings.TrimSuffix(h, "|")
		if w.units[i] != "" {
			h += " (" + w.units[i] + ")"
		}
		heads = append(heads, h)
	}
	for i, h := range heads {
		if i >= len(tab[0]) || tab[0][i] != h {
			t.Errorf("%s, tab %s: heads %v, want %v", where, w.tab, tab[0], heads)
			return
		}
	}
	rows := slices.Clone(tab[1:])
	for _, r := range w.rows {
		i := slices.IndexFunc(rows, func(have []any) bool {
			if w.group != "" {
				g, _ := have[0].(string)
				if strings.HasPrefix(g, "Reel ") {
					_, g, _ = strings.Cut(g, ": ")
				}
				if want := r.group; r.book != "" && g != r.book || r.book == "" && g != want {
					return false
				}
				have = have[1:]
			}
			for k, c := range r.cells {
				if k >= len(have) && c != nil || k < len(have) && !sameCell(c, have[k]) {
					return false
				}
			}
			return true
		})
		if i < 0 {
			t.Errorf("%s, tab %s: no row [%s] %s", where, w.tab, r.group, cells(r.cells))
			continue
		}
		rows = slices.Delete(rows, i, i+1)
	}
	for _, r := range rows {
		t.Errorf("%s, tab %s: a row without need: %v", where, w.tab, r)
	}
}

// readBook reads a workbook with a reader that is not ours; a formula in any
// cell is an error.
func readBook(t *testing.T, file string) map[string][][]any {
	t.Helper()
	python := ""
	for _, p := range []string{"/usr/bin/python3", "python3"} {
		if exec.Command(p, "-c", "import openpyxl").Run() == nil {
			python = p
			break
		}
	}
	if python == "" {
		t.Skip("python3-openpyxl is not installed")
	}
	out := tool(t, python, "-c", `
import sys, json, openpyxl
book = openpyxl.load_workbook(sys.argv[1])
for s in book:
    for r in s.iter_rows():
        for c in r:
            if c.data_type == "f": sys.exit("%s %s is a formula" % (s.title, c.coordinate))
json.dump({s.title: [list(r) for r in s.iter_rows(values_only=True)] for s in book}, sys.stdout)
`, file)
	var book map[string][][]any
	if err := json.Unmarshal([]byte(out), &book); err != nil {
		t.Fatal(err)
	}
	return book
}

// paperPages is a paper as read: its number, title and pages.
type paperPages struct {
	number, title string
	pages         [][]word
	first         int     // sheet of the pack
	middle        float64 // between two columns, mm
}

// papersOf parts a pack into papers by the numbers on its pages, and checks
// what stands in each frame.
func papersOf(t *testing.T, sheets []sheetOfPaper, banner bool, frame []string) []paperPages {
	t.Helper()
	var out []paperPages
	for i := range sheets {
		number, title, _, body, foot := sheets[i].body(banner)
		if n := len(out); n == 0 || out[n-1].number != number {
			out = append(out, paperPages{number: number, title: title, first: i + 1, middle: 17 + (sheets[i].W-27)/2 + 2})
		}
		x := &out[len(out)-1]
		x.pages = append(x.pages, body)
		var said []string
		for _, l := range lines(foot) {
			for _, s := range l.segments {
				said = append(said, s.text)
			}
		}
		for _, want := range append([]string{fmt.Sprintf("%d / %d", i+1, len(sheets))}, frame...) {
			if !slices.Contains(said, want) {
				t.Errorf("sheet %d: the title block lacks %q: %q", i+1, want, said)
			}
		}
		low := 0.0
		for _, w := range body {
			low = max(low, w.Y1)
		}
		if share := (low - bodyTop) / (sheets[i].H - footHigh - bodyTop); share < 0.2 && !strings.Contains(number, ".") {
			t.Errorf("sheet %d, %s %s: only %.0f %% of the page is used", i+1, number, title, 100*share)
		}
	}
	n := 0
	for _, x := range out {
		for k := range x.pages {
			_, _, pageOf, _, _ := sheets[n].body(banner)
			if want := fmt.Sprintf("page %d of %d", k+1, len(x.pages)); pageOf != want {
				t.Errorf("%s: %q, want %q", x.number, pageOf, want)
			}
			n++
		}
	}
	return out
}

func writeFile(t *testing.T, name string, data []byte) string {
	t.Helper()
	file := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(file, data, 0o644); err != nil {
		t.Fatal(err)
	}
	return file
}
