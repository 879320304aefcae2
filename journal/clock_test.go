package journal_test

import (
	"bytes"
	"errors"
	"slices"
	"sync"
	"testing"
	"testing/iotest"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"

	"pgregory.net/rapid"
)

// after reports whether a sorts after b, as bytes.
func after(a, b journal.EntryID) bool { return bytes.Compare(a[:], b[:]) > 0 }

func counter(id journal.EntryID) int { return int(id[6]&0x0f)<<8 | int(id[7]) }

func newClock(w *journaltest.Watch) *journal.Clock {
	return journal.NewClock(w.Now, journaltest.Rand("clock"))
}

func next(t interface{ Fatal(...any) }, c *journal.Clock) journal.EntryID {
	id, err := c.Next()
	if err != nil {
		t.Fatal(err)
	}
	return id
}

// Three devices whose wall clocks jump about write entries and show them to
// each other. Whatever happened before has the smaller id, as long as no
// clock is more than MaxAhead from another.
func TestCauseHasTheSmallerID(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const devices = 3
		watches := make([]*journaltest.Watch, devices)
		clocks := make([]*journal.Clock, devices)
		known := make([]journal.EntryID, devices) // the newest each has made or been shown
		for i := range devices {
			watches[i] = journaltest.NewWatch(journaltest.Morning())
			clocks[i] = newClock(watches[i])
		}
		jump := rapid.Custom(func(t *rapid.T) time.Duration {
			return time.Duration(rapid.Int64Range(-150_000, 150_000).Draw(t, "ms")) * time.Millisecond
		})
		for range rapid.IntRange(1, 200).Draw(t, "steps") {
			i := rapid.IntRange(0, devices-1).Draw(t, "device")
			switch rapid.IntRange(0, 2).Draw(t, "what") {
			case 0: // the wall clock is set, within five minutes of the others'
				watches[i].Set(journaltest.Morning().Add(jump.Draw(t, "to")))
			case 1: // an entry is written
				id := next(t, clocks[i])
				if !after(id, known[i]) {
					t.Fatalf("device %d wrote %s knowing %s", i, id, known[i])
				}
				known[i] = id
			case 2: // another device's newest entry arrives
				from := rapid.IntRange(0, devices-1).Draw(t, "from")
				if !clocks[i].Follow(known[from]) {
					t.Fatalf("device %d did not follow %s", i, known[from])
				}
				if after(known[from], known[i]) {
					known[i] = known[from]
				}
			}
		}
	})
}

func TestIDsStayWithASaneWallClock(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := journaltest.NewWatch(journaltest.Morning())
		c := newClock(w)
		for range rapid.IntRange(1, 100).Draw(t, "entries") {
			w.Advance(time.Duration(rapid.IntRange(1, 100_000).Draw(t, "ms")) * time.Millisecond)
			if id := next(t, c); id.Millis() != w.Now().UnixMilli() || counter(id) != 0 {
				t.Fatalf("%s at %d ms", id, w.Now().UnixMilli())
			}
		}
	})
}

func TestClockNeverGoesBack(t *testing.T) {
	w := journaltest.NewWatch(journaltest.Morning())
	c := newClock(w)
	first := next(t, c)
	w.Advance(-24 * time.Hour)
	second := next(t, c)
	if !after(second, first) || second.Millis() != first.Millis() || counter(second) != 1 {
		t.Errorf("after the wall clock was set back %s follows %s", second, first)
	}
	w.Set(time.Unix(-1000, 0))
	if third := next(t, c); !after(third, second) {
		t.Errorf("before 1970 %s follows %s", third, second)
	}
}

func TestFullCounterBorrowsTheNextMillisecond(t *testing.T) {
	w := journaltest.NewWatch(journaltest.Morning())
	c := newClock(w)
	var id journal.EntryID
	for range 4096 {
		id = next(t, c)
	}
	if counter(id) != 4095 || id.Millis() != w.Now().UnixMilli() {
		t.Fatalf("the 4096th id of a millisecond is %s", id)
	}
	if id = next(t, c); counter(id) != 0 || id.Millis() != w.Now().UnixMilli()+1 {
		t.Errorf("the 4097th id of a millisecond is %s", id)
	}
}

