package segment

import (
	"fmt"
	"strconv"
	"time"

	"fettlebook/journal"
)

// Answer is how the hub answers every question: with a body, or with a
// sentence that says why not.
type Answer struct {
	Refused string `cbor:"1,keyasint,omitempty"`
	Body    []byte `cbor:"2,keyasint,omitempty"` // CBOR of the question's reply
}

// WaitUntil is how the hub asks a device to come again after a time: its Unix seconds by
// the hub's clock, in digits.
func WaitUntil(t time.Time) []byte { return strconv.AppendInt(nil, t.Unix(), 10) }

// ParseWait reads what [WaitUntil] wrote.
func ParseWait(raw []byte) (time.Time, error) {
	n, err := strconv.ParseInt(string(raw), 10, 40)
	if err != nil || n < 0 {
		return time.Time{}, fmt.Errorf("%w: it does not say until when", ErrWire)
	}
	return time.Unix(n, 0), nil
}

// Reach is how far a log is held, and how far it is countersigned.
type Reach struct {
	Device        journal.DeviceID `cbor:"1,keyasint"`
	Size          int64            `cbor:"2,keyasint"`
	Countersigned int64            `cbor:"3,keyasint,omitempty"`
}

// Greeting is what a tablet says on every connect, and whenever it looks.
type Greeting struct {
	Holds []Reach `cbor:"1,keyasint"`
	// Clock is the last comparison of the clocks, if there was one.
	Clock *Skew `cbor:"2,keyasint,omitempty"`
	// Sent is the tablet's wall clock in nanoseconds.
	Sent int64 `cbor:"3,keyasint"`
	// Agreed is the log key's signature over the fingerprint of the hub's keys
	// that the tablet's person agreed to last; nothing where nobody was asked.
	Agreed []byte `cbor:"4,keyasint,omitempty"`
}

// Skew is a tablet's clock minus the hub's, and the round trip over which it
// was measured, which bounds its error.
type Skew struct {
	Offset    time.Duration `cbor:"1,keyasint"`
	RoundTrip time.Duration `cbor:"2,keyasint"`
}

// tellingWithin is over how long a round trip a comparison still tells how far
// a clock is off: its error is at most half of that.
const tellingWithin = 2 * time.Second

// Telling reports whether the comparison was over quickly enough to tell how
// far the clock is off. One that took long, or during which a clock was set,
// tells nothing.
func (s Skew) Telling() bool { return s.RoundTrip >= 0 && s.RoundTrip <= tellingWithin }

// Welcome is the hub's reply.
type Welcome struct {
	Hub journal.DeviceID `cbor:"1,keyasint"`
	// Holds is every log at the hub, the asking device's own among them.
	Holds []Reach `cbor:"2,keyasint"`
	// Root is the root of the device's own log as held at the hub.
	Root [32]byte `cbor:"3,keyasint"`
	// Wants lists logs of which the device says it holds more than the hub.
	Wants []Reach `cbor:"4,keyasint,omitempty"`
	// Received and Answered are the hub's wall clock in nanoseconds.
	Received int64 `cbor:"5,keyasint"`
	Answered int64 `cbor:"6,keyasint"`
	// Closed says why the hub takes no more of this device's log, or nothing.
	Closed string `cbor:"7,keyasint,omitempty"`
	// Began tells one run of the hub from the next. A hub may come back with
	// an older copy of its customer cards, so these travel again then.
	Began int64 `cbor:"8,keyasint,omitempty"`
}

// Measure computes the skew from the four times of a greeting, as NTP does
// (RFC 5905, section 8): received is the tablet's wall clock at the reply.
func (w *Welcome) Measure(sent, received time.Time) Skew {
	t1, t4 := sent.UnixNano(), received.UnixNano()
	return Skew{
		Offset:    time.Duration(-((w.Received - t1) + (w.Answered - t4)) / 2),
		RoundTrip: time.Duration((t4 - t1) - (w.Answered - w.Received)),
	}
}

// CompareAsk says which history of logs a tablet holds, by their roots at sizes
// that the hub holds too.
type CompareAsk struct {
	Logs []Root `cbor:"1,keyasint"`
}

// Root is the root of the beginning of a log (RFC 6962).
type Root struct {
	Device journal.DeviceID `cbor:"1,keyasint"`
	Size   int64            `cbor:"2,keyasint"`
	Root   [32]byte         `cbor:"3,keyasint"`
}

// CompareReply lists the logs of which the hub holds another history. It is to
// be given the tablet's, from the first entry on.
type CompareReply struct {
	Apart []journal.DeviceID `cbor:"1,keyasint,omitempty"`
}

