package hub

import (
	"context"
	"fmt"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/proof"
)

// countersign signs the newest checkpoint of a log that the stream has, with the hub's
// time. What was committed since is countersigned by who brings it there. showing is held.
func (h *Hub) countersign(ctx context.Context, device journal.DeviceID) error {
	head := h.shown[device]
	if len(head.Checkpoint) == 0 { // the stream had it before this run
		var err error
		if head, err = h.head(ctx, device); err != nil || head.Size > h.shown[device].Size {
			return err
		}
	}
	if head.Size == 0 {
		return nil
	}
	last, err := h.cfg.Receipts.LastCountersigned(ctx, device)
	if err != nil {
		return err
	}
	if last.Size >= head.Size {
		h.counted[device] = last.Size
		return nil
	}
	text, err := h.cfg.History.KeyAt(ctx, device, head.Size)
	if err != nil {
		return err
	}
	key, err := proof.Verifier(text)
	if err != nil {
		return err
	}
	c, err := proof.Open(head.Checkpoint, key)
	if err != nil {
		return fmt.Errorf("countersign log of %s: %w", device, err)
	}
	at := h.cfg.Now().Truncate(time.Second)
	signed, err := proof.Countersign(c, key, h.cfg.Cosigner.Cosigner(func() time.Time { return at }))
	if err != nil {
		return err
	}
	if err := h.cfg.Receipts.SaveCountersigned(ctx, journal.Countersigned{Device: device, Size: c.Size, At: at, Note: signed}); err != nil {
		return err
	}
	h.counted[device] = c.Size
	return nil
}

func (h *Hub) head(ctx context.Context, device journal.DeviceID) (journal.Head, error) {
	heads, err := h.cfg.Log.Heads(ctx)
	if err != nil {
		return journal.Head{}, err
	}
	for _, head := range heads {
		if head.Device == device {
			return head, nil
		}
	}
	return journal.Head{Device: device}, nil
}
