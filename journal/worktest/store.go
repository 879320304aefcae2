package worktest

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"iter"
	"os"
	"path/filepath"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/proof"
	"fettlebook/journal/sqlitelog"
	"fettlebook/media"
)

// Edition is raised whenever the bytes of histories change.
const Edition = 3

// Store signs entries as their devices would and hands them to a receiver in
// segments of some hundred kilobytes. The receiver knows the hub's log; the
// others' keys come with it.
func Store(ctx context.Context, to journal.Receiver, seed string, entries iter.Seq2[journal.Logged, error]) error {
	var logs []*signing
	for _, name := range Devices() {
		key, err := Key(seed, name)
		if err != nil {
			return err
		}
		logs = append(logs, &signing{device: name, key: key, tree: new(proof.Tree)})
	}
	flush := func() error {
		for _, l := range logs { // the hub's first: it has the keys of the others
			if err := l.flush(ctx, to); err != nil {
				return err
			}
		}
		return nil
	}
	size := 0
	for e, err := range entries {
		if err != nil {
			return err
		}
		for _, l := range logs {
			if l.device == e.Device {
				l.entries = append(l.entries, e.Bytes)
			}
		}
		if size += len(e.Bytes); size > journal.MaxSegmentBytes {
			if err := flush(); err != nil {
				return err
			}
			size = 0
		}
	}
	return flush()
}

// signing is a log on its way to a receiver.
type signing struct {
	device  journal.DeviceID
	key     proof.Key
	tree    *proof.Tree
	entries [][]byte // that are not there yet
}

func (l *signing) flush(ctx context.Context, to journal.Receiver) error {
	if len(l.entries) == 0 {
		return nil
	}
	first := l.tree.Size()
	for _, raw := range l.entries {
		l.tree.Append(raw)
	}
	checkpoint, err := proof.Sign(l.key.Signer(), l.tree.Size(), l.tree.Root())
	if err != nil {
		return err
	}
	_, err = to.Receive(ctx, journal.Segment{Device: l.device, First: first, Entries: l.entries, Thumbs: map[media.Ref][]byte{}, Checkpoint: checkpoint})
	l.entries = nil
	return err
}

// Open opens a database of logs as the hub of the history does. Its clock
// stands where the watch does.
func Open(ctx context.Context, path, seed string, watch *journaltest.Watch) (*sqlitelog.DB, error) {
	key, err := Key(seed, Office)
	if err != nil {
		return nil, err
	}
	return sqlitelog.Open(ctx, path, sqlitelog.Options{
		Shop: Shop, Own: Office, Key: key, Hub: Office, HubKey: key.Verifier(), Boot: "bench",
		Clock: journal.NewClock(watch.Now, journaltest.Rand(seed+" of a benchmark")), Now: watch.Now, Started: watch.Now(),
	})
}

// Folder returns a database of logs with the first n entries of the history
// of the seed, and its customer cards. It is kept in the folder that
// FETTLEBOOK_BENCH_DIR names, and made there if it is not there; without that
// it lies in a folder of the test. It must not be written: [Copy] it first.
func Folder(tb testing.TB, seed string, n int) (path string) {
	tb.Helper()
	dir := os.Getenv("FETTLEBOOK_BENCH_DIR")
	if dir == "" {
		dir = tb.TempDir()
	}
	dir = filepath.Join(dir, fmt.Sprintf("work-%s-%d-edition-%d", seed, n, Edition))
	path = filepath.Join(dir, "log.db")
	done := filepath.Join(dir, "done")
	if _, err := os.Stat(done); err == nil {
		return path
	} else if !errors.Is(err, fs.ErrNotExist) {
		tb.Fatal(err)
	}
	if err := fill(tb.Context(), dir, path, seed, n); err != nil {
		tb.Fatal(err)
	}
	if err := os.WriteFile(done, nil, 0o600); err != nil {
		tb.Fatal(err)
	}
	return path
}

func fill(ctx context.Context, dir, path, seed string, n int) error {
	if err := os.RemoveAll(dir); err != nil { // what an earlier run left half done
		return err
	}
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return err
	}
	db, err := Open(ctx, path, seed, journaltest.NewWatch(opening().AddDate(30, 0, 0)))
	if err != nil {
		return err
	}
	var cards []journal.CardState
	err = Store(ctx, db, seed, First(n, New(seed, Options{Card: func(c journal.CardState) { cards = append(cards, c) }})))
	for _, c := range cards {
		if err == nil {
			err = db.SaveCard(ctx, c)
		}
	}
	return errors.Join(err, db.Close())
}

// Copy copies a database of logs that nobody has open, so that it can be
// written.
func Copy(tb testing.TB, path string) string {
	tb.Helper()
	raw, err := os.ReadFile(path)
	if err != nil {
		tb.Fatal(err)
	}
	to := filepath.Join(tb.TempDir(), filepath.Base(path))
	if err := os.WriteFile(to, raw, 0o600); err != nil {
		tb.Fatal(err)
	}
	return to
}
