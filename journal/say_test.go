package journal_test

import (
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
)

var update = flag.Bool("update", false, "write the list of sentences anew")

// Every kind has a sentence, with every field filled in and with hardly any.
// The list is read as a whole when it changes.
func TestSay(t *testing.T) {
	var b strings.Builder
	for i, full := range journaltest.Samples() {
		least := journaltest.Minimal()[i].Data
		fmt.Fprintf(&b, "%s\n  %s\n", full.Data.Kind(), full.Data.Say())
		if least.Say() != full.Data.Say() {
			fmt.Fprintf(&b, "  %s\n", least.Say())
		}
	}
	const list = "testdata/say.txt"
	if *update {
		if err := os.WriteFile(list, []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(list)
	if err != nil {
		t.Fatal(err)
	}
	if b.String() != string(want) {
		t.Errorf("the sentences differ from %s; now\n%s", list, b.String())
	}
}

// A draft that nothing was filled into is said too: a form shows it.
func TestBlanksAreSaid(t *testing.T) {
	for kind := range journal.Kinds() {
		if got := kind.Blank().Say(); got == kind.About() || got == "" && kind != journal.NoteMade {
			t.Errorf("%s has no sentence of its own: %q", kind, got)
		}
	}
}
