package hub

import (
	"context"
	"sync/atomic"

	"fettlebook/journal"
	"fettlebook/sync/segment"

	"github.com/nats-io/nats.go"
)

// ear hears the questions of one device. Each device has its own, so that one that asks
// without end waits for itself only.
type ear struct {
	device  journal.DeviceID
	sub     atomic.Pointer[nats.Subscription] // nil for the moment until it is open
	queue   chan *nats.Msg
	end     context.CancelFunc
	intake  intake
	sending chan struct{}         // has one for each segment that waits
	spent   [purses]spent         // guarded by Hub.paying
	over    bool                  // it passed a budget and is being cut off; guarded by Hub.paying
	missed  int                   // of the questions that nobody had room to hear, so many were paid for; owned by hear
	given   map[string]int64      // up to where it was given something; guarded by Hub.paying
	said    map[segment.What]bool // of which questions it was said that one was refused; guarded by Hub.paying
}

const (
	// answering is how many questions of a device are answered at once: a tablet asks
	// from two places, its rounds and its photographs.
	answering = 2
	// waiting is how many more may wait. A tablet that hears out every answer never has
	// as many.
	waiting = 16
	// pendingMessages and pendingBytes bound what waits even before that.
	pendingMessages = 4096
	pendingBytes    = 16 << 20
)

// mostSaid is of how many questions it is said; a device can make up names for them.
const mostSaid = 20

// listen opens an ear for everybody who is let in, and closes the others. mu is held.
func (h *Hub) listen() error {
	if h.life == nil || h.life.Err() != nil {
		return nil
	}
	in := map[journal.DeviceID]bool{}
	for _, c := range h.door {
		in[c.Device] = true
		if h.ears[c.Device] != nil {
			continue
		}
		if err := h.openEar(c.Device); err != nil {
			return err
		}
	}
	for device, e := range h.ears {
		if !in[device] {
			e.close()
			delete(h.ears, device)
		}
	}
	return nil
}

// beginToListen hears those who are let in, from now on.
func (h *Hub) beginToListen(ctx context.Context) error {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.life = ctx
	return h.listen()
}

func (h *Hub) stopListening() {
	h.mu.Lock()
	defer h.mu.Unlock()
	for device, e := range h.ears {
		e.close()
		delete(h.ears, device)
	}
}

func (h *Hub) openEar(device journal.DeviceID) error {
	e := &ear{device: device, queue: make(chan *nats.Msg, waiting), sending: make(chan struct{}, mostWaiting), given: map[string]int64{}, said: map[segment.What]bool{}}
	ctx, end := context.WithCancel(h.life)
	e.end = end
	sub, err := h.cfg.Conn.Subscribe(segment.AskSubject(h.cfg.Shop, device, "*"), func(m *nats.Msg) { h.hear(ctx, e, m) })
	if err != nil {
		end()
		return err
	}
	e.sub.Store(sub)
	if err := sub.SetPendingLimits(pendingMessages, pendingBytes); err != nil {
		end()
		return err
	}
	for range answering {
		h.work.Go(func() {
			for {
				select {
				case <-ctx.Done():
					return
				case m := <-e.queue:
					h.answer(ctx, e, m)
				}
			}
		})
	}
	h.ears[device] = e
	return nil
}

func (e *ear) close() {
	if sub := e.sub.Load(); sub != nil {
		_ = sub.Unsubscribe() // it fails where the connection is gone, and the ear with it, or where it was closed before
	}
	e.end()
}

// hear hands a question to whoever answers. It never waits: what comes faster than it
// is answered is dropped unopened, and paid for as what it says that it opens to.
func (h *Hub) hear(ctx context.Context, e *ear, m *nats.Msg) {
	h.tally.heard.Add(int64(len(m.Data)))
	if missed, err := m.Sub.Dropped(); err == nil && missed > e.missed {
		n := int64(missed - e.missed)
		e.missed = missed
		h.spend(ctx, e, waste, n*segment.Weight(m.Data), n) // each as much as the one after it
	}
	select {
	case e.queue <- m:
	default:
		h.spend(ctx, e, waste, segment.Weight(m.Data), 1)
	}
}

// first reports whether a device has not been refused such a question before. Who is
// refused again and again would fill the program's own log.
func (h *Hub) first(e *ear, what segment.What) bool {
	h.paying.Lock()
	defer h.paying.Unlock()
	if e.said[what] || len(e.said) == mostSaid {
		return false
	}
	e.said[what] = true
	return true
}

// spend counts what a device causes. Who passes a budget is cut off, and comes in again
// after a rest.
func (h *Hub) spend(ctx context.Context, e *ear, p purse, bytes, messages int64) {
	why := h.pay(e, p, bytes, messages)
	if why == "" {
		return
	}
	// Nothing more of it is heard or opened from here on, whoever holds what is needed for
	// the rest.
	e.close()
	ctx = context.WithoutCancel(ctx)
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.ears[e.device] != e {
		return // it is out already
	}
	h.tally.cutOffs.Add(1)
	h.rest(ctx, e.device, Rest{Until: h.cfg.Now().Add(resting), Why: why})
	if err := h.shut(ctx, e.device); err != nil {
		delete(h.ears, e.device) // or it would be let in later and never heard
		h.cfg.Logger.ErrorContext(ctx, "cut off", "device", e.device, "error", err)
	}
	h.keepRests(ctx)
}

// pay takes from a purse, and says which budget that passed, if it is the first.
func (h *Hub) pay(e *ear, p purse, bytes, messages int64) (why string) {
	h.paying.Lock()
	defer h.paying.Unlock()
	from := []purse{p}
	if p == waste {
		from = []purse{waste, rush}
	}
	now := h.cfg.Now()
	for _, p := range from {
		if e.spent[p].spend(budgets[p], now, bytes, messages) && !e.over {
			e.over, why = true, budgets[p].passed(e.spent[p].sum())
		}
	}
	return why
}

// Spent returns which part of each budget a device has spent lately, by what it is of.
func (h *Hub) Spent(device journal.DeviceID) map[string]float64 {
	h.mu.Lock()
	e := h.ears[device]
	h.mu.Unlock()
	list := map[string]float64{}
	if e == nil {
		return list
	}
	h.paying.Lock()
	defer h.paying.Unlock()
	for p, b := range budgets {
		list[b.of] = b.share(e.spent[p].sum())
	}
	return list
}
