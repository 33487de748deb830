package xlsx

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"path"
	"strconv"
	"strings"
)

// File is an open workbook.
type File struct {
	Sheets  []Sheet
	Date04  bool // day 0 is 1904-01-01
	parts   map[string]*zip.File
	strings []string
	formats []string // number format by cell style
	read    int64    // bytes unpacked
	packed  int64
	cells   int
}

// Open reads what belongs to the whole workbook; the sheets are read by Rows.
func Open(r io.ReaderAt, size int64) (*File, error) {
	if err := known(r, size); err != nil {
		return nil, err
	}
	z, err := zip.NewReader(r, size)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrDamaged, err)
	}
	f := &File{parts: map[string]*zip.File{}, packed: size}
	for _, p := range z.File {
		name := strings.ToLower(strings.TrimPrefix(strings.ReplaceAll(p.Name, `\`, "/"), "/"))
		if _, twice := f.parts[name]; !twice {
			f.parts[name] = p
		}
	}
	book, rels, err := f.main()
	if err != nil {
		return nil, err
	}
	if err := f.readBook(book, rels); err != nil {
		return nil, err
	}
	for _, k := range []struct {
		kind string
		read func(string) error
	}{{"sharedStrings", f.readStrings}, {"styles", f.readStyles}} {
		if p := rels.kind(k.kind); p != "" {
			if err := k.read(p); err != nil {
				return nil, err
			}
		}
	}
	return f, nil
}

// known tells by the first bytes what a file is that isn't ours to read.
func known(r io.ReaderAt, size int64) error {
	head := make([]byte, 128)
	n, err := r.ReadAt(head, 0)
	if err != nil && err != io.EOF {
		return err
	}
	head = head[:n]
	switch {
	case bytes.HasPrefix(head, []byte("\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1")):
		// a compound file: an old workbook, or one packed for its password
		all := make([]byte, min(size, 8<<20))
		n, _ := r.ReadAt(all, 0)
		var mark []byte
		for _, c := range "EncryptedPackage" {
			mark = append(mark, byte(c), 0)
		}
		if bytes.Contains(all[:n], mark) {
			return ErrPassword
		}
		return ErrOld
	case !bytes.HasPrefix(head, []byte("PK")):
		return ErrNotWorkbook
	case bytes.Contains(head, []byte("mimetypeapplication/vnd.oasis")):
		return ErrOpenDoc
	}
	return nil
}

// open gives a part's bytes, counted against the bounds.
func (f *File) open(part string) (io.ReadCloser, error) {
	p := f.parts[strings.ToLower(part)]
	if p == nil {
		return nil, fmt.Errorf("%w: no part %s", ErrDamaged, part)
	}
	if p.Flags&1 != 0 {
		return nil, ErrPassword
	}
	rc, err := p.Open()
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrDamaged, err)
	}
	return &bounded{f, rc}, nil
}

type bounded struct {
	f *File
	io.ReadCloser
}

func (b *bounded) Read(p []byte) (int, error) {
	n, err := b.ReadCloser.Read(p)
	b.f.read += int64(n)
	if b.f.read > maxUnpacked || b.f.read > freeRatio && b.f.read/maxRatio > b.f.packed {
		return n, ErrTooBig
	}
	return n, err
}

// scan calls visit for each token of a part. Raw tokens need no memory for
// the depth of the nesting, which a hostile file chooses.
func (f *File) scan(part string, visit func(d *xml.Decoder, t xml.Token) error) error {
	rc, err := f.open(part)
	if err != nil {
		return err
	}
	defer rc.Close()
	d := xml.NewDecoder(rc)
	d.CharsetReader = func(string, io.Reader) (io.Reader, error) { return nil, errors.New("not UTF-8") }
	for depth := 0; ; {
		t, err := d.RawToken()
		switch t.(type) {
		case xml.StartElement:
			depth++
		case xml.EndElement:
			depth--
		}
		switch {
		case err == io.EOF && depth != 0:
			return fmt.Errorf("%w: part %s ends within an element", ErrDamaged, part)
		case err == io.EOF:
			return nil
		case errors.Is(err, ErrTooBig):
			return ErrTooBig
		case err != nil:
			return fmt.Errorf("%w: part %s: %w", ErrDamaged, part, err)
		}
		if err := visit(d, t); err != nil {
			return err
		}
	}
}

func attr(e xml.StartElement, name string) string {
	for _, a := range e.Attr {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}

type relation struct{ id, kind, target string }

type relations []relation

func (r relations) kind(kind string) string {
	for _, x := range r {
		if x.kind == kind {
			return x.target
		}
	}
	return ""
}

// relations reads the relations of a part; a target is a path in the package.
func (f *File) relations(part string) (relations, error) {
	dir, name := path.Split(part)
	file := dir + "_rels/" + name + ".rels"
	if f.parts[strings.ToLower(file)] == nil {
		return nil, nil
	}
	var rs relations
	err := f.scan(file, func(_ *xml.Decoder, t xml.Token) error {
		if e, ok := t.(xml.StartElement); ok && e.Name.Local == "Relationship" && attr(e, "TargetMode") != "External" {
			target := attr(e, "Target")
			if !strings.HasPrefix(target, "/") {
				target = path.Join(dir, target)
			}
			kind := attr(e, "Type")
			rs = append(rs, relation{attr(e, "Id"), kind[strings.LastIndexByte(kind, '/')+1:], strings.TrimPrefix(path.Clean(target), "/")})
		}
		return nil
	})
	return rs, err
}

// main finds the workbook part and its relations.
func (f *File) main() (string, relations, error) {
	top, err := f.relations("")
	if err != nil {
		return "", nil, err
	}
	book := top.kind("officeDocument")
	if book == "" {
		book = "xl/workbook.xml"
	}
	if f.parts[strings.ToLower(book)] == nil {
		return "", nil, ErrNotWorkbook
	}
	rels, err := f.relations(book)
	return book, rels, err
}

func (f *File) readBook(book string, rels relations) error {
	return f.scan(book, func(_ *xml.Decoder, t xml.Token) error {
		e, ok := t.(xml.StartElement)
		if !ok {
			return nil
		}
		switch e.Name.Local {
		case "workbookPr":
			f.Date04 = truth(attr(e, "date1904"))
		case "sheet":
			var id string
			for _, a := range e.Attr {
				if a.Name.Local == "id" && a.Name.Space != "" {
					id = a.Value
				}
			}
			for _, r := range rels {
				if r.id == id && r.kind == "worksheet" {
					state := attr(e, "state")
					f.Sheets = append(f.Sheets, Sheet{attr(e, "name"), state != "" && state != "visible", r.target})
				}
			}
		}
		return nil
	})
}

func truth(s string) bool { return s == "1" || s == "true" }

// texts gathers the text of <t> elements until the element end closes,
// leaving out phonetic runs.
type texts struct {
	b     strings.Builder
	in    bool
	phone bool
}

func (x *texts) see(t xml.Token) {
	switch e := t.(type) {
	case xml.StartElement:
		switch e.Name.Local {
		case "t":
			x.in = !x.phone
		case "rPh":
			x.phone = true
		}
	case xml.EndElement:
		switch e.Name.Local {
		case "t":
			x.in = false
		case "rPh":
			x.phone = false
		}
	case xml.CharData:
		if x.in {
			x.b.Write(e)
		}
	}
}

func (f *File) readStrings(part string) error {
	var x texts
	return f.scan(part, func(_ *xml.Decoder, t xml.Token) error {
		switch e := t.(type) {
		case xml.StartElement:
			if e.Name.Local == "si" {
				x = texts{}
				return nil
			}
		case xml.EndElement:
			if e.Name.Local == "si" {
				f.strings = append(f.strings, unescape(x.b.String()))
				return nil
			}
		}
		x.see(t)
		return nil
	})
}

// builtin are the number formats that have a number and no text of their own
// (ECMA-376 part 1, 18.8.30).
var builtin = map[string]string{"1": "0", "2": "0.00", "3": "#,##0", "4": "#,##0.00", "9": "0%", "10": "0.00%", "11": "0.00E+00", "12": "# ?/?", "13": "# ??/??",
	"14": "yyyy-mm-dd", "15": "d-mmm-yy", "16": "d-mmm", "17": "mmm-yy", "18": "h:mm AM/PM", "19": "h:mm:ss AM/PM", "20": "h:mm", "21": "h:mm:ss", "22": "yyyy-mm-dd h:mm",
	"27": "yyyy-mm-dd", "28": "yyyy-mm-dd", "29": "yyyy-mm-dd", "30": "yyyy-mm-dd", "31": "yyyy-mm-dd", "36": "yyyy-mm-dd", "50": "yyyy-mm-dd", "57": "yyyy-mm-dd", "58": "yyyy-mm-dd",
	"45": "mm:ss", "46": "[h]:mm:ss", "47": "mm:ss.0", "48": "##0.0E+0", "49": "@"}

func (f *File) readStyles(part string) error {
	own := map[string]string{}
	in := false
	return f.scan(part, func(_ *xml.Decoder, t xml.Token) error {
		switch e := t.(type) {
		case xml.StartElement:
			switch e.Name.Local {
			case "numFmt":
				own[attr(e, "numFmtId")] = attr(e, "formatCode")
			case "cellXfs":
				in = true
			case "xf":
				if in {
					id := attr(e, "numFmtId")
					code, ok := own[id]
					if !ok {
						code = builtin[id]
					}
					f.formats = append(f.formats, code)
				}
			}
		case xml.EndElement:
			if e.Name.Local == "cellXfs" {
				in = false
			}
		}
		return nil
	})
}

// Rows calls visit for each row of a sheet that has cells, from the top, rows
// from 0. The cells are only good until visit returns. It gives the merged
// ranges, which a sheet tells last.
func (f *File) Rows(sheet int, visit func(row int, cells []Cell) error) ([]Range, error) {
	var (
		merged []Range
		row    = -1
		cells  []Cell
		c      Cell
		kind   string
		style  int
		value  strings.Builder
		in     bool // within <v>
		open   bool // within <c>
		stored bool // <c> has a <v>
		inline texts
	)
	err := f.scan(f.Sheets[sheet].part, func(_ *xml.Decoder, t xml.Token) error {
		switch e := t.(type) {
		case xml.StartElement:
			switch e.Name.Local {
			case "row":
				cells = cells[:0]
				row++
				if r := attr(e, "r"); r != "" {
					n, err := strconv.Atoi(r)
					if err != nil || n <= row || n > maxRows {
						return fmt.Errorf("%w: row %q after row %d", ErrDamaged, r, row)
					}
					row = n - 1
				}
				if row >= maxRows {
					return ErrTooBig
				}
			case "c":
				col := 0
				if len(cells) > 0 {
					col = cells[len(cells)-1].Col + 1
				}
				if r := attr(e, "r"); r != "" {
					n, _ := reference(r)
					if n < 0 || n >= maxColumns {
						return fmt.Errorf("%w: cell %q", ErrDamaged, r)
					}
					col = n
				}
				c, kind, open, stored, inline = Cell{Col: col}, attr(e, "t"), true, false, texts{}
				style, _ = strconv.Atoi(attr(e, "s"))
				value.Reset()
				if f.cells++; f.cells > maxCells {
					return ErrTooBig
				}
			case "f":
				c.Formula = true
			case "v":
				in, stored = open, open
			case "mergeCell":
				if len(merged) < maxRows {
					a, b, ok := strings.Cut(attr(e, "ref"), ":")
					if c1, r1 := reference(a); ok && c1 >= 0 && r1 >= 0 {
						if c2, r2 := reference(b); c2 >= c1 && r2 >= r1 {
							merged = append(merged, Range{r1, c1, r2, c2})
						}
					}
				}
			}
		case xml.EndElement:
			switch e.Name.Local {
			case "v":
				in = false
			case "c":
				if open {
					open = false
					c.Unset = c.Formula && !stored
					if f.finish(&c, kind, style, value.String(), inline.b.String()) {
						cells = append(cells, c)
					}
				}
			case "row":
				if len(cells) > 0 {
					err := visit(row, cells)
					cells = cells[:0]
					return err
				}
			}
		case xml.CharData:
			if in {
				value.Write(e)
			}
		}
		if open {
			inline.see(t)
		}
		return nil
	})
	return merged, err
}

// finish makes the cell of its parts; false for an empty one.
func (f *File) finish(c *Cell, kind string, style int, value, inline string) bool {
	switch kind {
	case "s":
		i, err := strconv.Atoi(strings.TrimSpace(value))
		if err == nil && i >= 0 && i < len(f.strings) {
			c.Text = f.strings[i]
		}
	case "inlineStr":
		c.Text = unescape(inline)
	case "str", "d":
		c.Text = unescape(value)
	case "b":
		c.Kind, c.Text = Flag, "FALSE"
		if truth(strings.TrimSpace(value)) {
			c.Text = "TRUE"
		}
	case "e":
		c.Kind, c.Text = Fault, value
	default:
		c.Kind, c.Text = Number, strings.TrimSpace(value)
		if style >= 0 && style < len(f.formats) {
			c.Format = f.formats[style]
		}
	}
	return c.Text != "" || c.Unset
}
