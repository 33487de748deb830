//go:build outside

package papers_test

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"keyon/app/report"
	"keyon/model/part"
)

type legOf = report.Leg

// pin is the catalogue's pin of an end of a circuit.
func (o *oracle) pin(e *report.End) *part.Pin {
	pins := o.pins(e.Device)
	i := slices.IndexFunc(pins, func(q part.Pin) bool { return q.Name == e.Pin })
	if e.Device == "" || i < 0 {
		return nil
	}
	return &pins[i]
}

// oneOf is a text that may read one of several ways.
type oneOf []string

// pinSheets compares each connector's page.
func (c *packCheck) pinSheets() {
	sockets := c.o.sockets(c.loom)
	sheets := 0
	positions := published(c.t)
	var booked want
	var fitted want
	ring := c.shouldRead()
	for i := range c.papers {
		p := &c.papers[i]
		if !strings.Contains(p.number, ".") {
			continue
		}
		sheets++
		s := sockets[p.title]
		if s == nil {
			c.t.Errorf("%s: a pin sheet for %q, which has no wires", c.where, p.title)
			continue
		}
		where := c.where + ", " + p.title
		w := c.pinTable(s, ring)
		var rest []line
		rows := find(p.pages, w.heads, &rest)
		w.printed(c.t, where, rows)
		on := 0 // pages with cavities on them
		for _, words := range p.pages {
			if all := lines(words); slices.ContainsFunc(all, func(l line) bool { return headAt(&l, pinHeads) != nil }) {
				on++
			}
		}
		if on > 1 && len(rows) <= 24 {
			c.t.Errorf("%s: %d cavities are parted over %d pages", where, len(rows), on)
		}
		booked.heads, booked.units, booked.tab, booked.group = w.heads, w.units, w.tab, w.group
		for _, r := range w.rows {
			booked.rows = append(booked.rows, wantRow{book: s.name, cells: r.cells})
		}
		f := c.fitTable(s)
		rest = nil
		f.printed(c.t, where, find(p.pages, f.heads, &rest))
		fitted.heads, fitted.units, fitted.tab, fitted.group = f.heads, f.units, f.tab, f.group
		for _, r := range f.rows {
			fitted.rows = append(fitted.rows, wantRow{book: s.name, cells: r.cells})
		}
		c.facing(where, s, p, positions)
		c.aside(where, s, p)
	}
	if sheets != len(sockets) {
		c.t.Errorf("%s: %d pin sheets for %d connectors", c.where, sheets, len(sockets))
	}
	if sheets > 0 {
		booked.booked(c.t, c.where, c.book)
		fitted.booked(c.t, c.where, c.book)
	}
}

// shouldRead lists, by end, what the ring-out sheet says of it.
func (c *packCheck) shouldRead() map[string]oneOf {
	out := map[string]oneOf{}
	var rest []line
	for _, r := range find(c.paper("Ring-out sheet").pages, []string{"Circuit", "From", "To", "Over wires", "Method", "Should read", "Reads"}, &rest) {
		if !strings.Contains(r.cells[3], ",") { // over one wire: to its far end
			out[r.cells[1]] = append(out[r.cells[1]], r.cells[5])
			out[r.cells[2]] = append(out[r.cells[2]], r.cells[5])
			continue
		}
		out[r.cells[1]] = append(out[r.cells[1]], r.cells[5]+"to"+r.cells[2])
		out[r.cells[2]] = append(out[r.cells[2]], r.cells[5]+"to"+r.cells[1])
	}
	return out
}

