package hub

import (
	"context"
	"errors"
	"log/slog"
	"strings"

	"fettlebook/journal"
	"fettlebook/media"
	"fettlebook/sync/segment"

	"github.com/nats-io/nats.go"
)

// answer answers one question, if only with the reason why not.
func (h *Hub) answer(ctx context.Context, e *ear, m *nats.Msg) {
	device, what := segment.Asked(m.Subject)
	// The broker does not check where an answer is wanted; the hub may
	// publish anywhere, so it answers into the device's own inbox only.
	if !strings.HasPrefix(m.Reply, segment.Inbox(device)+".") {
		h.refuse(ctx, e, what, errElsewhere)
		h.spend(ctx, e, waste, int64(len(m.Data)), 1)
		return
	}
	if !h.admitted(device) { // it was let in when it asked
		h.cfg.Logger.DebugContext(ctx, "question of nobody who is let in", "device", device, "what", what)
		return
	}
	asked := asked{Msg: m, what: what, work: segment.MaxOpened} // unless it opens
	opened, err := h.cfg.Codec.Open(m.Data)
	if err != nil {
		h.say(ctx, e, asked, nil, err)
		return
	}
	asked.work = int64(len(opened))
	h.tally.opened.Add(asked.work)
	if what != segment.Send {
		reply, err := h.reply(ctx, e, what, opened)
		h.say(ctx, e, asked, reply, err)
		return
	}
	var q segment.GiveAsk
	if err := h.cfg.Codec.Read(opened, &q); err != nil {
		h.say(ctx, e, asked, nil, err)
		return
	}
	// It waits for its turn beside the questions that come after it.
	arrived := h.arrived(device, device, q)
	select {
	case e.sending <- struct{}{}:
	default:
		h.say(ctx, e, asked, nil, errTooMany)
		return
	}
	h.work.Go(func() {
		h.say(ctx, e, asked, nil, h.send(ctx, e, arrived))
		<-e.sending
	})
}

// asked is a question, and how many bytes there were to be read of it: what was
// compressed costs what it opens to.
type asked struct {
	*nats.Msg
	what segment.What
	work int64
}

// say answers a question that came to this, and has the device pay.
func (h *Hub) say(ctx context.Context, e *ear, q asked, reply any, err error) {
	if ctx.Err() != nil {
		return // it is out meanwhile
	}
	var a segment.Answer
	h.charge(ctx, e, q, err)
	if err == nil {
		a.Body, err = h.cfg.Codec.MarshalBody(reply)
	}
	if errors.Is(err, errRepeated) || errors.Is(err, errGivenBack) {
		err = nil
	}
	if err != nil {
		h.refuse(ctx, e, q.what, err)
		a = segment.Answer{Refused: sentence(err)}
	}
	raw, err := h.cfg.Codec.Marshal(a)
	if err != nil {
		h.cfg.Logger.ErrorContext(ctx, "answer", "device", e.device, "what", q.what, "error", err)
		return
	}
	if err := q.Respond(raw); err != nil {
		h.cfg.Logger.DebugContext(ctx, "answer", "device", e.device, "what", q.what, "error", err)
	}
}

// refuse counts a question that is refused, and notes it. What nobody sends who follows the
// wire form is noted once of each question, or it would fill the program's own log.
func (h *Hub) refuse(ctx context.Context, e *ear, what segment.What, err error) {
	level := slog.LevelWarn
	if wasted(err) {
		level = slog.LevelDebug
		if h.first(e, what) {
			level = slog.LevelInfo
		}
	}
	h.tally.questions.Add(1)
	h.cfg.Logger.Log(ctx, level, "question refused", "device", e.device, "what", what, "error", err)
}

// What a question comes to for who pays for it. The answer is the same.
var (
	errRepeated  = errors.New("this was here already")
	errGivenBack = errors.New("the hub had this before it lost it")
)

// wasted reports whether what a device sent was of no use: nobody who follows the wire
// form sends it, but for what a bad line repeats.
func wasted(err error) bool {
	var (
		no      *unwanted
		refused *media.Refused
	)
	return errors.As(err, &no) || errors.As(err, &refused) || errors.Is(err, errRepeated) || errors.Is(err, segment.ErrWire) ||
		errors.Is(err, errQuestion) || errors.Is(err, errElsewhere) || errors.Is(err, errCardsWait) || errors.Is(err, errTooMany)
}

