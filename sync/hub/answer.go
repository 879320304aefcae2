package hub

import (
	"context"
	"errors"
	"strings"

	"fettlebook/journal"
	"fettlebook/media"
	"fettlebook/sync/segment"

	"github.com/nats-io/nats.go"
)

// queue hands a question to a worker. When all are busy it waits, and the
// broker holds further questions back.
func (h *Hub) queue(ctx context.Context, m *nats.Msg) {
	select {
	case h.answers <- func() { h.answer(ctx, m) }:
	case <-ctx.Done():
	}
}

func (h *Hub) worker(ctx context.Context) {
	for {
		select {
		case <-ctx.Done():
			return
		case job := <-h.answers:
			job()
		}
	}
}

// answer answers one question, if only with the reason why not.
func (h *Hub) answer(ctx context.Context, m *nats.Msg) {
	device, what := segment.Asked(m.Subject)
	// The broker does not check where an answer is wanted; the hub may
	// publish anywhere, so it answers into the device's own inbox only.
	if !strings.HasPrefix(m.Reply, segment.Inbox(device)+".") {
		h.cfg.Logger.WarnContext(ctx, "question", "device", device, "what", what, "reply", m.Reply)
		return
	}
	var a segment.Answer
	if !h.admitted(device) { // it was let in when it asked
		h.cfg.Logger.DebugContext(ctx, "question of nobody who is let in", "device", device, "what", what)
		return
	}
	reply, err := h.reply(ctx, device, what, m.Data)
	if err == nil {
		a.Body, err = h.cfg.Codec.MarshalBody(reply)
	}
	if err != nil {
		h.cfg.Logger.WarnContext(ctx, "question", "device", device, "what", what, "error", err)
		a = segment.Answer{Refused: sentence(err)}
	}
	raw, err := h.cfg.Codec.Marshal(a)
	if err != nil {
		h.cfg.Logger.ErrorContext(ctx, "answer", "device", device, "what", what, "error", err)
		return
	}
	if err := m.Respond(raw); err != nil {
		h.cfg.Logger.DebugContext(ctx, "answer", "device", device, "what", what, "error", err)
	}
}

// sentence tells a device what it may know: the errors that name its own
// doing, and for everything else that the hub is in trouble.
func sentence(err error) string {
	var refused *media.Refused
	var fork *journal.Fork
	var no *unwanted
	switch {
	case errors.As(err, &refused), errors.As(err, &fork), errors.As(err, &no),
		errors.Is(err, segment.ErrWire), errors.Is(err, journal.ErrDiskLow), errors.Is(err, errQuestion),
		errors.Is(err, ErrRecovering), errors.Is(err, errNotNamed), errors.Is(err, errNotYet), errors.Is(err, errCardsWait):
		return err.Error()
	}
	return "the hub has a problem of its own, which is in its log; this is tried again automatically"
}

var (
	errQuestion = errors.New("the hub does not know this question; update fettlebook at the hub")
	errNotNamed = errors.New("no entry at the hub names this photograph yet; it is offered again later")
)

func (h *Hub) reply(ctx context.Context, device journal.DeviceID, what segment.What, raw []byte) (any, error) {
	switch what {
	case segment.Greet:
		return question(ctx, h, device, raw, h.greet)
	case segment.Send:
		return question(ctx, h, device, raw, h.send)
	case segment.Range:
		return question(ctx, h, device, raw, h.rangeOf)
	case segment.Give:
		return question(ctx, h, device, raw, h.give)
	case segment.Compare:
		return question(ctx, h, device, raw, h.compare)
	case segment.Cards:
		return question(ctx, h, device, raw, h.cards)
	case segment.Offer:
		return question(ctx, h, device, raw, h.offer)
	case segment.Chunk:
		return question(ctx, h, device, raw, h.chunk)
	case segment.Confirm:
		return question(ctx, h, device, raw, h.confirm)
	}
	return nil, errQuestion
}

// question reads a question of type Q and has it answered.
func question[Q any](ctx context.Context, h *Hub, device journal.DeviceID, raw []byte,
	answer func(context.Context, journal.DeviceID, Q) (any, error)) (any, error) {
	var q Q
	if err := h.cfg.Codec.Unmarshal(raw, &q); err != nil {
		return nil, err
	}
	return answer(ctx, device, q)
}

// rangeOf gives the next segment of a log and the countersignatures on it.
func (h *Hub) rangeOf(ctx context.Context, _ journal.DeviceID, q segment.RangeAsk) (any, error) {
	var r segment.RangeReply
	s, err := h.cfg.Log.Segment(ctx, q.Device, q.From, journal.MaxSegmentBytes)
	if err != nil {
		return nil, err
	}
	if len(s.Entries) > 0 {
		if r.Segment, err = h.cfg.Codec.Encode(s); err != nil {
			return nil, err
		}
	}
	list, err := h.cfg.Receipts.CountersignedSince(ctx, q.Device, q.Countersigned, segment.ReceiptsPerReply)
	if err != nil {
		return nil, err
	}
	for _, c := range list {
		r.Countersigned = append(r.Countersigned, c.Note)
	}
	return r, nil
}
