package shoptest

import (
	"testing"
	"time"
)

// patience bounds every wait. It is longer than a hub holds back after a loss
// ([hub.DefaultPatience]); nothing else takes nearly that long.
const patience = 3 * time.Minute

// poll is how often a condition is looked at.
const poll = 5 * time.Millisecond

// WaitUntil waits until the condition holds, and fails the test when it does
// not in time.
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
