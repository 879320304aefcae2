package media

import (
	"bufio"
	"encoding/binary"
	"io"
)

// Markers of ITU-T T.81, table B.1.
const (
	mTEM  = 0x01
	mSOF0 = 0xc0 // baseline
	mSOF1 = 0xc1 // extended sequential
	mSOF2 = 0xc2 // progressive
	mDHT  = 0xc4
	mJPG  = 0xc8
	mDAC  = 0xcc
	mSOFf = 0xcf
	mRST0 = 0xd0
	mRST7 = 0xd7
	mSOI  = 0xd8
	mEOI  = 0xd9
	mSOS  = 0xda
)

// frame is what the header of a picture says of it.
type frame struct {
	width, height int
	progressive   bool
	perPixel      int // bytes of memory, decoded
}

// walkJPEG reads a JPEG up to and including its end marker, and gives what its
// frame header says. It looks at markers and lengths only: a picture inside
// the picture, such as a camera's preview, is stepped over by its length.
//
// As every decoder does, it puts up with stray bytes between two segments.
func walkJPEG(r *bufio.Reader, maxPixels int64) (f frame, err error) {
	if _, err := r.Discard(len(jpegMagic)); err != nil {
		return frame{}, cut(err, JPEG)
	}
	for scans := 0; ; {
		marker, err := nextMarker(r)
		if err != nil {
			return frame{}, cut(err, JPEG)
		}
		switch {
		case marker == mEOI && scans == 0:
			return frame{}, damaged(JPEG, "there is no picture in it")
		case marker == mEOI:
			return f, nil
		case marker == mSOI:
			return frame{}, damaged(JPEG, "a second picture begins inside it")
		case marker == mTEM || marker >= mRST0 && marker <= mRST7:
			continue // stands alone
		}

		length, err := segmentLength(r)
		if err != nil {
			return frame{}, err
		}
		switch {
		case isFrame(marker):
			if f.width != 0 {
				return frame{}, damaged(JPEG, "it gives its size twice")
			}
			if f, err = readFrame(r, marker, length, maxPixels); err != nil {
				return frame{}, err
			}
		case marker == mSOS && f.width == 0:
			return frame{}, damaged(JPEG, "it does not give its size")
		case marker == mSOS:
			if scans++; scans > MaxScans {
				return frame{}, damaged(JPEG, "it has too many passes")
			}
			fallthrough
		default:
			if _, err := r.Discard(length); err != nil {
				return frame{}, cut(err, JPEG)
			}
		}
	}
}

// nextMarker steps over everything up to the next marker and gives its second
// byte. In a scan that is the coded picture, in which ff 00 stands for a plain
// ff; between segments it is nothing, or padding.
func nextMarker(r *bufio.Reader) (byte, error) {
	for {
		// ReadSlice looks through the buffer at the speed of memory, and coded
		// pictures hold few ff.
		if _, err := r.ReadSlice(0xff); err == bufio.ErrBufferFull {
			continue
		} else if err != nil {
			return 0, err
		}
		b := byte(0xff)
		for b == 0xff { // any number of ff may precede the marker's own byte
			var err error
			if b, err = r.ReadByte(); err != nil {
				return 0, err
			}
		}
		if b != 0 {
			return b, nil
		}
	}
}

// segmentLength reads the length that follows a marker and gives how much is
// left of the segment after it.
func segmentLength(r *bufio.Reader) (int, error) {
	var b [2]byte
	if _, err := io.ReadFull(r, b[:]); err != nil {
		return 0, cut(err, JPEG)
	}
	n := int(binary.BigEndian.Uint16(b[:])) - len(b)
	if n < 0 {
		return 0, damaged(JPEG, "a segment in it has no length")
	}
	return n, nil
}

func isFrame(marker byte) bool {
	return marker >= mSOF0 && marker <= mSOFf && marker != mDHT && marker != mJPG && marker != mDAC
}

// readFrame reads a frame header: precision, height, width, number of
// components (T.81, B.2.2). Only the kinds that decoders in use can read pass.
func readFrame(r *bufio.Reader, marker byte, length int, maxPixels int64) (f frame, err error) {
	const fixed = 6
	if length < fixed {
		return frame{}, damaged(JPEG, "its header is too short")
	}
	var h [fixed]byte
	if _, err := io.ReadFull(r, h[:]); err != nil {
		return frame{}, cut(err, JPEG)
	}
	precision, components := h[0], int(h[5])
	rows, columns := binary.BigEndian.Uint16(h[1:]), binary.BigEndian.Uint16(h[3:])
	switch {
	case marker > mSOF2:
		return frame{}, unusualJPEG("neither baseline nor progressive")
	case precision != 8:
		return frame{}, unusualJPEG("not 8 bits deep")
	case components != 1 && components != 3 && components != 4:
		return frame{}, unusualJPEG("neither grey nor colour")
	case length != fixed+3*components:
		return frame{}, damaged(JPEG, "its header has the wrong length")
	}
	if err := checkSize(uint32(columns), uint32(rows), maxPixels, JPEG); err != nil {
		return frame{}, err
	}
	sampling := make([]byte, length-fixed)
	if _, err := io.ReadFull(r, sampling); err != nil {
		return frame{}, cut(err, JPEG)
	}
	f = frame{width: int(columns), height: int(rows), progressive: marker == mSOF2, perPixel: 1} // it is decoded at a part of its size
	if f.progressive {
		f.perPixel = held(sampling)
	}
	return f, nil
}

// held is how many bytes a pixel of a progressive JPEG takes: all its passes are held as
// coefficients of four bytes, and the samples beside them. A component is stored with as
// many samples as its sampling factors say, against the largest (T.81, A.1.1).
func held(components []byte) int {
	const perSample = 5
	all, h, v := 0, 1, 1
	for i := 1; i < len(components); i += 3 {
		x, y := int(components[i]>>4), int(components[i]&15)
		all, h, v = all+x*y, max(h, x), max(v, y)
	}
	return (perSample*all + h*v - 1) / (h * v)
}
