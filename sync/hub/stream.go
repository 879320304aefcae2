package hub

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"time"

	"fettlebook/journal"
	"fettlebook/sync/segment"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"
)

// The stream is the hub's second copy, and nobody else writes to it. What lies in the
// database is brought there, log by log, from where the stream holds a log to: after a
// crash, after a lost stream, and when nothing happened at all.

// show brings a device's log into the stream and countersigns it, as far as it is here and
// at least up to an entry. What goes wrong behind that is told to whoever brought it.
func (h *Hub) show(ctx context.Context, device journal.DeviceID, end int64) error {
	h.showing.Lock()
	defer h.showing.Unlock()
	if h.counted[device] >= max(end, 1) {
		return nil // somebody else did, for several
	}
	grew, err := h.inStream(ctx, device)
	if err != nil && h.shown[device].Size < max(end, 1) {
		return err
	}
	return h.countersigned(ctx, device, grew)
}

// showAll brings in what the stream lacks of the devices' logs. The hub's own, which is
// the register, comes first, by showOwn: nothing can be verified without it.
func (h *Hub) showAll(ctx context.Context) error {
	heads, err := h.cfg.Log.Heads(ctx)
	if err != nil {
		return err
	}
	for _, head := range heads {
		if head.Device == h.cfg.Device {
			continue
		}
		if err := h.show(ctx, head.Device, head.Size); err != nil {
			return err
		}
	}
	return nil
}

// inStream brings a log into the stream as far as it is here, and reports whether
// there was anything to bring. showing is held.
func (h *Hub) inStream(ctx context.Context, device journal.DeviceID) (grew bool, err error) {
	for {
		list, err := h.unshown(ctx, device)
		if err != nil || len(list) == 0 {
			return grew, err
		}
		before := h.shown[device].Size
		err = h.publish(ctx, list)
		grew = grew || h.shown[device].Size > before
		if err != nil {
			return grew, err
		}
	}
}

// unshown returns the next messages of a log for the stream, as many as are on their way
// to it at once. What a device brought goes on as it came; all else is read from the
// database. showing is held.
func (h *Hub) unshown(ctx context.Context, device journal.DeviceID) (list []arrival, err error) {
	at := h.shown[device].Size
	for len(list) < segment.UnderWay {
		a, ok := h.fresh.take(device, at)
		if !ok {
			s, err := h.cfg.Log.Segment(ctx, device, at, journal.MaxSegmentBytes)
			if err != nil {
				return nil, err
			}
			if len(s.Entries) == 0 {
				return list, nil
			}
			a = arrival{of: device, segment: s}
			if a.raw, err = h.cfg.Codec.Encode(s); err != nil {
				return nil, err
			}
		}
		list, at = append(list, a), a.segment.End()
	}
	return list, nil
}

// fresh is what devices brought that is in the database and not in the stream yet.
type fresh struct {
	mu   sync.Mutex
	logs map[journal.DeviceID][]arrival // in their order
}

// keep has arrivals wait for the stream. More of a log than a device has under way is let
// go: it is read from the database.
func (f *fresh) keep(a arrival) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.logs == nil {
		f.logs = map[journal.DeviceID][]arrival{}
	}
	if list := f.logs[a.of]; len(list) < 2*segment.UnderWay {
		f.logs[a.of] = append(list, a)
	}
}

// take returns the arrival that begins at an entry, and forgets it and what comes before.
func (f *fresh) take(device journal.DeviceID, at int64) (arrival, bool) {
	f.mu.Lock()
	defer f.mu.Unlock()
	list := f.logs[device]
	for len(list) > 0 && list[0].segment.First < at {
		list = list[1:]
	}
	found := len(list) > 0 && list[0].segment.First == at
	var a arrival
	if found {
		a, list = list[0], list[1:]
	}
	if len(list) == 0 {
		delete(f.logs, device)
	} else {
		f.logs[device] = list
	}
	return a, found
}

// countersigned countersigns a log that is in the stream, and tells the news. showing is
// held.
func (h *Hub) countersigned(ctx context.Context, device journal.DeviceID, grew bool) error {
	if err := h.countersign(ctx, device); err != nil {
		return err
	}
	if grew {
		h.news()
	}
	return nil
}

var (
	// errRepeat: the stream says that it has a message already and has it not.
	errRepeat = errors.New("the stream dropped it as the repeat of another message")
	// errTurned: the stream has a message before one that was put there first.
	errTurned = errors.New("the stream has it before what was put there earlier")
)

// publishing is how long the hub waits for the stream.
const publishing = 30 * time.Second

// publish puts messages that follow each other into the stream and waits until they are
// there. They are on their way at once, on one connection, so the stream has them in their
// order; one that it did not take ends what counts. They carry no message ids: whoever
// guesses one could have the stream drop it without a word, and what is there twice does
// no harm. showing is held.
func (h *Hub) publish(ctx context.Context, list []arrival) error {
	ctx, cancel := context.WithTimeout(ctx, publishing)
	defer cancel()
	acks := make([]jetstream.PubAckFuture, 0, len(list))
	var failed error
	for _, a := range list {
		ack, err := h.cfg.JS.PublishMsgAsync(&nats.Msg{Subject: segment.LogSubject(h.cfg.Shop, a.segment.Device), Data: a.raw},
			jetstream.WithRetryAttempts(0)) // it would come after what follows it
		if err != nil {
			failed = err
			break
		}
		acks = append(acks, ack)
	}
	var last uint64
	for i, ack := range acks {
		s := list[i].segment
		seq, err := await(ctx, ack)
		if err == nil && seq <= last {
			err = errTurned
		}
		if err != nil {
			return fmt.Errorf("publish entries %d to %d of %s: %w", s.First, s.End(), s.Device, err)
		}
		last = seq
		h.shown[s.Device] = journal.Head{Device: s.Device, Size: s.End(), Checkpoint: s.Checkpoint}
		if h.took = max(h.took, seq); h.took >= h.marked+markEvery {
			h.keepMark(ctx)
		}
	}
	if failed != nil {
		return fmt.Errorf("publish entries of %s: %w", list[0].segment.Device, failed)
	}
	return nil
}

// await waits until the stream has a message, and returns its number there.
func await(ctx context.Context, ack jetstream.PubAckFuture) (uint64, error) {
	select {
	case a := <-ack.Ok():
		if a.Duplicate {
			return 0, errRepeat
		}
		return a.Sequence, nil
	case err := <-ack.Err():
		return 0, err
	case <-ctx.Done():
		return 0, ctx.Err()
	}
}

// findShown learns from the stream how much of each log it has.
func (h *Hub) findShown(ctx context.Context) error {
	heads, err := h.cfg.Log.Heads(ctx)
	if err != nil {
		return err
	}
	for _, head := range heads {
		m, err := h.cfg.Stream.GetLastMsgForSubject(ctx, segment.LogSubject(h.cfg.Shop, head.Device))
		if errors.Is(err, jetstream.ErrMsgNotFound) {
			continue
		}
		if err != nil {
			return fmt.Errorf("look for the log of %s in the stream: %w", head.Device, err)
		}
		if s, err := h.cfg.Codec.Decode(m.Data); err == nil && s.Device == head.Device { // else it is brought anew
			h.shown[head.Device] = journal.Head{Device: head.Device, Size: s.End()}
		}
	}
	return nil
}
