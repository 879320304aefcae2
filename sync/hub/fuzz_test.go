package hub

import (
	"bytes"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"testing"
	"time"

	"fettlebook/sync/segment"

	"github.com/go-json-experiment/json"
)

// Whatever is posted to the joining desk, nobody is let in who has not proven the keys,
// and the answer can be read.
func FuzzJoin(f *testing.F) {
	for _, q := range []segment.JoinRequest{
		{},
		{Token: make([]byte, TokenBytes), Device: "t3fz8c1n", Name: "bench 1", LogKey: "fb/k7m2q4xw/t3fz8c1n+00000000+AQ==", ConnectKey: "UAAA"},
		{Device: "h3fz8c1n", LogProof: []byte("x"), LineProof: []byte("y"), Replaces: "t1"},
		{Device: "a.b", Name: "\u202e"},
	} {
		raw, err := json.Marshal(q)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(raw)
	}
	f.Add([]byte("{"))
	f.Add([]byte(`{"token":1,"token":2}`))
	f.Add(bytes.Repeat([]byte("["), 20<<10))
	h := New(Config{Shop: "k7m2q4xw", Device: "h3fz8c1n", Now: time.Now, Logger: slog.New(slog.DiscardHandler)})
	f.Fuzz(func(t *testing.T, body []byte) {
		answer := httptest.NewRecorder()
		h.Desk().ServeHTTP(answer, httptest.NewRequest(http.MethodPost, segment.JoinPath, bytes.NewReader(body)))
		var reply segment.JoinReply
		if err := json.Unmarshal(answer.Body.Bytes(), &reply); err != nil || reply.Refused == "" || answer.Code != http.StatusForbidden {
			t.Errorf("%d %+v, %v", answer.Code, reply, err)
		}
	})
}
