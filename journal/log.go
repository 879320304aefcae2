package journal

import (
	"context"
	"errors"
	"fmt"
	"iter"
	"time"

	"fettlebook/media"
)

// Position names one entry: the Index-th, from 0, of a device's log.
type Position struct {
	Device DeviceID
	Index  int64
}

// Logged is an entry as it lies in a log.
type Logged struct {
	Position
	Bytes []byte
	// Received is the time of the hub's first countersignature that covers
	// the entry; zero while none is known here.
	Received time.Time
	// Falls says that the id is not greater than all before it in the log, so
	// that the entry counts for nothing; see [Authority.Voids].
	Falls bool
}

// Head is how far a log reaches on this machine: its number of entries and
// the device's signed checkpoint over them, a signed note.
type Head struct {
	Device     DeviceID
	Size       int64
	Checkpoint []byte
}

// Segment is consecutive entries of one log, the thumbnails they name, and
// the device's signed checkpoint after the last of them. It is what travels.
type Segment struct {
	Device     DeviceID
	First      int64 // index of Entries[0]
	Entries    [][]byte
	Thumbs     map[media.Ref][]byte
	Checkpoint []byte
}

// End returns the index after the last entry.
func (s *Segment) End() int64 { return s.First + int64(len(s.Entries)) }

// Size returns the bytes of entries and thumbnails, which [MaxSegmentBytes]
// caps.
func (s *Segment) Size() int {
	n := 0
	for _, e := range s.Entries {
		n += len(e)
	}
	for _, t := range s.Thumbs {
		n += len(t)
	}
	return n
}

// Countersigned is the hub's word that it holds a log up to a size.
type Countersigned struct {
	Device DeviceID
	Size   int64
	At     time.Time // the hub's time, whole seconds
	Note   []byte    // the device's checkpoint with both signatures
}

// Appender writes to this device's own log. When Append returns, the entry,
// its thumbnails and a signed checkpoint over it are on the disk; when it
// fails, nothing of the entry is. An entry beside an error is written all the
// same: the error is a *[Written] then, and to write it again would be to write
// it twice.
type Appender interface {
	Append(ctx context.Context, d Draft) (*Entry, error)
}

// Written says of entries that are on the disk what went wrong after that.
// Whoever keeps the log makes up for it.
type Written struct{ Err error }

func (e *Written) Error() string { return "the entry is written; " + e.Err.Error() }

func (e *Written) Unwrap() error { return e.Err }

// Afterwards returns what went wrong after entries were written, nil if nothing did.
func Afterwards(err error) error {
	if err == nil {
		return nil
	}
	return &Written{err}
}

// TooMuch is returned for entries that are to be written all or none, and are
// more than one segment holds.
type TooMuch struct{ Entries, Bytes int }

func (e *TooMuch) Error() string {
	return fmt.Sprintf("%d entries with their photographs are too much for one press (%d KB of %d KB); write some of them first, nothing was written", e.Entries, e.Bytes>>10, MaxSegmentBytes>>10)
}

// Reader reads logs. Entries yields the entries of one log from an index on,
// in order; a failed read yields its error and ends, so it cannot look like
// the end of the log. Heads lists all logs that lie here.
type Reader interface {
	Entries(ctx context.Context, device DeviceID, from int64) iter.Seq2[Logged, error]
	Heads(ctx context.Context) ([]Head, error)
}

// Receiver takes in segments of other devices' logs. The checkpoint must be
// signed by the device and consistent with what lies here; what is already
// here is skipped if it is the same. On success everything up to the
// segment's end is on the disk. Errors: [*Gap], [*Fork], [*Unproven].
type Receiver interface {
	Receive(ctx context.Context, s Segment) (Head, error)
}

// ErrNoLog is returned when a device has no log here.
var ErrNoLog = errors.New("no log of this device is here")

// ErrClosed is wrapped when a log takes no more entries of its own: it was
// rolled back or forked. The cure is to join the shop again, which begins a
// new log and keeps the old one.
var ErrClosed = errors.New("this log is closed; join the shop again with a new invitation, the entries here are kept")

// ErrDiskLow is wrapped when the disk is so full that entries are no longer
// taken.
var ErrDiskLow = errors.New("the disk is almost full; free some space, then try again — nothing was written")

// ErrNewer is wrapped when a data folder was written by a newer fettlebook.
var ErrNewer = errors.New("this data was written by a newer fettlebook; use that version or a later one, nothing was changed")

// Gap says that a segment begins after the end of what lies here. Nothing is
// wrong: the missing entries are still to come.
type Gap struct {
	Device      DeviceID
	Size, First int64
}

func (e *Gap) Error() string {
	return fmt.Sprintf("log %s has %d entries here and the segment begins at %d", e.Device, e.Size, e.First)
}

// Fork says that a device showed two histories. Held and Shown are its two
// signed checkpoints; Common is how many entries both histories have at their
// beginning.
type Fork struct {
	Device      DeviceID
	Held, Shown []byte
	Common      int64
}

func (e *Fork) Error() string {
	return fmt.Sprintf("device %s showed two different histories; both are kept, and the device must join the shop again", e.Device)
}

// Unproven says that a segment's bytes are not what its checkpoint signs.
type Unproven struct {
	Device DeviceID
	Reason string
}

func (e *Unproven) Error() string {
	return fmt.Sprintf("a segment of log %s cannot be verified: %s", e.Device, e.Reason)
}
