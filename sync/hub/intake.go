package hub

import (
	"context"
	"errors"
	"slices"
	"sync"
	"time"

	"fettlebook/journal"
	"fettlebook/sync/segment"
)

// A tablet has several segments of its log under way at once. What waits of it when a
// transaction ends goes into the next one together, so a backlog costs one sync of the
// database for several segments. They are committed in the order of the log, whatever
// order they came in.

const (
	// mostWaiting is how many segments of a device wait for their turn. A tablet has no
	// more under way ([segment.UnderWay]); one whose line was cut may have sent some again.
	mostWaiting = 2 * segment.UnderWay
	// gapWait is how long a segment waits for what comes before it: that was sent first,
	// so it was overtaken by a moment or it is lost.
	gapWait = 2 * time.Second
)

// intake is what waits of one device's own log.
type intake struct {
	turn sync.Mutex // whoever has it commits for all

	mu   sync.Mutex
	list []*awaiting // guarded by mu; by their first entry
}

// first returns whose log the segment is of that is the first in turn, or nobody.
func (q *intake) first() journal.DeviceID {
	q.mu.Lock()
	defer q.mu.Unlock()
	if len(q.list) == 0 {
		return ""
	}
	return q.list[0].of
}

// all takes all that waits.
func (q *intake) all() []*awaiting {
	q.mu.Lock()
	defer q.mu.Unlock()
	list := q.list
	q.list = nil
	return list
}

// awaiting is a segment that waits.
type awaiting struct {
	arrival
	before int64         // how many entries lay here before it
	done   chan struct{} // closed when what follows is set
	here   bool
	err    error
}

// alone reports whether a segment goes with no other to a log of so many entries: it is
// not one, or does not begin where the log ends.
func (a *awaiting) alone(have int64) bool {
	return a.unread != nil || a.segment.Device != a.of || a.segment.First != have
}

// ahead reports whether what comes before a segment is still to come.
func (a *awaiting) ahead(have int64) bool {
	return a.unread == nil && a.segment.Device == a.of && a.segment.First > have
}

func (a *awaiting) settle(here bool, err error) {
	a.here, a.err = here, err
	close(a.done)
}

// put has a segment wait.
func (q *intake) put(a *awaiting) {
	q.mu.Lock()
	defer q.mu.Unlock()
	at, _ := slices.BinarySearchFunc(q.list, a.segment.First, func(b *awaiting, first int64) int {
		if b.segment.First <= first { // behind what came before it
			return -1
		}
		return 1
	})
	q.list = slices.Insert(q.list, at, a)
}

// giveUp takes a segment back whose turn did not come. It reports false where it is
// being committed, or was.
func (q *intake) giveUp(a *awaiting) bool {
	q.mu.Lock()
	defer q.mu.Unlock()
	at := slices.Index(q.list, a)
	if at < 0 {
		return false
	}
	q.list = slices.Delete(q.list, at, at+1)
	return true
}

// next takes what can be committed together to a log of so many entries: segments that go
// on where it ends, each where the one before it ends. What is not such a one, and not
// ahead of the log, comes alone.
func (q *intake) next(have int64) (group []*awaiting) {
	q.mu.Lock()
	defer q.mu.Unlock()
	for len(group) < min(len(q.list), segment.UnderWay) {
		a := q.list[len(group)]
		alone := a.alone(have)
		if alone && (len(group) > 0 || a.ahead(have)) {
			break
		}
		group = append(group, a)
		if alone {
			break
		}
		have = a.segment.End()
	}
	q.list = slices.Delete(q.list, 0, len(group))
	return group
}

// enter waits until a segment of a device's own log is on the disk, or is not going to be.
func (h *Hub) enter(ctx context.Context, q *intake, arrived arrival) (before int64, here bool, err error) {
	a := &awaiting{arrival: arrived, done: make(chan struct{})}
	q.put(a)
	q.turn.Lock()
	h.commitWaiting(ctx, q)
	q.turn.Unlock()
	limit := time.NewTimer(gapWait)
	defer limit.Stop()
	select {
	case <-a.done:
	case <-limit.C:
		if q.giveUp(a) {
			h.news() // so that the device looks again
			return 0, false, nil
		}
		<-a.done
	case <-ctx.Done():
		if q.giveUp(a) {
			return 0, false, ctx.Err()
		}
		<-a.done
	}
	return a.before, a.here, a.err
}

var errTooMany = errors.New("more segments are under way than a tablet ever has; they are sent again")

// commitWaiting commits what can be, until nothing that waits goes on where the log ends.
// turn is held.
func (h *Hub) commitWaiting(ctx context.Context, q *intake) {
	for ctx.Err() == nil {
		of := q.first()
		if of == "" {
			return
		}
		head, err := h.head(ctx, of)
		closed := ""
		if err == nil {
			closed, err = h.closed(ctx, of)
		}
		if err != nil {
			for _, a := range q.all() {
				a.settle(false, err)
			}
			return
		}
		if closed != "" { // nothing that is waited for is taken in
			for _, a := range q.all() {
				a.settle(h.takeOne(ctx, a.arrival))
			}
			return
		}
		group := q.next(head.Size)
		if len(group) == 0 {
			return
		}
		have := head.Size
		for _, a := range group {
			a.before, have = have, a.segment.End()
		}
		if len(group) > 1 && h.takeTogether(ctx, group) {
			continue
		}
		for _, a := range group {
			here, err := h.takeOne(ctx, a.arrival)
			if here && a.segment.First == a.before && a.segment.End() > a.before {
				h.fresh.keep(a.arrival)
			}
			a.settle(here, err)
		}
	}
}

// takeTogether commits segments in one transaction. Where that fails none of them is
// settled: alone each tells what is wrong with it.
func (h *Hub) takeTogether(ctx context.Context, group []*awaiting) bool {
	list := make([]journal.Segment, len(group))
	for i, a := range group {
		if list[i] = a.segment; a.segment.Device != a.of || h.ended(a.segment) != nil || h.checkAgreed(ctx, a.sender) != nil {
			return false
		}
	}
	if _, err := h.cfg.Log.ReceiveAll(ctx, list); err != nil {
		return false
	}
	for _, a := range group {
		h.fresh.keep(a.arrival)
		a.settle(true, nil)
	}
	return true
}

// closed returns why no more of a log is taken in, or "".
func (h *Hub) closed(ctx context.Context, of journal.DeviceID) (string, error) {
	why, err := h.cfg.History.Closed(ctx, of)
	if errors.Is(err, journal.ErrNoLog) {
		err = nil
	}
	return why, err
}

// takeOne commits one segment, unless the log has ended.
func (h *Hub) takeOne(ctx context.Context, a arrival) (bool, error) {
	if a.unread == nil {
		if err := h.ended(a.segment); err != nil {
			return false, err
		}
	}
	return h.take(ctx, a)
}
