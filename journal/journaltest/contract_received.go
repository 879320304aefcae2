package journaltest

import (
	"bytes"
	"context"
	"errors"
	"maps"
	"slices"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/proof"
	"fettlebook/media"
)

func segmentsWalk(t *testing.T, p Pair) {
	device := write(t, p.Other, Samples()...)
	want := read(t, p.Other, device, 0)
	for _, most := range []int{5000, journal.MaxSegmentBytes} {
		var got [][]byte
		for {
			s, err := p.Other.Segment(t.Context(), device, int64(len(got)), most)
			if err != nil {
				t.Fatal(err)
			}
			if s.Device != device || s.First != int64(len(got)) || s.Size() > journal.MaxSegmentBytes {
				t.Fatalf("segment of %s from %d has %d bytes; asked for %s from %d", s.Device, s.First, s.Size(), device, len(got))
			}
			if len(s.Entries) == 0 {
				break
			}
			got = append(got, s.Entries...)
			if h := receive(t, p.Mine, s); h.Size < int64(len(got)) {
				t.Fatalf("after a segment up to %d the head says %d", len(got), h.Size)
			}
		}
		same(t, got, want)
	}
}

func receivedReads(t *testing.T, p Pair) {
	device := write(t, p.Other, Samples()...)
	sent := segment(t, p.Other, device, 0)
	h := receive(t, p.Mine, sent)
	if now := head(t, p.Mine, device); h.Size != sent.End() || now.Size != h.Size || !bytes.Equal(now.Checkpoint, sent.Checkpoint) {
		t.Errorf("received up to %d, Receive said %d, the head says %d", sent.End(), h.Size, now.Size)
	}
	same(t, read(t, p.Mine, device, 0), read(t, p.Other, device, 0))

	passedOn := segment(t, p.Mine, device, 0)
	same(t, passedOn.Entries, sent.Entries)
	if !maps.EqualFunc(passedOn.Thumbs, sent.Thumbs, bytes.Equal) || len(sent.Thumbs) == 0 {
		t.Errorf("%d thumbnails came, %d go on", len(sent.Thumbs), len(passedOn.Thumbs))
	}
	if !bytes.Equal(passedOn.Checkpoint, sent.Checkpoint) {
		t.Errorf("the checkpoint came as\n%s\nand goes on as\n%s", sent.Checkpoint, passedOn.Checkpoint)
	}
}

func receiveTwice(t *testing.T, p Pair) {
	device := write(t, p.Other, Minimal()[:6]...)
	s := segment(t, p.Other, device, 0)
	receive(t, p.Mine, s)
	before := read(t, p.Mine, device, 0)
	if h := receive(t, p.Mine, s); h.Size != 6 {
		t.Errorf("the second time the head says %d, want 6", h.Size)
	}
	same(t, read(t, p.Mine, device, 0), before)
}

func overlapSkipped(t *testing.T, p Pair) {
	device := write(t, p.Other, Samples()[:9]...)
	h := history(t, p.Other, p.OtherKey, device)
	for _, part := range [][2]int64{{0, 4}, {2, 7}, {0, 3}, {5, 9}, {0, 9}} {
		s, err := h.Segment(part[0], part[1])
		if err != nil {
			t.Fatal(err)
		}
		receive(t, p.Mine, s)
	}
	same(t, read(t, p.Mine, device, 0), h.Entries)
	if now := head(t, p.Mine, device); now.Size != 9 {
		t.Errorf("the head says %d, want 9", now.Size)
	}
}

// A photo may have been withdrawn on the way; its thumbnail then stays away
// and the entry that names it is as good as before.
func thumbWithdrawn(t *testing.T, p Pair) {
	device := write(t, p.Other, Sample(journal.PhotoTaken), Sample(journal.NoteMade))
	s := segment(t, p.Other, device, 0)
	if len(s.Thumbs) != 2 {
		t.Fatalf("the segment has %d thumbnails, want 2", len(s.Thumbs))
	}
	delete(s.Thumbs, Picture("the corner").Thumb)
	receive(t, p.Mine, s)
	same(t, read(t, p.Mine, device, 0), s.Entries)
	if on := segment(t, p.Mine, device, 0); !maps.EqualFunc(on.Thumbs, s.Thumbs, bytes.Equal) {
		t.Errorf("%d thumbnails came and %d go on", len(s.Thumbs), len(on.Thumbs))
	}
}

