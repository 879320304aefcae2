package backup_test

import (
	"bytes"
	"context"
	"crypto/rand"
	"crypto/sha256"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"fettlebook/cmd/internal/backup"
	"fettlebook/cmd/internal/folder"
	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/sqlitelog"
	"fettlebook/media"
	"fettlebook/media/photodir"
)

var morning = time.Date(2027, 3, 1, 7, 30, 0, 0, time.UTC)

// minutes is a clock that goes on by one at each look.
func minutes() func() time.Time {
	var n atomic.Int64
	return func() time.Time { return morning.Add(time.Duration(n.Add(1)) * time.Minute) }
}

// worked is the data folder of a machine on which a day was worked, with some
// originals beside.
func worked(t *testing.T, machine string) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "data")
	if err := os.CopyFS(dir, os.DirFS(filepath.Join("../../../testdata/folders/first", machine))); err != nil {
		t.Fatal(err)
	}
	for i := range 5 {
		keep(t, dir, fmt.Sprintf("photograph %d of %s", i, machine))
	}
	for name, text := range map[string]string{"drafts/a": "half a sentence", "index.db": "made anew", "door.json": "{}", "broker/jetstream/x": "made anew", "witnessed/k7/notes": "a word on another shop"} {
		write(t, filepath.Join(dir, name), text)
	}
	return dir
}

func write(t *testing.T, path, text string) {
	t.Helper()
	if err := errors.Join(os.MkdirAll(filepath.Dir(path), 0o700), os.WriteFile(path, []byte(text), 0o600)); err != nil {
		t.Fatal(err)
	}
}

// keep puts bytes among a folder's originals.
func keep(t *testing.T, dir, text string) media.Ref {
	t.Helper()
	ref := media.Ref(sha256.Sum256([]byte(text)))
	write(t, filepath.Join(folder.PhotosPath(dir), ref.Hex()[:2], ref.Hex()), text)
	return ref
}

