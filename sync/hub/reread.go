package hub

import (
	"context"
	"errors"
	"strings"
	"sync"
	"time"

	"fettlebook/journal"

	"github.com/nats-io/nats.go/jetstream"
)

// retry is how long the hub waits after its own database or stream refused, for
// instance because the disk is full. Nothing is skipped meanwhile.
const retry = time.Second

// silence is how long a stream that said it has more may say nothing before
// the hub takes it that there is no more to be had, askAnew how long a consumer
// lasts that nobody asks.
const (
	silence = 10 * time.Second
	askAnew = 10 * time.Second
)

// pulled is how many messages the broker sends ahead, ahead how many of these
// are decoded while an earlier one is committed.
const (
	pulled = 8
	ahead  = 3
)

// arrival is a segment as it came in.
type arrival struct {
	sender  journal.DeviceID // proven by the broker; nobody of what lies in the stream
	of      journal.DeviceID // whose log it has to be
	raw     []byte
	segment journal.Segment
	unread  error // why raw is not a segment

	seq     uint64 // in the stream
	pending uint64 // how many more the stream has
}

// read takes in what the stream has from after the last message taken, and
// reports whether that was all of it. The consumer is an ordered one: it finds
// gaps itself and keeps no state at the broker, and the position is the hub's own
// mark.
func (h *Hub) read(ctx context.Context) bool {
	consumer, err := h.cfg.JS.OrderedConsumer(ctx, h.cfg.Stream.CachedInfo().Config.Name, jetstream.OrderedConsumerConfig{
		DeliverPolicy: jetstream.DeliverByStartSequencePolicy, OptStartSeq: h.took + 1, InactiveThreshold: askAnew,
	})
	if err != nil {
		h.cfg.Logger.WarnContext(ctx, "read stream", "error", err)
		return false
	}
	messages, err := consumer.Messages(jetstream.PullMaxMessages(pulled))
	if err != nil {
		h.cfg.Logger.WarnContext(ctx, "read stream", "error", err)
		return false
	}
	var beside sync.WaitGroup
	defer beside.Wait()
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	beside.Go(func() {
		<-ctx.Done()
		messages.Stop()
	})

	arrivals := make(chan arrival, ahead)
	beside.Go(func() {
		defer close(arrivals)
		h.decode(ctx, messages, arrivals)
	})
	for a := range arrivals {
		if !h.untilDone(ctx, "take in", func() error { return h.takeUp(ctx, a) }) {
			break
		}
		if h.took = a.seq; a.pending == 0 {
			return true
		}
	}
	cancel()
	for range arrivals { // so that decode can end
	}
	return false
}

// decode reads messages ahead of their turn until something breaks or nothing
// more comes.
func (h *Hub) decode(ctx context.Context, messages jetstream.MessagesContext, to chan<- arrival) {
	for {
		m, err := messages.Next(jetstream.NextMaxWait(silence))
		if err != nil {
			return
		}
		meta, err := m.Metadata()
		if err != nil {
			h.cfg.Logger.WarnContext(ctx, "read stream", "error", err)
			return
		}
		a := arrival{of: journal.DeviceID(m.Subject()[strings.LastIndexByte(m.Subject(), '.')+1:]),
			raw: m.Data(), seq: meta.Sequence.Stream, pending: meta.NumPending}
		a.segment, a.unread = h.cfg.Codec.Decode(a.raw)
		select {
		case to <- a:
		case <-ctx.Done():
			return
		}
	}
}

// takeUp takes in one message of the stream. What was put there and is not to be
// had is dealt with where it is found.
func (h *Hub) takeUp(ctx context.Context, a arrival) error {
	here, err := h.take(ctx, a)
	if no := (*unwanted)(nil); errors.As(err, &no) {
		return nil
	}
	if err != nil || !here {
		return err
	}
	// How far the stream holds a log without a gap is counted while it is read
	// from its start.
	if s, shown := a.segment, h.shown[a.segment.Device].Size; s.First <= shown {
		h.shown[s.Device] = journal.Head{Device: s.Device, Size: max(shown, s.End())}
	}
	return nil
}

// untilDone does it again until it is done. Trouble of the hub's own, such as
// a full disk, is waited out: no message is passed over.
func (h *Hub) untilDone(ctx context.Context, what string, do func() error) bool {
	for {
		err := do()
		if err == nil {
			return true
		}
		if ctx.Err() != nil {
			return false
		}
		h.cfg.Logger.ErrorContext(ctx, what, "error", err)
		if !pause(ctx, retry) {
			return false
		}
	}
}

// pause waits and reports whether the context still lasts.
func pause(ctx context.Context, d time.Duration) bool {
	t := time.NewTimer(d)
	defer t.Stop()
	select {
	case <-ctx.Done():
		return false
	case <-t.C:
		return true
	}
}
