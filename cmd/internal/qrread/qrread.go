// Package qrread reads the text out of a photograph of a QR code, such as that
// of a receipt.
package qrread

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/png"

	"fettlebook/media"

	"github.com/gen2brain/jpegn"
	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode"
)

const (
	// MaxBytes caps the file of a picture.
	MaxBytes = 24 << 20

	// maxPixels caps a picture that can be read at a part of its size.
	maxPixels = 96e6

	// mostMemory caps what one takes that has to be read whole.
	mostMemory = 100e6

	// enough is how many pixels of the long side are read of a large JPEG.
	enough = 1800
)

// ErrNoCode is returned when no code is found in a picture.
var ErrNoCode = errors.New("no code is found in this picture; take it again, closer and straight on")

// Text returns the text of the code in a picture, a JPEG or PNG file.
func Text(picture []byte) (text string, err error) {
	// The reader is made for pictures of any kind, and may yet meet one that it
	// was not made for.
	defer func() {
		if trouble := recover(); trouble != nil {
			text, err = "", ErrNoCode
		}
	}()
	img, err := decode(picture)
	if err != nil {
		return "", err
	}
	bitmap, err := gozxing.NewBinaryBitmapFromImage(img)
	if err != nil {
		return "", ErrNoCode
	}
	hard := map[gozxing.DecodeHintType]any{gozxing.DecodeHintType_TRY_HARDER: true}
	found, err := qrcode.NewQRCodeReader().Decode(bitmap, hard)
	if err != nil {
		return "", ErrNoCode
	}
	return found.GetText(), nil
}

func decode(picture []byte) (image.Image, error) {
	is, err := media.Inspect(context.Background(), bytes.NewReader(picture), media.Limits{Bytes: MaxBytes, Pixels: maxPixels})
	if err != nil {
		return nil, err
	}
	if each := perPixel(picture, is); float64(is.Width)*float64(is.Height)*each > mostMemory {
		return nil, fmt.Errorf("this picture of %d by %d pixels is too large to be read whole; make it smaller", is.Width, is.Height)
	}
	if is.Format == media.PNG {
		return png.Decode(bytes.NewReader(picture))
	}
	part := 1
	for part < 8 && max(is.Width, is.Height)/part > 2*enough {
		part *= 2
	}
	return jpegn.Decode(bytes.NewReader(picture), &jpegn.Options{ScaleDenom: part})
}

// perPixel is how many bytes it takes for each pixel to decode a picture that
// cannot be read at a part of its size, and to look for a code in it; 0 of one
// that can.
func perPixel(picture []byte, is media.Photo) float64 {
	switch {
	case is.Progressive:
		return 16 // four for each of as many as four colours
	case is.Format == media.JPEG:
		return 0
	}
	switch head, _ := png.DecodeConfig(bytes.NewReader(picture)); head.ColorModel {
	case color.RGBA64Model, color.NRGBA64Model, color.Gray16Model:
		return 11
	}
	return 7
}
