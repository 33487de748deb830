package xlsx

import (
	"archive/zip"
	"compress/flate"
	"fmt"
	"io"
	"strconv"
	"strings"
	"unicode/utf16"
)

// Heading is a column of a sheet that is written.
type Heading struct {
	Text    string
	Width   float64 // characters
	Hidden  bool
	Choices []string // offered as a list; other text stays possible
	Help    string   // shown beside a selected cell
	Strong  bool     // a column that every row needs
}

// Page is a sheet that is written: headings in its first row, then texts.
type Page struct {
	Name     string
	Headings []Heading
	Rows     [][]string // as long as Headings, or shorter
}

// Write writes a workbook of text cells. The same pages give the same bytes.
// A text over MaxText can't be held by a cell and is an error.
func Write(w io.Writer, pages []Page) error {
	z := zip.NewWriter(w)
	z.RegisterCompressor(zip.Deflate, func(w io.Writer) (io.WriteCloser, error) { return flate.NewWriter(w, flate.DefaultCompression) })
	put := func(name, text string) error {
		p, err := z.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate})
		if err != nil {
			return err
		}
		_, err = io.WriteString(p, xmlHead+text)
		return err
	}
	s := &shared{index: map[string]int{}}
	var types, sheets, rels strings.Builder
	for i := range pages {
		text, err := pages[i].sheet(s)
		if err != nil {
			return err
		}
		n := strconv.Itoa(i + 1)
		if err := put("xl/worksheets/sheet"+n+".xml", text); err != nil {
			return err
		}
		types.WriteString(`<Override PartName="/xl/worksheets/sheet` + n + `.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"/>`)
		rels.WriteString(`<Relationship Id="rId` + n + `" Type="` + relNS + `/worksheet" Target="worksheets/sheet` + n + `.xml"/>`)
		sheets.WriteString(`<sheet name="`)
		escape(&sheets, pages[i].Name)
		sheets.WriteString(`" sheetId="` + n + `" r:id="rId` + n + `"/>`)
	}
	n := len(pages)
	for _, p := range [][2]string{
		{"xl/sharedStrings.xml", `<sst xmlns="` + mainNS + `" uniqueCount="` + strconv.Itoa(len(s.index)) + `">` + s.b.String() + `</sst>`},
		{"xl/styles.xml", styles},
		{"xl/workbook.xml", `<workbook xmlns="` + mainNS + `" xmlns:r="` + relNS + `"><sheets>` + sheets.String() + `</sheets></workbook>`},
		{"xl/_rels/workbook.xml.rels", `<Relationships xmlns="` + packNS + `">` + rels.String() +
			fmt.Sprintf(`<Relationship Id="rId%d" Type="%s/styles" Target="styles.xml"/><Relationship Id="rId%d" Type="%s/sharedStrings" Target="sharedStrings.xml"/></Relationships>`, n+1, relNS, n+2, relNS)},
		{"_rels/.rels", `<Relationships xmlns="` + packNS + `"><Relationship Id="rId1" Type="` + relNS + `/officeDocument" Target="xl/workbook.xml"/></Relationships>`},
		{"[Content_Types].xml", `<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Default Extension="xml" ContentType="application/xml"/><Override PartName="/xl/workbook.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/><Override PartName="/xl/styles.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.styles+xml"/><Override PartName="/xl/sharedStrings.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sharedStrings+xml"/>` + types.String() + `</Types>`},
	} {
		if err := put(p[0], p[1]); err != nil {
			return err
		}
	}
	return z.Close()
}

const (
	xmlHead = `<?xml version="1.0" encoding="UTF-8" standalone="yes"?>` + "\n"
	mainNS  = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
	relNS   = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
	packNS  = "http://schemas.openxmlformats.org/package/2006/relationships"
)

// styles: 0 plain, 1 text cell, 2 heading, 3 heading of a needed column.
const styles = `<styleSheet xmlns="` + mainNS + `"><fonts count="3"><font><sz val="10"/><name val="Calibri"/><family val="2"/></font><font><sz val="10"/><color rgb="FF33475B"/><name val="Calibri"/><family val="2"/></font><font><b/><sz val="10"/><color rgb="FF12303F"/><name val="Calibri"/><family val="2"/></font></fonts>` +
	`<fills count="3"><fill><patternFill patternType="none"/></fill><fill><patternFill patternType="gray125"/></fill><fill><patternFill patternType="solid"><fgColor rgb="FFE9EEF2"/><bgColor indexed="64"/></patternFill></fill></fills>` +
	`<borders count="2"><border><left/><right/><top/><bottom/><diagonal/></border><border><left/><right/><top/><bottom style="thin"><color rgb="FF9AA8B4"/></bottom><diagonal/></border></borders>` +
	`<cellStyleXfs count="1"><xf numFmtId="0" fontId="0" fillId="0" borderId="0"/></cellStyleXfs>` +
	`<cellXfs count="4"><xf numFmtId="0" fontId="0" fillId="0" borderId="0" xfId="0"/><xf numFmtId="49" fontId="0" fillId="0" borderId="0" xfId="0" applyNumberFormat="1" applyAlignment="1"><alignment vertical="top"/></xf>` +
	`<xf numFmtId="49" fontId="1" fillId="2" borderId="1" xfId="0" applyNumberFormat="1" applyFont="1" applyFill="1" applyBorder="1"/><xf numFmtId="49" fontId="2" fillId="2" borderId="1" xfId="0" applyNumberFormat="1" applyFont="1" applyFill="1" applyBorder="1"/></cellXfs>` +
	`<cellStyles count="1"><cellStyle name="Normal" xfId="0" builtinId="0"/></cellStyles></styleSheet>`

