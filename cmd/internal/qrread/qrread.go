// Package qrread reads the text out of a photograph of a QR code, such as that
// of a receipt.
package qrread

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/png"

	"fettlebook/media"

	"github.com/gen2brain/jpegn"
	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode"
)

const (
	// MaxBytes caps the file of a picture.
	MaxBytes = 24 << 20

	// maxPixels caps a picture that cannot be read at a part of its size.
	maxPixels = 24e6

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
	format, err := media.FormatOf(picture[:min(len(picture), media.HeadLen)])
	if err != nil {
		return nil, err
	}
	var size image.Config
	if format == media.JPEG {
		size, err = jpegn.DecodeConfig(bytes.NewReader(picture))
	} else {
		size, err = png.DecodeConfig(bytes.NewReader(picture))
	}
	if err != nil {
		return nil, fmt.Errorf("read the picture of a code: %w", err)
	}
	if len(picture) > MaxBytes || size.Width*size.Height > maxPixels && (format == media.PNG || size.Width*size.Height > 4*maxPixels) {
		return nil, fmt.Errorf("this picture of %d by %d pixels is too large; make it smaller", size.Width, size.Height)
	}
	if format == media.PNG {
		return png.Decode(bytes.NewReader(picture))
	}
	part := 1
	for part < 8 && max(size.Width, size.Height)/part > 2*enough {
		part *= 2
	}
	return jpegn.Decode(bytes.NewReader(picture), &jpegn.Options{ScaleDenom: part})
}
