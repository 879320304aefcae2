package hub

import (
	"context"
	"errors"
	"time"
)

// lookAgain bounds how long anything that no write announces can be overlooked.
const lookAgain = 15 * time.Second

// showOwnLoop brings the hub's own log into the stream whenever something was
// written to it, also by a command that ran while the hub did not, and what the
// stream did not take of others when it came.
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
		if err := errors.Join(h.writeForks(ctx), h.writeOrder(ctx), h.showOwn(ctx), h.showAll(ctx), h.endRests(ctx), h.sweep(ctx)); err != nil && ctx.Err() == nil {
			h.cfg.Logger.WarnContext(ctx, "publish the hub’s log", "error", err)
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
	grew, err := h.inStream(ctx, h.cfg.Device)
	if err != nil {
		return err
	}
	if err := h.refresh(ctx); err != nil {
		return err
	}
	return h.countersigned(ctx, h.cfg.Device, grew)
}
