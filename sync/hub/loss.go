package hub

import (
	"context"
	"time"

	"fettlebook/journal"
	"fettlebook/sync/segment"
)

// loss is what the hub knows of entries of its own log that it lost. An entry
// written before they are back would contradict them: the hub itself would
// show two histories. So it holds back, but never longer than its patience
// once in a run, since a device may claim what it cannot bring.
type loss struct {
	streamRead bool      // all that the stream holds was taken in
	everything bool      // not even the founding of the shop was here
	claimed    int64     // the most entries of the hub's log that a device says it holds
	until      time.Time // end of patience; zero before it was needed
	greeted    map[journal.DeviceID]bool
}

// heard notes what a device says it holds of the hub's own log.
func (h *Hub) heard(ctx context.Context, device journal.DeviceID, holds []segment.Reach) error {
	h.mu.Lock()
	defer h.mu.Unlock()
	if err := h.readRegister(ctx); err != nil {
		return err
	}
	h.loss.greeted[device] = true
	h.greeted[device] = h.cfg.Now()
	for _, r := range holds {
		if r.Device != h.cfg.Device || r.Size <= h.reg.next {
			continue
		}
		h.loss.claimed = max(h.loss.claimed, r.Size)
		if h.loss.until.IsZero() {
			h.loss.until = h.cfg.Now().Add(h.cfg.Patience)
		}
	}
	return nil
}

// claimOpen reports whether a device said that it holds more of the hub's log
// than is here, and still has time to bring it. mu is held.
func (h *Hub) claimOpen() bool {
	return h.loss.claimed > h.reg.next && h.cfg.Now().Before(h.loss.until)
}

// waits reports whether entries of the hub's log may still be on their way
// back. After the loss of everything any device may hold the newest, so all
// are waited for. mu is held.
func (h *Hub) waits() bool {
	if !h.loss.streamRead || h.claimOpen() {
		return true
	}
	if !h.loss.everything || !h.cfg.Now().Before(h.loss.until) {
		return false
	}
	for id, d := range h.reg.devices {
		if !d.revoked && !h.reg.forked[id] && !h.loss.greeted[id] {
			return true
		}
	}
	return false
}
