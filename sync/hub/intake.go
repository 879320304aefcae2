package hub

import (
	"context"
	"errors"
	"strings"
	"sync"
	"time"

	"fettlebook/journal"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"
)

// retry is how long the hub waits after its own database refused, for
// instance because the disk is full. Nothing is skipped meanwhile.
const retry = time.Second

// silence is how long a stream that said it has more may say nothing before
// the hub takes it that there is no more to be had.
const silence = 10 * time.Second

// askAnew is how long the hub waits for a message before it asks the stream
// anew from its own mark: a subscription that fell silent must not hold up
// what the stream has.
const askAnew = 5 * time.Second

// pulled is how many messages the broker sends ahead, ahead how many of these
// are decoded while an earlier one is committed, unsettled how many are
// committed before the countersignatures are made, even if more are waiting.
const (
	pulled    = 8
	ahead     = 3
	unsettled = 24
)

// intake reads the stream for as long as the context lasts. The consumer is
// an ordered one: it finds gaps itself and keeps no state at the broker, and
// the position is the hub's own mark.
func (h *Hub) intake(ctx context.Context) {
	for ctx.Err() == nil {
		if !h.read(ctx, false) {
			pause(ctx, retry)
		}
	}
}

// arrival is one message of the stream.
type arrival struct {
	device  journal.DeviceID // by its subject
	seq     uint64
	pending uint64 // how many more the stream has
	raw     []byte
	segment journal.Segment
	unread  error // why raw is not a segment
}

// read takes in messages from after the last one taken, until something
// breaks or nothing comes for a while; when catching up, until there are no
// more. It reports whether it came that far.
func (h *Hub) read(ctx context.Context, catchUp bool) bool {
	consumer, err := h.cfg.JS.OrderedConsumer(ctx, h.cfg.Stream.CachedInfo().Config.Name, jetstream.OrderedConsumerConfig{
		DeliverPolicy: jetstream.DeliverByStartSequencePolicy, OptStartSeq: h.took + 1, InactiveThreshold: 2 * askAnew,
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
	silent := false // read when arrivals is closed
	beside.Go(func() {
		defer close(arrivals)
		silent = h.decode(ctx, messages, arrivals, catchUp)
	})
	done := h.takeAll(ctx, arrivals, catchUp)
	if done {
		return true
	}
	cancel()
	for range arrivals { // so that decode can end
	}
	return silent
}

// decode reads messages ahead of their turn until something breaks, or, which
// it says, until nothing more comes for a while.
func (h *Hub) decode(ctx context.Context, messages jetstream.MessagesContext, to chan<- arrival, catchUp bool) (silent bool) {
	wait := jetstream.NextMaxWait(askAnew)
	if catchUp {
		wait = jetstream.NextMaxWait(silence)
	}
	for {
		m, err := messages.Next(wait)
		if err != nil {
			return errors.Is(err, nats.ErrTimeout)
		}
		meta, err := m.Metadata()
		if err != nil {
			h.cfg.Logger.WarnContext(ctx, "read stream", "error", err)
			return false
		}
		a := arrival{seq: meta.Sequence.Stream, pending: meta.NumPending, raw: m.Data()}
		a.device = journal.DeviceID(m.Subject()[strings.LastIndexByte(m.Subject(), '.')+1:])
		a.segment, a.unread = h.cfg.Codec.Decode(a.raw)
		select {
		case to <- a:
		case <-ctx.Done():
			return false
		}
	}
}

// takeAll takes arrivals in, and countersigns whenever no more are waiting.
// It reports whether it took the last that there is.
func (h *Hub) takeAll(ctx context.Context, arrivals <-chan arrival, catchUp bool) bool {
	touched := map[journal.DeviceID]bool{}
	for since := 0; ; since++ {
		if since >= unsettled || len(arrivals) == 0 {
			if len(touched) > 0 && !h.untilDone(ctx, "countersign", func() error { return h.settle(ctx, touched) }) {
				return false
			}
			if !catchUp && since > 0 {
				h.keepMark(ctx)
			}
			since = 0
		}
		a, ok := <-arrivals
		if !ok {
			return false
		}
		if !h.untilDone(ctx, "take in", func() error { return h.take(ctx, a, touched) }) {
			return false
		}
		h.took = a.seq
		if catchUp && a.pending == 0 {
			return h.untilDone(ctx, "countersign", func() error { return h.settle(ctx, touched) })
		}
	}
}

// settle countersigns the logs that grew and tells the news.
func (h *Hub) settle(ctx context.Context, touched map[journal.DeviceID]bool) error {
	for device := range touched {
		if err := h.countersign(ctx, device); err != nil {
			return err
		}
		delete(touched, device)
	}
	h.news()
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
