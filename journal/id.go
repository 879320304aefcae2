package journal

import (
	"encoding/base32"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"
	"unicode"

	"fettlebook/journal/words"

	"github.com/google/uuid"
)

// EntryID is a UUIDv7 (RFC 9562) made by a [Clock]: 48 bits of milliseconds,
// 12 bits of logical counter in rand_a (allowed by RFC 9562 section 6.2), 62
// random bits. It says about when an entry was made, and breaks ties of order.
type EntryID uuid.UUID

// ParseEntryID reads the usual text form and insists on version 7.
func ParseEntryID(text string) (EntryID, error) {
	u, err := uuid.Parse(text)
	if err != nil || len(text) != 36 {
		return EntryID{}, fmt.Errorf("%s is not an entry ID; an ID looks like 0195a3c1-7e40-7001-9c3a-5d1f0a6b7c8d", words.Quoted(text))
	}
	if u.Version() != 7 || u.Variant() != uuid.RFC4122 {
		return EntryID{}, fmt.Errorf("%s is not a version 7 UUID, so it is not an entry ID", words.Quoted(text))
	}
	return EntryID(u), nil
}

// IDBeginning is how an entry's id begins: its first hexadecimal digits.
type IDBeginning struct {
	digits [16]byte
	known  int // digits
}

// ShortestID is the fewest digits that may stand for an id.
const ShortestID = 4

// ParseIDBeginning reads the first digits of an id, with its hyphens where they belong or
// without any.
func ParseIDBeginning(text string) (IDBeginning, bool) {
	var b IDBeginning
	for i, r := range text {
		d := strings.IndexRune("0123456789abcdef", unicode.ToLower(r))
		switch {
		case r == '-' && slices.Contains([]int{8, 13, 18, 23}, i):
			continue
		case d < 0 || b.known == 2*len(b.digits):
			return b, false
		case b.known%2 == 0:
			d <<= 4
		}
		b.digits[b.known/2] |= byte(d)
		b.known++
	}
	return b, b.known >= ShortestID
}

// Range returns the first and the last id that begin so.
func (b IDBeginning) Range() (from, to EntryID) {
	from, to = b.digits, b.digits
	for i := b.known; i < 2*len(to); i++ {
		to[i/2] |= 0x0f << (4 * (1 - i%2))
	}
	return from, to
}

// String returns the lower-case text form.
func (id EntryID) String() string { return uuid.UUID(id).String() }

// IsZero reports whether the id is unset.
func (id EntryID) IsZero() bool { return id == EntryID{} }

// Millis returns the clock's milliseconds since 1970 that the id carries.
func (id EntryID) Millis() int64 {
	return int64(id[0])<<40 | int64(id[1])<<32 | int64(id[2])<<24 | int64(id[3])<<16 | int64(id[4])<<8 | int64(id[5])
}

// Bits returns the 60 bits of milliseconds and counter, the higher the later.
func (id EntryID) Bits() uint64 { return uint64(id.Millis())<<12 | uint64(id.counter()) }

// Time returns the id's milliseconds as a time in UTC.
func (id EntryID) Time() time.Time { return time.UnixMilli(id.Millis()).UTC() }

// counter returns the 12 bits of logical counter.
func (id EntryID) counter() int { return int(id[6]&0x0f)<<8 | int(id[7]) }

// MarshalText writes the text form.
func (id EntryID) MarshalText() ([]byte, error) { return uuid.UUID(id).MarshalText() }

// UnmarshalText reads the text form strictly.
func (id *EntryID) UnmarshalText(text []byte) error {
	got, err := ParseEntryID(string(text))
	if err != nil {
		return err
	}
	*id = got
	return nil
}

// nameLetters leaves out i, l, o and u, which a person misreads.
const nameLetters = "0123456789abcdefghjkmnpqrstvwxyz"

// NewName draws a name of eight letters and digits: 40 random bits, short
// enough to read out across a workshop. Two of a shop's ten thousand jobs
// share one with a chance of about 1 in 20 000; the record shows if they do.
func NewName[N noun](rand io.Reader) (Name[N], error) {
	var b [5]byte
	if _, err := io.ReadFull(rand, b[:]); err != nil {
		return "", fmt.Errorf("draw a name: %w", err)
	}
	return Name[N](base32.NewEncoding(nameLetters).WithPadding(base32.NoPadding).EncodeToString(b[:])), nil
}

// NewJobID draws the name of a job.
func NewJobID(rand io.Reader) (JobID, error) { return NewName[job](rand) }

// NewDeviceID draws the name of a device.
func NewDeviceID(rand io.Reader) (DeviceID, error) { return NewName[device](rand) }

// NewShopID draws the name of a shop.
func NewShopID(rand io.Reader) (ShopID, error) { return NewName[shop](rand) }

// NewBootID draws the name of one start of the program.
func NewBootID(rand io.Reader) (BootID, error) { return NewName[boot](rand) }

// NewRunID draws the name of a run.
func NewRunID(rand io.Reader) (RunID, error) { return NewName[run](rand) }

// NewCardID draws the name of a customer card.
func NewCardID(rand io.Reader) (CardID, error) { return NewName[card](rand) }
