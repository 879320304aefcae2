package sqlitelog_test

import (
	"context"
	"errors"
	"fmt"
	"math"
	"sync"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/proof"
	"fettlebook/journal/sqlitelog"

	"pgregory.net/rapid"
)

// crowd lets every writer append one draft, all queued before the first is
// written, so that they go as full batches.
func crowd(t *testing.T, db *sqlitelog.DB, drafts []journal.Draft) []*journal.Entry {
	t.Helper()
	entries, errs := make([]*journal.Entry, len(drafts)), make([]error, len(drafts))
	release := db.Hold()
	var wg sync.WaitGroup
	for i, d := range drafts {
		wg.Go(func() { entries[i], errs[i] = db.Append(t.Context(), d) })
	}
	until(t, "all drafts are queued", func() bool { return db.Queued() == len(drafts) })
	release()
	wg.Wait()
	if err := errors.Join(errs...); err != nil {
		t.Fatal(err)
	}
	return entries
}

// until waits for a condition.
func until(t *testing.T, what string, holds func() bool) {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), wait)
	defer cancel()
	tick := time.NewTicker(time.Millisecond)
	defer tick.Stop()
	for !holds() {
		select {
		case <-ctx.Done():
			t.Fatalf("waited in vain until %s", what)
		case <-tick.C:
		}
	}
}

// batches returns the bytes of entries and thumbnails from each checkpoint
// to the next, by cutting segments as small as can be.
func batches(t testing.TB, db *sqlitelog.DB, device journal.DeviceID) (list []journal.Segment) {
	t.Helper()
	for from := int64(0); ; {
		s, err := db.Segment(t.Context(), device, from, 1)
		if err != nil {
			t.Fatal(err)
		}
		if len(s.Entries) == 0 {
			return list
		}
		list, from = append(list, s), s.End()
	}
}

func TestGroupCommit(t *testing.T) {
	for _, writers := range []int{1, 2, 8, 64} {
		for _, thumb := range []int{0, 500, 60_000} {
			t.Run(fmt.Sprintf("%d writers, thumbnails of %d", writers, thumb), func(t *testing.T) {
				r := newRig(t, journaltest.Bench)
				db := r.open(t)
				var drafts []journal.Draft
				for w := range writers {
					d := notef("remark %d", w)
					if thumb > 0 && w%4 > 0 {
						d = picture(fmt.Sprint(w), thumb)
					}
					drafts = append(drafts, d)
				}
				entries := crowd(t, db, drafts)

				here := map[journal.EntryID]int{}
				for _, e := range r.check(t) {
					here[e.ID]++
				}
				if len(here) != writers {
					t.Fatalf("%d entries of %d writers are here", len(here), writers)
				}
				for i, e := range entries {
					remark, err := e.Payload()
					if err != nil {
						t.Fatal(err)
					}
					if here[e.ID] != 1 || remark.(*journal.Remark).Note != drafts[i].Data.(*journal.Remark).Note {
						t.Errorf("writer %d was told of %v, which is here %d times", i, e.ID, here[e.ID])
					}
				}
				all := batches(t, db, journaltest.Bench)
				bytes := 0
				for _, b := range all {
					bytes += b.Size()
					if b.Size() > journal.MaxSegmentBytes {
						t.Errorf("a batch of %d entries has %d bytes", len(b.Entries), b.Size())
					}
				}
				// Each entry is counted with the most that its attributes take.
				if most := 1 + (bytes+writers*1024)/(journal.MaxSegmentBytes-64<<10-2048); len(all) > most {
					t.Errorf("%d entries of %d bytes went in %d transactions, want at most %d", writers, bytes, len(all), most)
				}
			})
		}
	}
}

// Nobody waits for the others here; it is the race detector's turn.
func TestGroupCommitRunsFree(t *testing.T) {
	r := newRig(t, journaltest.Bench)
	db := r.open(t)
	const writers, each = 24, 48 // more than two pages of a walk
	errs := make([]error, writers)
	var wg sync.WaitGroup
	for w := range writers {
		wg.Go(func() {
			for n := range each {
				d := notef("remark %d of writer %d", n, w)
				if n%7 == 0 {
					d = picture(fmt.Sprintf("%d of %d", n, w), 5000)
				}
				if _, err := db.Append(t.Context(), d); err != nil {
					errs[w] = err
					return
				}
			}
		})
	}
	wg.Wait()
	if err := errors.Join(errs...); err != nil {
		t.Fatal(err)
	}
	const all = writers * each
	if n := len(r.check(t)); n != all {
		t.Errorf("%d entries are here, want %d", n, all)
	}
	for _, from := range []int64{0, 1, all - 1025, all - 1024, all - 513, all - 512, all - 511, all - 1} {
		next := from
		for e, err := range db.Entries(t.Context(), journaltest.Bench, from) {
			if err != nil {
				t.Fatal(err)
			}
			if e.Index != next {
				t.Fatalf("from %d: entry %d stands for entry %d", from, e.Index, next)
			}
			next++
		}
		if next != all {
			t.Errorf("from %d: the walk ended at %d of %d", from, next, all)
		}
	}
}

