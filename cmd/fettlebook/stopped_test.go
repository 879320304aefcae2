package main

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"

	"fettlebook/cmd/internal/exit"
)

// turns is a context that is cancelled the n-th time that somebody looks at it.
type turns struct {
	context.Context
	left   *atomic.Int64
	cancel context.CancelFunc
}

func (c turns) look() {
	if c.left.Add(-1) == 0 {
		c.cancel()
	}
}

func (c turns) Done() <-chan struct{} { c.look(); return c.Context.Done() }

func (c turns) Err() error { c.look(); return c.Context.Err() }

// until is what a program prints; once it says a word, the program is told to stop.
type until struct {
	mu   sync.Mutex
	said bytes.Buffer
	word string
	stop context.CancelFunc
	up   bool
}

func (u *until) Write(p []byte) (int, error) {
	u.mu.Lock()
	defer u.mu.Unlock()
	u.said.Write(p)
	if strings.Contains(u.said.String(), u.word) {
		u.up = true
		u.stop()
	}
	return len(p), nil
}

// Whoever stops a hub or a tablet while it starts, at whatever moment, ends it as
// cleanly as later: no error, no complaint, and it starts again.
func TestStoppedWhileStarting(t *testing.T) {
	dir := t.TempDir()
	hub, tablet := filepath.Join(dir, "hub"), filepath.Join(dir, "tablet")
	var said bytes.Buffer
	do := func(args ...string) string {
		t.Helper()
		said.Reset()
		if code := run(t.Context(), args, strings.NewReader(""), &said, &said); code != exit.OK {
			t.Fatalf("%v ends with %d: %s", args, code, &said)
		}
		return said.String()
	}
	do("hub", "init", "--data", hub, "--shop", "Tin Lantern Finishing", "--by", "io", "--host", "127.0.0.1", "--desk-port", freePort(t), "--broker-port", freePort(t))
	ends := func(word string, args ...string) {
		looks := int64(1)
		for step := int64(1); ; looks += step {
			ctx, cancel := context.WithCancel(t.Context())
			left := new(atomic.Int64)
			left.Store(looks)
			out, errs := &until{word: word, stop: cancel}, &until{word: "\x00", stop: cancel}
			code := run(turns{ctx, left, cancel}, args, strings.NewReader(""), out, errs)
			cancel()
			if code != exit.OK || errs.said.Len() > 0 {
				t.Fatalf("stopped at its look %d: ends with %d, prints %q and complains %q", looks, code, &out.said, &errs.said)
			}
			if out.up && left.Load() > 0 {
				t.Logf("%v is up after %d looks", args[:2], looks-left.Load())
				return
			}
			if looks > 20 { // the first ones one by one
				step = looks / 8
			}
		}
	}
	ends("is open in the browser", "hub", "run", "--data", hub, "--pages", "127.0.0.1:0")

	up, stop := context.WithCancel(t.Context())
	var running sync.WaitGroup
	defer running.Wait()
	defer stop()
	ready := make(chan struct{})
	running.Go(func() {
		out := &until{word: "is open in the browser", stop: sync.OnceFunc(func() { close(ready) })}
		if code := run(up, []string{"hub", "run", "--data", hub, "--pages", "127.0.0.1:0"}, strings.NewReader(""), out, io.Discard); code != exit.OK {
			t.Errorf("the hub ends with %d", code)
		}
	})
	select {
	case <-ready:
	case <-t.Context().Done():
		t.Fatal("the hub did not start")
	}
	var invited struct{ Invitation string }
	if err := json.Unmarshal([]byte(do("hub", "invite", "--data", hub, "--by", "io", "--name", "bench 1", "--json")), &invited); err != nil {
		t.Fatal(err)
	}
	invitation := filepath.Join(t.TempDir(), "invitation")
	if err := os.WriteFile(invitation, []byte(invited.Invitation), 0o600); err != nil {
		t.Fatal(err)
	}
	do("tablet", "join", "--data", tablet, "--invitation-file", invitation)
	ends("The bench is open", "tablet", "run", "--data", tablet, "--pages", "127.0.0.1:0")
}

// Whoever stops the filling of a year, at whatever moment, keeps nothing of it:
// neither the folder nor what was on its way there.
func TestYearStopped(t *testing.T) {
	for _, looks := range []int64{1, 40, 400, 4000} {
		dir := t.TempDir()
		ctx, cancel := context.WithCancel(t.Context())
		left := new(atomic.Int64)
		left.Store(looks)
		var out, errs bytes.Buffer
		code := run(turns{ctx, left, cancel}, []string{"demo", "--year", "--coats", "60", "--dir", filepath.Join(dir, "year")}, strings.NewReader(""), &out, &errs)
		cancel()
		if code != exit.Trouble || !strings.Contains(errs.String(), "nothing of it was kept") || strings.Contains(out.String(), "It holds") {
			t.Errorf("stopped at look %d: ends with %d, prints %q and %q", looks, code, &out, &errs)
		}
		if kept, err := os.ReadDir(dir); err != nil || len(kept) > 0 {
			t.Errorf("stopped at look %d: %v is there (%v)", looks, kept, err)
		}
	}
}
