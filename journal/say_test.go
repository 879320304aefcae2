package record_test

import (
	"fmt"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/record"
)

// Every kind has a sentence of its own, with every field filled in and with
// hardly any. The list is read as a whole when it changes.
func TestSay(t *testing.T) {
	var b strings.Builder
	for i, full := range journaltest.Samples() {
		least := journaltest.Minimal()[i].Data
		fmt.Fprintf(&b, "%s\n  %s\n", full.Data.Kind(), record.Say(full.Data))
		if record.Say(least) != record.Say(full.Data) {
			fmt.Fprintf(&b, "  %s\n", record.Say(least))
		}
	}
	golden(t, "say.txt", b.String())
}

func TestSayKnowsEveryKind(t *testing.T) {
	for kind := range journal.Kinds() {
		if got := record.Say(kind.Blank()); got == kind.About() && kind != journal.NoteMade {
			t.Errorf("%s has no sentence of its own", kind)
		}
	}
}