// Wherever a segment begins and whatever it may hold, it ends at a
// checkpoint over all before it, carries its thumbnails, and is as large as
// it may be but no larger, unless its first batch alone is.
func TestSegmentsAreCutAtCheckpoints(t *testing.T) {
	r := newRig(t, journaltest.Bench)
	db := r.open(t)
	for round := range 6 {
		var drafts []journal.Draft
		for w := range 1 + round*3 {
			d := notef("remark %d in round %d", w, round)
			if w%3 == 1 {
				d = picture(fmt.Sprintf("%d in %d", w, round), 1000*(w+1))
			}
			drafts = append(drafts, d)
		}
		crowd(t, db, drafts)
	}
	appendTo(t, db, picture("1 in 1", 2000)) // a thumbnail that is here already
	verifier, err := proof.Verifier(r.keys[journaltest.Bench].Verifier())
	if err != nil {
		t.Fatal(err)
	}
	all := read(t, db, journaltest.Bench)
	ends := map[int64]int{} // checkpoints, and the bytes of the batch that each ends
	sizes := []int{0}       // all that batches have together, wherever they begin and end
	for i, b := range batches(t, db, journaltest.Bench) {
		ends[b.End()] = b.Size()
		for _, before := range sizes[len(sizes)-i-1:] {
			sizes = append(sizes, before+b.Size())
		}
		sizes = append(sizes, 0)
	}
	if len(ends) != 7 {
		t.Fatalf("%d batches were written, want 7", len(ends))
	}
	rapid.Check(t, func(t *rapid.T) {
		from := rapid.Int64Range(-2, int64(len(all))+2).Draw(t, "from")
		most := rapid.SampledFrom(sizes).Draw(t, "size") + rapid.IntRange(-1, 1).Draw(t, "more")
		s, err := db.Segment(context.Background(), journaltest.Bench, from, most)
		if err != nil {
			t.Fatal(err)
		}
		from = max(from, 0)
		if from >= int64(len(all)) {
			if len(s.Entries) > 0 || s.Checkpoint != nil {
				t.Fatalf("beyond the end are %d entries", len(s.Entries))
			}
			return
		}
		if s.First != from || len(s.Entries) == 0 || ends[s.End()] == 0 {
			t.Fatalf("from %d it goes from %d to %d", from, s.First, s.End())
		}
		c, err := proof.Open(s.Checkpoint, verifier)
		if err != nil || c.Size != s.End() {
			t.Fatalf("its checkpoint is of size %d (%v), and it ends at %d", c.Size, err, s.End())
		}
		for i, raw := range s.Entries {
			if string(raw) != string(all[from+int64(i)].Bytes) {
				t.Fatalf("entry %d is another", from+int64(i))
			}
			e, err := journal.Decode(raw)
			if err != nil {
				t.Fatal(err)
			}
			photos, err := e.Photos()
			if err != nil {
				t.Fatal(err)
			}
			for _, p := range photos {
				if s.Thumbs[p.Thumb] == nil {
					t.Fatalf("the thumbnail of entry %d is missing", from+int64(i))
				}
			}
		}
		inside := 0
		for end := range ends {
			if end > from && end <= s.End() {
				inside++
			}
		}
		if s.Size() > most && inside > 1 {
			t.Fatalf("%d batches have %d bytes, and %d were asked for", inside, s.Size(), most)
		}
		next := s.End() + 1
		for next <= int64(len(all)) && ends[next] == 0 {
			next++
		}
		if next <= int64(len(all)) && s.Size()+ends[next] <= most {
			t.Fatalf("it ends at %d with %d bytes of %d, and the next batch has %d", s.End(), s.Size(), most, ends[next])
		}
	})
}

// A thumbnail that two batches name travels once and counts once.
func TestSegmentCountsAThumbnailOnce(t *testing.T) {
	db := newRig(t, journaltest.Bench).open(t)
	appendTo(t, db, picture("a bore", 9000), note("between"), picture("a bore", 9000))
	all := segment(t, db, journaltest.Bench, 0)
	for more, want := range map[int]int{0: 3, -1: 2} {
		s, err := db.Segment(t.Context(), journaltest.Bench, 0, all.Size()+more)
		if err != nil {
			t.Fatal(err)
		}
		if len(s.Entries) != want || len(s.Thumbs) != 1 {
			t.Errorf("into %d bytes go %d entries and %d thumbnails, want %d and 1", all.Size()+more, len(s.Entries), len(s.Thumbs), want)
		}
	}
}

// A log whose rows lie beside another's gives no row of that other.
func TestIndexesStayInTheirLog(t *testing.T) {
	db := newRig(t, journaltest.Bench).open(t)
	second := newRig(t, "bench2").open(t)
	appendTo(t, second, note("theirs"))
	r := newRig(t, "bench2")
	if err := db.Know(t.Context(), "bench2", r.keys["bench2"].Verifier()); err != nil {
		t.Fatal(err)
	}
	receive(t, db, segment(t, second, "bench2", 0))
	appendTo(t, db, note("one"), note("two"))
	for _, from := range []int64{-1 << 62, -1 << 40, -1, 0, 1, 2, 1<<40 - 1, 1 << 40, 1<<40 + 1, 1 << 41, 1 << 62, math.MaxInt64} {
		for _, device := range []journal.DeviceID{journaltest.Bench, "bench2"} {
			size := int64(2)
			if device == "bench2" {
				size = 1
			}
			want := max(0, size-max(from, 0))
			s, err := db.Segment(t.Context(), device, from, journal.MaxSegmentBytes)
			if err != nil {
				t.Fatal(err)
			}
			n := int64(0)
			for e, err := range db.Entries(t.Context(), device, from) {
				if err != nil {
					t.Fatal(err)
				}
				if e.Index != max(from, 0)+n {
					t.Errorf("%s from %d: entry %d", device, from, e.Index)
				}
				n++
			}
			if n != want || int64(len(s.Entries)) != want {
				t.Errorf("%s from %d: %d entries read, %d in the segment, want %d", device, from, n, len(s.Entries), want)
			}
		}
	}
	for _, size := range []int64{-1, 3, 1 << 40, 1<<40 + 1, 1 << 62, math.MaxInt64} {
		if root, err := db.RootAt(t.Context(), journaltest.Bench, size); err == nil {
			t.Errorf("the root of %d entries of 2 is %x", size, root)
		}
	}
}
