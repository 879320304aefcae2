package sqlitelog_test

import (
	"errors"
	"fmt"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/sqlitelog"
)

// Before the disk is full photos are no longer taken, then entries.
func TestLowDisk(t *testing.T) {
	var free uint64
	var broken error
	r := newRig(t, journaltest.Bench)
	r.free = func() (uint64, error) { return free, broken }
	db := r.open(t)
	second := newRig(t, "bench2").open(t)
	appendTo(t, second, note("one"))
	if err := db.Know(t.Context(), "bench2", r.keys["bench2"].Verifier()); err != nil {
		t.Fatal(err)
	}
	foreign := segment(t, second, "bench2", 0)
	entries := 0
	for i, c := range []struct {
		free                 uint64
		photos, notes, takes bool
	}{
		{sqlitelog.LowForPhotos, true, true, true},
		{sqlitelog.LowForPhotos - 1, false, true, true},
		{sqlitelog.LowForEntries, false, true, true},
		{sqlitelog.LowForEntries - 1, false, false, false},
		{0, false, false, false},
		{1 << 40, true, true, true},
	} {
		free = c.free
		_, photoErr := db.Append(t.Context(), picture(fmt.Sprint(i), 100))
		_, noteErr := db.Append(t.Context(), note("a remark"))
		_, receiveErr := db.Receive(t.Context(), foreign)
		for what, got := range map[string]struct {
			err  error
			want bool
		}{"a photo": {photoErr, c.photos}, "a remark": {noteErr, c.notes}, "a segment": {receiveErr, c.takes}} {
			if (got.err == nil) != got.want || got.err != nil && !errors.Is(got.err, journal.ErrDiskLow) {
				t.Errorf("%d bytes free: %s gave %v, want taken %v", c.free, what, got.err, got.want)
			}
		}
		if c.photos {
			entries++
		}
		if c.notes {
			entries++
		}
	}
	if n := len(r.check(t)); n != entries {
		t.Errorf("%d entries are here, want %d", n, entries)
	}
	broken = errors.New("no such disk")
	if _, err := db.Append(t.Context(), note("x")); !errors.Is(err, broken) {
		t.Errorf("a disk that cannot be measured gave %v", err)
	}
}

// The disk really is full: SQLite cannot get another page.
func TestFullDisk(t *testing.T) {
	r := newRig(t, journaltest.Bench)
	db := r.open(t)
	second := newRig(t, "bench2").open(t)
	appendTo(t, second, picture("theirs", 60_000))
	foreign := segment(t, second, "bench2", 0)
	if err := db.Know(t.Context(), "bench2", r.keys["bench2"].Verifier()); err != nil {
		t.Fatal(err)
	}
	appendTo(t, db, note("the first"))
	limit(t, db, 12)

	written := 1
	for range 200 { // until the last page is used up
		if _, err := db.Append(t.Context(), note("one more")); err != nil {
			break
		}
		written++
	}
	if written < 2 || written > 200 {
		t.Fatalf("%d entries fit into so few pages", written)
	}
	long := cardState(t, "c1", string(make([]byte, 20_000)), 1)
	for name, write := range map[string]func() error{
		"a remark":  func() error { _, err := db.Append(t.Context(), note("too much")); return err },
		"a photo":   func() error { _, err := db.Append(t.Context(), picture("ours", 60_000)); return err },
		"a segment": func() error { _, err := db.Receive(t.Context(), foreign); return err },
		"a card":    func() error { return db.SaveCard(t.Context(), long) },
		"a mark":    func() error { return db.SetMark(t.Context(), "m", long.Card.Details.Name) },
	} {
		if err := write(); !errors.Is(err, journal.ErrDiskLow) {
			t.Errorf("%s gave %v", name, err)
		}
	}
	if n := len(r.check(t)); n != written {
		t.Errorf("%d entries are here, want %d", n, written)
	}
	if n := len(checkLog(t, r.path, "bench2", r.keys["bench2"])); n != 0 {
		t.Errorf("%d entries of the segment are here", n)
	}
	if _, err := db.Card(t.Context(), "c1"); !errors.Is(err, sqlitelog.ErrNoCard) {
		t.Errorf("of the card is here: %v", err)
	}

	limit(t, db, 1<<20) // somebody made room
	appendTo(t, db, note("goes on"), picture("ours", 60_000))
	receive(t, db, foreign)
	if n := len(r.check(t)); n != written+2 {
		t.Errorf("%d entries are here, want %d", n, written+2)
	}
	checkLog(t, r.path, "bench2", r.keys["bench2"])
}

// limit lets the database have so many pages, or as many as it has already
// if that is more.
func limit(t *testing.T, db *sqlitelog.DB, pages int) {
	t.Helper()
	if err := db.Raw(t.Context(), fmt.Sprintf(`PRAGMA max_page_count = %d`, pages)); err != nil {
		t.Fatal(err)
	}
}
