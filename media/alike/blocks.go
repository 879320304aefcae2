package alike

import (
	"bytes"
	"encoding/binary"
	"errors"

	"fettlebook/media"
)

// Markers of ITU-T T.81, table B.1.
const (
	mSOF0 = 0xc0 // baseline
	mSOF1 = 0xc1 // extended sequential
	mSOF2 = 0xc2 // progressive
	mDHT  = 0xc4
	mDAC  = 0xcc
	mSOFf = 0xcf
	mRST0 = 0xd0
	mRST7 = 0xd7
	mEOI  = 0xd9
	mSOS  = 0xda
	mDQT  = 0xdb
	mDRI  = 0xdd
	mAPPe = 0xee
	mTEM  = 0x01
)

var (
	// errOtherKind says that a JPEG is of a kind whose blocks are not read here.
	errOtherKind = errors.New("it is a JPEG of another kind")
	errBroken    = errors.New("it is damaged")
)

// component is one of the three, or the one, that a JPEG consists of.
type component struct {
	id, h, v, quant int
	across, down    int // blocks, with those that fill up the last unit
	real            [2]int
	dc              []int16
	read            bool
}

// blocks reads the mean of every block of a JPEG: its first coefficient. The
// others are stepped over.
type blocks struct {
	raw           []byte
	at            int
	width, height int
	progressive   bool
	rgb           bool
	parts         []component
	most          [2]int // samples of a unit across and down, in blocks
	quant         [4]int // the first step of each table
	dc, ac        [4]*codes
	restart       int
}

// means reads the means of a JPEG's blocks as a picture.
func means(raw []byte) (*picture, error) {
	b := &blocks{raw: raw, at: 2}
	if err := b.read(); err != nil {
		return nil, err
	}
	p := &picture{width: b.width, height: b.height}
	for i := range b.parts {
		c := &b.parts[i]
		if !c.read {
			return nil, errBroken
		}
		pix := make([]byte, len(c.dc))
		step := b.quant[c.quant]
		for at, v := range c.dc {
			pix[at] = byte(min(max(int(v)*step/8+128, 0), 255))
		}
		p.planes[i] = plane{pix: pix, stride: c.across, width: c.across, height: c.down, across: 8 * b.most[0] / c.h, down: 8 * b.most[1] / c.v}
	}
	return p, nil
}

// read goes from marker to marker until all components are there.
func (b *blocks) read() error {
	for !b.done() {
		i := bytes.IndexByte(b.raw[b.at:], 0xff)
		if i < 0 || b.at+i+1 >= len(b.raw) {
			return errBroken
		}
		b.at += i + 1
		marker := b.raw[b.at]
		switch {
		case marker == 0xff:
			continue
		case marker == mEOI:
			return nil
		case marker == 0 || marker == mTEM || marker >= mRST0 && marker <= mRST7:
			b.at++
			continue
		}
		b.at++
		if b.at+2 > len(b.raw) {
			return errBroken
		}
		length := int(binary.BigEndian.Uint16(b.raw[b.at:]))
		if length < 2 || b.at+length > len(b.raw) {
			return errBroken
		}
		body := b.raw[b.at+2 : b.at+length]
		b.at += length
		if err := b.segment(marker, body); err != nil {
			return err
		}
	}
	return nil
}

func (b *blocks) done() bool {
	for _, c := range b.parts {
		if !c.read {
			return false
		}
	}
	return len(b.parts) > 0
}

func (b *blocks) segment(marker byte, body []byte) error {
	switch {
	case marker == mDQT:
		return b.quants(body)
	case marker == mDHT:
		return b.tables(body)
	case marker == mDRI:
		if len(body) < 2 {
			return errBroken
		}
		b.restart = int(binary.BigEndian.Uint16(body))
	case marker == mSOS:
		return b.scan(body)
	case marker == mAPPe && bytes.HasPrefix(body, []byte("Adobe")) && len(body) >= 12:
		b.rgb = body[11] == 0
	case marker == mSOF0 || marker == mSOF1 || marker == mSOF2:
		b.progressive = marker == mSOF2
		return b.frame(body)
	case marker > mSOF2 && marker <= mSOFf && marker != 0xc8 || marker == mDAC:
		return errOtherKind
	}
	return nil
}

func (b *blocks) quants(body []byte) error {
	for len(body) > 0 {
		wide, id := int(body[0]>>4), body[0]&15
		if wide > 1 || id > 3 || len(body) < 1+64*(wide+1) {
			return errBroken
		}
		b.quant[id] = int(body[1])
		if wide == 1 {
			b.quant[id] = int(binary.BigEndian.Uint16(body[1:]))
		}
		body = body[1+64*(wide+1):]
	}
	return nil
}

// frame reads the size and the components.
func (b *blocks) frame(body []byte) error {
	if len(body) < 6 || len(b.parts) > 0 {
		return errBroken
	}
	n := int(body[5])
	b.height, b.width = int(binary.BigEndian.Uint16(body[1:])), int(binary.BigEndian.Uint16(body[3:]))
	switch {
	case int64(b.width)*int64(b.height) > media.MaxPixels:
		return errBroken
	case body[0] != 8 || n != 1 && n != 3 || b.height == 0:
		return errOtherKind
	case len(body) < 6+3*n || b.width == 0:
		return errBroken
	}
	for i := range n {
		is := body[6+3*i:]
		c := component{id: int(is[0]), h: int(is[1] >> 4), v: int(is[1] & 15), quant: int(is[2])}
		if c.h < 1 || c.h > 4 || c.v < 1 || c.v > 4 || c.quant > 3 {
			return errBroken
		}
		if n == 1 {
			c.h, c.v = 1, 1 // one component has no units
		}
		b.most[0], b.most[1] = max(b.most[0], c.h), max(b.most[1], c.v)
		b.parts = append(b.parts, c)
	}
	if b.rgb && n == 3 || n == 3 && b.parts[0].id == 'R' && b.parts[1].id == 'G' {
		return errOtherKind
	}
	for i := range b.parts {
		c := &b.parts[i]
		if b.most[0]%c.h != 0 || b.most[1]%c.v != 0 {
			return errOtherKind
		}
		c.across = up(b.width, 8*b.most[0]) * c.h
		c.down = up(b.height, 8*b.most[1]) * c.v
		c.real = [2]int{up(up(b.width*c.h, b.most[0]), 8), up(up(b.height*c.v, b.most[1]), 8)}
		c.dc = make([]int16, c.across*c.down)
	}
	return nil
}

func up(n, by int) int { return (n + by - 1) / by }
