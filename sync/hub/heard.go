package hub

import (
	"maps"
	"time"

	"fettlebook/journal"
)

// Clocks returns how far each device's clock was ahead of the hub's when that was last
// written down.
func (h *Hub) Clocks() map[journal.DeviceID]time.Duration {
	h.mu.Lock()
	defer h.mu.Unlock()
	return maps.Clone(h.reg.clocks)
}

// Heard returns when each device last greeted this run of the hub.
func (h *Hub) Heard() map[journal.DeviceID]time.Time {
	h.mu.Lock()
	defer h.mu.Unlock()
	return maps.Clone(h.greeted)
}
