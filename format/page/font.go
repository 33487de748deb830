package page

import (
	_ "embed" // the font files
	"math"
	"sync"
	"sync/atomic"

	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// Face is one of the embedded faces.
type Face int

// The faces. Mono is for codes, where 0 and O, 1 and l must not be confused.
const (
	Regular Face = iota
	Bold
	Mono
)

func (f Face) String() string {
	switch f {
	case Bold:
		return "bold"
	case Mono:
		return "mono"
	}
	return "regular"
}

// Family is the name of the font that a face comes from.
func (f Face) Family() string {
	if f == Mono {
		return "DejaVu Sans Mono"
	}
	return "DejaVu Sans Condensed"
}

var (
	//go:embed font/DejaVuSansCondensed.ttf
	regularTTF []byte
	//go:embed font/DejaVuSansCondensed-Bold.ttf
	boldTTF []byte
	//go:embed font/DejaVuSansMono.ttf
	monoTTF []byte
)

// TTF returns the bytes of the face's font file. They must not be changed.
func (f Face) TTF() []byte {
	switch f {
	case Bold:
		return boldTTF
	case Mono:
		return monoTTF
	}
	return regularTTF
}

// glyph packs what is known of one character: advance and reach above and
// below the baseline, each in 1/1000 em.
type glyph uint64

const (
	glyphKnown glyph = 1 << 63
	glyphDrawn glyph = 1 << 62
)

func (g glyph) advance() float64 { return float64(g>>32&0xffff) / 1000 }
func (g glyph) up() float64      { return float64(int16(g>>16)) / 1000 }
func (g glyph) down() float64    { return float64(int16(g)) / 1000 }

// metrics remembers the glyphs of a face as they are asked for. Only the first
// 65,536 characters count: PDF writes two bytes a character.
type metrics struct {
	once   sync.Once
	font   *sfnt.Font
	buf    sync.Pool
	glyphs [1 << 16]atomic.Uint64
}

var faces [3]metrics

func (f Face) metrics() *metrics {
	if f < Regular || f > Mono {
		f = Regular
	}
	m := &faces[f]
	m.once.Do(func() {
		var err error
		if m.font, err = sfnt.Parse(f.TTF()); err != nil {
			panic("page: embedded font: " + err.Error())
		}
		m.buf.New = func() any { return new(sfnt.Buffer) }
	})
	return m
}

// of returns the glyph of a character; zero where the face has none.
func (m *metrics) of(r rune) glyph {
	if r < 0 || int(r) >= len(m.glyphs) {
		return 0
	}
	g := glyph(m.glyphs[r].Load())
	if g&glyphKnown == 0 {
		g = m.load(r) | glyphKnown
		m.glyphs[r].Store(uint64(g))
	}
	if g&glyphDrawn == 0 {
		return 0
	}
	return g
}

func (m *metrics) load(r rune) glyph {
	b := m.buf.Get().(*sfnt.Buffer)
	defer m.buf.Put(b)
	i, err := m.font.GlyphIndex(b, r)
	if err != nil || i == 0 {
		return 0
	}
	em := fixed.Int26_6(m.font.UnitsPerEm()) // one unit of the font is one unit of the result
	box, adv, err := m.font.GlyphBounds(b, i, em, font.HintingNone)
	if err != nil {
		return 0
	}
	// fpdf writes widths as whole thousandths of an em; rounding in the same
	// way keeps layout and PDF together to the last character.
	mil := func(v fixed.Int26_6) float64 { return math.Round(float64(v) * 1000 / float64(em)) }
	pack := func(v float64) glyph { return glyph(uint16(int16(v))) }
	return glyphDrawn | glyph(uint16(mil(adv)))<<32 | pack(-mil(box.Min.Y))<<16 | pack(mil(box.Max.Y))
}

// Has reports whether the face can draw the character.
func (f Face) Has(r rune) bool { return f.metrics().of(r) != 0 }

// Width returns the length of a cleaned text, mm, at size mm of em.
func Width(f Face, size float64, s string) float64 {
	m := f.metrics()
	w := 0.0
	for _, r := range s {
		w += m.wide(r)
	}
	return w * size
}

// wide returns the advance of a character in em, that of the replacement for
// one that the face lacks.
func (m *metrics) wide(r rune) float64 {
	g := m.of(r)
	if g == 0 {
		g = m.of(Missing)
	}
	return g.advance()
}

// Extent returns how far the ink of a cleaned text reaches above and below its
// baseline, mm. What rises above a line of LineHeight (accents on accents) or
// hangs below it is not counted.
func Extent(f Face, size float64, s string) (up, down float64) {
	m := f.metrics()
	first := true
	for _, r := range s {
		g := m.of(r)
		if g == 0 {
			g = m.of(Missing)
		}
		if g.up() == 0 && g.down() == 0 { // no ink: a space
			continue
		}
		if first {
			up, down, first = g.up(), g.down(), false
			continue
		}
		up, down = math.Max(up, g.up()), math.Max(down, g.down())
	}
	return math.Min(up, baseline) * size, math.Min(down, LineHeight-baseline) * size
}
