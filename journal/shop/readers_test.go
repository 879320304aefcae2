package shop_test

import (
	"context"
	"fmt"
	"log/slog"
	"path/filepath"
	"sync"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/index"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/proof"
	"fettlebook/journal/shop"
	"fettlebook/journal/sqlitelog"
)

// While one writes, others look, search and suppose: nobody's view fails, what
// was seen once is there in every later view, and who has written finds it.
func TestReadersWhileItGrows(t *testing.T) {
	const readers, jobs, entries = 4, 6, 90
	s, db := running(t)
	about := func(i int) journal.Subject {
		return journal.About(journal.JobID(fmt.Sprintf("j0b%05d", i%jobs)), "", "")
	}

	written := make(chan struct{})
	var looking sync.WaitGroup
	defer looking.Wait()
	defer close(written)
	for range readers {
		looking.Go(func() {
			var seen [jobs]int
			for over := false; !over; {
				select {
				case <-written:
					over = true // and once more, with all there
				default:
				}
				v := s.View(t.Context())
				for i := range jobs {
					j := v.Job(about(i).Job())
					if j == nil {
						continue
					}
					v.Standing(j.ID)
					n := len(j.Timeline())
					if n < seen[i] {
						t.Errorf("%s has %d lines, and had %d", j.ID, n, seen[i])
					}
					seen[i] = n
				}
				v.Find("AB 1", 5)
				v.Summaries(20)
				if _, id, err := s.Suppose(t.Context(), journal.Draft{Subject: about(0), By: "io", Data: remark("supposed")}); err != nil {
					t.Error(err)
				} else if len(v.Line(id)) > 0 {
					t.Error("what is only supposed is in a view of what is")
				}
				if err := v.Err(); err != nil {
					t.Error(err)
				}
			}
			for i, n := range seen {
				if n != entries/jobs {
					t.Errorf("job %d has %d lines at the end, want %d", i, n, entries/jobs)
				}
			}
		})
	}

	for i := range entries {
		var data journal.Payload = remark(fmt.Sprint("remark ", i))
		if i < jobs {
			data = &journal.Job{Vehicle: journal.Vehicle{Plate: fmt.Sprint("AB ", i)}}
		}
		e, err := db.Append(t.Context(), journal.Draft{Subject: about(i), By: "io", Data: data})
		if err != nil {
			t.Fatal(err)
		}
		if err := s.Await(t.Context(), e.ID); err != nil {
			t.Fatal(err)
		}
		if v := s.View(t.Context()); len(v.Line(e.ID)) != 1 || v.Err() != nil {
			t.Errorf("who wrote entry %d does not find it: %v", i, v.Err())
		}
	}
}

func remark(note string) *journal.Remark {
	return &journal.Remark{Evidence: journal.Evidence{Note: note}}
}

// running is a shop that follows the log of one device until the test is over.
func running(t *testing.T) (*shop.Shop, *sqlitelog.DB) {
	t.Helper()
	w := journaltest.NewWatch(journaltest.Morning())
	key, err := proof.NewKey(journaltest.Rand("readers"), proof.Origin(journaltest.Shop, journaltest.Office))
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	db, err := sqlitelog.Open(t.Context(), filepath.Join(dir, "log.db"), sqlitelog.Options{
		Shop: journaltest.Shop, Own: journaltest.Office, Key: key, Hub: journaltest.Office, HubKey: key.Verifier(),
		Boot: "b1", Clock: journal.NewClock(w.Now, journaltest.Rand("clock")), Now: w.Now, Started: w.Now(),
	})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { db.Close() })
	idx, _, err := index.Open(t.Context(), filepath.Join(dir, "index.db"), slog.New(slog.DiscardHandler))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { idx.Close() })
	s := shop.Open(journal.Authority{Shop: journaltest.Shop, Hub: journaltest.Office}, db, idx, slog.New(slog.DiscardHandler))
	ctx, stop := context.WithCancel(context.Background())
	done := make(chan error, 1)
	go func() { done <- s.Run(ctx, db) }()
	t.Cleanup(func() {
		stop()
		if err := <-done; err != nil {
			t.Error(err)
		}
	})
	return s, db
}
