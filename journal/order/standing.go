package order

import (
	"bytes"
	"cmp"
	"strings"

	"fettlebook/journal"
)

// Standing is how an entry stands in the order.
type Standing struct {
	// Place is the larger of the id's bits and 1 + the largest place in the
	// past. It rises along everything that was seen.
	Place uint64
	Past  Past
	// Old says that ids decide between this entry and other such entries:
	// its log did not carry after yet.
	Old bool
	// Wait says why the entry counts for nothing yet; nil if it counts. The
	// place and the past are then those of what is known so far.
	Wait *Wait
}

// Placed is an entry with its standing.
type Placed struct {
	journal.Position
	ID   journal.EntryID
	Hash [32]byte // the SHA-256 of the entry's bytes
	// Quoted says that what stands here was only quoted at this place, and
	// written elsewhere: all that is known is that it came before.
	Quoted bool
	Standing
}

// Compare is the order of replay: by place, then id, then hash. It is total,
// and nothing stands before what its writer had seen.
func (a *Placed) Compare(b *Placed) int {
	if c := cmp.Compare(a.Place, b.Place); c != 0 {
		return c
	}
	if c := bytes.Compare(a.ID[:], b.ID[:]); c != 0 {
		return c
	}
	return bytes.Compare(a.Hash[:], b.Hash[:])
}

// Saw reports whether an entry is in the past of a. What was quoted had
// certainly seen nothing: the past is that of whoever quoted it.
func (a *Placed) Saw(at journal.Position) bool {
	if a.Quoted {
		return false
	}
	if at.Device == a.Device {
		return at.Index < a.Index
	}
	return at.Index < a.Past.Of(at.Device)
}

// Relation says which of two entries came first, as far as can be known.
type Relation int

// The relations.
const (
	Before  Relation = iota - 1
	Unknown          // neither knew of the other
	After
)

// Relation says how a stands to b: [Before] if b's writer had seen a, [After]
// if a's had seen b. Between entries of logs that carried no after yet the
// order of replay decides, which is that of their ids.
func (a *Placed) Relation(b *Placed) Relation {
	switch {
	case b.Saw(a.Position):
		return Before
	case a.Saw(b.Position):
		return After
	case a.Old && b.Old:
		return Relation(a.Compare(b))
	default:
		return Unknown
	}
}

// Wait says what an entry waits for. Size entries of the log of Device are
// what is missing, or what does not fit.
type Wait struct {
	Why    Why
	Device journal.DeviceID
	Size   int64
}

// Why is the reason for which an entry counts for nothing yet, as a stable
// written word.
type Why string

// The reasons.
const (
	NotHere   Why = "not here"   // so many entries of the log are not here
	OtherRoot Why = "other root" // the log has another root here at that size
	HeldUp    Why = "held up"    // they are here, and wait themselves
	Closed    Why = "closed"     // the register counts only so many entries of the own log
)

// Entry is an entry as far as its standing rests on it.
type Entry struct {
	journal.Position
	ID    journal.EntryID // zero for bytes that are not an entry
	After journal.After
}

// Of returns what the standing of an entry rests on; e is nil for bytes that
// are not an entry, which have their place in their log all the same.
func Of(at journal.Position, e *journal.Entry) Entry {
	if e == nil {
		return Entry{Position: at}
	}
	return Entry{Position: at, ID: e.ID, After: e.After}
}

func byDevice(c Count, d journal.DeviceID) int { return strings.Compare(string(c.Device), string(d)) }
