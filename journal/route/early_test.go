package route_test

import (
	"strings"
	"testing"

	"fettlebook/journal/route"
)

// A hold whose rule is kept before its turn has come says that it is, and what
// it waits for; once that has begun it is met.
func TestHoldsThatAreKeptEarlySayWhatTheyWaitFor(t *testing.T) {
	const waits = "in order so far, and judged when the work that follows has begun"
	s := front().play(t, jobID)
	whole := s.steps
	for until, want := range map[string]route.State{"LF opened": route.Open, "LF connected": route.Open, "LF bleed": route.Met} {
		s.steps = whole
		s.until(until)
		v := stands(checked(supplied(t, "caliper"), s.write().log), "line-closed", s.on("LF", ""))
		if v.State != want || strings.Contains(v.Why, waits) != (until == "LF connected") {
			t.Errorf("after %q the line's hold stands %s: %s", until, v.State, v.Why)
		}
	}
}
