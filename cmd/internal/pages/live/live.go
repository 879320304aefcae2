// Package live keeps the folded shop up to date in memory while pages are
// served. Every write to the log is read, folded and published as a new
// [Snapshot]; a page reads the newest one and never waits for a fold, and who
// has just written waits until the snapshot holds the entry.
//
//	l := live.New(by, log, logger)
//	go l.Run(ctx)
//	snap, err := l.Await(ctx, entry.ID)
package live

import (
	"context"
	"fmt"
	"log/slog"
	"sync"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/facts"
	"fettlebook/journal/record"
)

// Log is what is read. Suppose returns the entry that would be written of a
// draft, unwritten.
type Log interface {
	journal.Reader
	LastCountersigned(ctx context.Context, device journal.DeviceID) (journal.Countersigned, error)
	Suppose(ctx context.Context, d journal.Draft) (journal.Logged, error)
	Woken() <-chan struct{}
}

// again is how long a read that went wrong waits for another try.
const again = 2 * time.Second

// Live keeps the newest snapshot.
type Live struct {
	log    Log
	logger *slog.Logger
	shelf  *card.Shelf

	reading sync.Mutex // guards book, read and signed
	book    *record.Book
	read    map[journal.DeviceID]int64 // entries of each log in the book
	signed  map[journal.DeviceID]int64 // of these, with their time of receipt

	mu      sync.Mutex // guards newest and changed
	newest  *Snapshot
	changed chan struct{} // closed when newest is replaced
}

// New returns a Live of a shop in which the word of by counts, that has read
// nothing yet.
func New(by journal.Authority, log Log, logger *slog.Logger) *Live {
	l := &Live{log: log, logger: logger, shelf: new(card.Shelf), book: record.NewBook(by),
		read: make(map[journal.DeviceID]int64), signed: make(map[journal.DeviceID]int64), changed: make(chan struct{})}
	l.newest = l.snapshot(l.book.Shop())
	return l
}

// Run reads on whenever something was written, until the context ends.
func (l *Live) Run(ctx context.Context) {
	woken := l.log.Woken()
	retry := time.NewTimer(0)
	defer retry.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-woken:
		case <-retry.C:
		}
		if err := l.readOn(ctx); err != nil && ctx.Err() == nil {
			l.logger.WarnContext(ctx, "read the log for the pages", "error", err)
			retry.Reset(again)
		}
	}
}

// readOn takes what is new into the book and publishes a snapshot.
func (l *Live) readOn(ctx context.Context) error {
	l.reading.Lock()
	defer l.reading.Unlock()
	heads, err := l.log.Heads(ctx)
	if err != nil {
		return err
	}
	grown := false
	for _, h := range heads {
		c, err := l.log.LastCountersigned(ctx, h.Device)
		if err != nil {
			return err
		}
		// What was countersigned since is read once more, for its time.
		from, signed := l.read[h.Device], min(c.Size, h.Size)
		if signed > l.signed[h.Device] {
			from = min(from, l.signed[h.Device])
		}
		if from == h.Size {
			continue
		}
		grown = true
		for e, err := range l.log.Entries(ctx, h.Device, from) {
			if err != nil {
				return err
			}
			l.book.Add(e)
			l.read[h.Device] = max(l.read[h.Device], e.Index+1)
		}
		l.signed[h.Device] = signed
	}
	if grown || l.Now().Serial == 0 {
		l.publish(l.snapshot(l.book.Shop()))
		return nil
	}
	// Something else was written, such as that the hub has a photograph: the
	// record is the same, and pages look again.
	same := *l.Now()
	l.publish(&same)
	return nil
}

func (l *Live) snapshot(shop *record.Shop) *Snapshot {
	s := &Snapshot{Shop: shop, Stock: facts.StockOf(shop), shelf: l.shelf, at: make(map[journal.JobID]func() *Standing, len(shop.Jobs))}
	for _, j := range shop.Jobs {
		s.at[j.ID] = sync.OnceValue(func() *Standing { return s.stand(j) })
	}
	return s
}

// publish replaces the newest snapshot. The jobs that pages list are worked
// out before, so that no page waits for it.
func (l *Live) publish(s *Snapshot) {
	s.Serial = l.Now().Serial + 1
	for _, j := range s.Open(Listed) {
		s.Standing(j.ID)
	}
	l.mu.Lock()
	l.newest = s
	close(l.changed)
	l.changed = make(chan struct{})
	l.mu.Unlock()
}

// Now returns the newest snapshot.
func (l *Live) Now() *Snapshot {
	s, _ := l.look()
	return s
}

// look returns the newest snapshot, and what is closed when it is replaced.
func (l *Live) look() (*Snapshot, <-chan struct{}) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.newest, l.changed
}

// Await waits until the snapshot holds the entry.
func (l *Live) Await(ctx context.Context, id journal.EntryID) (*Snapshot, error) {
	return l.until(ctx, func(s *Snapshot) bool { return len(s.Shop.Line(id)) > 0 })
}

// Ready waits until the log was read for the first time.
func (l *Live) Ready(ctx context.Context) error {
	_, err := l.until(ctx, func(s *Snapshot) bool { return s.Serial > 0 })
	return err
}

func (l *Live) until(ctx context.Context, is func(*Snapshot) bool) (*Snapshot, error) {
	for {
		s, changed := l.look()
		if is(s) {
			return s, nil
		}
		select {
		case <-ctx.Done():
			return s, fmt.Errorf("wait for the record: %w", ctx.Err())
		case <-changed:
		}
	}
}

// Suppose returns the snapshot as it would be if the draft were written, and
// the id that the entry has in it. Nothing is written.
func (l *Live) Suppose(ctx context.Context, d journal.Draft) (*Snapshot, journal.EntryID, error) {
	e, err := l.log.Suppose(ctx, d)
	if err != nil {
		return nil, journal.EntryID{}, err
	}
	entry, err := journal.Decode(e.Bytes)
	if err != nil {
		return nil, journal.EntryID{}, err
	}
	l.reading.Lock()
	shop := l.book.Suppose(e)
	l.reading.Unlock()
	return l.snapshot(shop), entry.ID, nil
}
