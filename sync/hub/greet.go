package hub

import (
	"context"
	"errors"
	"time"

	"fettlebook/journal"
	"fettlebook/sync/segment"
)

// greet answers a greeting with all that the hub holds.
func (h *Hub) greet(ctx context.Context, device journal.DeviceID, g segment.Greeting) (any, error) {
	w := segment.Welcome{Hub: h.cfg.Device, Began: h.began, Received: h.cfg.Now().UnixNano()}
	last, err := h.heard(ctx, device, g.Holds)
	if err != nil {
		return nil, err
	}
	h.hearAgreed(device, g.Agreed)
	if last {
		if err := h.showOwn(ctx); err != nil {
			return nil, err
		}
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

// readings is how often a clock that moves and moves is written down: it is off, and one
// entry says so as well as a thousand.
var readings = budget{messages: 24, over: 24 * time.Hour}

// compareClock writes down how far a device's clock is off, the first time
// and whenever it moved.
func (h *Hub) compareClock(ctx context.Context, device journal.DeviceID, skew *segment.Skew) error {
	if skew == nil || !skew.Telling() {
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
	if h.readings[device] == nil {
		h.readings[device] = new(spent)
	}
	if h.readings[device].spend(readings, h.cfg.Now(), 0, 1) {
		return false, nil
	}
	_, err := h.appendHeld(ctx, h.about(device, &journal.ClockReading{Device: device, OffsetMs: skew.Offset.Milliseconds(), RoundTripMs: skew.RoundTrip.Milliseconds()}))
	if errors.Is(err, ErrRecovering) {
		return false, nil
	}
	if err != nil {
		return false, err
	}
	return true, h.readRegister(ctx)
}
