package svg

import (
	"fmt"
	"strings"

	"keyon/format/page"
)

// Style returns the style sheet of all drawings. It belongs into the style
// sheet of a page that shows them inline. Ink is currentColor, greys are its
// opacity; the page may set --paper, --stop and --look.
func Style() string {
	var b strings.Builder
	b.WriteString(`.drawing text{font-family:"DejaVu Sans Condensed","DejaVu Sans",sans-serif;stroke:none;white-space:pre;font-kerning:none;direction:ltr;unicode-bidi:bidi-override}
.drawing text.f-bold{font-weight:bold}
.drawing text.f-mono{font-family:"DejaVu Sans Mono",monospace}
.drawing line,.drawing polyline,.drawing path,.drawing polygon,.drawing rect,.drawing circle{stroke-linecap:round;stroke-linejoin:round}
`)
	for _, c := range page.Roles {
		s := page.StyleOf(c)
		role := c.Words()
		width := ";stroke-width:" + num(s.Width)
		if len(s.Dash) > 0 {
			dash := make([]string, len(s.Dash))
			for i, d := range s.Dash {
				dash[i] = num(d)
			}
			width += ";stroke-dasharray:" + strings.Join(dash, " ")
		}
		outline := paint("stroke", s.Line, c)
		if s.Line != page.None {
			outline += width
		}
		fmt.Fprintf(&b, ".drawing .l-%s{fill:none;%s%s}\n", role, paint("stroke", s.Stroke(), c), width)
		fmt.Fprintf(&b, ".drawing .s-%s{%s;%s}\n", role, paint("fill", s.Fill, c), outline)
		fmt.Fprintf(&b, ".drawing .t-%s{%s}\n", role, paint("fill", s.Ink, c))
	}
	return b.String()
}

// paint returns the declarations of fill or stroke for a grey. The second of
// two declarations is dropped by readers that know no variables.
func paint(what string, grey float64, c page.Class) string {
	switch {
	case grey == page.None:
		return what + ":none"
	case c == page.Black || c == page.White:
		return what + ":" + string(c)
	case grey == 1:
		return what + ":#fff;" + what + ":var(--paper,#fff)"
	case c == page.Stop || c == page.Look:
		return fmt.Sprintf("%s:currentColor;%s:var(--%s,currentColor)", what, what, c)
	case grey == 0:
		return what + ":currentColor"
	}
	return fmt.Sprintf("%s:currentColor;%s-opacity:%s", what, what, num(1-grey))
}
