package hub

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

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
	var unproven *journal.Unproven
	switch {
	case errors.As(err, &refused), errors.As(err, &fork), errors.As(err, &unproven),
		errors.Is(err, segment.ErrWire), errors.Is(err, journal.ErrDiskLow), errors.Is(err, errQuestion),
		errors.Is(err, ErrRecovering), errors.Is(err, errNotNamed):
		return err.Error()
	}
	return "the hub has a problem of its own and has written it to its log; this is tried again by itself"
}

var (
	errQuestion = errors.New("the hub does not know this question; update fettlebook at the hub")
	errNotNamed = errors.New("no entry at the hub names this photo yet; it is offered again later")
)

func (h *Hub) reply(ctx context.Context, device journal.DeviceID, what segment.What, raw []byte) (any, error) {
	switch what {
	case segment.Greet:
		return question(ctx, h, device, raw, h.greet)
	case segment.Range:
		return question(ctx, h, device, raw, h.rangeOf)
	case segment.Give:
		return question(ctx, h, device, raw, h.give)
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

// greet answers a greeting with all that the hub holds.
func (h *Hub) greet(ctx context.Context, device journal.DeviceID, g segment.Greeting) (any, error) {
	w := segment.Welcome{Hub: h.cfg.Device, Began: h.began, Received: h.cfg.Now().UnixNano()}
	if err := h.heard(ctx, device, g.Holds); err != nil {
		return nil, err
	}
	heads, err := h.cfg.Log.Heads(ctx)
	if err != nil {
		return nil, err
	}
	for _, head := range heads {
		c, err := h.cfg.Receipts.LastCountersigned(ctx, head.Device)
		if err != nil {
			return nil, err
		}
		w.Holds = append(w.Holds, segment.Reach{Device: head.Device, Size: head.Size, Countersigned: c.Size})
		if head.Device == device && head.Size > 0 {
			if w.Root, err = h.cfg.History.RootAt(ctx, device, head.Size); err != nil {
				return nil, err
			}
		}
	}
	w.Wants = h.wants(device, w.Holds, g.Holds)
	if w.Closed, err = h.cfg.History.Closed(ctx, device); err != nil && !errors.Is(err, journal.ErrNoLog) {
		return nil, err
	}
	if err := h.compareClock(ctx, device, g.Clock); err != nil {
		// It is compared again at the next greeting, and must not keep the
		// device from its entries.
		h.cfg.Logger.WarnContext(ctx, "compare clocks", "device", device, "error", err)
	}
	w.Answered = h.cfg.Now().UnixNano()
	return w, nil
}

// wants lists the logs of which a device holds more than the hub, its own
// left out: that one comes through the stream. While the hub is recovering
// its own log is the first thing it wants.
func (h *Hub) wants(device journal.DeviceID, here, there []segment.Reach) []segment.Reach {
	have := make(map[journal.DeviceID]int64, len(here))
	for _, r := range here {
		have[r.Device] = r.Size
	}
	var list []segment.Reach
	for _, r := range there {
		if r.Device == device || r.Size <= have[r.Device] {
			continue
		}
		want := segment.Reach{Device: r.Device, Size: have[r.Device]}
		if r.Device == h.cfg.Device {
			list = append([]segment.Reach{want}, list...)
		} else {
			list = append(list, want)
		}
	}
	return list
}

// skewStep is how much a device's clock must have moved against the hub's
// before it is worth an entry.
const skewStep = 2 * time.Second

// compareClock writes down how far a device's clock is off, the first time
// and whenever it moved.
func (h *Hub) compareClock(ctx context.Context, device journal.DeviceID, skew *segment.Skew) error {
	if skew == nil || skew.RoundTrip < 0 || skew.RoundTrip > skewStep {
		return nil
	}
	wrote, err := h.noteClock(ctx, device, skew)
	if err != nil || !wrote {
		return err
	}
	return h.showOwn(ctx)
}

// noteClock reads and writes under one lock, so that two greetings at once
// give one entry.
func (h *Hub) noteClock(ctx context.Context, device journal.DeviceID, skew *segment.Skew) (bool, error) {
	h.mu.Lock()
	defer h.mu.Unlock()
	last, known := h.reg.clocks[device]
	if _, enrolled := h.reg.devices[device]; !enrolled || known && (skew.Offset-last).Abs() <= skewStep {
		return false, nil
	}
	_, err := h.appendHeld(ctx, journal.Draft{Subject: journal.Of("device", string(device)), By: h.cfg.By,
		Data: &journal.ClockReading{Device: device, OffsetMs: skew.Offset.Milliseconds(), RoundTripMs: skew.RoundTrip.Milliseconds()}})
	if errors.Is(err, ErrRecovering) {
		return false, nil
	}
	if err != nil {
		return false, err
	}
	return true, h.readRegister(ctx)
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

// give takes back entries that the hub lost, from a device that holds them,
// and puts them into the stream too, which lost them as well. They are of
// other devices' logs: its own log a device sends through the stream, where
// a closed one is stopped.
func (h *Hub) give(ctx context.Context, device journal.DeviceID, q segment.GiveAsk) (any, error) {
	s, err := h.cfg.Codec.Decode(q.Segment)
	if err != nil {
		return nil, err
	}
	if s.Device == device {
		return nil, fmt.Errorf("%w: a device gives other devices' logs", segment.ErrWire)
	}
	before, err := h.head(ctx, s.Device)
	if err != nil {
		return nil, err
	}
	here, err := h.receive(ctx, s, q.Segment)
	if err != nil || !here || s.End() <= before.Size {
		return nil, err
	}
	if s.Device == h.cfg.Device {
		return nil, h.showOwn(ctx)
	}
	if err := h.publish(ctx, s); err != nil {
		return nil, err
	}
	if err := h.countersign(ctx, s.Device); err != nil {
		return nil, err
	}
	h.news()
	return nil, nil
}

// cards takes a device's changed cards and gives those changed here.
func (h *Hub) cards(ctx context.Context, _ journal.DeviceID, q segment.CardsAsk) (any, error) {
	for _, c := range q.Cards {
		state, err := c.State()
		if err != nil {
			return nil, err
		}
		if err := h.cfg.Cards.SaveCard(ctx, state); err != nil {
			return nil, err
		}
	}
	changed, err := h.cfg.Cards.CardsSince(ctx, q.Since)
	if err != nil {
		return nil, err
	}
	r := segment.CardsReply{Rev: q.Since}
	r.Cards, r.Rev = segment.WireCards(changed, q.Since)
	r.More = len(changed) > 0
	if len(q.Cards) > 0 {
		h.news()
	}
	return r, nil
}

// offer says what of an original is still missing here.
func (h *Hub) offer(ctx context.Context, _ journal.DeviceID, q segment.PhotoAsk) (any, error) {
	ref, err := h.photo(ctx, q)
	if err != nil {
		return nil, err
	}
	here, err := h.cfg.Arrivals.Has(ctx, ref)
	if err != nil || here {
		return segment.PhotoReply{Here: here}, err
	}
	missing, err := h.cfg.Arrivals.Missing(ctx, ref, q.Size)
	return segment.PhotoReply{Missing: missing}, err
}

// photo reads which original is meant, and refuses one that no entry names:
// a stolen tablet must not fill the hub's disk.
func (h *Hub) photo(ctx context.Context, q segment.PhotoAsk) (media.Ref, error) {
	if len(q.Ref) != len(media.Ref{}) {
		return media.Ref{}, fmt.Errorf("%w: a photo's hash has 32 bytes", segment.ErrWire)
	}
	ref := media.Ref(q.Ref)
	named, err := h.cfg.Named.Names(ctx, ref)
	if err == nil && !named {
		err = errNotNamed
	}
	return ref, err
}

func (h *Hub) chunk(ctx context.Context, _ journal.DeviceID, q segment.PhotoAsk) (any, error) {
	ref, err := h.photo(ctx, q)
	if err != nil {
		return nil, err
	}
	return nil, h.cfg.Arrivals.PutChunk(ctx, ref, q.Size, q.Index, q.Data)
}

// confirm has the original put together and checked, on the disk, before it
// says so.
func (h *Hub) confirm(ctx context.Context, _ journal.DeviceID, q segment.PhotoAsk) (any, error) {
	ref, err := h.photo(ctx, q)
	if err != nil {
		return nil, err
	}
	here, err := h.cfg.Arrivals.Has(ctx, ref)
	if err == nil && !here {
		_, err = h.cfg.Arrivals.Finish(ctx, ref, q.Size)
	}
	if err != nil {
		return nil, err
	}
	return segment.PhotoReply{Here: true}, nil
}
