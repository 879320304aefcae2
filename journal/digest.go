package journal

import (
	"encoding/hex"
	"fmt"
	"strings"
)

// Digest is a SHA-256 hash that is not a photo's, written sha256:<hex>.
type Digest [32]byte

// IsZero reports whether no digest is set.
func (d Digest) IsZero() bool { return d == Digest{} }

// String returns the written form.
func (d Digest) String() string { return "sha256:" + hex.EncodeToString(d[:]) }

// MarshalText writes the written form.
func (d Digest) MarshalText() ([]byte, error) { return []byte(d.String()), nil }

// UnmarshalText reads the written form.
func (d *Digest) UnmarshalText(text []byte) error {
	digits, ok := strings.CutPrefix(string(text), "sha256:")
	raw, err := hex.DecodeString(digits)
	if !ok || err != nil || len(raw) != 32 || digits != strings.ToLower(digits) {
		return fmt.Errorf("%.80q is not sha256: and 64 lower-case hexadecimal digits", text)
	}
	*d = Digest(raw)
	return nil
}