func (c *packCheck) pinTable(s *socket, ring map[string]oneOf) want {
	o := c.o
	out := want{tab: "Pins", group: "Connector", heads: []string{"Cavity", "Pin", "Wire", "Circuit", "Colour", "Size", "Far end", "Should read"}, units: []string{"", "", "", "", "", o.sizeUnit(), "", ""}}
	for _, cavity := range keys(s.ends) {
		for _, e := range s.ends[cavity] {
			var reads any = ring[squeezed(e.name)]
			if i := slices.IndexFunc(o.pins(e.at.Device), func(q part.Pin) bool { return q.Name == e.at.Pin }); i >= 0 && o.pins(e.at.Device)[i].Reads != "" {
				reads = o.pins(e.at.Device)[i].Reads
			}
			far := e.far().name
			if k := e.far().at.Kind; k == "splice" || k == "cavity" {
				switch then := o.beyond(e); {
				case len(then) > 2:
					far += fmt.Sprintf(", then %d ends", len(then))
				case len(then) > 0:
					slices.Sort(then)
					a := far + ", then " + strings.Join(then, ", ")
					slices.Reverse(then)
					out.rows = append(out.rows, wantRow{"", "", []any{cavity, e.at.Pin, e.w.Number, e.w.Circuit, dashed(e.w.Colour), o.size(e.w), oneOf{squeezed(a), squeezed(far + ", then " + strings.Join(then, ", "))}, reads}})
					continue
				}
			}
			out.rows = append(out.rows, wantRow{"", "", []any{cavity, e.at.Pin, e.w.Number, e.w.Circuit, dashed(e.w.Colour), o.size(e.w), far, reads}})
		}
	}
	return out
}

func (c *packCheck) fitTable(s *socket) want {
	o := c.o
	out := want{tab: "Fit", group: "Connector", heads: []string{"Part", "Count|", "Crimp tool, positioner, setting", "Strip", "Insert, extract"}, units: []string{"", "", "", o.unit(), ""}}
	contacts, seals, plugs, bare, open, _ := o.fits(s)
	row := func(what string, n int, id string) {
		if n > 0 {
			tool, strip, insert := o.tooling(id)
			out.rows = append(out.rows, wantRow{"", "", []any{what, number{float64(n), 0}, dashed(tool), dashed(strip), dashed(insert)}})
		}
	}
	for id, n := range contacts {
		row(id, n, id)
	}
	for id, n := range seals {
		row(id+", seal", n, "")
	}
	for id, n := range plugs {
		row(id+", plug", n, "")
	}
	row("contact not in the catalogue", bare, "")
	row("plug not in the catalogue", open, "")
	return out
}

