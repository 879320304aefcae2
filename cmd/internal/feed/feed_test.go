package feed_test

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"iter"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"fettlebook/cmd/internal/feed"
	"fettlebook/journal"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
)

// logs are logs in memory.
type logs struct {
	mu      sync.Mutex
	entries map[journal.DeviceID][][]byte
	changed chan struct{}
	err     error
}

func (l *logs) write(device journal.DeviceID, raw ...[]byte) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.entries[device] = append(l.entries[device], raw...)
	close(l.changed)
	l.changed = make(chan struct{})
}

func (l *logs) now() <-chan struct{} {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.changed
}

func (l *logs) Heads(context.Context) (heads []journal.Head, err error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	for device, list := range l.entries {
		heads = append(heads, journal.Head{Device: device, Size: int64(len(list))})
	}
	return heads, l.err
}

func (l *logs) Entries(_ context.Context, device journal.DeviceID, from int64) iter.Seq2[journal.Logged, error] {
	l.mu.Lock()
	list := l.entries[device]
	l.mu.Unlock()
	return func(yield func(journal.Logged, error) bool) {
		for i := from; i < int64(len(list)); i++ {
			if !yield(journal.Logged{Position: journal.Position{Device: device, Index: i}, Bytes: list[i], Received: time.Unix(1_800_000_000, 0)}, nil) {
				return
			}
		}
	}
}

// heard is one event.
type heard struct {
	ID     string
	Device journal.DeviceID
	Index  int64
	Entry  jsontext.Value
	Raw    []byte
}

// hear reads events, the number that is given or all.
func hear(t *testing.T, in *bufio.Reader, n int) (list []heard) {
	t.Helper()
	var one heard
	for len(list) != n {
		line, err := in.ReadString('\n')
		if err != nil {
			if n >= 0 {
				t.Fatalf("after %d events: %v", len(list), err)
			}
			return list
		}
		name, text, _ := strings.Cut(strings.TrimSuffix(line, "\n"), ": ")
		switch name {
		case "id":
			one.ID = text
		case "data":
			var o struct {
				Device   journal.DeviceID `json:"device"`
				Index    int64            `json:"index"`
				Received string           `json:"received"`
				Entry    jsontext.Value   `json:"entry"`
				Raw      []byte           `json:"raw"`
			}
			if err := json.Unmarshal([]byte(text), &o); err != nil || o.Received != "2027-01-15T08:00:00Z" {
				t.Fatalf("%s: %v", text, err)
			}
			one.Device, one.Index, one.Entry, one.Raw = o.Device, o.Index, o.Entry, o.Raw
		case "":
			list = append(list, one)
			one = heard{}
		}
	}
	return list
}

func sample(t *testing.T) []byte {
	t.Helper()
	files, err := filepath.Glob("../../../testdata/entries/torque.applied*")
	if err != nil || len(files) == 0 {
		t.Fatal("no golden entry", err)
	}
	raw, err := os.ReadFile(files[0])
	if err != nil {
		t.Fatal(err)
	}
	return raw
}

func TestFeed(t *testing.T) {
	entry, junk := sample(t), []byte("not an entry\n\ndata: at all")
	l := &logs{entries: map[journal.DeviceID][][]byte{}, changed: make(chan struct{})}
	l.write("t2bbbbbb", entry, junk)
	l.write("t1aaaaaa", entry, entry, entry)
	f := &feed.Feed{Log: l, Changed: l.now, Logger: slog.New(slog.DiscardHandler)}
	server := httptest.NewServer(f)
	defer server.Close()
	ask := func(query string, header ...string) (*http.Response, *bufio.Reader) {
		r, err := http.NewRequestWithContext(t.Context(), http.MethodGet, server.URL+query, nil)
		if err != nil {
			t.Fatal(err)
		}
		for i := 0; i+1 < len(header); i += 2 {
			r.Header.Set(header[i], header[i+1])
		}
		answer, err := server.Client().Do(r)
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { answer.Body.Close() })
		return answer, bufio.NewReader(answer.Body)
	}
	_, in := ask("/feed?follow=no")
	all := hear(t, in, -1)
	if len(all) != 5 || all[0].ID != "t1aaaaaa=1" || all[2].ID != "t1aaaaaa=3" || all[4].ID != "t1aaaaaa=3,t2bbbbbb=2" {
		t.Fatalf("all: %+v", all)
	}
	if !bytes.Equal(all[0].Entry, entry) || !bytes.Equal(all[4].Raw, junk) || all[4].Entry != nil {
		t.Errorf("bytes were changed: %s, %q", all[0].Entry, all[4].Raw)
	}
	// Whoever was cut off after any event hears the rest, once.
	for n, one := range all {
		for _, a := range [][]string{{"?follow=no&from=" + one.ID}, {"?follow=no&from=t1aaaaaa=0", "Last-Event-ID", one.ID}} {
			_, in := ask("/feed"+a[0], a[1:]...)
			if rest := hear(t, in, -1); len(rest) != len(all)-n-1 || len(rest) > 0 && rest[0].ID != all[n+1].ID {
				t.Errorf("after %s: %+v", one.ID, rest)
			}
		}
	}
	_, in = ask("/feed?log=t1aaaaaa&from=1&follow=no")
	if part := hear(t, in, -1); len(part) != 2 || part[0].Index != 1 || part[0].Device != "t1aaaaaa" {
		t.Errorf("one log from 1: %+v", part)
	}
	_, in = ask("/feed?log=t1aaaaaa&follow=no", "Last-Event-ID", "t1aaaaaa=2")
	if part := hear(t, in, -1); len(part) != 1 || part[0].Index != 2 {
		t.Errorf("one log, cut off: %+v", part)
	}
	for _, query := range []string{"?from=7", "?from=t1aaaaaa", "?from=t1aaaaaa=-1", "?from=T%201=3", "?log=t1aaaaaa&from=x", "?follow=maybe"} {
		if answer, _ := ask("/feed" + query); answer.StatusCode != http.StatusBadRequest {
			t.Errorf("%s: %s", query, answer.Status)
		}
	}
	// What is written while somebody listens is told at once.
	answer, in := ask("/feed?from=" + all[4].ID)
	if kind := answer.Header.Get("Content-Type"); kind != "text/event-stream" {
		t.Errorf("the answer is %s", kind)
	}
	l.write("t3cccccc", entry)
	if next := hear(t, in, 1); next[0].ID != "t1aaaaaa=3,t2bbbbbb=2,t3cccccc=1" {
		t.Errorf("then %+v", next)
	}
	l.mu.Lock()
	l.err = errors.New("the journal is closed")
	l.mu.Unlock()
	l.write("t3cccccc", entry)
	if after := hear(t, in, -1); len(after) != 0 {
		t.Errorf("in trouble: %+v", after)
	}
}
