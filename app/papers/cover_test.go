//go:build outside

package papers_test

import (
	"fmt"
	"strconv"
	"strings"
)

// cover: banner, counts, open items, and a table of contents that leads to the
// right sheets.
func (c *packCheck) cover(banner bool) {
	o := c.o
	cover := &c.papers[0]
	var rest []line
	contents := find(cover.pages, []string{"Paper", "Title", "What for", "Pages|", "Sheet|"}, &rest)
	if len(contents) != len(c.papers)-1 {
		c.t.Errorf("%s: %d papers in the contents, %d in the pack", c.where, len(contents), len(c.papers)-1)
	}
	for i, r := range contents {
		if i+1 >= len(c.papers) {
			break
		}
		p := &c.papers[i+1]
		title := strings.TrimPrefix(r.cells[1], "Pinsheet:")
		if r.cells[0] != p.number || title != squeezed(p.title) || r.cells[3] != strconv.Itoa(len(p.pages)) || r.cells[4] != strconv.Itoa(p.first) {
			c.t.Errorf("%s: contents %v, the pack has %s %q, %d pages from sheet %d", c.where, r, p.number, p.title, len(p.pages), p.first)
		}
	}
	rest = nil
	items := find(cover.pages, []string{"Say", "Where", "What"}, &rest)
	if n := o.open(c.loom, "look"); len(items) != n {
		c.t.Errorf("%s: %d open items on the cover, want %d", c.where, len(items), n)
	}
	text := ""
	for _, l := range rest {
		text += l.text() + "\n"
	}
	if has := strings.Contains(text, "Not for building"); has != banner {
		c.t.Errorf("%s: marked not for building: %v", c.where, has)
	}
	metres, cables, splices, legs := 0.0, map[string]bool{}, 0, 0
	for _, w := range o.ofLoom(c.loom) {
		if w.Cable == "" {
			metres += w.CutMM / 1e3
		} else {
			cables[w.Cable] = true
		}
	}
	for _, s := range o.p.Splices {
		if s.Loom == c.loom {
			splices++
		}
	}
	for _, l := range o.p.Legs {
		if l.Loom == c.loom {
			legs++
		}
	}
	for _, want := range []string{
		fmt.Sprintf("wires %d, %s %s to cut; %d piece", len(o.ofLoom(c.loom)), trim(o.long(metres), 3), o.longUnit(), len(cables)),
		fmt.Sprintf("connectors, splices, legs %d, %d, %d", len(o.sockets(c.loom)), splices, legs),
	} {
		if !strings.Contains(text, want) {
			c.t.Errorf("%s: the cover doesn't say %q", c.where, want)
		}
	}
}

// tuner: each device with many pins on its own paper, the others in a table.
func (c *packCheck) tuner() {
	o := c.o
	heads := []string{"Plug", "Cavity", "Pin", "Role", "Circuit", "Serves", "Should read"}
	small := want{tab: "Sensors and loads", heads: append([]string{"Device"}, heads...), units: make([]string, 8)}
	of := map[string][][]any{}
	for i := range o.p.Ends {
		e := &o.p.Ends[i]
		pin := o.pin(e)
		if pin == nil {
			continue
		}
		var far, reads []string
		for k := range o.p.Ends {
			x := &o.p.Ends[k]
			if x.Circuit != e.Circuit || k == i {
				continue
			}
			name := ""
			switch {
			case x.Stud != "":
				name = "stud " + x.Stud
			case x.Device != "":
				name = x.Device
				if x.Connector != "" {
					name += "/" + x.Connector
				}
				name += ":" + x.Pin
			}
			if name != "" {
				far = append(far, name)
			}
			if q := o.pin(x); q != nil && q.Reads != "" {
				reads = append(reads, name+": "+q.Reads)
			}
		}
		serves := strings.Join(far, ", ")
		if len(far) > 6 {
			serves = strings.Join(far[:5], ", ") + fmt.Sprintf(" and %d more", len(far)-5)
		}
		read := pin.Reads
		if read == "" && len(reads) == 1 {
			read = reads[0]
		}
		of[e.Device] = append(of[e.Device], []any{pin.Connector, dashed(e.Cavity), pin.Name, dashed(string(pin.Role)), e.Circuit, dashed(serves), dashed(read)})
	}
	for _, device := range keys(of) {
		if len(of[device]) < 8 {
			for _, r := range of[device] {
				small.rows = append(small.rows, wantRow{"", "", append([]any{device}, r...)})
			}
			continue
		}
		w := want{tab: device, heads: heads, units: make([]string, 7)}
		for _, r := range of[device] {
			w.rows = append(w.rows, wantRow{"", "", r})
		}
		c.table(device, w)
	}
	c.numbers("Sensors, switches and loads", c.table("Sensors, switches and loads", small))
	c.table("Feeds and loads", o.feeds(""))
	c.table("Feeds and loads", o.loads(""))
}
