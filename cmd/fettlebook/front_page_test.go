package main

import (
	"io"
	"net/http"
	"net/http/httptest"
	"testing"
	"testing/synctest"
)

// Who opens the pages while the hub is still starting is shown them as soon as they are
// there, and is told if that takes too long.
func TestWhoComesWhileTheHubStarts(t *testing.T) {
	for name, leads := range map[string]bool{"and then is there": true, "and goes on starting": false} {
		t.Run(name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				e := &frontPage{led: make(chan struct{})}
				w := httptest.NewRecorder()
				answered := make(chan struct{})
				go func() {
					defer close(answered)
					e.show(w, httptest.NewRequestWithContext(t.Context(), http.MethodGet, "/", nil))
				}()
				synctest.Wait()
				select {
				case <-answered:
					t.Fatal("it is answered before it leads anywhere")
				default:
				}
				want := http.StatusServiceUnavailable
				if leads {
					want = http.StatusOK
					e.lead(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) { _, _ = io.WriteString(w, "the desk") }))
				}
				<-answered
				if w.Code != want {
					t.Errorf("it is answered with %d: %s", w.Code, w.Body)
				}
			})
		})
	}
}