// RangeAsk asks for the next segment of a log, and for countersignatures.
type RangeAsk struct {
	Device        journal.DeviceID `cbor:"1,keyasint"`
	From          int64            `cbor:"2,keyasint"`
	Countersigned int64            `cbor:"3,keyasint,omitempty"` // newest size held
}

// RangeReply holds a segment in wire form, or none when nothing is new, and
// countersigned checkpoints, oldest first.
type RangeReply struct {
	Segment       []byte   `cbor:"1,keyasint,omitempty"`
	Countersigned [][]byte `cbor:"2,keyasint,omitempty"`
}

// ReceiptsPerReply caps the countersignatures of one reply.
const ReceiptsPerReply = 200

// GiveAsk is a segment in wire form: for [Send] of the device's own log, for [Give] of
// another, which the hub lost or holds another history of. The answer comes when the hub
// has verified it, has it on the disk and has countersigned it; nothing else acknowledges.
type GiveAsk struct {
	Segment []byte `cbor:"1,keyasint"`
}

// UnderWay is how many segments of its log a device sends before the first of them is
// answered: while one is on its way others are verified, and synced to the disk together.
const UnderWay = 4

// CardsAsk brings changed cards to the hub and asks for those changed there
// since a revision.
type CardsAsk struct {
	Since int64  `cbor:"1,keyasint"`
	Cards []Card `cbor:"2,keyasint,omitempty"`
}

// CardsReply is the hub's cards; More says to ask again from Rev.
type CardsReply struct {
	Rev   int64  `cbor:"1,keyasint"`
	Cards []Card `cbor:"2,keyasint,omitempty"`
	More  bool   `cbor:"3,keyasint,omitempty"`
}

// Card is a customer card on the wire.
type Card struct {
	Card    journal.CardID  `cbor:"1,keyasint"`
	Details journal.Details `cbor:"2,keyasint,omitempty"`
	Salt    []byte          `cbor:"3,keyasint,omitempty"`
	Erased  bool            `cbor:"4,keyasint,omitempty"`
	Changed []byte          `cbor:"5,keyasint"`
}

// WhereAsk asks at which addresses the hub is to be found from now on.
type WhereAsk struct{}

// MostBrokers is how many addresses a hub tells, and a tablet remembers.
const MostBrokers = 16

// WhereReply is where the hub's broker is, host:port, the likeliest first. A hub from before
// this question refuses it.
type WhereReply struct {
	Brokers []string `cbor:"1,keyasint,omitempty"`
}

// WantedAsk asks which originals the hub lacks, those after one; and of which time
// countersignatures may be lost. A hub from before this question refuses it.
type WantedAsk struct {
	After []byte `cbor:"1,keyasint,omitempty"`
}

// OriginalsPerReply caps the originals of one reply; More says to ask again after the last.
const OriginalsPerReply = 4000

// WantedReply lists originals by their hashes, in their order, and the windows.
type WantedReply struct {
	Originals [][]byte `cbor:"1,keyasint,omitempty"`
	More      bool     `cbor:"2,keyasint,omitempty"`
	Receipts  []Window `cbor:"3,keyasint,omitempty"`
}

// Window is of which log, beyond which size, and until when, in Unix seconds, a hub may
// have lost countersignatures.
type Window struct {
	Device journal.DeviceID `cbor:"1,keyasint"`
	From   int64            `cbor:"2,keyasint"`
	Until  int64            `cbor:"3,keyasint"`
}

// ReceiptsAsk gives countersignatures over a log back, at most [ReceiptsPerReply], all of
// them over more than a size.
type ReceiptsAsk struct {
	Device        journal.DeviceID `cbor:"1,keyasint"`
	Countersigned [][]byte         `cbor:"2,keyasint"`
	From          int64            `cbor:"3,keyasint,omitempty"`
}

// PhotoAsk speaks of an original: for [Offer] and [Confirm] by hash and
// size, for [Chunk] with one piece.
type PhotoAsk struct {
	Ref   []byte `cbor:"1,keyasint"`
	Size  int64  `cbor:"2,keyasint"`
	Index int    `cbor:"3,keyasint,omitempty"`
	Data  []byte `cbor:"4,keyasint,omitempty"`
}

// PhotoReply says whether the hub has the original whole, or which chunks it
// still wants.
type PhotoReply struct {
	Here    bool  `cbor:"1,keyasint,omitempty"`
	Missing []int `cbor:"2,keyasint,omitempty"`
}
