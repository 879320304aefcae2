package hub

import (
	"context"
	"fmt"
	"strings"

	"fettlebook/journal"
)

// anchored is the mark of how far the logs were when they were anchored last.
const anchored = "anchored"

// Anchor returns the newest state of the hub's log, countersigned, in which
// all logs are anchored as they are here: whoever witnesses it witnesses what
// the tablets wrote too. If a log has grown since it was anchored last, an
// entry is written for it, whose after names every log with its root. If none
// has, nothing is written.
func (h *Hub) Anchor(ctx context.Context) (journal.Countersigned, error) {
	select {
	case <-h.ready:
	case <-ctx.Done():
		return journal.Countersigned{}, ctx.Err()
	}
	if err := h.anchor(ctx); err != nil {
		return journal.Countersigned{}, err
	}
	if err := h.showOwn(ctx); err != nil {
		return journal.Countersigned{}, err
	}
	return h.cfg.Receipts.LastCountersigned(ctx, h.cfg.Device)
}

func (h *Hub) anchor(ctx context.Context) error {
	h.mu.Lock()
	defer h.mu.Unlock()
	if err := h.readRegister(ctx); err != nil {
		return err
	}
	heads, err := h.cfg.Log.Heads(ctx)
	if err != nil {
		return err
	}
	var others strings.Builder
	from, noted := h.reg.noted[h.cfg.Device]
	for _, head := range heads {
		_, closed := h.reg.closings.Counts(head.Device)
		switch {
		case head.Device == h.cfg.Device && !noted:
			from = head.Size // the anchor is then the first entry that cites
		case head.Device != h.cfg.Device && !closed:
			fmt.Fprintf(&others, "%s/%d ", head.Device, head.Size)
		}
	}
	last, err := h.cfg.Notes.Mark(ctx, anchored)
	if err != nil || last == others.String() {
		return err
	}
	note := &journal.LogNote{Device: h.cfg.Device, From: from, Evidence: journal.Evidence{Note: "So that others can witness all logs as they are here."}}
	if _, err := h.appendHeld(ctx, h.about(h.cfg.Device, note)); err != nil {
		return err
	}
	return h.cfg.Notes.SetMark(ctx, anchored, others.String())
}