// published are the positions of MIL-STD-1560C as the shared tables have
// them, by arrangement and contact; none where they are not at hand.
func published(t *testing.T) map[string]map[string][2]float64 {
	f, err := os.Open("../../../shared/reference/insert_positions.csv")
	if err != nil {
		t.Log("the published insert positions are not at hand: faces are compared with the catalogue alone")
		return nil
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	col := func(name string) int { return slices.Index(rows[0], name) }
	out := map[string]map[string][2]float64{}
	for _, r := range rows[1:] {
		x, err1 := strconv.ParseFloat(r[col("x_in")], 64)
		y, err2 := strconv.ParseFloat(r[col("y_in")], 64)
		if err1 != nil || err2 != nil {
			continue
		}
		a := r[col("arrangement")]
		if out[a] == nil {
			out[a] = map[string][2]float64{}
		}
		out[a][r[col("contact")]] = [2]float64{x * 25.4, y * 25.4}
	}
	return out
}

// facing: every cavity's name stands where the standard puts it, seen from the
// rear: mirrored for pins, as given for sockets. Only one scale and a shift
// are free.
func (c *packCheck) facing(where string, s *socket, p *paperPages, positions map[string]map[string][2]float64) {
	words := p.pages[0]
	edge, top, bottom := faceArea(words)
	have := map[string][2]float64{}
	for _, w := range words {
		if w.X1 < edge && w.Y1 < bottom && w.Y0 > top-8 {
			have[w.S] = [2]float64{(w.X0 + w.X1) / 2, (w.Y0 + w.Y1) / 2}
		}
	}
	if len(have) != len(s.part.Cavities) {
		c.t.Errorf("%s: %d cavities drawn, %d in the part", where, len(have), len(s.part.Cavities))
		return
	}
	mirror := 1.0
	if s.gender() == "pin" {
		mirror = -1
	}
	var from, to [][2]float64
	for _, h := range s.part.Cavities {
		at, ok := positions[s.part.Arrangement][h.Name]
		if !ok {
			at = [2]float64{float64(h.X) * 1e3, float64(h.Y) * 1e3}
		}
		if _, drawn := have[h.Name]; !drawn {
			c.t.Errorf("%s: cavity %s is not drawn", where, h.Name)
			return
		}
		from, to = append(from, [2]float64{mirror * at[0], -at[1]}), append(to, have[h.Name])
	}
	if slices.IndexFunc(from, func(x [2]float64) bool { return x != from[0] }) < 0 {
		return // no positions are known
	}
	if miss := fit(from, to); miss > 0.7 {
		c.t.Errorf("%s: cavities are drawn up to %.2f mm beside their places", where, miss)
	}
}

// fit finds the scale, above zero, and shift that bring from onto to, and
// returns the largest miss.
func fit(from, to [][2]float64) float64 {
	n := float64(len(from))
	var mf, mt [2]float64
	for i := range from {
		for k := range 2 {
			mf[k] += from[i][k] / n
			mt[k] += to[i][k] / n
		}
	}
	num, den := 0.0, 0.0
	for i := range from {
		for k := range 2 {
			num += (from[i][k] - mf[k]) * (to[i][k] - mt[k])
			den += (from[i][k] - mf[k]) * (from[i][k] - mf[k])
		}
	}
	scale := math.Max(num/den, 0)
	miss := 0.0
	for i := range from {
		miss = math.Max(miss, math.Hypot(scale*(from[i][0]-mf[0])-(to[i][0]-mt[0]), scale*(from[i][1]-mf[1])-(to[i][1]-mt[1])))
	}
	return miss
}

// aside: the facts beside the face, the cavities to plug, what goes on first.
func (c *packCheck) aside(where string, s *socket, p *paperPages) {
	o := c.o
	edge, _, bottom := faceArea(p.pages[0])
	beside := slices.DeleteFunc(slices.Clone(p.pages[0]), func(w word) bool { return w.X0 < edge-0.5 || w.Y1 > bottom })
	facts := map[string]string{}
	var other []line
	for _, r := range find([][]word{beside}, []string{"Connector", s.name}, &other) {
		facts[r.cells[0]] = r.cells[1]
	}
	rest, halves := "", [2]string{} // lists may stand side by side
	for _, words := range p.pages {
		for _, l := range lines(words) {
			rest += squeezed(l.text())
		}
		for side := range halves {
			half := slices.DeleteFunc(slices.Clone(words), func(w word) bool { return (w.X0 > p.middle) != (side == 1) })
			for _, l := range lines(half) {
				halves[side] += squeezed(l.text())
			}
		}
	}
	says := func(s string) bool {
		s = squeezed(s)
		return strings.Contains(rest, s) || strings.Contains(halves[0], s) || strings.Contains(halves[1], s)
	}
	id := s.part.ID
	if n := o.orderNumber(s); n != "" {
		id += ", " + n
	}
	for name, want := range map[string]string{
		"place": s.where, "part": id, "key": o.keyOf(s), "torque": s.part.Torque,
		"wires here":    fmt.Sprintf("%d of %d cavities", len(s.ends), len(s.part.Cavities)),
		"contacts here": map[string]string{"pin": "pins", "socket": "sockets"}[s.gender()],
	} {
		if have := facts[squeezed(name)]; have != squeezed(want) {
			c.t.Errorf("%s: %s is %q, want %q", where, name, have, want)
		}
	}
	if _, _, _, _, _, empty := o.fits(s); len(empty) > 0 && !says("Plug these cavities: "+strings.Join(empty, " ")) {
		c.t.Errorf("%s: the cavities to plug are not %q", where, empty)
	}
	for _, th := range o.threads(c.loom).rows {
		item := th.cells[1].(string)
		mine := strings.HasPrefix(item, "covering ") || strings.HasSuffix(item, " of "+s.name)
		if th.group == "End at "+s.where && mine && !says(item) {
			c.t.Errorf("%s: the sheet doesn't say %q", where, item)
		}
	}
}

// pinHeads are the heads above the cavities, without spaces.
var pinHeads = []string{"Cavity", "Pin", "Wire", "Circuit", "Colour", "Size", "Farend", "Shouldread"}

// faceArea is where a pin sheet's face ends: the left edge of the facts beside
// it, their top, and the head of the cavities below.
func faceArea(words []word) (edge, top, bottom float64) {
	bottom = math.Inf(1)
	for _, w := range words {
		if w.S == "Connector" && edge == 0 {
			edge, top = w.X0, w.Y0
		}
	}
	for _, l := range lines(words) {
		if headAt(&l, pinHeads) != nil {
			return edge, top, l.y - 4
		}
	}
	return edge, top, bottom
}
