package main

import (
	"bytes"
	"context"
	"io"
	"log/slog"
	"net"
	"net/http"
	"testing"
)

// A page that listens for events keeps its server from nothing: what is at work arrives,
// and the stream ends at once.
func TestStreamsEndWithTheirServer(t *testing.T) {
	var words bytes.Buffer
	s := newServing(t.Context(), slog.New(slog.NewTextHandler(&words, nil)))
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	stream := http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "text/event-stream")
		if _, err := io.WriteString(w, "retry: 1000\n\n"); err != nil || http.NewResponseController(w).Flush() != nil {
			t.Error("the stream does not begin")
		}
		<-r.Context().Done()
	})
	if err := s.serve(l, stream, nil); err != nil {
		t.Fatal(err)
	}
	r, err := http.NewRequestWithContext(t.Context(), http.MethodGet, "http://"+l.Addr().String()+"/live", nil)
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("Accept", "text/event-stream")
	answer, err := http.DefaultClient.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	s.close(context.Background())
	if words.Len() > 0 {
		t.Errorf("it was waited for in vain: %s", &words)
	}
}
