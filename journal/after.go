package journal

import (
	"encoding/base64"
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// Prefix is the beginning of a log as an entry cites it: how many entries of
// it, and the first 16 bytes of the log's root there (RFC 6962), which commit
// to every byte of them.
type Prefix struct {
	Device DeviceID
	Size   int64
	Root   [16]byte
}

// Fits reports whether a log with this root at the prefix's size is the one
// that is cited.
func (p Prefix) Fits(root [32]byte) bool { return p.Root == [16]byte(root[:16]) }

// After says how much of every other log the writer of an entry held, sorted
// by device, each log once. It is written as one text, such as
// "hub1/412/3q2-7wQ1Zg8b0nQ6mS4nRg t3fz8c1n/17/…".
type After []Prefix

// IsZero reports whether nothing of other logs was held.
func (a After) IsZero() bool { return len(a) == 0 }

// Of returns what is cited of a device's log; its Size is 0 if nothing is.
func (a After) Of(device DeviceID) Prefix {
	i, ok := slices.BinarySearchFunc(a, device, func(p Prefix, d DeviceID) int { return strings.Compare(string(p.Device), string(d)) })
	if !ok {
		return Prefix{Device: device}
	}
	return a[i]
}

// MarshalText writes the written form.
func (a After) MarshalText() ([]byte, error) {
	text := make([]byte, 0, len(a)*40)
	for i, p := range a {
		if i > 0 {
			text = append(text, ' ')
		}
		text = append(text, p.Device...)
		text = append(text, '/')
		text = strconv.AppendInt(text, p.Size, 10)
		text = append(text, '/')
		text = base64.RawURLEncoding.AppendEncode(text, p.Root[:])
	}
	return text, nil
}

// maxAfterText is as long as the written form can be.
const maxAfterText = MaxAfter * (MaxName + len("/1099511627776/") + 22 + 1)

// UnmarshalText reads the written form strictly: one text has one meaning and
// one meaning has one text.
func (a *After) UnmarshalText(text []byte) error {
	if len(text) > maxAfterText {
		return fmt.Errorf("after has %d bytes, more than %d", len(text), maxAfterText)
	}
	words := strings.Split(string(text), " ")
	if len(words) > MaxAfter {
		return fmt.Errorf("after names %d logs, more than %d", len(words), MaxAfter)
	}
	list := make(After, len(words))
	for i, word := range words {
		if err := list[i].read(word); err != nil {
			return err
		}
		if i > 0 && list[i-1].Device >= list[i].Device {
			return fmt.Errorf("after names %s behind %s; each log stands once, in the order of their names", list[i].Device, list[i-1].Device)
		}
	}
	*a = list
	return nil
}

func (p *Prefix) read(word string) error {
	device, rest, _ := strings.Cut(word, "/")
	number, hash, _ := strings.Cut(rest, "/")
	if err := p.Device.UnmarshalText([]byte(device)); err != nil {
		return fmt.Errorf("after: %w", err)
	}
	size, err := strconv.ParseInt(number, 10, 64)
	if err != nil || size < 1 || size > MaxLog || strconv.FormatInt(size, 10) != number {
		return fmt.Errorf("after cites %.20q entries of log %s, which is not a size", number, device)
	}
	root, err := base64.RawURLEncoding.Strict().DecodeString(hash)
	if err != nil || len(root) != len(p.Root) {
		return fmt.Errorf("after cites log %s by %.40q, which is not the first 16 bytes of a root", device, hash)
	}
	p.Size, p.Root = size, [16]byte(root)
	return nil
}
