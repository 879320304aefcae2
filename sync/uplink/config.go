package uplink

import (
	"context"
	"io"
	"log/slog"
	"time"

	"fettlebook/journal"
	"fettlebook/media"
	"fettlebook/sync/segment"
)

// Log is what the uplink needs of the tablet's log.
type Log interface {
	journal.Receiver
	Heads(ctx context.Context) ([]journal.Head, error)
	Segment(ctx context.Context, device journal.DeviceID, from int64, most int) (journal.Segment, error)
	// Woken gets a value when something was written.
	Woken() <-chan struct{}
}

// History answers what the uplink must know of a log's past.
type History interface {
	RootAt(ctx context.Context, device journal.DeviceID, size int64) ([32]byte, error)
	// Countersignature verifies a countersigned state of a log by the keys of
	// the device and of the hub.
	Countersignature(ctx context.Context, device journal.DeviceID, signed []byte) (journal.Countersigned, error)
	Closed(ctx context.Context, device journal.DeviceID) (string, error)
	CloseLog(ctx context.Context, device journal.DeviceID, reason string) error
}

// Receipts keeps the hub's countersignatures.
type Receipts interface {
	SaveCountersigned(ctx context.Context, c journal.Countersigned) error
	LastCountersigned(ctx context.Context, device journal.DeviceID) (journal.Countersigned, error)
	CountersignedSince(ctx context.Context, device journal.DeviceID, size int64, most int) ([]journal.Countersigned, error)
}

// Cards keeps customer cards.
type Cards interface {
	CardsSince(ctx context.Context, rev int64) ([]journal.CardState, error)
	SaveCard(ctx context.Context, s journal.CardState) error
	Mark(ctx context.Context, name string) (string, error)
	SetMark(ctx context.Context, name, value string) error
}

// Photos says which originals wait, and takes the hub's word for them.
type Photos interface {
	Unconfirmed(ctx context.Context) ([]media.Ref, error)
	Confirm(ctx context.Context, ref media.Ref, at time.Time) error
	// Gave reports whether this device took an original that the hub confirmed.
	Gave(ctx context.Context, ref media.Ref) (bool, error)
	// Unconfirm takes back that the hub has an original of this device.
	Unconfirm(ctx context.Context, ref media.Ref) error
}

// Originals opens the originals themselves.
type Originals interface {
	Open(ctx context.Context, ref media.Ref) (io.ReadSeekCloser, int64, error)
}

// Line is the tablet's connection to the hub. Ask returns when the hub has
// answered. It fails when there is no network, and the uplink tries again later.
type Line interface {
	Ask(ctx context.Context, what segment.What, data []byte) ([]byte, error)
	// News gets a value when the hub said that it holds more, and when the
	// connection came back.
	News() <-chan struct{}
}

// Config says what an uplink works with.
type Config struct {
	Shop   journal.ShopID
	Device journal.DeviceID
	Line   Line

	Log       Log
	History   History
	Receipts  Receipts
	Cards     Cards
	Photos    Photos
	Originals Originals

	Codec *segment.Codec
	Now   func() time.Time
	// Compared, if given, hears at each greeting how far this device's clock is
	// ahead of the hub's.
	Compared func(ahead time.Duration)
	// Agreed, if given, is what each greeting says of keys of the hub that the
	// tablet's person agreed to; see [segment.Greeting].
	Agreed func() []byte
	// Found, if given, hears at which addresses the hub says that it is to be found.
	Found func(ctx context.Context, brokers []string)
	// Alive, if given, says whether the hub answers now; a second apart.
	Alive  func(context.Context) error
	Logger *slog.Logger

	// Every is how long the loop sleeps when nothing wakes it. Zero means the
	// default.
	Every time.Duration
}

// DefaultEvery bounds how long lost news can delay anything.
const DefaultEvery = 15 * time.Second
