package route_test

import (
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/route"
)

// supplied reads a card that comes with the program.
func supplied(tb testing.TB, name journal.RouteID) *route.Card {
	tb.Helper()
	text, err := route.Supplied(name)
	if err != nil {
		tb.Fatal(err)
	}
	card, err := route.Parse(text)
	if err != nil {
		tb.Fatal(err)
	}
	return card
}

func TestSuppliedCards(t *testing.T) {
	for _, name := range []journal.RouteID{"caliper", "arm"} {
		if card := supplied(t, name); card.Name != name || len(card.Stages) == 0 {
			t.Errorf("card %s: read %s with %d stages", name, card.Name, len(card.Stages))
		}
	}
}
