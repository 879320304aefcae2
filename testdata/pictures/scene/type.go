package scene

import (
	"fmt"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/gobolditalic"
	"golang.org/x/image/font/gofont/gomonobold"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// typeface holds the cuts of the Go fonts that the pictures are lettered with.
type typeface struct{ print, pen, mono *sfnt.Font }

func loadType() (typeface, error) {
	var t typeface
	for _, f := range []struct {
		to  **sfnt.Font
		ttf []byte
	}{{&t.print, gobold.TTF}, {&t.pen, gobolditalic.TTF}, {&t.mono, gomonobold.TTF}} {
		var err error
		if *f.to, err = opentype.Parse(f.ttf); err != nil {
			return t, fmt.Errorf("parse font: %w", err)
		}
	}
	return t, nil
}

// letters gives the outlines of a line of text that begins at the origin and stands on it, and how wide it runs. Size is
// the height of an em. Letters that the font lacks come out as its empty box.
func letters(f *sfnt.Font, size float64, text string) (shape, float64) {
	const em = 256
	var (
		buf sfnt.Buffer
		out shape
		x   float64
	)
	k := size / em / 64
	for _, r := range text {
		glyph, err := f.GlyphIndex(&buf, r)
		if err != nil {
			continue // the fonts are part of the program and whole; a damaged one would show as a gap
		}
		segments, err := f.LoadGlyph(&buf, glyph, fixed.I(em), nil)
		if err != nil {
			continue
		}
		at := func(p fixed.Point26_6) pt { return pt{x + float64(p.X)*k, float64(p.Y) * k} }
		var pen pt
		for _, s := range segments {
			switch s.Op {
			case sfnt.SegmentOpMoveTo:
				out = append(out, nil)
				pen = at(s.Args[0])
			case sfnt.SegmentOpLineTo:
				pen = at(s.Args[0])
			case sfnt.SegmentOpQuadTo, sfnt.SegmentOpCubeTo: // these fonts are TrueType: there are no cubics
				a, b := at(s.Args[0]), at(s.Args[1])
				for i := 1; i < 4; i++ {
					t := float64(i) / 4
					u := 1 - t
					out[len(out)-1] = append(out[len(out)-1],
						pt{u*u*pen.x + 2*u*t*a.x + t*t*b.x, u*u*pen.y + 2*u*t*a.y + t*t*b.y})
				}
				pen = b
			}
			out[len(out)-1] = append(out[len(out)-1], pen)
		}
		advance, err := f.GlyphAdvance(&buf, glyph, fixed.I(em), font.HintingNone)
		if err == nil {
			x += float64(advance) * k
		}
	}
	return out, x
}

// write letters text in a flat colour with its left end at (x, y), and tells how wide it runs.
func (p pen) write(f *sfnt.Font, x, y, size float64, text string, c rgb) float64 {
	s, w := letters(f, size, text)
	p.move(x, y).unmirrored(w).fill(s, c, 1)
	return w
}

// centred letters text in a flat colour about x.
func (p pen) centred(f *sfnt.Font, x, y, size float64, text string, c rgb) {
	s, w := letters(f, size, text)
	p.move(x-w/2, y).unmirrored(w).fill(s, c, 1)
}

// emboss raises text about x from a casting, as a cast mark is.
func (p pen) emboss(x, y, size float64, text string, m material) {
	s, w := letters(p.faces.print, size, text)
	q := p.move(x-w/2, y).unmirrored(w)
	q.shadow(s, 2, 3, 3, 0.6)
	m.base, m.spot = m.base.times(1.15), m.spot.times(1.15)
	q.relief(s, m, 5)
}
