package darkroom

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"math/rand/v2"

	"golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
)

// slip lays a slip of paper into an upper corner of a print, with what is
// written on it.
func (r *Room) slip(img *image.NRGBA, lines []string, dice *rand.Rand) error {
	if len(lines) == 0 {
		return nil
	}
	const letter, line, edge = 17.0, 21, 9
	face, err := opentype.NewFace(r.hand, &opentype.FaceOptions{Size: letter, DPI: 72})
	if err != nil {
		return fmt.Errorf("write the slip: %w", err)
	}
	defer face.Close()
	wide := 0
	for _, text := range lines {
		wide = max(wide, font.MeasureString(face, text).Ceil())
	}
	paper := image.Rect(0, 0, wide+2*edge, len(lines)*line+2*edge).Add(image.Pt(14+dice.IntN(20), 12+dice.IntN(16)))
	if dice.IntN(2) == 0 {
		paper = paper.Add(image.Pt(img.Rect.Dx()-paper.Max.X-paper.Min.X, 0))
	}
	shade := uint8(226 + dice.IntN(20))
	fill := func(at image.Rectangle, c color.Color) {
		draw.Draw(img, at, image.NewUniform(c), image.Point{}, draw.Over)
	}
	fill(paper.Add(image.Pt(3, 4)), color.NRGBA{A: 90})
	fill(paper, color.NRGBA{shade - 30, shade - 38, shade - 56, 255})
	fill(paper.Inset(1), color.NRGBA{shade, shade - 8, shade - 26, 255})
	pen := font.Drawer{Dst: img, Src: image.NewUniform(color.NRGBA{0x16, 0x23, 0x3f, 255}), Face: face}
	for i, text := range lines {
		pen.Dot = fixed.P(paper.Min.X+edge, paper.Min.Y+edge+i*line+int(letter)-2)
		pen.DrawString(text)
	}
	return nil
}
