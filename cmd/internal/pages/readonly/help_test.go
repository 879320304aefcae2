package readonly_test

import (
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages/readonly"
)

// What to do when a machine breaks is said where nobody needs a network for it, and at the
// desk beside the way to where it is done.
func TestHelpWhenAMachineBreaks(t *testing.T) {
	for at, desk := range map[string]bool{"bench": false, "desk": true} {
		page := newBench(t, func(c *readonly.Config) { c.Desk = desk }).get("/help", 200)
		for _, what := range []string{"A tablet is stolen or lost", "A tablet breaks", "A tablet’s disk is full", "The hub’s disk is full", "The hub breaks", "The hub’s keys, or a backup of them, are lost or stolen", "The hub’s keys are gone, with every backup of them", "The hub has another address", "A new version is put in", "A machine is to go"} {
			if !strings.Contains(page, "<dt>"+what+"</dt>") {
				t.Errorf("%s: %q is not there", at, what)
			}
		}
		if strings.Contains(page, `href="/people"`) != desk {
			t.Errorf("%s: it leads to the desk’s page of tablets: %v", at, !desk)
		}
	}
}
