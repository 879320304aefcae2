package hub

import (
	"maps"
	"time"

	"fettlebook/journal"
)

// Heard returns when each device last greeted this run of the hub.
func (h *Hub) Heard() map[journal.DeviceID]time.Time {
	h.mu.Lock()
	defer h.mu.Unlock()
	return maps.Clone(h.greeted)
}
