package shop_test

import (
	"context"
	"errors"
	"iter"
	"log/slog"
	"path/filepath"
	"slices"
	"sync"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/index"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/proof"
	"fettlebook/journal/shop"
)

// logs are the logs of some devices in memory.
type logs struct {
	mu       sync.Mutex
	held     map[journal.DeviceID][]journal.Logged
	grew     []journal.DeviceID // that which grew last is the last
	tops     map[journal.DeviceID]*journal.Top
	signed   map[journal.DeviceID]journal.Countersigned
	supposed journal.Logged
	reading  func(journal.Position) error // is asked before each entry of [logs.Entries], if given
}

func newLogs() *logs {
	return &logs{held: make(map[journal.DeviceID][]journal.Logged), tops: make(map[journal.DeviceID]*journal.Top), signed: make(map[journal.DeviceID]journal.Countersigned)}
}

// arrive adds the next entry of a log.
func (l *logs) arrive(device journal.DeviceID, raw []byte) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.tops[device] == nil {
		l.tops[device] = new(journal.Top)
	}
	e, err := journal.Decode(raw)
	falls := err == nil && l.tops[device].Falls(e.ID)
	l.grew = append(slices.DeleteFunc(l.grew, func(d journal.DeviceID) bool { return d == device }), device)
	l.held[device] = append(l.held[device], journal.Logged{Position: journal.Position{Device: device, Index: int64(len(l.held[device]))}, Bytes: raw, Falls: falls})
}

// countersign gives all entries of a log that have none a time of receipt.
func (l *logs) countersign(device journal.DeviceID, at time.Time) {
	l.mu.Lock()
	defer l.mu.Unlock()
	for i := range l.held[device] {
		if e := &l.held[device][i]; e.Received.IsZero() {
			e.Received = at
		}
	}
	l.signed[device] = journal.Countersigned{Device: device, Size: int64(len(l.held[device])), At: at}
}

func (l *logs) all() []journal.Logged {
	l.mu.Lock()
	defer l.mu.Unlock()
	var list []journal.Logged
	for _, one := range l.held {
		list = append(list, one...)
	}
	return list
}

func (l *logs) Entries(_ context.Context, device journal.DeviceID, from int64) iter.Seq2[journal.Logged, error] {
	return func(yield func(journal.Logged, error) bool) {
		l.mu.Lock()
		list := slices.Clone(l.held[device])
		l.mu.Unlock()
		for _, e := range list[min(from, int64(len(list))):] {
			if l.reading != nil {
				if err := l.reading(e.Position); err != nil {
					yield(journal.Logged{}, err)
					return
				}
			}
			if !yield(e, nil) {
				return
			}
		}
	}
}

func (l *logs) Heads(context.Context) ([]journal.Head, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	var list []journal.Head
	for _, device := range l.grew {
		list = append(list, journal.Head{Device: device, Size: int64(len(l.held[device]))})
	}
	return list, nil
}

func (l *logs) Pick(_ context.Context, at []journal.Position) ([]journal.Logged, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	var list []journal.Logged
	for _, p := range at {
		if held := l.held[p.Device]; p.Index < int64(len(held)) {
			list = append(list, held[p.Index])
		}
	}
	return list, nil
}

func (l *logs) LastCountersigned(_ context.Context, device journal.DeviceID) (journal.Countersigned, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.signed[device], nil
}

func (l *logs) Suppose(context.Context, journal.Draft) (journal.Logged, error) {
	if l.supposed.Bytes == nil {
		return journal.Logged{}, errors.New("nothing is supposed")
	}
	return l.supposed, nil
}

// fataler is a test or a property.
type fataler interface {
	Helper()
	Fatal(...any)
}

func open(t fataler, l *logs, dir string) (*shop.Shop, *index.DB) {
	t.Helper()
	return openWith(t, l, dir)
}

func openWith(t fataler, l shop.Log, dir string) (*shop.Shop, *index.DB) {
	t.Helper()
	idx, _, err := index.Open(context.Background(), filepath.Join(dir, "index.db"), slog.New(slog.DiscardHandler))
	if err != nil {
		t.Fatal(err)
	}
	return shop.Open(by, l, idx, slog.New(slog.DiscardHandler)), idx
}

func (l *logs) RootAt(_ context.Context, device journal.DeviceID, size int64) ([32]byte, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	var tree proof.Tree
	for _, e := range l.held[device][:size] {
		tree.Append(e.Bytes)
	}
	return tree.Root(), nil
}

// by is whose word counts in these shops.
var by = journal.Authority{Shop: journaltest.Shop, Hub: "hub"}
