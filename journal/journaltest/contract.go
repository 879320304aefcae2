package journaltest

import (
	"bytes"
	"context"
	"errors"
	"slices"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/proof"
)

// Journal is what the contract asks of a store of logs. Segment returns the
// next entries from an index on with their thumbnails and the checkpoint
// after the last; it has no entries when there is nothing new.
type Journal interface {
	journal.Appender
	journal.Reader
	journal.Receiver
	Segment(ctx context.Context, device journal.DeviceID, from int64, max int) (journal.Segment, error)
}

// Pair is two opened, empty stores of one shop, each with a log of its own,
// which know each other's verifiers.
type Pair struct {
	Mine, Other Journal
	// OtherKey signs Other's checkpoints; with it the suite tells lies.
	OtherKey proof.Key
}

// TestLog holds a store to the contract of a log. Every case opens its own
// pair; open closes it in t.Cleanup.
func TestLog(t *testing.T, open func(t *testing.T) Pair) {
	for _, c := range []struct {
		name string
		run  func(*testing.T, Pair)
	}{
		{"append and read back", appendAndRead},
		{"ids rise and a later reader starts where told", idsRise},
		{"refused drafts leave nothing", refusedDrafts},
		{"concurrent appends all land once", concurrentAppends},
		{"one bad draft spoils no other", badNeighbour},
		{"head is signed and equals the size", headsSigned},
		{"segments walk the whole log", segmentsWalk},
		{"received logs read the same and go on to others", receivedReads},
		{"receiving twice changes nothing", receiveTwice},
		{"overlap is skipped", overlapSkipped},
		{"a thumbnail may have been withdrawn", thumbWithdrawn},
		{"a gap is named", gapNamed},
		{"tampered segments are not proven", tampered},
		{"a shorter second history is a fork", forkedAt(3)},
		{"a second history of the same length is a fork", forkedAt(4)},
		{"a longer second history is a fork", forkedAt(6)},
		{"ids follow what was received", idsFollow},
		{"a log that is not here", noLog},
		{"cancelled", cancelled},
	} {
		t.Run(c.name, func(t *testing.T) { c.run(t, open(t)) })
	}
}

// write appends drafts and returns the device that wrote them.
func write(t *testing.T, j Journal, drafts ...journal.Draft) journal.DeviceID {
	t.Helper()
	var device journal.DeviceID
	for _, d := range drafts {
		e, err := j.Append(t.Context(), d)
		if err != nil {
			t.Fatalf("append %s: %v", d.Data.Kind(), err)
		}
		device = e.Source.Device
	}
	return device
}

// read returns the bytes of a log from an index on and checks its positions.
func read(t *testing.T, j Journal, device journal.DeviceID, from int64) [][]byte {
	t.Helper()
	var all [][]byte
	for logged, err := range j.Entries(t.Context(), device, from) {
		if err != nil {
			t.Fatalf("read log %s: %v", device, err)
		}
		if want := (journal.Position{Device: device, Index: from + int64(len(all))}); logged.Position != want {
			t.Fatalf("entry at %v, want %v", logged.Position, want)
		}
		all = append(all, bytes.Clone(logged.Bytes))
	}
	return all
}

// head returns the head of a log; the zero Head if it is not listed.
func head(t *testing.T, j Journal, device journal.DeviceID) journal.Head {
	t.Helper()
	heads, err := j.Heads(t.Context())
	if err != nil {
		t.Fatalf("heads: %v", err)
	}
	i := slices.IndexFunc(heads, func(h journal.Head) bool { return h.Device == device })
	if i < 0 {
		return journal.Head{}
	}
	return heads[i]
}

// segment returns all that follows in a log.
func segment(t *testing.T, j Journal, device journal.DeviceID, from int64) journal.Segment {
	t.Helper()
	s, err := j.Segment(t.Context(), device, from, journal.MaxSegmentBytes)
	if err != nil {
		t.Fatalf("segment from %d: %v", from, err)
	}
	return s
}

func receive(t *testing.T, j Journal, s journal.Segment) journal.Head {
	t.Helper()
	h, err := j.Receive(t.Context(), s)
	if err != nil {
		t.Fatalf("receive %d to %d: %v", s.First, s.End(), err)
	}
	return h
}

// history reads a log with its thumbnails, for [History.Segment].
func history(t *testing.T, j Journal, key proof.Key, device journal.DeviceID) *History {
	t.Helper()
	s := segment(t, j, device, 0)
	return &History{Key: key, Device: device, Entries: read(t, j, device, 0), Thumbs: s.Thumbs}
}

// same fails unless two logs hold the same bytes.
func same(t *testing.T, got, want [][]byte) {
	t.Helper()
	if len(got) != len(want) {
		t.Fatalf("the log has %d entries, want %d", len(got), len(want))
	}
	for i := range got {
		if !bytes.Equal(got[i], want[i]) {
			t.Fatalf("entry %d is\n%s\nwant\n%s", i, got[i], want[i])
		}
	}
}

// refused checks the type of an error and that nothing changed.
func refused[E error](t *testing.T, j Journal, s journal.Segment) E {
	t.Helper()
	before, at := read(t, j, s.Device, 0), head(t, j, s.Device)
	_, err := j.Receive(t.Context(), s)
	var want E
	if !errors.As(err, &want) {
		t.Fatalf("receive %d to %d gave %v, want %T", s.First, s.End(), err, want)
	}
	same(t, read(t, j, s.Device, 0), before)
	if now := head(t, j, s.Device); now.Size != at.Size || !bytes.Equal(now.Checkpoint, at.Checkpoint) {
		t.Fatalf("the head moved from %d to %d", at.Size, now.Size)
	}
	return want
}