// charge has a device pay for a question.
func (h *Hub) charge(ctx context.Context, e *ear, q asked, err error) {
	bytes, what := int64(len(q.Data)), q.what
	switch {
	case errors.Is(err, errGivenBack):
	case errors.Is(err, errRepeated) && what == segment.Give:
		h.spend(ctx, e, giving, max(bytes, q.work), 1)
	case wasted(err):
		h.spend(ctx, e, waste, max(bytes, q.work), 1)
	case err == nil && what == segment.Chunk:
		h.spend(ctx, e, showing, bytes, 1)
	case err == nil && what == segment.Send:
		h.spend(ctx, e, writing, bytes, 1)
	default:
		h.spend(ctx, e, asking, bytes, 1)
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
		errors.Is(err, ErrRecovering), errors.Is(err, errNotNamed), errors.Is(err, errNotYet), errors.Is(err, errTooMany), errors.Is(err, errCardsWait):
		return err.Error()
	}
	return "the hub has a problem of its own, which is in its log; this is tried again automatically"
}

var (
	// errElsewhere is told to nobody, since it is not known to whom.
	errElsewhere = errors.New("its answer was wanted elsewhere than in the device’s own inbox")
	errQuestion  = errors.New("the hub does not know this question; update fettlebook at the hub")
	errNotNamed  = errors.New("no entry at the hub names this photograph yet; it is offered again later")
)

func (h *Hub) reply(ctx context.Context, e *ear, what segment.What, raw []byte) (any, error) {
	device := e.device
	switch what {
	case segment.Greet:
		return question(ctx, h, device, raw, h.greet)
	case segment.Range:
		return question(ctx, h, device, raw, func(ctx context.Context, _ journal.DeviceID, q segment.RangeAsk) (any, error) {
			return h.rangeOf(ctx, e, q)
		})
	case segment.Give:
		return question(ctx, h, device, raw, h.give)
	case segment.Compare:
		return question(ctx, h, device, raw, h.compare)
	case segment.Cards:
		return question(ctx, h, device, raw, func(ctx context.Context, _ journal.DeviceID, q segment.CardsAsk) (any, error) {
			return h.cards(ctx, e, q)
		})
	case segment.Offer:
		return question(ctx, h, device, raw, h.offer)
	case segment.Chunk:
		return question(ctx, h, device, raw, h.chunk)
	case segment.Confirm:
		return question(ctx, h, device, raw, h.confirm)
	case segment.Where:
		return question(ctx, h, device, raw, h.where)
	case segment.Wanted:
		return question(ctx, h, device, raw, h.wanted)
	case segment.Receipts:
		return question(ctx, h, device, raw, h.receipts)
	}
	return nil, errQuestion
}

// question reads an opened question of type Q and has it answered.
func question[Q any](ctx context.Context, h *Hub, device journal.DeviceID, raw []byte,
	answer func(context.Context, journal.DeviceID, Q) (any, error)) (any, error) {
	var q Q
	if err := h.cfg.Codec.Read(raw, &q); err != nil {
		return nil, err
	}
	return answer(ctx, device, q)
}

// where tells at which addresses the hub is to be found.
func (h *Hub) where(context.Context, journal.DeviceID, segment.WhereAsk) (any, error) {
	if h.cfg.Where == nil {
		return segment.WhereReply{}, nil
	}
	list := h.cfg.Where()
	return segment.WhereReply{Brokers: list[:min(len(list), segment.MostBrokers)]}, nil
}

// rangeOf gives the next segment of a log and the countersignatures on it.
func (h *Hub) rangeOf(ctx context.Context, e *ear, q segment.RangeAsk) (any, error) {
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
	notes, newest := 0, int64(0)
	for _, c := range list {
		r.Countersigned = append(r.Countersigned, c.Note)
		notes, newest = notes+len(c.Note), c.Size
	}
	h.gave(ctx, e, "entries of "+string(q.Device), s.First, s.End(), len(r.Segment))
	h.gave(ctx, e, "receipts of "+string(q.Device), q.Countersigned, newest, notes)
	return r, nil
}

// gave has a device pay for what it is given that it was given before: beginning at a
// number below the one that the last answer ended with. What is new to it has an end, as
// the shop's work has.
func (h *Hub) gave(ctx context.Context, e *ear, what string, from, to int64, bytes int) {
	if bytes == 0 {
		return
	}
	h.paying.Lock()
	had := e.given[what]
	e.given[what] = max(had, to)
	h.paying.Unlock()
	if from < had {
		h.spend(ctx, e, again, int64(bytes), 1)
	}
}