func TestManyIDsInOneMillisecond(t *testing.T) {
	w := journaltest.NewWatch(journaltest.Morning())
	c := newClock(w)
	var last journal.EntryID
	for i := range 100_000 {
		id := next(t, c)
		if !after(id, last) {
			t.Fatalf("id %d is %s after %s", i, id, last)
		}
		last = id
	}
}

func TestConcurrentIDsAreDistinctAndRise(t *testing.T) {
	w := journaltest.NewWatch(journaltest.Morning())
	c := newClock(w)
	const writers, each = 8, 500
	made := make([][]journal.EntryID, writers)
	var wg sync.WaitGroup
	for i := range writers {
		wg.Go(func() {
			for range each {
				id, err := c.Next()
				if err != nil {
					return // seen below as a missing id
				}
				made[i] = append(made[i], id)
			}
		})
	}
	wg.Wait()
	stamps := map[[8]byte]bool{} // time and counter, without the random part
	for _, ids := range made {
		if !slices.IsSortedFunc(ids, func(a, b journal.EntryID) int { return bytes.Compare(a[:], b[:]) }) {
			t.Error("one goroutine's ids do not rise")
		}
		for _, id := range ids {
			stamps[[8]byte(id[:8])] = true
		}
	}
	if len(stamps) != writers*each {
		t.Errorf("%d ids have %d times and counters", writers*each, len(stamps))
	}
}

func TestMaxAheadIsTheBound(t *testing.T) {
	w := journaltest.NewWatch(journaltest.Morning())
	idAt := func(at time.Time) journal.EntryID { return next(t, newClock(journaltest.NewWatch(at))) }
	near, far := idAt(w.Now().Add(journal.MaxAhead)), idAt(w.Now().Add(journal.MaxAhead+time.Millisecond))

	c := newClock(w)
	if c.Follow(far) {
		t.Error("an id beyond MaxAhead was followed")
	}
	if !far.Ahead(w.Now()) || near.Ahead(w.Now()) {
		t.Error("Ahead does not tell what is followed")
	}
	if id := next(t, c); id.Millis() != w.Now().UnixMilli() {
		t.Errorf("after an id that was not followed comes %s", id)
	}
	if !c.Follow(near) {
		t.Error("an id of MaxAhead was not followed")
	}
	if id := next(t, c); !after(id, near) {
		t.Errorf("%s does not follow %s", id, near)
	}

	resumed := newClock(w)
	resumed.Resume(far)
	if id := next(t, resumed); !after(id, far) {
		t.Errorf("%s does not go on from the own log's %s", id, far)
	}
}

func TestClockWithoutRandomness(t *testing.T) {
	broken := errors.New("no randomness")
	c := journal.NewClock(journaltest.Morning, iotest.ErrReader(broken))
	if _, err := c.Next(); !errors.Is(err, broken) {
		t.Errorf("got %v", err)
	}
}

// Ids are made by the shop's time once the clock was compared with it, and
// what is too far ahead is too far ahead of that.
func TestIDsAreMadeByTheShopsTime(t *testing.T) {
	w := journaltest.NewWatch(journaltest.Morning())
	c := newClock(w)
	c.Compared(-11 * time.Minute) // the tablet is slow
	id := next(t, c)
	if got, want := id.Time(), w.Now().Add(11*time.Minute); !got.Equal(want.UTC().Truncate(time.Millisecond)) {
		t.Errorf("made at %s, want %s", got, want)
	}
	hub := journal.NewClock(func() time.Time { return w.Now().Add(12 * time.Minute) }, journaltest.Rand("hub"))
	if theirs := next(t, hub); !c.Follow(theirs) || !after(next(t, c), theirs) {
		t.Error("an id of the shop's time was not followed")
	}
}
