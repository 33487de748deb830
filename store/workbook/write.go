package workbook

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"unicode/utf8"

	"keyon/format/xlsx"
	"keyon/model/design"
	"keyon/model/fault"
	"keyon/num/quantity"
	"keyon/store/whole"
)

// WriteXLSX writes every table as a sheet of a workbook. A file that exists
// is replaced only if over says so.
func WriteXLSX(path string, b *design.Book, over bool) error {
	return whole.File(path, over, func(w io.Writer) error { return EncodeXLSX(w, b) })
}

// EncodeXLSX writes the workbook's bytes; equal books give equal bytes.
func EncodeXLSX(w io.Writer, b *design.Book) error {
	var pages []xlsx.Page
	for i := range b.Sheets {
		pages = append(pages, page(&b.Sheets[i]))
	}
	if err := xlsx.Write(w, pages); err != nil {
		return fault.New(fault.Invalid, "shorten the cell, or export as CSV", err)
	}
	return nil
}

// WriteCSV writes every table as a file of a folder, which is made where
// there is none. Files that exist are replaced only if over says so.
func WriteCSV(folder string, b *design.Book, over bool) error {
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return fmt.Errorf("write %s: %w", folder, err)
	}
	if !over {
		for i := range b.Sheets {
			if _, err := os.Lstat(filepath.Join(folder, b.Sheets[i].Table.Name+".csv")); err == nil {
				return fault.New(fault.Conflict, "give another folder, or say that its files may be replaced", fmt.Errorf("write %s: the folder already holds %s.csv", folder, b.Sheets[i].Table.Name))
			}
		}
	}
	for i := range b.Sheets {
		s := &b.Sheets[i]
		err := whole.File(filepath.Join(folder, s.Table.Name+".csv"), over, func(w io.Writer) error {
			_, err := io.WriteString(w, EncodeCSV(s))
			return err
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// EncodeCSV is a table as CSV: UTF-8 with a byte order mark, commas, CRLF,
// and an apostrophe before a cell that a spreadsheet program would run as a
// formula.
func EncodeCSV(s *design.Sheet) string {
	var b strings.Builder
	b.WriteString("\ufeff")
	put := func(cells []string) {
		for i, c := range cells {
			if i > 0 {
				b.WriteByte(',')
			}
			if c = guard(c); strings.ContainsAny(c, ",;\t\"\r\n") || c != strings.TrimSpace(c) {
				c = `"` + strings.ReplaceAll(c, `"`, `""`) + `"`
			}
			b.WriteString(c)
		}
		b.WriteString("\r\n")
	}
	p := page(s)
	head := make([]string, len(p.Headings))
	for i, h := range p.Headings {
		head[i] = h.Text
	}
	put(head)
	for _, r := range p.Rows {
		put(r)
	}
	return b.String()
}

// page lays a table out: its columns, the foreign columns, the hidden key.
// Rows without any text are left out.
func page(s *design.Sheet) xlsx.Page {
	t := s.Table
	p := xlsx.Page{Name: t.Name}
	units := make([]string, len(t.Columns))
	mixed := make([]bool, len(t.Columns))
	seen := make([]bool, len(t.Columns))
	for _, r := range s.Rows {
		for c, cell := range r.Cells {
			switch {
			case cell.Text == "":
			case !seen[c]:
				seen[c], units[c] = true, cell.Unit
			case units[c] != cell.Unit:
				mixed[c] = true
			}
		}
	}
	for c := range t.Columns {
		col := &t.Columns[c]
		h := xlsx.Heading{Text: col.Name, Width: width(col.Name), Choices: col.Choices, Help: help(col), Strong: col.Must}
		if col.Kind == design.List {
			h.Choices = nil // a list cell holds several
		}
		if units[c] != "" && !mixed[c] {
			h.Text += " (" + units[c] + ")"
		}
		p.Headings = append(p.Headings, h)
	}
	for _, e := range s.Extra {
		p.Headings = append(p.Headings, xlsx.Heading{Text: e, Width: width(e)})
	}
	p.Headings = append(p.Headings, xlsx.Heading{Text: KeyHeading(t), Width: 14, Hidden: true})
	key := len(p.Headings) - 1
	for _, r := range s.Rows {
		line := make([]string, len(p.Headings))
		blank := true
		for c, cell := range r.Cells {
			line[c] = cell.Text
			if mixed[c] {
				line[c] = cell.String()
			}
			blank = blank && strings.TrimSpace(line[c]) == ""
		}
		for i := 0; i < len(r.Extra) && i < len(s.Extra); i++ {
			line[len(t.Columns)+i] = r.Extra[i]
			blank = blank && strings.TrimSpace(r.Extra[i]) == ""
		}
		if blank {
			continue
		}
		line[key] = r.UID
		for c := range line[:key] {
			p.Headings[c].Width = max(p.Headings[c].Width, width(line[c]))
		}
		p.Rows = append(p.Rows, line)
	}
	return p
}

func width(text string) float64 {
	return float64(min(max(utf8.RuneCountInString(text)+2, 8), 36))
}

func help(c *design.Column) string {
	var h []string
	if c.Kind == design.Amount {
		unit := c.Unit
		if unit == "" {
			unit = quantity.ShareDim.String() + " such as 0.2 or 20 %"
		}
		h = append(h, unit+" where heading and cell name no unit")
	}
	if c.Help != "" {
		h = append(h, c.Help)
	}
	if c.Blank && !strings.Contains(c.Help, "blank:") {
		h = append(h, "blank: worked out")
	}
	return strings.Join(h, "; ")
}
