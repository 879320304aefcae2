package hub

import (
	"context"
	"errors"
	"fmt"
	"time"

	"fettlebook/journal"
	"fettlebook/sync/segment"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"
)

// The stream is the hub's second copy, and nobody else writes to it. What lies in the
// database is brought there, log by log, from where the stream holds a log to: after a
// crash, after a lost stream, and when nothing happened at all.

// show brings a device's log into the stream and countersigns it.
func (h *Hub) show(ctx context.Context, device journal.DeviceID) error {
	h.showing.Lock()
	defer h.showing.Unlock()
	grew, err := h.inStream(ctx, device)
	if err != nil {
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
		if err := h.show(ctx, head.Device); err != nil {
			return err
		}
	}
	return nil
}

// inStream brings a log into the stream as far as it is here, and reports whether
// there was anything to bring. showing is held.
func (h *Hub) inStream(ctx context.Context, device journal.DeviceID) (grew bool, err error) {
	for {
		s, err := h.cfg.Log.Segment(ctx, device, h.shown[device], journal.MaxSegmentBytes)
		if err != nil || len(s.Entries) == 0 {
			return grew, err
		}
		if err := h.publish(ctx, s); err != nil {
			return grew, err
		}
		h.shown[device], grew = s.End(), true
	}
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
	if h.took = ack.Sequence; h.took >= h.marked+markEvery {
		h.keepMark(ctx)
	}
	return nil
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
			h.shown[head.Device] = s.End()
		}
	}
	return nil
}
