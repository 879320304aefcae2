package darkroom

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"image"
	"time"
)

// undated and atUTC stand in a drawn picture's EXIF for the time and the zone
// that it was taken at. What is put there is as long.
const (
	undated = "0001:01:01 00:00:00"
	atUTC   = "+00:00"
)

// Dated puts the time at which a drawn picture is taken into its EXIF, as a
// camera would.
func Dated(exif []byte, taken time.Time) ([]byte, error) {
	exif, err := swapped(exif, []byte(undated), []byte(taken.Format("2006:01:02 15:04:05")))
	if err != nil {
		return nil, err
	}
	return swapped(exif, []byte(atUTC), []byte(taken.Format("-07:00")))
}

// sized says in an EXIF how many pixels the picture has after it was cut.
func sized(exif []byte, was, is image.Point) (_ []byte, err error) {
	// Tags PixelXDimension and PixelYDimension, one LONG each.
	for tag, side := range map[uint16][2]int{0xa002: {was.X, is.X}, 0xa003: {was.Y, is.Y}} {
		if exif, err = swapped(exif, field(tag, side[0]), field(tag, side[1])); err != nil {
			return nil, err
		}
	}
	return exif, nil
}

func field(tag uint16, value int) []byte {
	const long = 4
	raw := binary.BigEndian.AppendUint16(binary.BigEndian.AppendUint16(nil, tag), long)
	return binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(raw, 1), uint32(value))
}

// swapped replaces what stands in a picture once by something as long.
func swapped(in, is, becomes []byte) ([]byte, error) {
	if n := bytes.Count(in, is); n != 1 || len(is) != len(becomes) {
		return nil, fmt.Errorf("%q stands in the picture %d times, not once", is, n)
	}
	return bytes.Replace(in, is, becomes, 1), nil
}
