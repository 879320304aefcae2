package pages

import (
	"fmt"
	"strings"

	"rsc.io/qr"
)

// QR is a QR code as an SVG path: dark dots on white in both themes, since a
// reader needs them so. Size is its side with the quiet zone of four dots that
// ISO/IEC 18004 asks for.
type QR struct {
	Path string
	Size int
}

// DrawQR draws a text.
func DrawQR(text string) (QR, error) {
	code, err := qr.Encode(text, qr.M)
	if err != nil {
		return QR{}, fmt.Errorf("draw QR code: %w", err)
	}
	const quiet = 4
	var b strings.Builder
	for y := range code.Size {
		for x := 0; x < code.Size; x++ {
			from := x
			for x < code.Size && code.Black(x, y) {
				x++
			}
			if x > from {
				fmt.Fprintf(&b, "M%d %dh%dv1h-%[3]dz", from+quiet, y+quiet, x-from)
			}
		}
	}
	return QR{Path: b.String(), Size: code.Size + 2*quiet}, nil
}
