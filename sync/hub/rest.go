package hub

import (
	"context"
	"fmt"
	"time"

	"fettlebook/journal"
	"fettlebook/sync/segment"

	"github.com/go-json-experiment/json"
)

// resting is how long a device is kept out that passed a budget.
const resting = time.Hour

// Rest is until when a device is kept out that sent more than honest work ever does, and
// what that was.
type Rest struct {
	Until time.Time
	Why   string
}

// Resting returns who is kept out.
func (h *Hub) Resting() map[journal.DeviceID]Rest {
	h.mu.Lock()
	defer h.mu.Unlock()
	now, list := h.cfg.Now(), map[journal.DeviceID]Rest{}
	for device, r := range h.rests {
		if now.Before(r.Until) {
			list[device] = r
		}
	}
	return list
}

// rested reports whether a device may come in: it was never kept out, or not any more. mu is held.
func (h *Hub) rested(device journal.DeviceID) bool {
	r, ok := h.rests[device]
	if ok && !h.cfg.Now().Before(r.Until) {
		delete(h.rests, device)
		ok = false
	}
	return !ok
}

// rest keeps a device out for a while and tells it so: it could not tell that from being
// revoked. Who shuts it out then keeps that over a restart ([Hub.keepRests]): one that comes
// between the two lets in again who passes a budget again. mu is held.
func (h *Hub) rest(ctx context.Context, device journal.DeviceID, r Rest) {
	h.cfg.Logger.WarnContext(ctx, "cut off", "device", device, "reason", r.Why)
	h.rests[device] = r
	err := h.cfg.Conn.Publish(segment.WaitSubject(device), segment.WaitUntil(r.Until))
	if err == nil { // it is on its way before the connection is closed
		within, cancel := context.WithTimeout(ctx, time.Second)
		defer cancel()
		err = h.cfg.Conn.FlushWithContext(within)
	}
	if err != nil {
		h.cfg.Logger.DebugContext(ctx, "ask to wait", "device", device, "error", err)
	}
}

// endRests lets in again who has rested.
func (h *Hub) endRests(ctx context.Context) error {
	h.mu.Lock()
	defer h.mu.Unlock()
	over := false
	for device := range h.rests {
		over = h.rested(device) || over
	}
	if !over {
		return nil
	}
	h.keepRests(ctx)
	return h.admit(ctx)
}

// markRests holds who is kept out, until when and why.
const markRests = "asked to wait"

// keepRests notes who is kept out, for the next start. mu is held.
func (h *Hub) keepRests(ctx context.Context) {
	text, err := json.Marshal(h.rests, json.Deterministic(true))
	if err == nil {
		err = h.cfg.Notes.SetMark(ctx, markRests, string(text))
	}
	if err != nil {
		h.cfg.Logger.ErrorContext(ctx, "keep who is asked to wait", "error", err) // who is, is
	}
}

// restsOf reads who is kept out. What cannot be read keeps nobody out.
func restsOf(ctx context.Context, notes marks) (map[journal.DeviceID]Rest, error) {
	text, err := notes.Mark(ctx, markRests)
	if err != nil {
		return nil, fmt.Errorf("read who is asked to wait: %w", err)
	}
	list := map[journal.DeviceID]Rest{}
	if json.Unmarshal([]byte(text), &list) != nil || list == nil {
		return map[journal.DeviceID]Rest{}, nil
	}
	return list, nil
}

// marks is where marks are kept.
type marks interface {
	Mark(ctx context.Context, name string) (string, error)
}
