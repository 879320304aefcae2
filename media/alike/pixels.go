package alike

import (
	"bytes"
	"errors"
	"image"
	"image/color"
	"image/draw"
	"image/png"

	"fettlebook/media"

	"github.com/gen2brain/jpegn"
)

// decoded decodes a picture whole.
func decoded(raw []byte, format media.Format) (*picture, error) {
	var img image.Image
	var err error
	if format == media.JPEG {
		img, err = jpegn.Decode(bytes.NewReader(raw))
	} else {
		img, err = png.Decode(bytes.NewReader(raw))
	}
	if err != nil {
		return nil, err
	}
	size := img.Bounds().Size()
	if size.X == 0 || size.Y == 0 {
		return nil, errors.New("there is no picture in it")
	}
	p := &picture{width: size.X, height: size.Y}
	switch img := img.(type) {
	case *image.YCbCr:
		c := img.Bounds()
		chroma := image.Pt(ratio(img.SubsampleRatio))
		cw, ch := (size.X+chroma.X-1)/chroma.X, (size.Y+chroma.Y-1)/chroma.Y
		p.planes[0] = plane{pix: img.Y[img.YOffset(c.Min.X, c.Min.Y):], stride: img.YStride, width: size.X, height: size.Y, across: 1, down: 1}
		for i, pix := range [][]byte{img.Cb, img.Cr} {
			p.planes[i+1] = plane{pix: pix[img.COffset(c.Min.X, c.Min.Y):], stride: img.CStride, width: cw, height: ch, across: chroma.X, down: chroma.Y}
		}
	case *image.Gray:
		p.planes[0] = plane{pix: img.Pix, stride: img.Stride, width: size.X, height: size.Y, across: 1, down: 1}
	default:
		p.paint(img)
	}
	return p, nil
}

// ratio is how many pixels share a sample of colour.
func ratio(r image.YCbCrSubsampleRatio) (across, down int) {
	switch r {
	case image.YCbCrSubsampleRatio422:
		return 2, 1
	case image.YCbCrSubsampleRatio420:
		return 2, 2
	case image.YCbCrSubsampleRatio440:
		return 1, 2
	case image.YCbCrSubsampleRatio411:
		return 4, 1
	case image.YCbCrSubsampleRatio410:
		return 4, 2
	default:
		return 1, 1
	}
}

// paint takes a picture of any other kind, on white paper where it is
// transparent.
func (p *picture) paint(img image.Image) {
	for i := range p.planes {
		p.planes[i] = plane{pix: make([]byte, p.width*p.height), stride: p.width, width: p.width, height: p.height, across: 1, down: 1}
	}
	row := image.NewRGBA(image.Rect(0, 0, p.width, 1))
	for y := range p.height {
		draw.Draw(row, row.Rect, image.White, image.Point{}, draw.Src)
		draw.Draw(row, row.Rect, img, img.Bounds().Min.Add(image.Pt(0, y)), draw.Over)
		for x := range p.width {
			at := y*p.width + x
			p.planes[0].pix[at], p.planes[1].pix[at], p.planes[2].pix[at] = color.RGBToYCbCr(row.Pix[4*x], row.Pix[4*x+1], row.Pix[4*x+2])
		}
	}
}
