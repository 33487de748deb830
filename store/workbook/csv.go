package workbook

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"strings"
	"unicode/utf16"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"

	"keyon/model/fault"
)

// csvGrid reads a CSV file in whatever encoding and with whatever separator
// spreadsheet programs write.
func csvGrid(name string, data []byte) (Grid, error) {
	text, note, err := decode(data)
	if err != nil {
		return Grid{}, err
	}
	g := textGrid(name, text, true)
	g.Note = note
	return g, nil
}

// textGrid parts text into lines and cells. guarded says that the text is a
// file in which formulas may be guarded by an apostrophe.
func textGrid(name, text string, guarded bool) Grid {
	g := Grid{Sheet: name}
	for n, cells := range split(text, separator(text)) {
		blank := true
		for i := range cells {
			if guarded {
				cells[i] = unguard(cells[i])
			}
			blank = blank && cells[i] == ""
		}
		if len(cells) > maxWidth {
			cells, g.Wide = cells[:maxWidth], true
		}
		if !blank {
			g.Lines = append(g.Lines, Line{n + 1, cells})
		}
	}
	return g
}

// decode gives the text of a file: by its byte order mark, as UTF-8 if it is
// that, as UTF-16 if every other byte is zero, else as Windows-1252.
func decode(data []byte) (text, note string, err error) {
	switch {
	case bytes.HasPrefix(data, []byte("\xef\xbb\xbf")):
		data = data[3:]
		if i := badByte(data); i >= 0 {
			return "", "", notText(data, i, "is not UTF-8, though the file is marked so")
		}
		return string(data), "", nil
	case bytes.HasPrefix(data, []byte("\xff\xfe")):
		return wide(data[2:], binary.LittleEndian)
	case bytes.HasPrefix(data, []byte("\xfe\xff")):
		return wide(data[2:], binary.BigEndian)
	case zerosAt(data, 1):
		return wide(data, binary.LittleEndian)
	case zerosAt(data, 0):
		return wide(data, binary.BigEndian)
	case utf8.Valid(data):
		return string(data), "", nil
	}
	s, _ := charmap.Windows1252.NewDecoder().Bytes(data)
	if bytes.ContainsRune(s, utf8.RuneError) {
		i := bytes.IndexAny(data, "\x81\x8d\x8f\x90\x9d") // what Windows-1252 leaves free
		return "", "", notText(data, max(i, 0), "is neither UTF-8 nor Windows-1252")
	}
	return string(s), "the file is not UTF-8 and is read as Windows-1252", nil
}

func badByte(data []byte) int {
	for i := 0; i < len(data); {
		r, n := utf8.DecodeRune(data[i:])
		if r == utf8.RuneError && n == 1 {
			return i
		}
		i += n
	}
	return -1
}

func notText(data []byte, i int, what string) error {
	line := 1 + bytes.Count(data[:i], []byte("\n"))
	return fault.New(fault.Invalid, "save the file as CSV in UTF-8", fmt.Errorf("byte %d (0x%02x) in line %d %s", i+1, data[i], line, what))
}

// zerosAt reports whether nearly every second byte, from off, is zero and the
// others are not: Latin text in UTF-16.
func zerosAt(data []byte, off int) bool {
	data = data[:min(len(data), 2000)&^1]
	zero, other := 0, 0
	for i := off; i < len(data); i += 2 {
		if data[i] == 0 {
			zero++
		}
		if data[i^1] == 0 {
			other++
		}
	}
	return len(data) >= 8 && zero*10 >= len(data)/2*9 && other == 0
}

func wide(data []byte, order binary.ByteOrder) (string, string, error) {
	if len(data)%2 != 0 {
		return "", "", fault.New(fault.Invalid, "copy the file again from where it came from", fmt.Errorf("the file is UTF-16 but ends within a character: it is cut short"))
	}
	u := make([]uint16, len(data)/2)
	for i := range u {
		u[i] = order.Uint16(data[2*i:])
	}
	r := utf16.Decode(u)
	for _, c := range r {
		if c == utf8.RuneError {
			return "", "", fault.New(fault.Invalid, "save the file as CSV in UTF-8", fmt.Errorf("the file is UTF-16 with broken characters"))
		}
	}
	return string(r), "", nil
}

// separator finds what parts the cells: of comma, semicolon and tab the one
// that stands most often in the first record with any of them.
func separator(text string) byte {
	if line, rest, ok := strings.Cut(text, "\n"); ok || rest == "" {
		line = strings.TrimRight(line, "\r")
		if s, ok := strings.CutPrefix(line, "sep="); ok && len(s) == 1 { // spreadsheet programs write and obey this line
			return s[0]
		}
	}
	count := [3]int{}
	const marks = ",;\t"
	quoted := false
	for i := 0; i < len(text); i++ {
		switch c := text[i]; {
		case c == '"':
			quoted = !quoted
		case quoted:
		case c == '\n' || c == '\r':
			if count != [3]int{} {
				i = len(text)
			}
		default:
			if k := strings.IndexByte(marks, c); k >= 0 {
				count[k]++
			}
		}
	}
	best := 0
	for k := range count {
		if count[k] > count[best] {
			best = k
		}
	}
	return marks[best]
}

// split parts text into records and cells (RFC 4180). A record ends at LF,
// CRLF or a bare CR; within quotes these and the separator are text. A quote
// inside a cell that doesn't begin with one is text too.
func split(text string, sep byte) [][]string {
	var out [][]string
	var record []string
	var cell strings.Builder
	if s, ok := strings.CutPrefix(text, "sep="); ok && len(s) > 1 && s[0] == sep && (s[1] == '\n' || s[1] == '\r') {
		text = strings.TrimPrefix(strings.TrimPrefix(s[1:], "\r"), "\n")
		out = append(out, nil)
	}
	end := func() { record = append(record, cell.String()); cell.Reset() }
	for i, n := 0, len(text); i < n; {
		if text[i] == '"' && cell.Len() == 0 {
			for i++; i < n; i++ {
				if text[i] == '"' {
					if i+1 < n && text[i+1] == '"' {
						i++
					} else {
						break
					}
				}
				cell.WriteByte(text[i])
			}
			i++
			for i < n && text[i] != sep && text[i] != '\n' && text[i] != '\r' {
				cell.WriteByte(text[i])
				i++
			}
		}
		if i >= n {
			break
		}
		switch c := text[i]; c {
		case sep:
			end()
		case '\r', '\n':
			end()
			out, record = append(out, record), nil
			if c == '\r' && i+1 < n && text[i+1] == '\n' {
				i++
			}
		default:
			cell.WriteByte(c)
		}
		i++
	}
	if cell.Len() > 0 || record != nil {
		end()
		out = append(out, record)
	}
	return out
}

// formula reports whether a spreadsheet program would take a text, after any
// apostrophes, for a formula. A plain signed number is none.
func formula(s string) bool {
	s = strings.TrimLeft(s, "'")
	return s != "" && strings.IndexByte("=+-@\t\r", s[0]) >= 0
}

func guard(s string) string {
	if formula(s) && (s[0] == '\'' || !plainNumber(s)) {
		return "'" + s
	}
	return s
}

// unguard undoes guard: a text that begins so comes from there only.
func unguard(s string) string {
	if strings.HasPrefix(s, "'") && formula(s) {
		return s[1:]
	}
	return s
}

func plainNumber(s string) bool {
	s = strings.TrimLeft(s, "+-")
	return s != "" && strings.Trim(s, "0123456789.,") == "" && s[0] >= '0' && s[0] <= '9'
}