func gapNamed(t *testing.T, p Pair) {
	device := write(t, p.Other, Minimal()[:8]...)
	h := history(t, p.Other, p.OtherKey, device)
	early, err := h.Segment(0, 3)
	if err != nil {
		t.Fatal(err)
	}
	receive(t, p.Mine, early)
	late, err := h.Segment(5, 8)
	if err != nil {
		t.Fatal(err)
	}
	if gap := refused[*journal.Gap](t, p.Mine, late); *gap != (journal.Gap{Device: device, Size: 3, First: 5}) {
		t.Errorf("got %+v", *gap)
	}
}

func tampered(t *testing.T, p Pair) {
	drafts := slices.Concat(Minimal()[:4], []journal.Draft{Sample(journal.PhotoTaken), Sample(journal.NoteMade)})
	device := write(t, p.Other, drafts...)
	h := history(t, p.Other, p.OtherKey, device)
	begin, err := h.Segment(0, 2)
	if err != nil {
		t.Fatal(err)
	}
	receive(t, p.Mine, begin)

	stranger, err := proof.NewKey(Rand("a stranger"), p.OtherKey.Name())
	if err != nil {
		t.Fatal(err)
	}
	foreign := History{Key: stranger, Device: device, Entries: h.Entries, Thumbs: h.Thumbs}
	foreignSigned, err := foreign.Checkpoint(6)
	if err != nil {
		t.Fatal(err)
	}
	tooShort, err := h.Checkpoint(5)
	if err != nil {
		t.Fatal(err)
	}
	wrongSize, err := proof.Sign(p.OtherKey.Signer(), 7, root(h.Entries))
	if err != nil {
		t.Fatal(err)
	}
	for _, lie := range []struct {
		name string
		tell func(*journal.Segment)
	}{
		{"one byte of an entry", func(s *journal.Segment) { s.Entries[3][len(s.Entries[3])/2] ^= 1 }},
		{"an entry left out", func(s *journal.Segment) { s.Entries = slices.Delete(s.Entries, 2, 3) }},
		{"two entries swapped", func(s *journal.Segment) { s.Entries[1], s.Entries[2] = s.Entries[2], s.Entries[1] }},
		{"an entry written twice", func(s *journal.Segment) { s.Entries = append(s.Entries, s.Entries[3]) }},
		{"no entries", func(s *journal.Segment) { s.Entries = nil }},
		{"one byte of a thumbnail", func(s *journal.Segment) { thumb(s)[0] ^= 1 }},
		{"signed by another key of the same name", func(s *journal.Segment) { s.Checkpoint = foreignSigned }},
		{"one byte of the checkpoint", func(s *journal.Segment) { s.Checkpoint[len(s.Checkpoint)-9] ^= 1 }},
		{"no checkpoint", func(s *journal.Segment) { s.Checkpoint = nil }},
		{"a checkpoint over fewer", func(s *journal.Segment) { s.Checkpoint = tooShort }},
		{"a checkpoint that counts wrong", func(s *journal.Segment) { s.Checkpoint = wrongSize }},
	} {
		t.Run(lie.name, func(t *testing.T) {
			s, err := h.Segment(2, 6)
			if err != nil {
				t.Fatal(err)
			}
			for i := range s.Entries {
				s.Entries[i] = bytes.Clone(s.Entries[i])
			}
			for ref := range s.Thumbs {
				s.Thumbs[ref] = bytes.Clone(s.Thumbs[ref])
			}
			lie.tell(&s)
			refused[*journal.Unproven](t, p.Mine, s)
		})
	}
	end, err := h.Segment(2, 6)
	if err != nil {
		t.Fatal(err)
	}
	receive(t, p.Mine, end) // the honest one still comes in
	same(t, read(t, p.Mine, device, 0), h.Entries)
}

func thumb(s *journal.Segment) []byte {
	for _, bytes := range s.Thumbs {
		return bytes
	}
	return nil
}

// forkedAt shows, against four entries that lie here, a history that parts
// from them after the second and ends at end.
func forkedAt(end int64) func(*testing.T, Pair) {
	return func(t *testing.T, p Pair) { forked(t, p, end) }
}

