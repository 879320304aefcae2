package folder_test

import (
	"errors"
	"io/fs"
	"os"
	"testing"

	"fettlebook/cmd/internal/folder"
	"fettlebook/journal"
	"fettlebook/journal/proof"
	"fettlebook/journal/sqlitelog"
)

// Only founding and joining begin a journal. Any other opening of a folder whose journal is
// gone would begin a second history under the same keys.
func TestALostJournalIsNotBegunAgain(t *testing.T) {
	for name, lose := range map[string]func(path string) error{
		"missing": os.Remove,
		"emptied": func(path string) error { return os.Truncate(path, 0) },
		"another": func(path string) error { // a database, and not of this log
			if err := os.Remove(path); err != nil {
				return err
			}
			key, err := proof.NewKey(opts.Rand, proof.Origin("k7m2q4xw", "t0000009"))
			if err != nil {
				return err
			}
			db, err := sqlitelog.Open(t.Context(), path, sqlitelog.Options{Shop: "k7m2q4xw", Own: "t0000009", Key: key, Boot: "b0000001", Clock: journal.NewClock(opts.Now, opts.Rand), Now: opts.Now})
			if err != nil {
				return err
			}
			return db.Close()
		},
	} {
		t.Run(name, func(t *testing.T) {
			dir := found(t)
			path := folder.DatabasePath(dir)
			f := open(t, dir)
			note(t, f, "one")
			if err := f.Close(); err != nil {
				t.Fatal(err)
			}
			kept, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			if err := lose(path); err != nil {
				t.Fatal(err)
			}
			left, _ := os.ReadFile(path)
			var lost *folder.LostJournal
			if _, err := folder.Open(t.Context(), dir, opts); !errors.As(err, &lost) || !errors.Is(err, sqlitelog.ErrLost) {
				t.Errorf("opened with %v", err)
			}
			if now, err := os.ReadFile(path); string(now) != string(left) || name == "missing" && !errors.Is(err, fs.ErrNotExist) {
				t.Errorf("something was written (%v)", err)
			}
			if err := folder.Rebuild(t.Context(), dir, opts); !errors.As(err, &lost) {
				t.Errorf("a tablet's journal was made anew: %v", err)
			}
			if err := os.WriteFile(path, kept, 0o600); err != nil {
				t.Fatal(err)
			}
			if head, err := open(t, dir).Log.Head(t.Context(), "t3fz8c1n"); err != nil || head.Size != 1 {
				t.Errorf("put back it has %d entries, %v", head.Size, err)
			}
		})
	}
}

// A folder in which a journal or its key lies and no shop.json is not begun anew.
func TestAFolderWithoutItsName(t *testing.T) {
	dir := found(t)
	if err := os.Remove(dir + "/shop.json"); err != nil {
		t.Fatal(err)
	}
	for range 2 {
		if _, err := folder.ReadIdentity(dir); !errors.Is(err, folder.ErrUnnamed) {
			t.Errorf("got %v", err)
		}
		if err := folder.Begin(dir); !errors.Is(err, folder.ErrUnnamed) {
			t.Errorf("began with %v", err)
		}
		if err := os.Remove(folder.DatabasePath(dir)); err != nil && !errors.Is(err, fs.ErrNotExist) { // the key alone is as much
			t.Fatal(err)
		}
	}
}

// A founding that was cut off is begun afresh, and till then the folder is none.
func TestAFoundingThatWasCutOff(t *testing.T) {
	dir := t.TempDir()
	for range 2 {
		if err := folder.Begin(dir); err != nil {
			t.Fatal(err)
		}
		if _, err := folder.ReadIdentity(dir); !errors.Is(err, folder.ErrNoFolder) {
			t.Errorf("got %v", err)
		}
		if _, err := os.Stat(folder.DatabasePath(dir)); !errors.Is(err, fs.ErrNotExist) {
			t.Error("the half-made journal is still here")
		}
		if err := os.WriteFile(folder.DatabasePath(dir), []byte("half"), 0o600); err != nil {
			t.Fatal(err)
		}
	}
}
