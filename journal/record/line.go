package record

import (
	"cmp"
	"fmt"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/order"
	"fettlebook/media"

	"github.com/go-json-experiment/json/jsontext"
)

// Line is one entry in its place in the record.
type Line struct {
	ID      journal.EntryID  `json:"id,omitzero"` // zero for bytes that are not an entry
	Kind    journal.Kind     `json:"kind,omitzero"`
	Version int              `json:"version,omitzero"`
	About   string           `json:"about,omitzero"` // what such an entry states, in a few words
	Subject journal.Subject  `json:"subject,omitzero"`
	Device  journal.DeviceID `json:"device,omitzero"`
	Index   int64            `json:"index"` // in the device's log, from 0
	By      journal.PersonID `json:"by,omitzero"`
	Clocks  Clocks           `json:"clocks"`

	Data     jsontext.Value  `json:"data,omitzero"`     // as written
	Withheld int             `json:"withheld,omitzero"` // names of other vehicles' parts left out of a view's data
	Raw      []byte          `json:"raw,omitempty"`     // bytes that are not an entry
	Photos   []Photo         `json:"photos,omitempty"`
	Struck   *Strike         `json:"struck,omitzero"`
	Corrects journal.EntryID `json:"corrects,omitzero"` // of a correction: the entry that it names
	Flags    []Flag          `json:"flags,omitempty"`
	// Taken says how the entry came here if it was taken over from a log that
	// counts no more; nil of an entry that was written where it lies.
	Taken *Taken `json:"taken,omitzero"`
	// Beside is what the entry rests on and amounts to, of a view that shows it.
	Beside *Beside `json:"beside,omitzero"`
	// Waits says what keeps the entry from counting; nil if nothing does.
	Waits *Wait `json:"waits,omitzero"`

	// Payload is the data as written, decoded; nil for a newer kind and for
	// what cannot be read. It is shared: do not change it.
	Payload journal.Payload `json:"-"`

	told journal.Payload // what is told of it of some jobs, see Of; nil of all

	of     *Shop // the fold
	seq    int   // place in its order of replay
	stands *order.Placed
	late   late // of a fold in another order

	says    [32]byte // the hash of the entry's own bytes, wherever they are quoted
	void    bool     // it counts for nothing where it lies
	hub     bool     // it lies in the hub's log
	guarded bool     // only the hub may correct it
}

// Wait is what an entry waits for: so many entries of the log of a device are
// not here, or are others here.
type Wait struct {
	Why     order.Why        `json:"why"`
	Device  journal.DeviceID `json:"device"`
	Entries int64            `json:"entries"`
}

// Sentence says in plain words what an entry waits for.
func (w *Wait) Sentence() string { return w.In("the log of " + string(w.Device)) }

// Comes reports whether what it waits for can still come. Beyond the end of a
// log that was closed nothing counts any more.
func (w *Wait) Comes() bool { return w.Why != order.Closed }

// In is the sentence in which the log is called something.
func (w *Wait) In(log string) string {
	switch w.Why {
	case order.NotHere:
		return fmt.Sprintf("this counts once the first %d entries of %s are here: whoever wrote it had seen them", w.Entries, log)
	case order.OtherRoot:
		return fmt.Sprintf("whoever wrote this had seen another history of %s, up to entry %d, than the one that is here; it counts once the register says what they have in common", log, w.Entries)
	case order.HeldUp:
		return fmt.Sprintf("this counts once the first %d entries of %s count, which wait themselves", w.Entries, log)
	default:
		return fmt.Sprintf("%s was closed; it counts up to entry %d", log, w.Entries)
	}
}

// Position is where the entry lies, whatever device it names; of one that was
// taken over, where the quote does.
func (l *Line) Position() journal.Position { return l.stands.Position }

// Standing is how the line stands in the order. Its past is shared: do not
// change it.
func (l *Line) Standing() order.Standing { return l.stands.Standing }

// Relation says which of two lines came first, as far as can be known from
// what their writers had seen, or as somebody who did one of the two has
// stated.
func (l *Line) Relation(to *Line) order.Relation {
	r := l.stands.Relation(to.stands)
	switch {
	case r != order.Unknown || l.of != to.of || len(l.of.told) == 0:
		return r
	case l.of.told.before(l, to):
		return order.Before
	case l.of.told.before(to, l):
		return order.After
	default:
		return r
	}
}