func forked(t *testing.T, p Pair, end int64) {
	device := write(t, p.Other, Minimal()[:5]...)
	h := history(t, p.Other, p.OtherKey, device)
	first, err := h.Segment(0, 4)
	if err != nil {
		t.Fatal(err)
	}
	receive(t, p.Mine, first)

	// The device goes on from a backup of two entries and writes others.
	author := NewAuthor(device, NewWatch(Morning()), "after the backup")
	other := History{Key: p.OtherKey, Device: device, Entries: slices.Clone(h.Entries[:2]), Thumbs: map[media.Ref][]byte{}}
	for range end - 2 {
		raw, err := author.Encoded(numbered(0, 0))
		if err != nil {
			t.Fatal(err)
		}
		other.Entries = append(other.Entries, raw)
	}
	s, err := other.Segment(0, end)
	if err != nil {
		t.Fatal(err)
	}
	fork := refused[*journal.Fork](t, p.Mine, s)
	if fork.Device != device || fork.Common != 2 || !bytes.Equal(fork.Held, first.Checkpoint) || !bytes.Equal(fork.Shown, s.Checkpoint) {
		t.Errorf("the fork of %s holds\n%s\nagainst\n%s", fork.Device, fork.Held, fork.Shown)
	}
}

// idsFollow needs the two devices' clocks within [journal.MaxAhead].
func idsFollow(t *testing.T, p Pair) {
	device := write(t, p.Other, Minimal()[:3]...)
	receive(t, p.Mine, segment(t, p.Other, device, 0))
	all := read(t, p.Mine, device, 0)
	cause, err := journal.Decode(all[len(all)-1])
	if err != nil {
		t.Fatal(err)
	}
	effect, err := p.Mine.Append(t.Context(), Sample(journal.NoteMade))
	if err != nil {
		t.Fatal(err)
	}
	if bytes.Compare(effect.ID[:], cause.ID[:]) <= 0 {
		t.Errorf("%s was written after %s had been received", effect.ID, cause.ID)
	}
}

func noLog(t *testing.T, p Pair) {
	const stranger journal.DeviceID = "nobody"
	var err error
	for _, e := range p.Mine.Entries(t.Context(), stranger, 0) {
		err = e
	}
	if !errors.Is(err, journal.ErrNoLog) {
		t.Errorf("reading gave %v, want ErrNoLog", err)
	}
	if s, err := p.Mine.Segment(t.Context(), stranger, 0, journal.MaxSegmentBytes); len(s.Entries) > 0 || err != nil && !errors.Is(err, journal.ErrNoLog) {
		t.Errorf("a segment gave %d entries and %v, want none and nil or ErrNoLog", len(s.Entries), err)
	}
}

func cancelled(t *testing.T, p Pair) {
	device := write(t, p.Other, Minimal()[:2]...)
	s := segment(t, p.Other, device, 0)
	own := write(t, p.Mine, Sample(journal.NoteMade))
	ctx, cancel := context.WithCancel(t.Context())
	cancel()

	if _, err := p.Mine.Append(ctx, Sample(journal.NoteMade)); !errors.Is(err, context.Canceled) {
		t.Errorf("append gave %v", err)
	}
	if _, err := p.Mine.Receive(ctx, s); !errors.Is(err, context.Canceled) {
		t.Errorf("receive gave %v", err)
	}
	if _, err := p.Mine.Heads(ctx); !errors.Is(err, context.Canceled) {
		t.Errorf("heads gave %v", err)
	}
	if _, err := p.Mine.Segment(ctx, own, 0, journal.MaxSegmentBytes); !errors.Is(err, context.Canceled) {
		t.Errorf("segment gave %v", err)
	}
	var err error
	for _, e := range p.Mine.Entries(ctx, own, 0) {
		err = e
	}
	if !errors.Is(err, context.Canceled) {
		t.Errorf("a cancelled read ended with %v and looks like the end of the log", err)
	}
	cutShort(t, p.Other, device)
	if all := read(t, p.Mine, own, 0); len(all) != 1 {
		t.Errorf("the log has %d entries, want 1", len(all))
	}
	if h := head(t, p.Mine, device); h.Size != 0 {
		t.Errorf("the cancelled segment left %d entries", h.Size)
	}
}

// cutShort cancels a read after its first entry. It may still yield the rest,
// but if it does not, it says so.
func cutShort(t *testing.T, j Journal, device journal.DeviceID) {
	t.Helper()
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	n := int64(0)
	for _, err := range j.Entries(ctx, device, 0) {
		cancel()
		if err != nil {
			return
		}
		n++
	}
	if size := head(t, j, device).Size; n != size {
		t.Errorf("a read that was cancelled half-way ended after %d of %d entries without an error", n, size)
	}
}