// shared is the table of texts that cells point into, in order of first use.
type shared struct {
	index map[string]int
	b     strings.Builder
}

func (s *shared) add(text string) int {
	i, ok := s.index[text]
	if !ok {
		i = len(s.index)
		s.index[text] = i
		s.b.WriteString(`<si><t xml:space="preserve">`)
		escape(&s.b, text)
		s.b.WriteString(`</t></si>`)
	}
	return i
}

func (p *Page) sheet(s *shared) (string, error) {
	var b strings.Builder
	last := Column(max(len(p.Headings)-1, 0))
	b.WriteString(`<worksheet xmlns="` + mainNS + `"><sheetPr><pageSetUpPr fitToPage="1"/></sheetPr><sheetViews><sheetView workbookViewId="0"><pane ySplit="1" topLeftCell="A2" activePane="bottomLeft" state="frozen"/></sheetView></sheetViews><cols>`)
	for i, h := range p.Headings {
		hidden := ""
		if h.Hidden {
			hidden = ` hidden="1"`
		}
		// blank cells are text cells too, so that 01 typed into one stays 01
		fmt.Fprintf(&b, `<col min="%d" max="%d" width="%s" style="1" customWidth="1"%s/>`, i+1, i+1, strconv.FormatFloat(h.Width, 'f', -1, 64), hidden)
	}
	b.WriteString(`</cols><sheetData><row r="1">`)
	cell := func(row, col, style int, text string) error {
		if n := len(utf16.Encode([]rune(text))); n > MaxText {
			return fmt.Errorf("sheet %s cell %s%d has %d characters; a workbook cell holds at most %d", p.Name, Column(col), row, n, MaxText)
		}
		fmt.Fprintf(&b, `<c r="%s%d" s="%d" t="s"><v>%d</v></c>`, Column(col), row, style, s.add(text))
		return nil
	}
	for i, h := range p.Headings {
		style := 2
		if h.Strong {
			style = 3
		}
		if err := cell(1, i, style, h.Text); err != nil {
			return "", err
		}
	}
	b.WriteString(`</row>`)
	for r, row := range p.Rows {
		fmt.Fprintf(&b, `<row r="%d">`, r+2)
		for c, text := range row {
			if text == "" {
				continue
			}
			if err := cell(r+2, c, 1, text); err != nil {
				return "", err
			}
		}
		b.WriteString(`</row>`)
	}
	b.WriteString(`</sheetData>`)
	fmt.Fprintf(&b, `<autoFilter ref="A1:%s%d"/>`, last, len(p.Rows)+1)
	var v strings.Builder
	n := 0
	for i, h := range p.Headings {
		list := strings.Join(h.Choices, ",")
		if len(list) > 255 { // longest list a validation may spell out
			list = ""
		}
		if h.Hidden || list == "" && h.Help == "" {
			continue
		}
		n++
		v.WriteString(`<dataValidation`)
		if list != "" {
			v.WriteString(` type="list" errorStyle="information"`)
		}
		v.WriteString(` allowBlank="1" showInputMessage="1"`)
		if h.Help != "" {
			v.WriteString(` promptTitle="`)
			escape(&v, clip(h.Text, 32))
			v.WriteString(`" prompt="`)
			escape(&v, clip(h.Help, 255))
			v.WriteString(`"`)
		}
		fmt.Fprintf(&v, ` sqref="%s2:%s%d">`, Column(i), Column(i), max(len(p.Rows)+1, 2000))
		if list != "" {
			v.WriteString(`<formula1>"`)
			escape(&v, list)
			v.WriteString(`"</formula1>`)
		}
		v.WriteString(`</dataValidation>`)
	}
	if n > 0 {
		fmt.Fprintf(&b, `<dataValidations count="%d">%s</dataValidations>`, n, v.String())
	}
	b.WriteString(`<pageSetup orientation="landscape" fitToWidth="1" fitToHeight="0"/>`)
	// texts that look like numbers are meant so: gauges, pins, lengths
	fmt.Fprintf(&b, `<ignoredErrors><ignoredError sqref="A1:%s%d" numberStoredAsText="1"/></ignoredErrors></worksheet>`, last, max(len(p.Rows)+1, 2000))
	return b.String(), nil
}

func clip(s string, n int) string {
	if r := []rune(s); len(r) > n {
		return string(r[:n])
	}
	return s
}
