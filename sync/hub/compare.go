package hub

import (
	"context"

	"fettlebook/journal"
	"fettlebook/sync/segment"
)

// compare answers of which logs a device holds another history than the hub:
// one of the two was brought back from an older copy, and so was the log's
// device, which wrote on. The device's word is not believed, but it is asked
// for what it holds.
func (h *Hub) compare(ctx context.Context, device journal.DeviceID, q segment.CompareAsk) (any, error) {
	heads, err := h.cfg.Log.Heads(ctx)
	if err != nil {
		return nil, err
	}
	there := make(map[journal.DeviceID]segment.Root, len(q.Logs))
	for _, l := range q.Logs {
		there[l.Device] = l
	}
	var r segment.CompareReply
	for _, head := range heads {
		l, ok := there[head.Device]
		if !ok || head.Device == device || l.Size < 1 || l.Size > head.Size {
			continue
		}
		root, err := h.cfg.History.RootAt(ctx, head.Device, l.Size)
		if err != nil {
			return nil, err
		}
		if root == l.Root {
			continue
		}
		r.Apart = append(r.Apart, head.Device)
		if head.Device == h.cfg.Device {
			h.astray(device)
		}
	}
	return r, nil
}

// astray notes that a device holds another history of the hub's own log. It
// can bring nothing of that back, so what it claims of it is not waited for.
func (h *Hub) astray(device journal.DeviceID) {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.loss.apart[device] = true
	delete(h.loss.claims, device)
}
