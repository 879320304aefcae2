package hub

import (
	"context"
	"errors"
	"fmt"

	"fettlebook/journal"
	"fettlebook/sync/segment"
)

// unwanted is why a segment was not taken in, as its sender may read it.
type unwanted struct {
	reason string
	fork   bool // its device signed it beside another history
}

func (e *unwanted) Error() string { return e.reason }

// send takes in the next entries of a device's own log. When it returns, they are
// verified, on the disk, in the stream and countersigned.
func (h *Hub) send(ctx context.Context, e *ear, a arrival) error {
	before, here, err := h.enter(ctx, &e.intake, a)
	if err == nil && !here {
		err = errNotYet
	}
	if err != nil {
		return err
	}
	return h.brought(ctx, a, before)
}

var errNotYet = errors.New("the hub lacks what comes before these entries; they are sent again with it")

// give takes back entries of another's log that the hub lost, from a device that
// holds them. Or it is shown another history than it holds: that is a fork.
func (h *Hub) give(ctx context.Context, device journal.DeviceID, q segment.GiveAsk) (any, error) {
	a := h.arrived(device, "", q)
	if a.unread != nil {
		return nil, a.unread
	}
	if a.segment.Device == device {
		return nil, fmt.Errorf("%w: a device gives other devices’ logs", segment.ErrWire)
	}
	a.of = a.segment.Device
	err := h.bring(ctx, a)
	if no := (*unwanted)(nil); errors.As(err, &no) && no.fork {
		return nil, nil // both are kept, which is what it was given for
	}
	return nil, err
}

func (h *Hub) arrived(sender, of journal.DeviceID, q segment.GiveAsk) arrival {
	a := arrival{sender: sender, of: of, raw: q.Segment}
	a.segment, a.unread = h.cfg.Codec.Decode(q.Segment)
	return a
}

// bring takes in a segment of another's log, and has what grew in the stream and
// countersigned.
func (h *Hub) bring(ctx context.Context, a arrival) error {
	before, err := h.head(ctx, a.of)
	if err != nil {
		return err
	}
	here, err := h.takeOne(ctx, a)
	if err != nil || !here {
		return err
	}
	return h.brought(ctx, a, before.Size)
}

// brought has a segment that is on the disk in the stream too and countersigned. The error
// may say what it comes to for who pays.
func (h *Hub) brought(ctx context.Context, a arrival, before int64) error {
	var err error
	if a.of == h.cfg.Device {
		err = h.showOwn(ctx)
	} else {
		err = h.show(ctx, a.of, a.segment.End())
	}
	switch {
	case err != nil:
		return err
	case a.segment.End() <= before:
		return errRepeated
	case a.sender != a.of || a.segment.End() <= h.hadOnce(a.of):
		return errGivenBack
	}
	return nil
}

// hadOnce returns how much of a log the hub had when it last wrote anything.
func (h *Hub) hadOnce(device journal.DeviceID) int64 {
	h.mu.Lock()
	defer h.mu.Unlock()
	return h.reg.held[device]
}

// take verifies and commits a segment, and reports whether the log is now here
// as far as it reaches. An error that is not an [unwanted] means that the hub
// itself could not.
func (h *Hub) take(ctx context.Context, a arrival) (bool, error) {
	if a.unread != nil {
		return false, h.quarantine(ctx, a.sender, a.unread.Error(), a.raw)
	}
	if a.segment.Device != a.of {
		return false, h.quarantine(ctx, a.sender, fmt.Sprintf("device %s sent a segment of log %s", a.of, a.segment.Device), a.raw)
	}
	if err := h.checkAgreed(ctx, a.sender); err != nil {
		return false, err
	}
	closed, err := h.closed(ctx, a.of)
	if err != nil {
		return false, err
	}
	if closed != "" && a.of != h.cfg.Device {
		return false, h.quarantine(ctx, a.sender, closed, a.raw)
	}
	return h.receive(ctx, a)
}

// quarantine keeps what no signature covers, under the name of who was proven to
// have sent it, or under nobody's, and says why it is not taken in.
func (h *Hub) quarantine(ctx context.Context, sender journal.DeviceID, reason string, raw []byte) error {
	if !h.keeps(sender, int64(len(raw))) {
		return &unwanted{reason: reason}
	}
	h.cfg.Logger.WarnContext(ctx, "quarantine", "device", sender, "reason", reason)
	if err := h.cfg.Notes.Quarantine(ctx, sender, reason, raw); err != nil {
		return err
	}
	return &unwanted{reason: reason}
}

// mostKept is how many bytes of one sender a run of the hub keeps in quarantine, and
// leastKept what a message counts at least: a sample shows what went wrong, and more of it
// shows nothing more.
const (
	mostKept  = 4 << 20
	leastKept = 32 << 10
)

// ForgetKept is called when quarantine was emptied: there is room again.
func (h *Hub) ForgetKept() {
	h.paying.Lock()
	defer h.paying.Unlock()
	clear(h.quarantined)
}

// keeps reports whether more of a sender is kept in quarantine.
func (h *Hub) keeps(sender journal.DeviceID, bytes int64) bool {
	h.paying.Lock()
	defer h.paying.Unlock()
	h.quarantined[sender] += max(bytes, leastKept)
	return h.quarantined[sender] <= mostKept
}

func (h *Hub) receive(ctx context.Context, a arrival) (bool, error) {
	_, err := h.cfg.Log.Receive(ctx, a.segment)
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
		h.cfg.Logger.DebugContext(ctx, "not yet", "device", a.of, "error", err)
		h.news()
		return false, nil
	case errors.As(err, &fork):
		return false, h.forked(ctx, fork, a.raw)
	case errors.As(err, &unproven):
		return false, h.quarantine(ctx, a.sender, unproven.Reason, a.raw)
	}
	return false, err
}

// forked keeps both histories, closes the device's log, says so in the register,
// and then to who sent it.
func (h *Hub) forked(ctx context.Context, f *journal.Fork, raw []byte) error {
	h.cfg.Logger.ErrorContext(ctx, "fork", "device", f.Device)
	// It is its own: it signed both. There is one of each log, since it ends then.
	if err := h.cfg.Notes.Quarantine(ctx, f.Device, f.Error(), raw); err != nil {
		return err
	}
	no := &unwanted{reason: f.Error(), fork: true}
	if err := h.closeLog(ctx, f.Device); err != nil {
		return err
	}
	h.mu.Lock()
	delete(h.compared, f.Device) // of three histories the least is common
	if !h.reg.closings.Forked(f.Device) && h.forks[f.Device] == nil {
		h.forks[f.Device] = f
	}
	h.mu.Unlock()
	if err := h.writeForks(ctx); err != nil {
		return err
	}
	return no
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
