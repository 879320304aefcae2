package shop

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"runtime"
	"slices"
	"sync"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/index"
	"fettlebook/journal/record"
)

// Log is what is read and followed.
type Log interface {
	journal.Reader
	// Pick reads entries at positions of several logs, in no order.
	Pick(ctx context.Context, at []journal.Position) ([]journal.Logged, error)
	LastCountersigned(ctx context.Context, device journal.DeviceID) (journal.Countersigned, error)
	// Suppose returns the entry that would be written of a draft, unwritten.
	Suppose(ctx context.Context, d journal.Draft) (journal.Logged, error)
	Roots
}

// Waker tells when something was written to the log.
type Waker interface{ Woken() <-chan struct{} }

// ErrGone is wrapped when entries that the index knows are not in the logs any
// more: a record without them would look whole.
var ErrGone = errors.New("entries that were written are not in the journal any more; find them with `fettlebook audit`")

// again is how long what went wrong waits for another try.
const again = 2 * time.Second

// Shop is the one folded shop of a process. It is safe for concurrent use.
type Shop struct {
	by     journal.Authority
	log    Log
	index  *index.DB
	logger *slog.Logger
	shelf  *card.Shelf
	reads  bool // only: another program may be writing the index
	once   bool // its index is made for one look

	following sync.Mutex // one follows the log at a time; guards what follows
	signed    map[journal.DeviceID]int64
	sequence  *sequence // nil until the log is followed

	// grown is held for writing while the index grows and cases are dropped,
	// and for reading while a case is gathered: no case is of two states.
	grown sync.RWMutex

	mu      sync.Mutex // guards what follows
	cases   *cases
	decoded entries
	serial  uint64
	changed chan struct{} // closed when serial rises
	filling Filling
	owed    bool // a listing left summaries over
	anew    bool // the index was emptied and does not hold again what it held

	register register
	parts    tabled
	due      chan struct{} // summaries are to be worked out in the background

	summarizing sync.Mutex // one works out all summaries at a time
}

// Open joins a log to its index. by says whose word counts in the shop. What the index does not have yet is taken in
// by the first [Shop.Follow].
func Open(by journal.Authority, log Log, idx *index.DB, logger *slog.Logger) *Shop {
	return &Shop{by: by, log: log, index: idx, logger: logger, shelf: new(card.Shelf), signed: make(map[journal.DeviceID]int64),
		cases: newCases(), decoded: newEntries(), changed: make(chan struct{}), register: newRegister(by), due: make(chan struct{}, 1)}
}

// Run follows the log and keeps summaries up to date until the context ends.
func (s *Shop) Run(ctx context.Context, w Waker) error {
	woken := w.Woken()
	var working sync.WaitGroup
	defer working.Wait()
	working.Go(func() { s.keepSummaries(ctx) })
	retry := time.NewTimer(0)
	defer retry.Stop()
	for {
		select {
		case <-ctx.Done():
			return nil
		case <-woken:
		case <-retry.C:
		}
		before, _ := s.Now()
		err := s.Follow(ctx)
		if err == nil && before == 0 {
			err = s.readAhead(ctx)
		}
		if err != nil && ctx.Err() == nil {
			if errors.Is(err, index.ErrDamaged) {
				return fmt.Errorf("follow the log: %w", err)
			}
			s.logger.WarnContext(ctx, "follow the log", "error", err)
			retry.Reset(again)
		}
		if now, _ := s.Now(); now == before && now > 0 {
			s.tell() // something else was written, such as that the hub has a photograph: pages look again
		}
		s.summarizeSoon()
	}
}

// Now tells how often the shop has changed since it was opened, and what is
// closed when it changes again.
func (s *Shop) Now() (serial uint64, changed <-chan struct{}) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.serial, s.changed
}

func (s *Shop) tell() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.serial++
	close(s.changed)
	s.changed = make(chan struct{})
}

// Filling is how far the index is filled: so many entries of all.
type Filling struct{ Held, Of int64 }

// Filling tells how far the index is filled, or was filled last; zero before
// that.
func (s *Shop) Filling() Filling {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.filling
}

func (s *Shop) filled(f Filling) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.filling = f
}

// Ready waits until the log was followed for the first time, and while the
// index is emptied and filled anew: nobody is to take a part of the shop for
// all of it.
func (s *Shop) Ready(ctx context.Context) error {
	return s.until(ctx, func() (bool, error) {
		s.mu.Lock()
		defer s.mu.Unlock()
		return s.serial > 0 && !s.anew, nil
	})
}

// inPart reports whether the index holds a part of what it held.
func (s *Shop) inPart() bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.anew
}

// begunAnew says whether the index is being filled anew, and returns whether it
// was.
func (s *Shop) begunAnew(now bool) (was bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	was, s.anew = s.anew, now
	return was
}

// Await waits until the shop holds the entry.
func (s *Shop) Await(ctx context.Context, id journal.EntryID) error {
	return s.until(ctx, func() (bool, error) {
		rows, err := s.index.ByID(ctx, id)
		return len(rows) > 0, err
	})
}

func (s *Shop) until(ctx context.Context, is func() (bool, error)) error {
	for {
		_, changed := s.Now()
		if yes, err := is(); yes || err != nil {
			return err
		}
		select {
		case <-ctx.Done():
			return fmt.Errorf("wait for the record: %w", ctx.Err())
		case <-changed:
		}
	}
}

// Case returns the record of a home; nil if nothing is known of it.
func (s *Shop) Case(ctx context.Context, home journal.Subject) (*Case, error) {
	return s.find(ctx, home, s.cases.keep)
}

