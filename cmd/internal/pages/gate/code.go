package gate

import (
	"crypto/subtle"
	"encoding/base32"
	"errors"
	"fmt"
	"io"
	"strings"
)

// ErrCode says that a text is not a pairing code at all.
var ErrCode = errors.New("this is not a pairing code: type the eight letters and digits as the tablet shows them, such as 7KQ2-M4XB")

// A code is in lower case and without dashes: 8 characters to be typed, 40 bits,
// or 32 in a link, 160 bits.
type code string

const (
	typedLength = 8
	linkLength  = 32
	// codeLetters leaves out i, l, o and u, which a person misreads; parseCode
	// reads i and l as 1 and o as 0.
	codeLetters = "0123456789abcdefghjkmnpqrstvwxyz"
)

func drawCode(rand io.Reader, length int) (code, error) {
	raw := make([]byte, length*5/8)
	if _, err := io.ReadFull(rand, raw); err != nil {
		return "", fmt.Errorf("draw a pairing code: %w", err)
	}
	return code(base32.NewEncoding(codeLetters).WithPadding(base32.NoPadding).EncodeToString(raw)), nil
}

// parseCode reads a code as people type it: in any case, with or without dash
// and spaces.
func parseCode(text string) (code, error) {
	if len(text) > 4*linkLength {
		return "", ErrCode
	}
	plain := strings.NewReplacer("-", "", " ", "", "i", "1", "l", "1", "o", "0").Replace(strings.ToLower(text))
	if len(plain) != typedLength && len(plain) != linkLength || strings.Trim(plain, codeLetters) != "" {
		return "", ErrCode
	}
	return code(plain), nil
}

// spaced is the typed code as people read it out.
func (c code) spaced() string {
	return strings.ToUpper(string(c[:typedLength/2] + "-" + c[typedLength/2:]))
}

func (c code) equal(d code) bool { return subtle.ConstantTimeCompare([]byte(c), []byte(d)) == 1 }
