package shoptest

import (
	"testing"
	"time"
)

// patience bounds every wait. Nothing takes that long unless it is broken.
const patience = 60 * time.Second

// poll is how often a condition is looked at.
const poll = 5 * time.Millisecond

// WaitUntil waits until the condition holds, and fails the test when it does
// not within a minute.
func WaitUntil(t testing.TB, what string, holds func() bool) {
	t.Helper()
	deadline := time.NewTimer(patience)
	defer deadline.Stop()
	look := time.NewTicker(poll)
	defer look.Stop()
	for !holds() {
		select {
		case <-look.C:
		case <-deadline.C:
			t.Fatalf("waited %v for %s", patience, what)
		}
	}
}
