package live

import (
	"fmt"
	"net/http"
	"time"
)

// breath is how often a silent stream of events says that it is alive, so
// that proxies and sleeping tablets do not drop it, and a page that hears
// nothing for longer knows that it may be out of date.
const breath = 10 * time.Second

// eventStream is what a browser asks for that listens for events.
const eventStream = "text/event-stream"

// Events serves server-sent events: how often the shop has changed, at every change,
// and that the lamp is to be looked at. They carry no data of the shop; the page
// asks for what it shows.
// (Server-sent events: HTML Living Standard, section 9.2.)
func (l *Live) Events(w http.ResponseWriter, r *http.Request) {
	out := http.NewResponseController(w)
	// The stream outlives the write deadline that answers usually have.
	if err := out.SetWriteDeadline(time.Time{}); err != nil {
		http.Error(w, "this connection cannot stream", http.StatusNotImplemented)
		return
	}
	w.Header().Set("Content-Type", eventStream)
	w.Header().Set("Cache-Control", "no-store")
	alive := time.NewTicker(breath)
	defer alive.Stop()
	if _, err := fmt.Fprint(w, "retry: 1000\n\n"); err != nil {
		return
	}
	for {
		var beside <-chan struct{}
		if l.Beside != nil {
			beside = l.Beside()
		}
		serial, changed := l.Now()
		if _, err := fmt.Fprintf(w, "event: record\nid: %d\ndata: %[1]d\n\nevent: lamp\ndata: %[1]d\n\n", serial); err != nil || out.Flush() != nil {
			return
		}
		select {
		case <-r.Context().Done():
			return
		case <-changed:
		case <-beside:
		case <-alive.C:
		}
	}
}
