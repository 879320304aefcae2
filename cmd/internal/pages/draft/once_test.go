package draft_test

import (
	"errors"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"fettlebook/cmd/internal/pages/draft"
	"fettlebook/journal"
)

var (
	one = draft.Press{Token: "t1", Content: "27 N.m"}
	id1 = journal.EntryID{6: 0x70, 8: 0x80, 15: 1}
	id2 = journal.EntryID{6: 0x70, 8: 0x80, 15: 2}
)

func none(time.Time) (journal.EntryID, bool) { return journal.EntryID{}, false }

func TestWritesOnce(t *testing.T) {
	dir, w := t.TempDir(), start()
	s := open(t, dir, w)
	written := 0
	write := func() (journal.EntryID, error) { written++; return id1, nil }
	var all sync.WaitGroup
	for range 8 {
		all.Go(func() {
			if id, err := s.Once(one, none, write); err != nil || id != id1 {
				t.Errorf("got %v, %v", id, err)
			}
		})
	}
	all.Wait()
	if id, err := open(t, dir, w).Once(one, none, write); err != nil || id != id1 {
		t.Errorf("after a restart: %v, %v", id, err)
	}
	if written != 1 {
		t.Errorf("written %d times", written)
	}
	if !s.Spent("t1") || s.Spent("t2") {
		t.Error("spent tokens are not told from fresh ones")
	}
	var spent *draft.Spent
	if _, err := s.Once(draft.Press{Token: "t1", Content: "28 N.m"}, none, write); !errors.As(err, &spent) || spent.Entry != id1 {
		t.Errorf("the same form with something else in it: %v", err)
	}
	if id, err := s.Once(draft.Press{Token: "t2", Content: "27 N.m"}, none, func() (journal.EntryID, error) { return id2, nil }); err != nil || id != id2 {
		t.Errorf("another form: %v, %v", id, err)
	}
}

// A program that is killed between writing and remembering finds the entry in
// the log; one that is killed before it writes.
func TestKilledMeanwhile(t *testing.T) {
	for _, c := range []struct {
		name string
		here bool
		want journal.EntryID
	}{{"after the writing", true, id1}, {"before the writing", false, id2}} {
		t.Run(c.name, func(t *testing.T) {
			dir, w := t.TempDir(), start()
			begun := w.at
			killed := errors.New("killed")
			if _, err := open(t, dir, w).Once(one, none, func() (journal.EntryID, error) { return journal.EntryID{}, killed }); !errors.Is(err, killed) {
				t.Fatal(err)
			}
			w.at = w.at.Add(time.Minute)
			found := func(since time.Time) (journal.EntryID, bool) {
				if !since.Equal(begun) {
					t.Errorf("looked from %v on, not %v", since, begun)
				}
				return id1, c.here
			}
			id, err := open(t, dir, w).Once(one, found, func() (journal.EntryID, error) { return id2, nil })
			if err != nil || id != c.want {
				t.Errorf("got %v, %v", id, err)
			}
		})
	}
}

func TestDamagedPresses(t *testing.T) {
	dir, w := t.TempDir(), start()
	if err := os.WriteFile(filepath.Join(dir, "presses.json"), []byte(`[{"token":`), 0o600); err != nil {
		t.Fatal(err)
	}
	if id, err := open(t, dir, w).Once(one, none, func() (journal.EntryID, error) { return id1, nil }); err != nil || id != id1 {
		t.Errorf("got %v, %v", id, err)
	}
}
