package index_test

import (
	"context"
	"fmt"
	"iter"
	"path/filepath"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/index"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/sqlitelog"
	"fettlebook/journal/worktest"
)

// An index goes on where its marks are, knows logs that are not its own, and
// begins anew once it is discarded.
func TestFollowsLogs(t *testing.T) {
	ctx := t.Context()
	logs := func(seed string, n int) *sqlitelog.DB {
		t.Helper()
		db, err := worktest.Open(ctx, worktest.Copy(t, worktest.Folder(t, seed, n)), seed, journaltest.NewWatch(journaltest.Morning().AddDate(1, 0, 0)))
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { db.Close() })
		return db
	}
	short, long, other := logs("follow", 300), logs("follow", 900), logs("another", 900)
	path := filepath.Join(t.TempDir(), "index.db")
	db, _ := open(t, path)
	follow := func(logs *sqlitelog.DB) (n int) {
		t.Helper()
		progressed := 0
		err := db.Load(ctx, func(yield func(index.Item, error) bool) {
			for l, err := range beyond(ctx, db, logs) {
				n++
				if !yield(index.Read(l), err) {
					return
				}
			}
		}, func(n int) { progressed = n })
		if err != nil || progressed != n {
			t.Fatalf("progress says %d of %d (%v)", progressed, n, err)
		}
		return n
	}
	agrees := func(logs journal.Reader, want bool) {
		t.Helper()
		if got, err := db.Agrees(ctx, logs); err != nil || got != want {
			t.Errorf("the index agrees with the logs: %v (%v)", got, err)
		}
	}
	agrees(short, true)
	if n := follow(short); n != 300 {
		t.Errorf("%d entries were beyond no marks", n)
	}
	agrees(short, true)
	agrees(long, true)
	agrees(other, false)
	if n := follow(long); n != 600 {
		t.Errorf("%d entries were beyond the marks", n)
	}
	if n := follow(long); n != 0 {
		t.Errorf("%d entries are beyond the end", n)
	}
	agrees(short, false)
	if err := db.Discard(); err != nil {
		t.Fatal(err)
	}
	var begun bool
	if db, begun = open(t, path); !begun {
		t.Error("a discarded index is still there")
	}
	agrees(other, true)
	if n := follow(other); n != 900 {
		t.Errorf("%d entries were beyond no marks", n)
	}
}

// beyond yields the entries of the logs that lie beyond the marks, log by log.
func beyond(ctx context.Context, db *index.DB, logs journal.Reader) iter.Seq2[journal.Logged, error] {
	return func(yield func(journal.Logged, error) bool) {
		marks, err := db.Marks(ctx)
		if err != nil {
			yield(journal.Logged{}, err)
			return
		}
		sizes := map[journal.DeviceID]int64{}
		for _, m := range marks {
			sizes[m.Device] = m.Size
		}
		heads, err := logs.Heads(ctx)
		if err != nil {
			yield(journal.Logged{}, fmt.Errorf("list logs: %w", err))
			return
		}
		for _, h := range heads {
			if h.Size <= sizes[h.Device] {
				continue
			}
			for l, err := range logs.Entries(ctx, h.Device, sizes[h.Device]) {
				if !yield(l, err) || err != nil {
					return
				}
			}
		}
	}
}
