package folder_test

import (
	"bytes"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"testing/synctest"
	"time"

	"fettlebook/cmd/internal/folder"
	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/sqlitelog"
)

// A look says what the logs hold, whatever the folder's index is like, writes
// nothing into the folder, and leaves nothing behind.
func TestLook(t *testing.T) {
	dir := found(t)
	f := open(t, dir)
	card, err := journal.NewCard("c0000001", journal.Details{Name: "Nora Ample"}, opts.Rand)
	if err != nil {
		t.Fatal(err)
	}
	if err := f.SaveCard(t.Context(), journal.CardState{Card: card}); err != nil {
		t.Fatal(err)
	}
	note(t, f, "one")
	for _, c := range []struct {
		name  string
		made  bool // by an index of the look's own
		spoil func() error
	}{
		{"whole", false, func() error { return f.Folded.CatchUp(t.Context()) }},
		{"without summaries", true, func() error { note(t, f, "two"); return f.Folded.Follow(t.Context()) }},
		{"behind", true, func() error { note(t, f, "three"); return nil }},
		{"not an index", true, func() error {
			return os.WriteFile(folder.IndexPath(dir), bytes.Repeat([]byte("no index"), 1000), 0o600)
		}},
		{"missing", true, func() error { return os.Remove(folder.IndexPath(dir)) }},
	} {
		t.Run(c.name, func(t *testing.T) {
			if err := c.spoil(); err != nil {
				t.Fatal(err)
			}
			passing := t.TempDir()
			t.Setenv("TMPDIR", passing)
			log, err := sqlitelog.OpenToRead(t.Context(), folder.DatabasePath(dir))
			if err != nil {
				t.Fatal(err)
			}
			defer log.Close()
			folded, closer, err := folder.Look(t.Context(), dir, f.Authority(), log)
			if err != nil {
				t.Fatal(err)
			}
			files, err := filepath.Glob(filepath.Join(passing, "*", "*"))
			if err != nil || len(files) > 0 != c.made {
				t.Errorf("it lies in %v (%v)", files, err)
			}
			for _, name := range files {
				if raw, err := os.ReadFile(name); err != nil || bytes.Contains(bytes.ToLower(raw), []byte("ample")) {
					t.Errorf("%s holds a customer’s name (%v)", name, err)
				}
			}
			head, err := log.Head(t.Context(), f.Device)
			if err != nil {
				t.Fatal(err)
			}
			view := folded.View(t.Context())
			list := view.Summaries(10, record.NotHere)
			if len(list) != 1 || int64(list[0].Entries) != head.Size || view.Err() != nil {
				t.Errorf("the jobs are %+v, of %d entries (%v)", list, head.Size, view.Err())
			}
			if at := view.Names("job"); !slices.Equal(at, []string{"4f7kk2m9"}) {
				t.Errorf("the jobs are named %v", at)
			}
			view.Standing("4f7kk2m9")
			if at := view.Rests(); int64(len(at)) != head.Size {
				t.Errorf("a job of %d entries rests on %v", head.Size, at)
			}
			if err := closer.Close(); err != nil {
				t.Error(err)
			}
			if left, err := os.ReadDir(passing); err != nil || len(left) > 0 {
				t.Errorf("%v stays behind (%v)", left, err)
			}
		})
	}
}

// Whoever looks into a folder that nobody holds does not wait until somebody files what
// its index lacks; where a program holds it, they do.
func TestNobodyIsWaitedFor(t *testing.T) {
	dir := found(t)
	for _, c := range []struct {
		name string
		held bool
	}{{"held", true}, {"left", false}} {
		t.Run(c.name, func(t *testing.T) {
			f := open(t, dir)
			note(t, f, c.name)
			if !c.held {
				if err := f.Close(); err != nil {
					t.Fatal(err)
				}
			}
			synctest.Test(t, func(t *testing.T) {
				log, err := sqlitelog.OpenToRead(t.Context(), folder.DatabasePath(dir))
				if err != nil {
					t.Fatal(err)
				}
				defer log.Close()
				begun := time.Now()
				folded, closer, err := folder.Look(t.Context(), dir, f.Authority(), log)
				if err != nil {
					t.Fatal(err)
				}
				defer closer.Close()
				if waited := time.Since(begun) > 0; waited != c.held || folded == nil {
					t.Errorf("waited for somebody %v, held %v", waited, c.held)
				}
			})
			if c.held {
				if err := f.Close(); err != nil {
					t.Fatal(err)
				}
			}
		})
	}
}

func note(t *testing.T, f *folder.Folder, text string) {
	t.Helper()
	_, err := f.Log.Append(t.Context(), journal.Draft{Subject: "job/4f7kk2m9", By: "io", Data: &journal.Remark{Evidence: journal.Evidence{Note: text}}})
	if err != nil {
		t.Fatal(err)
	}
}
