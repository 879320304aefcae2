package card_test

import (
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/card"
)

// supplied reads a card that comes with the program.
func supplied(tb testing.TB, name journal.RouteID) *card.Card {
	tb.Helper()
	text, err := card.Supplied(name)
	if err != nil {
		tb.Fatal(err)
	}
	read, err := card.Parse(text)
	if err != nil {
		tb.Fatal(err)
	}
	return read
}

func TestSuppliedCards(t *testing.T) {
	for _, name := range []journal.RouteID{"caliper", "arm"} {
		if c := supplied(t, name); c.Name != name || len(c.Stages) == 0 {
			t.Errorf("card %s: read %s with %d stages", name, c.Name, len(c.Stages))
		}
	}
}

func TestSuppliedNames(t *testing.T) {
	names := card.SuppliedNames()
	if len(names) != 2 || names[0] != "arm" || names[1] != card.Usual {
		t.Errorf("got %v", names)
	}
	if _, err := card.Supplied("none"); err == nil {
		t.Error("a card that there is not was supplied")
	}
}

func TestVocabulary(t *testing.T) {
	seen := make(map[string]bool)
	for _, f := range card.Vocabulary() {
		if f.Says == "" || f.Type == "" || seen[f.Path] {
			t.Errorf("the fact %s is not told well: %+v", f.Path, f)
		}
		seen[f.Path] = true
	}
	for _, path := range []string{"part.mask.covered", "corner.joints.name.inside", "vehicle.bleed.complete"} {
		if !seen[path] {
			t.Errorf("the fact %s is missing", path)
		}
	}
}
