package main

import (
	"bytes"
	"context"
	"crypto/tls"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"fettlebook/cmd/internal/exit"
)

// hubRunning is a hub with a bench at work in this process.
type hubRunning struct {
	dir, desk, bench string // the folder, and where this machine's browser finds the pages
	network          string // where the network finds the desk
	token            string // the file of the token
	client           *http.Client
	said, log        *heardSoFar
}

// heardSoFar is what a program says, to be read while it speaks.
type heardSoFar struct {
	mu   sync.Mutex
	text bytes.Buffer
	more chan struct{}
}

func (s *heardSoFar) Write(p []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	select {
	case s.more <- struct{}{}:
	default:
	}
	return s.text.Write(p)
}

// line waits for a line that has all words, and returns it.
func (s *heardSoFar) line(t *testing.T, words ...string) string {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), 2*time.Minute)
	defer cancel()
	for {
		s.mu.Lock()
		text := s.text.String()
		s.mu.Unlock()
	lines:
		for line := range strings.Lines(text) {
			for _, w := range words {
				if !strings.Contains(line, w) {
					continue lines
				}
			}
			return strings.TrimSuffix(line, "\n")
		}
		select {
		case <-s.more:
		case <-ctx.Done():
			t.Fatalf("no line has all of %q: %s", words, text)
		}
	}
}

const testPassphrase, testToken = "a lamp over the bench", "spindle-washer-0123456789-abc"

// runHub begins a shop and runs its hub with a bench until the test ends.
func runHub(t *testing.T, more ...string) *hubRunning {
	t.Helper()
	dir, desk := t.TempDir(), freePort(t)
	h := &hubRunning{dir: filepath.Join(dir, "hub"), network: "https://127.0.0.1:" + desk, token: filepath.Join(dir, "token"),
		said: &heardSoFar{more: make(chan struct{}, 1)}, log: &heardSoFar{more: make(chan struct{}, 1)},
		client: &http.Client{Transport: &http.Transport{TLSClientConfig: &tls.Config{InsecureSkipVerify: true}},
			CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}}
	if err := os.WriteFile(h.token, []byte(testToken+"\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	h.do(t, "", "hub", "init", "--shop", "Copper Washer Works", "--by", "io", "--host", "127.0.0.1", "--desk-port", desk, "--broker-port", freePort(t))
	h.do(t, testPassphrase, "hub", "passphrase")
	ctx, cancel := context.WithCancel(context.Background())
	var running sync.WaitGroup
	running.Go(func() {
		args := append([]string{"hub", "run", "--data", h.dir, "--pages", "127.0.0.1:0", "--bench", "--bench-pages", "127.0.0.1:0", "--token-file", h.token}, more...)
		if code := run(ctx, args, strings.NewReader(""), h.said, h.log); code != exit.OK {
			t.Errorf("the hub ends with %d: %s", code, &h.log.text)
		}
	})
	t.Cleanup(func() { cancel(); running.Wait(); h.client.CloseIdleConnections() })
	at := func(what string) string {
		line := h.said.line(t, what+" is open in the browser at ")
		return line[strings.Index(line, "http"):]
	}
	h.desk, h.bench = at("The desk"), at("The bench")
	return h
}

// do runs a command on the hub's folder, with something typed into it, and returns what
// it prints.
func (h *hubRunning) do(t *testing.T, typed string, args ...string) string {
	t.Helper()
	var out, errs bytes.Buffer
	if code := run(t.Context(), append(args, "--data", h.dir), strings.NewReader(typed), &out, &errs); code != exit.OK {
		t.Fatalf("%v ends with %d: %s", args, code, &errs)
	}
	return out.String()
}

// get asks for a page, with headers, and returns its status and text.
func (h *hubRunning) get(t *testing.T, url string, header ...string) (int, string) {
	t.Helper()
	r, err := http.NewRequestWithContext(t.Context(), http.MethodGet, url, nil)
	if err != nil {
		t.Fatal(err)
	}
	for i := 0; i+1 < len(header); i += 2 {
		r.Header.Set(header[i], header[i+1])
		if header[i] == "Host" {
			r.Host = header[i+1]
		}
	}
	answer, err := h.client.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	text, err := io.ReadAll(answer.Body)
	if err != nil {
		t.Fatal(err)
	}
	return answer.StatusCode, string(text)
}
