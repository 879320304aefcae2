package journaltest

import (
	"crypto/sha256"
	"io"
	"math/rand/v2"
	"sync"
	"time"
)

// Rand returns bytes that look random and depend on the seed only. It is
// safe for concurrent use.
func Rand(seed string) io.Reader {
	return &source{stream: rand.NewChaCha8(sha256.Sum256([]byte(seed)))}
}

type source struct {
	mu     sync.Mutex
	stream *rand.ChaCha8
}

func (s *source) Read(p []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.stream.Read(p)
}

// Watch is a wall clock that moves only when told to. It is safe for
// concurrent use.
type Watch struct {
	mu sync.Mutex
	at time.Time
}

// Morning is when a new watch stands: a Monday in the workshop.
func Morning() time.Time {
	return time.Date(2026, time.March, 2, 8, 0, 0, 0, time.FixedZone("", 3600))
}

// NewWatch returns a watch that shows the time.
func NewWatch(at time.Time) *Watch { return &Watch{at: at} }

// Now returns what the watch shows.
func (w *Watch) Now() time.Time {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.at
}

// Advance moves the watch; a negative duration moves it back.
func (w *Watch) Advance(d time.Duration) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.at = w.at.Add(d)
}

// Set makes the watch show the time.
func (w *Watch) Set(at time.Time) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.at = at
}