// Compare is the order of replay of readable lines: it never puts a line
// before what its writer had seen, or against what somebody who did one of the
// two has stated, and says nothing more about what came first.
func (l *Line) Compare(to *Line) int {
	if l.of == to.of {
		return cmp.Compare(l.seq, to.seq)
	}
	return compareLate(l.stands, to.stands, l.late, to.late)
}

// Clocks are the clocks of one entry, side by side. None is put right by
// another. A fourth, the camera's, stands with each photo.
type Clocks struct {
	Device journal.Stamp  `json:"device,omitzero"` // the device's wall clock, as written
	Boot   journal.BootID `json:"boot,omitzero"`   // which start of the device
	Uptime journal.Uptime `json:"uptime"`          // since that start
	// Offset is how far the device's clock was from the hub's when the two
	// were last compared before this entry; nil if never.
	Offset *Offset `json:"offset,omitzero"`
	// Received is the hub's time of the first countersignature that covers
	// the entry; zero while none is known.
	Received journal.Stamp `json:"received,omitzero"`
	// Seen is the size of the hub's log that the entry cites: it is younger
	// than that.
	Seen int64 `json:"seen,omitzero"`
}

// Offset is one comparison of a device's clock with the hub's.
type Offset struct {
	Clock     string          `json:"clock"`      // device minus hub: "+3.120 s"
	RoundTrip string          `json:"round_trip"` // bounds the error: "0.045 s"
	Compared  journal.EntryID `json:"compared"`   // the clock.compared entry
}

func newOffset(at journal.EntryID, c *journal.ClockReading) *Offset {
	return &Offset{Clock: c.Ahead(), RoundTrip: c.Within(), Compared: at}
}

// Photo is a photo of an entry.
type Photo struct {
	Ref   media.Ref          `json:"ref"`
	Thumb media.Ref          `json:"thumb,omitzero"`
	Role  string             `json:"role,omitzero"`
	Taken journal.CameraTime `json:"taken,omitempty"`
	// Withdrawn is the photo.withdrawn entry, zero while there is none.
	Withdrawn journal.EntryID `json:"withdrawn,omitzero"`
}

// Strike is the correction that holds for an entry: the line through it.
type Strike struct {
	At          journal.EntryID  `json:"at"` // the entry.corrected entry
	By          journal.PersonID `json:"by"`
	Time        journal.Stamp    `json:"time"`
	Reason      string           `json:"reason"`
	Replacement jsontext.Value   `json:"replacement,omitzero"` // as written

	correction *Line
	now        journal.Payload // of Replacement; nil if nothing counts instead
	told       journal.Payload // of now, of some jobs; nil of all
}

// Correction returns the line that strikes, or nil of a strike that was read
// from JSON.
func (s *Strike) Correction() *Line { return s.correction }

// Effect returns what counts: the payload as written, the replacement of a
// struck line, or nil if nothing does, as of a line that waits or may not be
// said where it lies. It is shared: do not change it.
func (l *Line) Effect() journal.Payload {
	if !l.Counts() {
		return nil
	}
	if l.Struck != nil {
		return l.Struck.now
	}
	return l.Payload
}

// Stands is the data that counts of the line, struck before or not; as it was written where
// nothing counts.
func (l *Line) Stands() jsontext.Value {
	if p := l.Effect(); p != nil {
		if raw, err := journal.MarshalPayload(p); err == nil {
			return raw
		}
	}
	return l.Data
}

// Has reports whether the line bears the flag.
func (l *Line) Has(f Flag) bool { return slices.Contains(l.Flags, f) }

func (l *Line) flag(f Flag) {
	if !l.Has(f) {
		l.Flags = append(l.Flags, f)
	}
}

// replay is the order of replay, also of lines of different folds.
func replay(a, b *Line) int {
	if a.ID.IsZero() || b.ID.IsZero() { // bytes that are not an entry come last
		return a.seq - b.seq
	}
	return a.Compare(b)
}

// Place is where the line stands in the order of replay; entries that did not
// know each other may share it.
func (l *Line) Place() uint64 { return l.stands.Place }

// merged returns the lines in the order of replay, each once.
func merged(lines []*Line) []*Line {
	slices.SortFunc(lines, replay)
	return slices.Compact(lines)
}
