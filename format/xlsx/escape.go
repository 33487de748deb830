package xlsx

import (
	"strconv"
	"strings"
	"unicode/utf16"
)

// unescape resolves _xHHHH_, by which a cell holds characters that XML can't
// (ECMA-376 part 1, 22.9.2.19). Two escapes may form a surrogate pair.
func unescape(s string) string {
	if !strings.Contains(s, "_x") {
		return s
	}
	var b strings.Builder
	for i := 0; i < len(s); {
		u, ok := escaped(s[i:])
		if !ok {
			b.WriteByte(s[i])
			i++
			continue
		}
		i += 7
		r := rune(u)
		if utf16.IsSurrogate(r) {
			low, ok := escaped(s[i:])
			r = utf16.DecodeRune(r, rune(low))
			if ok && r != '\uFFFD' {
				i += 7
			}
		}
		b.WriteRune(r)
	}
	return b.String()
}

// escaped reads a leading _xHHHH_.
func escaped(s string) (uint16, bool) {
	if len(s) < 7 || s[0] != '_' || s[1] != 'x' || s[6] != '_' {
		return 0, false
	}
	u, err := strconv.ParseUint(s[2:6], 16, 16)
	return uint16(u), err == nil
}

// escape writes s as XML text. Carriage returns are escaped too: an XML
// reader would make line feeds of them. A byte that is no UTF-8 becomes
// U+FFFD.
func escape(b *strings.Builder, s string) {
	for i, r := range s {
		switch {
		case r == '&':
			b.WriteString("&amp;")
		case r == '<':
			b.WriteString("&lt;")
		case r == '>':
			b.WriteString("&gt;")
		case r == '"':
			b.WriteString("&quot;")
		case r == '_':
			if _, ok := escaped(s[i:]); ok {
				b.WriteString("_x005F")
			}
			b.WriteByte('_')
		case r < 0x20 && r != '\t' && r != '\n', r == 0xFFFE, r == 0xFFFF:
			h := strconv.FormatUint(uint64(r), 16)
			b.WriteString("_x" + strings.ToUpper("0000"[len(h):]+h) + "_")
		default:
			b.WriteRune(r)
		}
	}
}
