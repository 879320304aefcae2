package hub

import (
	"context"
	"fmt"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/proof"
)

// countersign signs the newest checkpoint of a log with the hub's time.
func (h *Hub) countersign(ctx context.Context, device journal.DeviceID) error {
	h.counting.Lock()
	defer h.counting.Unlock()
	head, err := h.head(ctx, device)
	if err != nil || head.Size == 0 {
		return err
	}
	last, err := h.cfg.Receipts.LastCountersigned(ctx, device)
	if err != nil || last.Size >= head.Size {
		return err
	}
	text, err := h.cfg.History.Key(ctx, device)
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
	return h.cfg.Receipts.SaveCountersigned(ctx, journal.Countersigned{Device: device, Size: c.Size, At: at, Note: signed})
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
