package media

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"strings"
)

// A Ref names a photo by what it is: the SHA-256 of its original bytes, all 32
// of them. Two photos with the same Ref are the same photo, and nobody can put
// another picture under a Ref that is already written down somewhere.
//
// Its text form is "sha256:" and 64 lower-case hexadecimal digits. The zero Ref
// stands for "no photo" and has the empty text form.
type Ref [sha256.Size]byte

const refPrefix = "sha256:"

// ParseRef reads the text form. It accepts that form only: no upper case, no
// blanks, no missing prefix, so that one photo has one name. The empty text is
// refused; see [Ref.UnmarshalText] for reading a Ref that may be absent.
func ParseRef(s string) (Ref, error) {
	digits, ok := strings.CutPrefix(s, refPrefix)
	if !ok {
		return Ref{}, fmt.Errorf("photo reference %.80q must begin with %q", s, refPrefix)
	}
	r, err := ParseHex(digits)
	if err != nil {
		return Ref{}, fmt.Errorf("photo reference %.80q: %w", s, err)
	}
	return r, nil
}

// ParseHex reads the 64 lower-case hexadecimal digits without the prefix, as
// they stand in file names and addresses.
func ParseHex(digits string) (Ref, error) {
	var r Ref
	if len(digits) != hex.EncodedLen(len(r)) || strings.ContainsFunc(digits, notLowerHex) {
		return Ref{}, fmt.Errorf("want %d digits of 0-9 and a-f", hex.EncodedLen(len(r)))
	}
	if _, err := hex.Decode(r[:], []byte(digits)); err != nil {
		return Ref{}, err
	}
	return r, nil
}

func notLowerHex(c rune) bool {
	return (c < '0' || c > '9') && (c < 'a' || c > 'f')
}

// RefOf is the Ref of bytes that are all at hand.
func RefOf(original []byte) Ref { return sha256.Sum256(original) }

// IsZero reports whether r names no photo.
func (r Ref) IsZero() bool { return r == Ref{} }

// Hex is the 64 digits without the prefix.
func (r Ref) Hex() string { return hex.EncodeToString(r[:]) }

// String is the text form; the zero Ref gives "".
func (r Ref) String() string {
	if r.IsZero() {
		return ""
	}
	return refPrefix + r.Hex()
}

// MarshalText gives the same text as [Ref.String].
func (r Ref) MarshalText() ([]byte, error) { return []byte(r.String()), nil }

// UnmarshalText reads what MarshalText wrote: the text form, or nothing for the
// zero Ref.
func (r *Ref) UnmarshalText(text []byte) error {
	if len(text) == 0 {
		*r = Ref{}
		return nil
	}
	parsed, err := ParseRef(string(text))
	if err != nil {
		return err
	}
	*r = parsed
	return nil
}
