package hub

import (
	"bytes"
	"context"
	"errors"
	"maps"
	"slices"

	"fettlebook/journal"
)

// writeOrder writes into the register what the order of entries rests on, once
// each: from which entry on a log says what its writer had seen, and of a log
// that was closed, how many entries count. What could not be written, since
// older entries of the register may still come back, is written later.
func (h *Hub) writeOrder(ctx context.Context) error {
	h.mu.Lock()
	defer h.mu.Unlock()
	if err := h.readRegister(ctx); err != nil {
		return err
	}
	heads, err := h.cfg.Log.Heads(ctx)
	if err != nil {
		return err
	}
	list, err := h.closings(ctx, heads)
	if err != nil {
		return err
	}
	notes, err := h.notes(ctx, heads)
	if err != nil {
		return err
	}
	for _, d := range append(list, notes...) {
		switch _, err := h.appendHeld(ctx, d); {
		case errors.Is(err, ErrRecovering):
			return nil
		case err != nil:
			return err
		}
	}
	return h.readRegister(ctx)
}

// about is an entry that the hub writes by itself about a device.
func (h *Hub) about(device journal.DeviceID, data journal.Payload) journal.Draft {
	return journal.Draft{Subject: journal.Of("device", string(device)), By: h.cfg.By, Data: data}
}

// notes drafts a note of each log that has begun to cite. mu is held.
func (h *Hub) notes(ctx context.Context, heads []journal.Head) (list []journal.Draft, err error) {
	for _, head := range heads {
		if _, noted := h.reg.noted[head.Device]; noted {
			continue
		}
		for logged, err := range h.cfg.Log.Entries(ctx, head.Device, h.looked[head.Device]) {
			if err != nil {
				return nil, err
			}
			if e, err := journal.Decode(logged.Bytes); err == nil && len(e.After) > 0 {
				list = append(list, h.about(head.Device, &journal.LogNote{Device: head.Device, From: logged.Index}))
				break // until the note is in the register, this entry is found again
			}
			h.looked[head.Device] = logged.Index + 1
		}
	}
	return list, nil
}

// closings drafts how much counts of each log that was closed: of one that was
// revoked what is here now, of one that has two histories what both have. The
// hub's own log goes on, and what all its histories have is said. mu is held.
func (h *Hub) closings(ctx context.Context, heads []journal.Head) (list []journal.Draft, err error) {
	held := make(map[journal.DeviceID]int64)
	for _, head := range heads {
		held[head.Device] = head.Size
	}
	for _, device := range append(slices.Sorted(maps.Keys(h.reg.devices)), h.cfg.Device) {
		counts, closed := h.reg.closings.Counts(device)
		switch {
		case h.reg.closings.Forked(device) && !h.compared[device]:
			common, known, err := h.common(ctx, device, held[device])
			if err != nil {
				return nil, err
			}
			if !known || closed && counts <= common {
				h.compared[device] = true
				continue
			}
			list = append(list, h.about(device, h.upTo(device, common)))
		case device == h.cfg.Device:
		case h.reg.devices[device].revoked && !closed:
			list = append(list, h.about(device, &journal.LogClosing{Device: device, Counts: held[device]}))
		}
	}
	return list, nil
}

// upTo says how many entries all histories of a log have.
func (h *Hub) upTo(device journal.DeviceID, common int64) journal.Payload {
	if device == h.cfg.Device {
		return &journal.LogParting{Device: device, Common: common}
	}
	return &journal.LogClosing{Device: device, Counts: common}
}

// common returns how many entries all histories have at their beginning that a
// device showed. Those beside the one in the log are in quarantine.
func (h *Hub) common(ctx context.Context, device journal.DeviceID, held int64) (n int64, known bool, err error) {
	for raw, err := range h.cfg.Notes.Quarantined(ctx, device) {
		if err != nil {
			return 0, false, err
		}
		s, err := h.cfg.Codec.Decode(raw)
		if err != nil || s.Device != device {
			continue
		}
		contradicts, err := h.contradicts(ctx, s, held)
		if err != nil {
			return 0, false, err
		}
		if !contradicts {
			continue // it would be taken in
		}
		var (
			fork     *journal.Fork
			unproven *journal.Unproven
		)
		_, err = h.cfg.Log.Receive(ctx, s)
		switch {
		case errors.As(err, &unproven): // the device did not sign it
		case !errors.As(err, &fork):
			return 0, false, err
		case !known || fork.Common < n:
			n, known = fork.Common, true
		}
	}
	return n, known, nil
}

// contradicts reports whether a segment has another entry where one lies here.
func (h *Hub) contradicts(ctx context.Context, s journal.Segment, held int64) (bool, error) {
	if s.First < 0 || s.First >= held {
		return false, nil
	}
	for logged, err := range h.cfg.Log.Entries(ctx, s.Device, s.First) {
		if err != nil {
			return false, err
		}
		if logged.Index >= s.End() {
			break
		}
		if !bytes.Equal(logged.Bytes, s.Entries[logged.Index-s.First]) {
			return true, nil
		}
	}
	return false, nil
}