// glance folds a home without keeping it, unless it is kept already: the
// background must not push out what readers look at.
func (s *Shop) glance(ctx context.Context, home journal.Subject) (*Case, error) {
	return s.find(ctx, home, func(*Case) {})
}

// find returns the record of a home that is kept, or else folds it and has it
// kept, before the shop grows on.
func (s *Shop) find(ctx context.Context, home journal.Subject, keep func(*Case)) (*Case, error) {
	s.mu.Lock()
	c, ok := s.cases.get(home)
	s.mu.Unlock()
	if ok {
		return c, nil
	}
	s.grown.RLock()
	defer s.grown.RUnlock()
	c, err := s.fold(ctx, home)
	if err != nil || c == nil {
		return nil, err
	}
	s.mu.Lock()
	keep(c)
	s.mu.Unlock()
	return c, nil
}

// fold gathers and folds a home. grown is held.
func (s *Shop) fold(ctx context.Context, home journal.Subject) (*Case, error) {
	reg, err := s.registered(ctx)
	if err != nil {
		return nil, err
	}
	return s.foldIn(ctx, home, s.index, reg, s.read, s.uses)
}

func (s *Shop) foldIn(ctx context.Context, home journal.Subject, find Finder, reg *record.Shop,
	read func(context.Context, []index.Row) ([]*record.Decoded, error), uses func(context.Context, *Case) record.Uses) (*Case, error) {
	g := newGathering(ctx, find, read)
	if err := g.gather(home, s.by); err != nil {
		return nil, err
	}
	if len(g.here) == 0 {
		return nil, nil
	}
	book, err := g.book(s.by)
	if err != nil {
		return nil, err
	}
	c := &Case{Home: home, asked: g.asked, size: len(g.here), shelf: s.shelf}
	count := uses(context.WithoutCancel(ctx), c)
	c.Shop = book.Within(reg, count)
	c.lates = lates(slices.Collect(book.Lates(reg)), reg, count)
	g.things()
	return c, nil
}

// uses counts for a case, and notes that it asked.
func (s *Shop) uses(ctx context.Context, c *Case) record.Uses {
	count := onward(s.used(ctx))
	return func(of journal.Subject, after, upTo uint64) int {
		s.mu.Lock()
		s.cases.ask(c, usedUpTo(of), upTo)
		s.mu.Unlock()
		return count(of, after, upTo)
	}
}

// onward counts on from the last count of a thing after the same place: who
// asks of one job asks of places that lie close together, and after them lies
// up to a year. What was asked before, as of the same job in another order, is
// not asked again.
func onward(count record.Uses) record.Uses {
	type start struct {
		of    journal.Subject
		after uint64
	}
	type question struct {
		start
		upTo uint64
	}
	type total struct {
		upTo  uint64
		times int
	}
	var mu sync.Mutex
	last := make(map[start]total)
	answers := make(map[question]int)
	return func(of journal.Subject, after, upTo uint64) int {
		mu.Lock()
		defer mu.Unlock()
		from := start{of, after}
		if n, asked := answers[question{from, upTo}]; asked {
			return n
		}
		t, known := last[from]
		switch {
		case !known:
			t.times = count(of, after, upTo)
		case upTo > t.upTo:
			t.times += count(of, max(after, t.upTo), upTo)
		case upTo < t.upTo:
			t.times -= count(of, max(after, upTo), t.upTo)
		}
		t.upTo = upTo
		last[from], answers[question{from, upTo}] = t, t.times
		return t.times
	}
}

// used asks the index how often things were used.
func (s *Shop) used(ctx context.Context) record.Uses {
	return func(of journal.Subject, after, upTo uint64) int {
		n, err := s.index.Times(ctx, of, after, upTo)
		if err != nil {
			s.logger.ErrorContext(ctx, "count uses", "of", string(of), "error", err)
		}
		return n
	}
}

// read decodes entries, or finds them decoded.
func (s *Shop) read(ctx context.Context, rows []index.Row) ([]*record.Decoded, error) {
	list := make([]*record.Decoded, 0, len(rows))
	var missing []journal.Position
	s.mu.Lock()
	for _, r := range rows {
		if d, ok := s.decoded.get(r.Position); ok {
			list = append(list, d)
		} else {
			missing = append(missing, r.Position)
		}
	}
	s.mu.Unlock()
	logged, err := s.log.Pick(ctx, missing)
	if err == nil && len(logged) < len(missing) {
		err = fmt.Errorf("%w: %d of %d", ErrGone, len(missing)-len(logged), len(missing))
	}
	if err != nil {
		return nil, err
	}
	decoded := decode(logged)
	s.mu.Lock()
	defer s.mu.Unlock()
	for i, d := range decoded {
		s.decoded.put(d.Position(), d, len(logged[i].Bytes))
	}
	return append(list, decoded...), nil
}

// few is how many entries are not worth another processor.
const few = 16

// decode decodes entries on all processors, since who waits for a job that is
// not in memory waits for that.
func decode(logged []journal.Logged) []*record.Decoded {
	list := make([]*record.Decoded, len(logged))
	share := max(few, (len(logged)+runtime.GOMAXPROCS(0)-1)/runtime.GOMAXPROCS(0))
	var working sync.WaitGroup
	for from := 0; from < len(logged); from += share {
		some := logged[from:min(from+share, len(logged))]
		working.Go(func() {
			for i, l := range some {
				list[from+i] = record.Decode(l)
			}
		})
	}
	working.Wait()
	return list
}