func must[T any](v T, err error) func(*testing.T) T {
	return func(t *testing.T) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

// folded is what a folder's entries fold to, as the records of all vehicles.
func folded(t *testing.T, dir string) []byte {
	t.Helper()
	db := must(sqlitelog.OpenToRead(t.Context(), folder.DatabasePath(dir)))(t)
	defer db.Close()
	id := must(folder.ReadIdentity(dir))(t)
	shop := must(record.Fold(id.Authority(), db.All(t.Context())))(t)
	var b bytes.Buffer
	for line := range shop.All() {
		fmt.Fprintln(&b, line.ID, line.Device, line.Says())
	}
	if b.Len() == 0 {
		t.Fatal("nothing was written there")
	}
	return b.Bytes()
}

// files are the files below a folder with their bytes.
func files(t *testing.T, dir string) map[string]string {
	t.Helper()
	all := make(map[string]string)
	err := fs.WalkDir(os.DirFS(dir), ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		raw, err := os.ReadFile(filepath.Join(dir, name))
		all[name] = string(raw)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

func TestThereAndBack(t *testing.T) {
	for _, machine := range []string{"hub", "bench-1"} {
		t.Run(machine, func(t *testing.T) {
			from, to := worked(t, machine), filepath.Join(t.TempDir(), "copy")
			s := must(backup.Make(t.Context(), backup.Asked{From: from, To: to, Now: minutes(), Keep: 3}))(t)
			if s.Originals != 5 || s.Entries() == 0 || !s.Made.Equal(morning.Add(time.Minute)) {
				t.Errorf("it says %d originals, %d entries, made at %s", s.Originals, s.Entries(), s.Made)
			}
			back := filepath.Join(t.TempDir(), "new", "data")
			newest := must(backup.Newest(to))(t)
			if err := backup.Restore(t.Context(), to, newest, back, nil); err != nil {
				t.Fatal(err)
			}
			if !bytes.Equal(folded(t, from), folded(t, back)) {
				t.Error("the entries fold to another record")
			}
			was, is := files(t, from), files(t, back)
			for name, text := range was {
				left := strings.HasPrefix(name, "drafts/") || strings.HasPrefix(name, "broker/") || strings.HasPrefix(name, "index.db") || name == "door.json" || name == "lock"
				switch got, there := is[name]; {
				case left && there:
					t.Errorf("%s came along", name)
				case !left && !there && !strings.HasPrefix(name, "journal.db-"):
					t.Errorf("%s is gone", name)
				case !left && name != "journal.db" && there && got != text:
					t.Errorf("%s is another", name)
				}
			}
			f := must(folder.Open(t.Context(), back, folder.Options{Now: func() time.Time { return morning.AddDate(0, 0, 1) }, Rand: rand.Reader}))(t)
			if err := f.Close(); err != nil {
				t.Error(err)
			}
		})
	}
}

// What was durable before a backup begins is in it, though entries are written
// all the while.
func TestBesideWhoWrites(t *testing.T) {
	from, to := worked(t, "bench-1"), t.TempDir()
	f := must(folder.Open(t.Context(), from, folder.Options{Now: func() time.Time { return time.Now().AddDate(1, 0, 0) }, Rand: rand.Reader}))(t)
	defer f.Close()
	ctx, stop := context.WithCancel(t.Context())
	var written atomic.Int64
	done := make(chan error, 1)
	go func() {
		for ctx.Err() == nil {
			if _, err := f.Append(ctx, journal.Draft{Subject: "job/4f7kk2m9", By: "io", Data: &journal.Remark{Evidence: journal.Evidence{Note: "looked"}}}); err != nil && ctx.Err() == nil {
				done <- err
				return
			}
			written.Add(1)
		}
		done <- nil
	}()
	before := must(f.Log.Head(t.Context(), f.Device))(t).Size
	now := minutes()
	for range 5 {
		least := before + written.Load()
		s := must(backup.Make(t.Context(), backup.Asked{From: from, To: to, Now: now, Keep: 9}))(t)
		var got int64
		for _, l := range s.Logs {
			if l.Device == f.Device {
				got = l.Size
			}
		}
		if got < least {
			t.Errorf("%d entries were on the disk, %d are in the set", least, got)
		}
		if err := s.Check(t.Context()); err != nil {
			t.Error(err)
		}
	}
	stop()
	if err := <-done; err != nil {
		t.Error(err)
	}
}

func TestOriginalsAreCopiedOnce(t *testing.T) {
	from, to := worked(t, "bench-1"), t.TempDir()
	var copied int64
	a := backup.Asked{From: from, To: to, Now: minutes(), Keep: 3, Progress: func(done, total int64) { copied = total }}
	must(backup.Make(t.Context(), a))(t)
	if copied == 0 {
		t.Fatal("nothing was copied")
	}
	gone := keep(t, from, "photograph 0 of bench-1") // not kept here any more
	if err := os.Remove(filepath.Join(folder.PhotosPath(from), gone.Hex()[:2], gone.Hex())); err != nil {
		t.Fatal(err)
	}
	more := keep(t, from, "one more")
	bad := keep(t, from, "photograph 1 of bench-1")
	write(t, filepath.Join(folder.PhotosPath(from), bad.Hex()[:2], bad.Hex()), "photograph 9 of bench-1") // damaged since
	copied = 0
	must(backup.Make(t.Context(), a))(t)
	if copied != int64(len("one more")) {
		t.Errorf("%d bytes were copied", copied)
	}
	in := photodir.OpenToRead(folder.PhotosPath(to))
	for _, ref := range []media.Ref{gone, more, bad} {
		if err := in.Verify(t.Context(), ref); err != nil {
			t.Error(err)
		}
	}
}

func TestOldSetsGo(t *testing.T) {
	from, to := worked(t, "hub"), t.TempDir()
	a := backup.Asked{From: from, To: to, Now: minutes(), Keep: 2}
	var made []string
	for range 4 {
		made = append(made, filepath.Base(must(backup.Make(t.Context(), a))(t).Dir))
	}
	if names := must(backup.Names(to))(t); strings.Join(names, " ") != strings.Join(made[2:], " ") {
		t.Errorf("of %v there are %v", made, names)
	}
}

// A backup that is cut off anywhere leaves the sets that were there, and the next
// one clears away what it left.
func TestCutOff(t *testing.T) {
	from, to := worked(t, "hub"), t.TempDir()
	now := minutes()
	first := must(backup.Make(t.Context(), backup.Asked{From: from, To: to, Now: now, Keep: 2}))(t)
	cut := errors.New("cut")
	for n := range 5 {
		keep(t, from, fmt.Sprintf("one more, %d", n))
		ctx, stop := context.WithCancelCause(t.Context())
		_, err := backup.Make(ctx, backup.Asked{From: from, To: to, Now: now, Keep: 2, Progress: func(done, total int64) {
			if done == total {
				stop(cut)
			}
		}, Free: func() (uint64, error) {
			if n == 0 {
				stop(cut)
			}
			return 1 << 40, nil
		}})
		stop(nil)
		if n == 0 && err == nil {
			t.Error("it was not cut off")
		}
		if got := must(backup.Newest(to))(t); n == 0 && got.Dir != first.Dir {
			t.Errorf("the newest set is %s", got.Dir)
		} else if err := got.Check(t.Context()); err != nil {
			t.Error(err)
		}
	}
	write(t, filepath.Join(to, "sets", ".new-20270301T080000Z", "journal.db"), "half of it")
	must(backup.Make(t.Context(), backup.Asked{From: from, To: to, Now: now, Keep: 2}))(t)
	if left := must(filepath.Glob(filepath.Join(to, "sets", ".new-*")))(t); len(left) > 0 {
		t.Errorf("%v is left", left)
	}
}

func TestRefused(t *testing.T) {
	from := worked(t, "hub")
	to := t.TempDir()
	now := minutes()
	for name, trial := range map[string]struct {
		asked backup.Asked
		want  error
	}{
		"in itself":                 {backup.Asked{From: from, To: filepath.Join(from, "copy")}, fs.ErrInvalid},
		"no data folder":            {backup.Asked{From: t.TempDir(), To: to}, folder.ErrNoFolder},
		"no room":                   {backup.Asked{From: from, To: filepath.Join(to, "full"), Free: func() (uint64, error) { return 1 << 20, nil }}, journal.ErrDiskLow},
		"a disk that does not tell": {backup.Asked{From: from, To: filepath.Join(to, "silent"), Free: func() (uint64, error) { return 0, fs.ErrPermission }}, fs.ErrPermission},
	} {
		t.Run(name, func(t *testing.T) {
			trial.asked.Now, trial.asked.Keep = now, 1
			if _, err := backup.Make(t.Context(), trial.asked); !errors.Is(err, trial.want) {
				t.Errorf("%v", err)
			}
			if _, err := backup.Newest(trial.asked.To); !errors.Is(err, backup.ErrNone) {
				t.Errorf("a set is there: %v", err)
			}
		})
	}
	s := must(backup.Make(t.Context(), backup.Asked{From: from, To: to, Now: now, Keep: 1}))(t)
	if err := backup.Restore(t.Context(), to, s, from, nil); !errors.Is(err, backup.ErrTaken) {
		t.Errorf("over a folder in use: %v", err)
	}
}

// A set that is not what it was is not put back, whichever of its files it is.
func TestADamagedSetIsRefused(t *testing.T) {
	from, to := worked(t, "hub"), t.TempDir()
	s := must(backup.Make(t.Context(), backup.Asked{From: from, To: to, Now: minutes(), Keep: 1}))(t)
	for _, f := range s.Files {
		path := filepath.Join(s.Dir, f.Path)
		was := must(os.ReadFile(path))(t)
		if len(was) == 0 {
			continue
		}
		for what, bad := range map[string]func() error{
			"a bit":  func() error { b := bytes.Clone(was); b[len(b)/2] ^= 1; return os.WriteFile(path, b, 0o600) },
			"an end": func() error { return os.WriteFile(path, was[:len(was)-1], 0o600) },
			"all":    func() error { return os.Remove(path) },
		} {
			if err := bad(); err != nil {
				t.Fatal(err)
			}
			back := filepath.Join(t.TempDir(), "data")
			if err := backup.Restore(t.Context(), to, must(backup.Newest(to))(t), back, nil); !errors.Is(err, backup.ErrDamaged) {
				t.Errorf("%s of %s: %v", what, f.Path, err)
			}
			if _, err := os.Stat(back); !errors.Is(err, fs.ErrNotExist) {
				t.Errorf("%s of %s: something was put back", what, f.Path)
			}
			write(t, path, string(was))
		}
	}
	outside := *s
	outside.Files = append(outside.Files[:len(outside.Files):len(outside.Files)], backup.File{Path: "../../x"})
	if err := outside.Check(t.Context()); !errors.Is(err, backup.ErrDamaged) {
		t.Errorf("a file outside: %v", err)
	}
}

// Who runs on with a clock that was set back, or names a place where another
// folder's backups lie, loses no set by it.
func TestPlaces(t *testing.T) {
	hub, bench, to := worked(t, "hub"), worked(t, "bench-1"), filepath.Join(t.TempDir(), "copy")
	at := func(when time.Time) func() time.Time { return func() time.Time { return when } }
	var last string
	for _, when := range []time.Time{morning, morning.AddDate(-1, 0, 0), morning.AddDate(-1, 0, 0)} { // the clock of 2026, twice in a second
		s := must(backup.Make(t.Context(), backup.Asked{From: hub, To: to, Now: at(when), Keep: 2}))(t)
		if newest := must(backup.Newest(to))(t); newest.Dir != s.Dir || !newest.Made.Equal(when) || newest.Dir <= last {
			t.Errorf("made at %s; the newest is %s after %s, and says %s", when, newest.Dir, last, newest.Made)
		}
		last = s.Dir
	}
	before := files(t, to)
	_, err := backup.Make(t.Context(), backup.Asked{From: bench, To: to, Now: at(morning), Keep: 1})
	if !errors.Is(err, fs.ErrInvalid) || !strings.Contains(err.Error(), "backups of another folder") {
		t.Errorf("into the place of another folder: %v", err)
	}
	if after := files(t, to); !maps.Equal(after, before) {
		t.Error("what was there is not as it was")
	}
}
