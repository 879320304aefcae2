package paper

import (
	"fmt"
	"strings"
	"unicode"

	"fettlebook/journal/words"

	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// typeface is a font that letters are measured and drawn in.
type typeface struct {
	family, style string
	raw           []byte
	scale         float64 // of its letters, so that faces look as large beside each other
	font          *sfnt.Font
	buf           sfnt.Buffer
	wide          map[rune]float64 // of letters, in ems; negative of one that the font does not have
}

// The families of the fonts.
const serif, mono = "serif", "mono"

func newTypeface(family, style string, raw []byte) (*typeface, error) {
	f, err := sfnt.Parse(raw)
	if err != nil {
		return nil, fmt.Errorf("read the font %s: %w", family, err)
	}
	scale := 1.0
	if family == mono {
		scale = 0.92
	}
	return &typeface{family: family, style: style, raw: raw, scale: scale, font: f, wide: make(map[rune]float64)}, nil
}

// width is how wide a letter is in ems; negative if the font does not have it.
func (t *typeface) width(r rune) float64 {
	if w, ok := t.wide[r]; ok {
		return w
	}
	const em = 2048 // the units of the fonts in use
	w := -1.0
	// The PDF writer knows letters of the first plane only.
	if g, err := t.font.GlyphIndex(&t.buf, r); err == nil && g != 0 && r <= 0xffff {
		if a, err := t.font.GlyphAdvance(&t.buf, g, fixed.I(em), font.HintingNone); err == nil {
			w = float64(a) / 64 / em
		}
	}
	t.wide[r] = w
	return w
}

// missing stands for a letter that the font does not have: the page in HTML
// shows it.
const missing = '□'

// printable is a text as it is seen, with what the font can draw; what only chooses
// between shapes of a letter is left out.
func (t *typeface) printable(text string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case unicode.Is(unicode.Variation_Selector, r):
			return -1
		case t.width(r) < 0:
			return missing
		}
		return r
	}, words.OneLine(text))
}

// measure is how wide a printable text is, in mm.
func (t *typeface) measure(text string, size float64) (mm float64) {
	for _, r := range text {
		mm += t.width(r)
	}
	return mm * size * t.scale * point
}
