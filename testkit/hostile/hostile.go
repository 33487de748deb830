// Package hostile makes books with everything in their cells that ever broke
// a reader, and tells what a book says so that two can be compared. For tests.
package hostile

import (
	"fmt"
	"strings"

	"pgregory.net/rapid"

	"keyon/model/design"
)

// T is what a round trip needs of a test.
type T interface {
	Helper()
	Fatalf(format string, args ...any)
}

// Texts are the hostile texts themselves.
var Texts = []string{
	"=1+1", "=HYPERLINK(\"x\")", "+1", "-1", "@SUM", "\tlead", "\rlead", "'", "''=x", "'-5", "-5", "-5.5", "+", "--",
	"01", "1E2", "00", "1e5", "1,250", "1.250", "#REF!", "TRUE", "NULL", "sep=;", "sep=,",
	"\"", "\"\"", "\"a\",b", "a;b", "a\tb", "a,b", "a\nb", "a\r\nb", "a\rb", "\n", "\r\n", " ", "  x  ", "\u00a0", "\ufeff", "\ufeffx",
	"<b>&amp;</b>", "]]>", "&#0;", "_x0000_", "_x005F_", "_x005F_x0041_", "_x00_", "\x00", "a\x00b", "\x01\x02\x1b\x7f", "\ufffe\uffff", "\ufffd",
	"\u202eabc\u202c", "\u200fאבג", "é", "e\u0301", "𝄞🔧", "日本語", "\\", "\\\"", "{\"a\":1}", "['x']", "'; DROP TABLE row; --", "%s%n", "../../x",
	strings.Repeat("long ", 2000), strings.Repeat("\"", 500), strings.Repeat("_x0041_", 100),
}

var text = rapid.OneOf(rapid.SampledFrom(Texts), rapid.Custom(func(t *rapid.T) string {
	return strings.ToValidUTF8(rapid.String().Draw(t, "text"), "?")
}), rapid.StringMatching(`[0-9]{1,4}([.,][0-9]{1,3})?( (mm|ft|in))?`))

// foreign are headings no table knows.
var foreign = []string{"shop note", "=cmd", "-old", "'tis", "a\"b", "wire colour (old, new)", "x\ny", "checked by 日", "_x0041_", "&<>"}

// units are units a heading may name, by the unit of the column.
var units = map[string][]string{"mm": {"ft", "in", "m"}, "A": {"mA"}, "V": {"mV"}, "s": {"ms", "min"}, "°C": {"°F", "K"}}

// Book draws a book of a few rows in a few tables.
func Book(t *rapid.T) *design.Book {
	b := design.NewBook()
	for range rapid.IntRange(1, 4).Draw(t, "tables") {
		s := &b.Sheets[rapid.IntRange(0, len(b.Sheets)-1).Draw(t, "table")]
		if s.Rows != nil {
			continue
		}
		s.Extra = rapid.SliceOfNDistinct(rapid.SampledFrom(foreign), 0, 3, rapid.ID).Draw(t, "foreign columns")
		uids := rapid.SliceOfNDistinct(rapid.OneOf(rapid.StringMatching(`[a-z0-9]{12}`), rapid.SampledFrom([]string{"=x", "'k", "01", "a\"b", "\x00", "k,1"})), 1, 5, rapid.ID).Draw(t, "keys")
		for _, uid := range uids {
			r := design.Row{UID: uid}
			for c := range s.Table.Columns {
				var cell design.Cell
				if rapid.IntRange(0, 2).Draw(t, "filled") > 0 {
					cell.Text = text.Draw(t, "cell")
				}
				if us := units[s.Table.Columns[c].Unit]; us != nil && cell.Text != "" && rapid.Bool().Draw(t, "with unit") {
					cell.Unit = rapid.SampledFrom(us).Draw(t, "unit")
				}
				r.Cells = append(r.Cells, cell)
			}
			for range s.Extra {
				r.Extra = append(r.Extra, text.Draw(t, "foreign"))
			}
			s.Rows = append(s.Rows, r)
		}
	}
	return b
}

// Text is what a book says: its rows in order, each cell with the unit it was
// typed under. Rows without any text say nothing.
func Text(b *design.Book) string {
	var out strings.Builder
	for i := range b.Sheets {
		s := &b.Sheets[i]
		for _, r := range s.Rows {
			var line strings.Builder
			blank := true
			put := func(name, text string) {
				if text != "" {
					fmt.Fprintf(&line, "  %q = %q\n", name, text)
					blank = blank && strings.TrimSpace(text) == ""
				}
			}
			for c, cell := range r.Cells {
				put(s.Table.Columns[c].Name, cell.String())
			}
			for c, e := range r.Extra {
				put("foreign "+s.Extra[c], e)
			}
			if !blank {
				fmt.Fprintf(&out, "%s %q\n%s", s.Table.Name, r.UID, line.String())
			}
		}
	}
	return out.String()
}
