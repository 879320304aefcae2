package darkroom

import (
	"bytes"
	"fmt"
	"image"
	"math/rand/v2"
	"time"

	"fettlebook/journal/invented"

	"github.com/gen2brain/jpegn"
)

// Width and Height are the pixels of every print. What two close-ups show is of
// one scale: a plate is cut, and never made larger or smaller.
const (
	Width  = 560
	Height = 420
)

const quality = 74

// Print makes the photograph of a shot as the camera hands it out: a JPEG with
// its time in the EXIF. The same shot taken at the same time gives the same
// bytes.
func (r *Room) Print(s invented.Shot, taken time.Time) ([]byte, error) {
	name, err := r.choose(s)
	if err != nil {
		return nil, err
	}
	p, err := r.plate(name)
	if err != nil {
		return nil, err
	}
	dice := rand.New(rand.NewPCG(s.Seed, uint64(len(name))<<8|uint64(name[0])))
	img, err := r.exposed(p, s, dice)
	if err != nil {
		return nil, fmt.Errorf("make a print of %s: %w", name, err)
	}
	if err := r.slip(img, s.Marks, dice); err != nil {
		return nil, fmt.Errorf("make a print of %s: %w", name, err)
	}
	exif, err := Dated(p.exif, taken)
	if err != nil {
		return nil, fmt.Errorf("date a print of %s: %w", name, err)
	}
	var out bytes.Buffer
	if err := jpegn.Encode(&out, img, &jpegn.EncodeOptions{Quality: quality, Subsampling: jpegn.Subsample420, Exif: exif}); err != nil {
		return nil, fmt.Errorf("write a print of %s: %w", name, err)
	}
	return out.Bytes(), nil
}

// exposed is a part of a plate, in another light, with the coat in its colour.
func (r *Room) exposed(p *plate, s invented.Shot, dice *rand.Rand) (*image.NRGBA, error) {
	size := p.pixels.Rect.Size()
	left, top := dice.IntN(size.X-Width+1), dice.IntN(size.Y-Height+1)
	mirrored := dice.IntN(2) == 0
	lamp := 0.86 + 0.26*dice.Float32()
	warm := 0.96 + 0.08*dice.Float32()
	from, to := plateCoat(), plateCoat()
	if s.Colour != "" {
		var err error
		if to, err = coat(s.Colour); err != nil {
			return nil, err
		}
	}
	out := image.NewNRGBA(image.Rect(0, 0, Width, Height))
	for y := range Height {
		row, in := out.Pix[y*out.Stride:], p.pixels.Pix[(top+y)*p.pixels.Stride:]
		for x := range Width {
			at := left + x
			if mirrored {
				at = left + Width - 1 - x
			}
			px := in[4*at : 4*at+3 : 4*at+3]
			red, green, blue := r.tones.light[px[0]], r.tones.light[px[1]], r.tones.light[px[2]]
			// How much of a pixel is coat shows in how far red is above blue: on
			// plates nothing else is like that. What it mirrors of the lamp is white.
			if share := (red - blue) / (from[0] - from[2]); share > 0 && s.Colour != "" {
				glint := blue - share*from[2]
				coated := min(4*share, 1)
				red, blue = glint+share*to[0], glint+share*to[2]
				green = coated*(glint+share*to[1]) + (1-coated)*(green+share*(to[1]-from[1]))
			}
			row[4*x], row[4*x+1], row[4*x+2], row[4*x+3] = r.tones.shown(red*lamp*warm), r.tones.shown(green*lamp), r.tones.shown(blue*lamp/warm), 255
		}
	}
	return out, nil
}
