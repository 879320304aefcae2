package paper

import (
	"bytes"
	"encoding/gob"
	"fmt"

	"codeberg.org/go-pdf/fpdf"

	"fettlebook/media"
)

// jpeg is what the library is told of a photograph.
func jpeg() fpdf.ImageOptions { return fpdf.ImageOptions{ImageType: "JPG"} }

// photo gives a photograph to the library and returns by which name it has it. One
// that is shown twice is in the file once.
func (p *print) photo(raw []byte) string {
	name := media.RefOf(raw).Hex()
	if p.pdf.GetImageInfo(name) != nil {
		return name
	}
	info := p.pdf.RegisterImageOptionsReader(name, jpeg(), bytes.NewReader(raw))
	if p.pdf.Err() {
		return name
	}
	p.shots++
	if err := apart(info, p.shots); err != nil {
		p.pdf.SetError(fmt.Errorf("keep photograph %.16s in its order: %w", name, err))
	}
	return name
}

// apart makes photographs of one width come in their own order. The library writes them
// sorted by width, and those of one width in the order of a map, other in every file. So
// each is made wider by a ten-thousandth of a pixel more than the one before, which the
// library cuts off where it writes the width.
func apart(info *fpdf.ImageInfoType, n int) error {
	raw, err := info.GobEncode()
	if err != nil {
		return err
	}
	var (
		data, mask, palette []byte
		number, bits        int
		wide, high          float64
		space, filter, dp   string
		clear               []int
		scale, dpi          float64
	)
	fields := []any{&data, &mask, &number, &wide, &high, &space, &palette, &bits, &filter, &dp, &clear, &scale, &dpi}
	from := gob.NewDecoder(bytes.NewReader(raw))
	for _, f := range fields {
		if err := from.Decode(f); err != nil {
			return err
		}
	}
	wide += float64(n%10000) / 10000
	var b bytes.Buffer
	to := gob.NewEncoder(&b)
	for _, f := range fields {
		if err := to.Encode(f); err != nil {
			return err
		}
	}
	return info.GobDecode(b.Bytes())
}
