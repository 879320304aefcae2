package hub

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"time"

	"fettlebook/journal"
	"fettlebook/sync/segment"
)

// loss is what the hub knows of entries of its own log that it lost. An entry
// written before they are back would contradict them: the hub itself would
// show two histories. So it holds back, but never longer than its patience
// once in a run, since a device may claim what it cannot bring.
type loss struct {
	streamRead bool                       // all that the stream holds was taken in
	any        bool                       // entries are missing, and any device may hold them
	claims     map[journal.DeviceID]int64 // how many entries of the hub's log devices say they hold
	apart      map[journal.DeviceID]bool  // who holds another history of it, so that nothing is to be had
	until      time.Time                  // end of patience; zero before it was needed
	greeted    map[journal.DeviceID]bool
}

func newLoss() loss {
	return loss{claims: map[journal.DeviceID]int64{}, apart: map[journal.DeviceID]bool{}, greeted: map[journal.DeviceID]bool{}}
}

// markLoss is set from the start that found a loss until the hub no longer
// waits: a restart in between must not end the waiting.
const markLoss = "own log lost"

// findLoss looks, once the stream was read, for signs that entries of the own
// log are nowhere at the hub: the shop's founding is missing, or somebody is
// let in whom the register does not name.
func (h *Hub) findLoss(ctx context.Context) error {
	known, err := h.cfg.Notes.Mark(ctx, markLoss)
	if err != nil {
		return err
	}
	h.mu.Lock()
	defer h.mu.Unlock()
	if err := h.readRegister(ctx); err != nil {
		return err
	}
	if err := h.findShut(ctx); err != nil {
		return err
	}
	h.loss.streamRead = true
	h.loss.any = known != "" || !h.reg.founded || len(h.unnamed()) > 0
	if !h.loss.any {
		return nil
	}
	if h.reg.founded { // or else patience begins with the first device that knows the shop
		h.loss.until = h.cfg.Now().Add(h.cfg.Patience)
	}
	return h.cfg.Notes.SetMark(ctx, markLoss, "yes")
}

// endLoss is called when the hub no longer waits: from here on the register
// alone says who is let in. mu is held.
func (h *Hub) endLoss(ctx context.Context) error {
	if !h.loss.any {
		return nil
	}
	for _, c := range h.unnamed() {
		h.cfg.Logger.WarnContext(ctx, "the entry that let a device in is lost, it must join again", "device", c.Device)
	}
	if err := h.cfg.Notes.SetMark(ctx, markLoss, ""); err != nil {
		return fmt.Errorf("end the wait for lost entries: %w", err)
	}
	h.loss.any, h.reg.changed = false, true
	return nil
}

// letIn lists who may connect: those whom the register names, and while
// entries of it may be missing also those who were let in before. The entry
// that names such a device may be at that device alone. mu is held.
func (h *Hub) letIn() []Client {
	list := h.reg.clients()
	if h.loss.any {
		list = append(list, h.unnamed()...)
	}
	list = slices.DeleteFunc(list, func(c Client) bool { return h.out[c.Device] || !h.rested(c.Device) })
	slices.SortFunc(list, func(a, b Client) int { return cmp.Compare(a.Device, b.Device) })
	return list
}

// unnamed lists who is let in and not in the register. mu is held.
func (h *Hub) unnamed() []Client {
	return slices.DeleteFunc(slices.Clone(h.door), func(c Client) bool { return h.reg.devices[c.Device] != nil })
}

// heard notes what a device says it holds of the hub's own log. It reports
// whether that was the last word that the hub waited for after a loss.
func (h *Hub) heard(ctx context.Context, device journal.DeviceID, holds []segment.Reach) (last bool, err error) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if err := h.readRegister(ctx); err != nil {
		return false, err
	}
	h.loss.greeted[device] = true
	h.greeted[device] = h.cfg.Now()
	for _, r := range holds {
		if r.Device != h.cfg.Device || r.Size <= h.reg.next || h.loss.apart[device] {
			continue
		}
		h.loss.claims[device] = r.Size
		if h.loss.until.IsZero() {
			h.loss.until = h.cfg.Now().Add(h.cfg.Patience)
		}
	}
	return h.loss.any && h.reg.founded && !h.waits(), nil
}

// claimOpen reports whether a device said that it holds more of the hub's log
// than is here, and still has time to bring it. mu is held.
func (h *Hub) claimOpen() bool {
	for _, n := range h.loss.claims {
		if n > h.reg.next {
			return h.cfg.Now().Before(h.loss.until)
		}
	}
	return false
}

// waits reports whether entries of the hub's own log may still be on their way
// back. After a loss any device may hold the newest, so all that may connect
// are waited for. mu is held.
func (h *Hub) waits() bool {
	if !h.loss.streamRead || h.claimOpen() {
		return true
	}
	if !h.loss.any || !h.cfg.Now().Before(h.loss.until) {
		return false
	}
	for _, c := range h.letIn() {
		if !h.reg.closings.Forked(c.Device) && !h.loss.greeted[c.Device] {
			return true
		}
	}
	return false
}
