// Package vin reads vehicle identification numbers and judges their check digit.
//
// It promises that a VIN has 17 characters of A-Z and 0-9 without I, O and Q, as ISO
// 3779 says, in capitals and without spaces. A check digit that does not fit is only
// ever a warning: it is required for vehicles built for North America (49 CFR 565.15),
// and elsewhere position 9 may hold any character. Misreadings are suggested, never
// put right unasked.
//
//	v, err := vin.Parse("00fah59h3 5g 118341") // "00FAH59H35G118341"
//	want, ok := v.CheckDigit()                 // '4', true
//
//	vin.Check("00FAH59H3SG118341").Suggestions // 00FAH59H35G118341: position 10: 5 instead of S
package vin

import (
	"fmt"
	"strings"
	"unicode"
)

// Length is the number of characters in a VIN (ISO 3779).
const Length = 17

// checkPosition is the index of the check digit, position 9 (49 CFR 565.15(c)).
const checkPosition = 8

// VIN is a vehicle identification number in its normal form, as Parse returns it. The
// zero value means that none is known.
type VIN string

// Error says why a text is not a VIN.
type Error struct {
	Text    string // what was entered
	Problem string // what is wrong and what to do, as one sentence
}

// Error returns the problem behind the text it is about.
func (e *Error) Error() string {
	text := e.Text
	if runes := []rune(text); len(runes) > 2*Length {
		text = string(runes[:2*Length]) + "…"
	}
	return fmt.Sprintf("VIN %q: %s", text, e.Problem)
}

// Parse brings a text into normal form: capitals, without spaces and hyphens. It
// refuses a wrong length and any character that no VIN holds; it does not judge the
// check digit. Errors are of type *Error.
func Parse(text string) (VIN, error) {
	normal := normalise(text)
	if problem := problemOf(normal); problem != "" {
		return "", &Error{Text: text, Problem: problem}
	}
	return VIN(normal), nil
}

// String returns the 17 characters.
func (v VIN) String() string { return string(v) }

// IsZero reports whether no VIN is known.
func (v VIN) IsZero() bool { return v == "" }

// MarshalText returns the 17 characters.
func (v VIN) MarshalText() ([]byte, error) { return []byte(v), nil }

// UnmarshalText does what Parse does, except that empty text stands for no VIN.
func (v *VIN) UnmarshalText(text []byte) error {
	if len(text) == 0 {
		*v = ""
		return nil
	}
	got, err := Parse(string(text))
	if err != nil {
		return err
	}
	*v = got
	return nil
}

// CheckDigit returns the character that position 9 has where check digits are used,
// '0' to '9' or 'X', and whether v has it. For what is not a VIN it returns 0, false.
func (v VIN) CheckDigit() (want byte, ok bool) {
	total, ok := sum(string(v))
	if !ok {
		return 0, false
	}
	want = digit(total)
	return want, v[checkPosition] == want
}

// WithCheckDigit returns v with the check digit that fits in position 9, for vehicles
// invented for a demonstration. For what is not a VIN it returns "".
func WithCheckDigit(v VIN) VIN {
	want, _ := v.CheckDigit()
	if want == 0 {
		return ""
	}
	return v[:checkPosition] + VIN(want) + v[checkPosition+1:]
}

func normalise(text string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r) || unicode.Is(unicode.Pd, r): // spaces and all hyphens
			return -1
		case 'a' <= r && r <= 'z':
			return r - 'a' + 'A'
		}
		return r
	}, text)
}

// problemOf returns what keeps a normalised text from being a VIN, or "".
func problemOf(normal string) string {
	characters := []rune(normal)
	if len(characters) != Length {
		return fmt.Sprintf("a VIN has %d characters and this has %d: count them again on the plate", Length, len(characters))
	}
	for i, r := range characters {
		if digit, misread := forbidden(r); misread {
			return fmt.Sprintf("position %d is %c, and a VIN has no I, O or Q: look again, it is probably %c", i+1, r, digit)
		}
		if _, ok := value(r); !ok {
			return fmt.Sprintf("position %d is %q, and a VIN has only letters A-Z and digits: look again", i+1, r)
		}
	}
	return ""
}

// forbidden returns the digit that is likely meant by a letter that no VIN holds.
func forbidden(r rune) (digit rune, ok bool) {
	switch r {
	case 'I':
		return '1', true
	case 'O', 'Q':
		return '0', true
	}
	return 0, false
}

// value is what a character counts in the check sum (49 CFR 565.15, table III).
func value(r rune) (n int, ok bool) {
	const letters = "12345678-12345-7-923456789" // A to Z, with gaps for I, O and Q
	switch {
	case '0' <= r && r <= '9':
		return int(r - '0'), true
	case 'A' <= r && r <= 'Z' && letters[r-'A'] != '-':
		return int(letters[r-'A'] - '0'), true
	}
	return 0, false
}

// sum weighs the characters by position (49 CFR 565.15, table IV). The check digit
// itself weighs nothing.
func sum(text string) (total int, ok bool) {
	weights := [Length]int{8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2}
	if len(text) != Length {
		return 0, false
	}
	for i := range Length {
		n, ok := value(rune(text[i]))
		if !ok {
			return 0, false
		}
		total += n * weights[i]
	}
	return total, true
}

// digit turns a sum into its check digit: the remainder over 11, with X for ten (49 CFR
// 565.15, table V).
func digit(sum int) byte { return "0123456789X"[sum%11] }
