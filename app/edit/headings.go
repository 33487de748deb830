package edit

import (
	"maps"
	"slices"
	"strings"
	"unicode"

	"keyon/model/design"
	"keyon/store/workbook"
)

// Ends written in one cell, such as ECU:A12, go to these columns of Circuits.
const (
	fromEnd = "from device and pin"
	toEnd   = "to device and pin"
)

// heads are the headings of other people's tables, by the column they mean,
// likeliest first; folded to letters, digits and #. A second column of one
// heading has (2) behind it. Common practice.
var heads = map[string][]struct {
	column string
	names  string
}{
	"Circuits": {
		{"from pin", "frompin fromcavity fromterminal fromcontact sourcepin startpin originpin pin1 pina end1pin terminal1 cavity1 pin terminal cavity way"},
		{"to pin", "topin tocavity toterminal tocontact targetpin destinationpin destpin endpin pin2 pinb end2pin terminal2 cavity2 pin(2) terminal(2) cavity(2) way(2)"},
		{"from device", "fromdevice fromcomponent fromunit fromitem fromconnector source sourcedevice start origin device1 component1 connector1 end1 enda from device component connector unit plug"},
		{"to device", "todevice tocomponent tounit toitem toconnector target targetdevice destination dest device2 component2 connector2 end2 endb to device(2) component(2) connector(2) unit(2) plug(2)"},
		{"circuit", "circuit circuitname net netname signal signalname wirename wireid wireno wirenumber wire# circuitno circuitnumber function name wire conductor"},
		{"gauge", "gauge awg wiregauge wiresize size crosssection csa mm2 mm² area"},
		{"colour", "colour color wirecolour wirecolor colourcode col"},
		{"wire", "wiretype wirespec wirefamily family spec specification insulation wirepart"},
		{"class", "class circuitclass signaltype type kind"},
		{"twist", "twist twisted twistedwith pair twistedpair"},
		{"cable", "cable cableno multicore"},
		{"feed", "feed fuse fedby protectedby"},
		{"note", "note notes remark remarks comment comments description"},
	},
	"Pins": {
		{"pin", "pin pinno pinnumber pin# way wayno position pos terminal cavity contact no number #"},
		{"note", "signalname signal pinname name net label designation"},
		{"role", "role function whatitis description desc signaltype type io iotype purpose use kind comment notes"},
		{"connector", "connector conn plug header"},
		{"cavity", "cavity way"},
		{"amps", "amps maxcurrent current imax maxamps rating currentrating maxa a"},
		{"index", "index channel cylinder cyl"},
		{"group", "group bank bus"},
		{"contact", "contact contactsize contacttype"},
		{"reads", "reads expected measures"},
	},
}

// guessColumns finds what the headings of a foreign table mean for a table of
// ours: column by heading.
func guessColumns(f *workbook.Foreign, table string) map[string]string {
	out := map[string]string{}
	taken := map[string]bool{}
	for _, h := range heads[table] {
		for name := range strings.FieldsSeq(h.names) {
			for _, heading := range f.Headings {
				bare, _ := headingRemark(heading)
				if _, used := out[heading]; !used && !taken[h.column] && (foldHeading(heading) == name || foldHeading(bare) == name) {
					out[heading], taken[h.column] = h.column, true
				}
			}
		}
	}
	switch table {
	case "Circuits":
		for _, heading := range slices.Sorted(maps.Keys(out)) {
			column := out[heading]
			if column == "from device" && !taken["from pin"] && together(f, heading) {
				out[heading] = fromEnd
			}
			if column == "to device" && !taken["to pin"] && together(f, heading) {
				out[heading] = toEnd
			}
		}
	case "Pins":
		// names that differ in every row are what the pins are called, and
		// their numbers the cavities; names that repeat, such as GND, are notes
		for _, heading := range slices.Sorted(maps.Keys(out)) {
			column := out[heading]
			if column == "note" && (!taken["pin"] || different(f, heading)) {
				for other, c := range out {
					if c == "pin" && !taken["cavity"] {
						out[other] = "cavity"
					}
				}
				out[heading] = "pin"
				break
			}
		}
	}
	return out
}

// cellsOf are the filled cells under a heading.
func cellsOf(f *workbook.Foreign, heading string) []string {
	var out []string
	i := slices.Index(f.Headings, heading)
	for _, l := range f.Lines {
		if l.Cells[i] != "" {
			out = append(out, l.Cells[i])
		}
	}
	return out
}

// together reports whether most cells under a heading hold device and pin.
func together(f *workbook.Foreign, heading string) bool {
	n, cells := 0, cellsOf(f, heading)
	for _, c := range cells {
		if i := strings.LastIndexAny(c, ":./-"); i > 0 && i+1 < len(c) {
			n++
		}
	}
	return 2*n > len(cells)
}

// different reports whether every line has its own text under a heading.
func different(f *workbook.Foreign, heading string) bool {
	cells := cellsOf(f, heading)
	n := len(cells)
	slices.Sort(cells)
	return n == len(f.Lines) && len(slices.Compact(cells)) == n
}

// foldHeading leaves letters, digits, # and the (2) of a second column.
func foldHeading(h string) string {
	h = strings.ToLower(h)
	second := strings.HasSuffix(h, " (2)")
	h = strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) || r == '#' || r == '²' {
			return r
		}
		return -1
	}, strings.TrimSuffix(h, " (2)"))
	if second {
		h += "(2)"
	}
	return h
}

// headingRemark parts "Size (AWG)" and "Size AWG, max" into words and unit.
func headingRemark(h string) (bare, unit string) {
	h = strings.TrimSuffix(h, " (2)")
	for _, b := range []string{"()", "[]"} {
		if i := strings.LastIndexByte(h, b[0]); i > 0 && strings.HasSuffix(h, b[1:]) {
			return strings.TrimSpace(h[:i]), strings.TrimSpace(h[i+1 : len(h)-1])
		}
	}
	switch foldHeading(h) {
	case "mm2", "mm²", "csa", "crosssection":
		return h, "mm2"
	case "awg":
		return h, "AWG"
	}
	return h, ""
}

// unitOf is the unit a heading names for a column of ours; "" for none.
func unitOf(heading string, t *design.Table, column string) string {
	_, unit := headingRemark(heading)
	if unit == "" {
		return ""
	}
	if i, u, ok := t.Header(column + " (" + unit + ")"); ok && t.Columns[i].Name == column {
		return u
	}
	return ""
}
