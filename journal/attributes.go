package journal

import (
	"encoding/base64"
	"fmt"
	"strconv"
	"strings"
	"time"

	"fettlebook/journal/words"
)

// Source names the log that an entry belongs to, as
// urn:fettlebook:<shop>:<device>.
type Source struct {
	Shop   ShopID
	Device DeviceID
}

const urn = "urn:fettlebook:"

// MarshalText writes the URN.
func (s Source) MarshalText() ([]byte, error) {
	return []byte(urn + string(s.Shop) + ":" + string(s.Device)), nil
}

// UnmarshalText reads the URN.
func (s *Source) UnmarshalText(text []byte) error {
	rest, ok := strings.CutPrefix(string(text), urn)
	shopName, deviceName, two := strings.Cut(rest, ":")
	if !ok || !two {
		return fmt.Errorf("the source %.80q is not urn:fettlebook:<shop>:<device>", text)
	}
	if err := s.Shop.UnmarshalText([]byte(shopName)); err != nil {
		return err
	}
	return s.Device.UnmarshalText([]byte(deviceName))
}

// Type is a kind with the version of its payload: torque.applied/1.
type Type struct {
	Kind    Kind
	Version int // from 1
}

// String returns the written form.
func (t Type) String() string { return string(t.Kind) + "/" + strconv.Itoa(t.Version) }

// MarshalText writes the written form.
func (t Type) MarshalText() ([]byte, error) { return []byte(t.String()), nil }

// UnmarshalText reads any well-formed kind, known or not.
func (t *Type) UnmarshalText(text []byte) error {
	kind, number, ok := strings.Cut(string(text), "/")
	version, err := strconv.Atoi(number)
	if !ok || err != nil || version < 1 || strconv.Itoa(version) != number {
		return fmt.Errorf("the type %.60q is not a kind with a version such as torque.applied/1", text)
	}
	if err := t.Kind.UnmarshalText([]byte(kind)); err != nil {
		return err
	}
	t.Version = version
	return nil
}

// Stamp is a wall-clock time with its zone offset, written in RFC 3339 with
// exactly three decimals.
type Stamp time.Time

const stampLayout = "2006-01-02T15:04:05.000Z07:00"

// String returns the written form.
func (s Stamp) String() string { return time.Time(s).Format(stampLayout) }

// MarshalText writes the written form.
func (s Stamp) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalText reads any RFC 3339 time.
func (s *Stamp) UnmarshalText(text []byte) error {
	t, err := time.Parse(time.RFC3339Nano, string(text))
	if err != nil {
		return fmt.Errorf("%.40q is not a time such as 2026-03-02T14:18:09.120+01:00", text)
	}
	*s = Stamp(t)
	return nil
}

// Said writes the time for a sentence that stands alone: "2 March 2026 14:18
// UTC+01:00" where the shop chose no other way.
func (s Stamp) Said(w words.Writing) string { return w.Zoned(time.Time(s)) }

// IsZero reports whether no time is set.
func (s Stamp) IsZero() bool { return time.Time(s).IsZero() }

// Uptime is the device's monotonic clock since its start, written as decimal
// seconds in a string, because a CloudEvents integer has 32 bits only.
type Uptime time.Duration

// MarshalText writes seconds with three decimals.
func (u Uptime) MarshalText() ([]byte, error) {
	return fmt.Appendf(nil, "%d.%03d", time.Duration(u)/time.Second, time.Duration(u)%time.Second/time.Millisecond), nil
}

// UnmarshalText reads seconds.
func (u *Uptime) UnmarshalText(text []byte) error {
	whole, frac, _ := strings.Cut(string(text), ".")
	s, err := strconv.ParseUint(whole, 10, 33)
	ms, err2 := strconv.ParseUint(frac, 10, 10)
	if err != nil || err2 != nil || len(frac) != 3 {
		return fmt.Errorf("the uptime %.40q is not seconds with three decimals", text)
	}
	*u = Uptime(time.Duration(s)*time.Second + time.Duration(ms)*time.Millisecond)
	return nil
}

// Seen is a state of the hub's log: its size and its Merkle root, written as
// "412 3q2+7w…=".
type Seen struct {
	Size int64
	Root [32]byte
}

// IsZero reports whether nothing of the hub was seen yet.
func (s Seen) IsZero() bool { return s == Seen{} }

// MarshalText writes the size, a space and the root in base64.
func (s Seen) MarshalText() ([]byte, error) {
	return fmt.Appendf(nil, "%d %s", s.Size, base64.StdEncoding.EncodeToString(s.Root[:])), nil
}

// UnmarshalText reads the written form.
func (s *Seen) UnmarshalText(text []byte) error {
	number, root, _ := strings.Cut(string(text), " ")
	size, err := strconv.ParseInt(number, 10, 64)
	hash, err2 := base64.StdEncoding.Strict().DecodeString(root)
	if err != nil || err2 != nil || size < 1 || strconv.FormatInt(size, 10) != number || len(hash) != 32 {
		return fmt.Errorf("seen %.80q is not a log size and a root", text)
	}
	s.Size, s.Root = size, [32]byte(hash)
	return nil
}
