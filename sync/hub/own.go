package hub

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"fettlebook/journal"
	"fettlebook/sync/segment"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"
)

// lookAgain bounds how long anything that no write announces can be overlooked.
const lookAgain = 15 * time.Second

// showOwnLoop publishes the hub's own log whenever something was written to
// it, also by a command that ran while the hub did not.
func (h *Hub) showOwnLoop(ctx context.Context) {
	woken := h.cfg.Notes.Woken()
	timer := time.NewTimer(0)
	defer timer.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-woken:
		case <-timer.C:
		}
		wait := lookAgain
		if err := errors.Join(h.writeForks(ctx), h.writeOrder(ctx), h.showOwn(ctx)); err != nil && ctx.Err() == nil {
			h.cfg.Logger.WarnContext(ctx, "publish the hub's log", "error", err)
			wait = retry
		}
		timer.Reset(wait)
	}
}

// showOwn brings the hub's own log into the stream, countersigns it, and
// does what it says. Only then does the hub act on it.
func (h *Hub) showOwn(ctx context.Context) error {
	h.showing.Lock()
	defer h.showing.Unlock()
	before := h.showed
	for {
		s, err := h.cfg.Log.Segment(ctx, h.cfg.Device, h.showed, journal.MaxSegmentBytes)
		if err != nil {
			return err
		}
		if len(s.Entries) == 0 {
			break
		}
		if err := h.publish(ctx, s); err != nil {
			return err
		}
		h.showed = s.End()
	}
	if err := h.refresh(ctx); err != nil {
		return err
	}
	if err := h.countersign(ctx, h.cfg.Device); err != nil {
		return err
	}
	if h.showed > before {
		h.news()
	}
	return nil
}

// errRepeat: the stream says that it has a message already and has it not.
var errRepeat = errors.New("the stream dropped it as the repeat of another message")

// publish puts a segment into the stream and waits until it is there. It carries no
// message id: whoever guesses one could have the stream drop it without a word, and what
// is there twice does no harm.
func (h *Hub) publish(ctx context.Context, s journal.Segment) error {
	raw, err := h.cfg.Codec.Encode(s)
	if err != nil {
		return err
	}
	ctx, cancel := context.WithTimeout(ctx, 30*time.Second)
	defer cancel()
	ack, err := h.cfg.JS.PublishMsg(ctx, &nats.Msg{Subject: segment.LogSubject(h.cfg.Shop, s.Device), Data: raw})
	if err == nil && ack.Duplicate {
		err = errRepeat
	}
	if err != nil {
		return fmt.Errorf("publish entries %d to %d of %s: %w", s.First, s.End(), s.Device, err)
	}
	return nil
}

// findShown learns from the stream how much of the own log it has.
func (h *Hub) findShown(ctx context.Context) error {
	m, err := h.cfg.Stream.GetLastMsgForSubject(ctx, segment.LogSubject(h.cfg.Shop, h.cfg.Device))
	if errors.Is(err, jetstream.ErrMsgNotFound) {
		return nil
	}
	if err != nil {
		return fmt.Errorf("look for the hub's log in the stream: %w", err)
	}
	s, err := h.cfg.Codec.Decode(m.Data)
	if err != nil {
		return nil // damaged there; it is published anew
	}
	h.showed = s.End()
	return nil
}

// refill puts what the hub holds and the stream does not into a stream that
// was read from its start, so that stream and database again stand for each
// other. The register comes first, as it did: nothing can be verified without
// it.
func (h *Hub) refill(ctx context.Context) error {
	heads, err := h.cfg.Log.Heads(ctx)
	if err != nil {
		return err
	}
	slices.SortStableFunc(heads, func(a, b journal.Head) int {
		return cmp.Compare(h.rank(a.Device), h.rank(b.Device))
	})
	for _, head := range heads {
		for from := h.inStream[head.Device]; from < head.Size; {
			s, err := h.cfg.Log.Segment(ctx, head.Device, from, journal.MaxSegmentBytes)
			if err != nil {
				return err
			}
			if len(s.Entries) == 0 {
				break
			}
			if err := h.publish(ctx, s); err != nil {
				return err
			}
			from = s.End()
		}
	}
	return nil
}

func (h *Hub) rank(device journal.DeviceID) int {
	if device == h.cfg.Device {
		return 0
	}
	return 1
}
