package hub

import (
	"context"
	"errors"
	"fmt"

	"fettlebook/journal"
)

// take verifies and commits one message of the stream and notes the log that
// grew. An error means that the hub itself could not; whatever is wrong with
// the message is dealt with here.
func (h *Hub) take(ctx context.Context, a arrival, touched map[journal.DeviceID]bool) error {
	if a.unread != nil {
		return h.quarantine(ctx, a.device, a.unread.Error(), a.raw)
	}
	if a.segment.Device != a.device {
		return h.quarantine(ctx, a.device, fmt.Sprintf("device %s sent a segment of log %s", a.device, a.segment.Device), a.raw)
	}
	closed, err := h.cfg.History.Closed(ctx, a.device)
	if err != nil && !errors.Is(err, journal.ErrNoLog) {
		return err
	}
	if closed != "" && a.device != h.cfg.Device {
		return h.quarantine(ctx, a.device, closed, a.raw)
	}
	grew, err := h.receive(ctx, a.segment, a.raw)
	if err != nil || !grew {
		return err
	}
	h.seen(a.segment)
	if a.device == h.cfg.Device {
		return h.refresh(ctx)
	}
	touched[a.device] = true
	return nil
}

// seen counts how far the stream holds a log without a gap, while the hub
// reads what was there before it started.
func (h *Hub) seen(s journal.Segment) {
	if h.inStream != nil && s.First <= h.inStream[s.Device] {
		h.inStream[s.Device] = max(h.inStream[s.Device], s.End())
	}
}

func (h *Hub) quarantine(ctx context.Context, device journal.DeviceID, reason string, raw []byte) error {
	h.cfg.Logger.WarnContext(ctx, "quarantine", "device", device, "reason", reason)
	return h.cfg.Notes.Quarantine(ctx, device, reason, raw)
}

// receive is what the stream and a giving device have in common. It reports
// whether the log is now here as far as the segment reaches.
func (h *Hub) receive(ctx context.Context, s journal.Segment, raw []byte) (bool, error) {
	_, err := h.cfg.Log.Receive(ctx, s)
	var (
		gap      *journal.Gap
		fork     *journal.Fork
		unproven *journal.Unproven
	)
	switch {
	case err == nil:
		return true, nil
	case errors.As(err, &gap), errors.Is(err, journal.ErrNoLog):
		// What is missing comes again: the device sends from the hub's mark.
		h.cfg.Logger.DebugContext(ctx, "not yet", "device", s.Device, "error", err)
		h.news()
		return false, nil
	case errors.As(err, &fork):
		return false, h.forked(ctx, fork, raw)
	case errors.As(err, &unproven):
		return false, h.quarantine(ctx, s.Device, unproven.Reason, raw)
	}
	return false, err
}

// forked keeps both histories, closes the device's log and says so in the
// register.
func (h *Hub) forked(ctx context.Context, f *journal.Fork, raw []byte) error {
	h.cfg.Logger.ErrorContext(ctx, "fork", "device", f.Device)
	if err := h.quarantine(ctx, f.Device, f.Error(), raw); err != nil {
		return err
	}
	if err := h.closeLog(ctx, f.Device); err != nil {
		return err
	}
	h.mu.Lock()
	delete(h.compared, f.Device) // of three histories the least is common
	if !h.reg.closings.Forked(f.Device) && h.forks[f.Device] == nil {
		h.forks[f.Device] = f
	}
	h.mu.Unlock()
	return h.writeForks(ctx)
}

// closeLog takes no more of a device that showed two histories. The hub's own
// log must go on, or no device could join or be revoked any more; that the
// hub forked is in the register all the same.
func (h *Hub) closeLog(ctx context.Context, device journal.DeviceID) error {
	if device == h.cfg.Device {
		return nil
	}
	return h.cfg.History.CloseLog(ctx, device, (&journal.Fork{Device: device}).Error())
}

// writeForks writes the forks that were found into the register, once each,
// as soon as the register is whole enough to be written to.
func (h *Hub) writeForks(ctx context.Context) error {
	h.mu.Lock()
	wrote := false
	for device, f := range h.forks {
		if !h.reg.closings.Forked(device) {
			_, err := h.appendHeld(ctx, h.about(device, &journal.ForkFound{Device: device, Held: string(f.Held), Shown: string(f.Shown)}))
			if errors.Is(err, ErrRecovering) {
				break // the loop that shows the own log tries again
			}
			if err != nil {
				h.mu.Unlock()
				return err
			}
			wrote = true
		}
		delete(h.forks, device)
	}
	h.mu.Unlock()
	if !wrote {
		return nil
	}
	return h.showOwn(ctx)
}
