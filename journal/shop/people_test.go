package shop_test

import (
	"context"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
)

// held is the card that lies here.
type held struct{ card *journal.Card }

func (h held) Card(context.Context, journal.CardID) (journal.Card, error) {
	if h.card == nil {
		return journal.Card{}, journal.ErrNoCard
	}
	return *h.card, nil
}

// Who works here is called by the name on the card that the hub's own log commits to.
// A tablet may write a card too, and names nobody by it.
func TestNameOf(t *testing.T) {
	w := newWriters(t)
	s, idx := open(t, w.logs, t.TempDir())
	defer idx.Close()
	name := func(text string) *journal.Card {
		t.Helper()
		c, err := journal.NewCard("c7w1m3e9", journal.Details{Name: text}, journaltest.Rand(text))
		if err != nil {
			t.Fatal(err)
		}
		return &c
	}
	commits := func(on journal.DeviceID, c *journal.Card) {
		t.Helper()
		to, err := c.Commitment()
		if err != nil {
			t.Fatal(err)
		}
		w.write(on, "card/c7w1m3e9", "io", &journal.CardWriting{Card: c.Card, Commitment: to})
	}
	is := func(when string, card *journal.Card, want string) {
		t.Helper()
		if err := s.Follow(t.Context()); err != nil {
			t.Fatal(err)
		}
		if got := s.View(t.Context()).NameOf("jr", held{card}); got != want {
			t.Errorf("%s: jr is called %q, want %q", when, got, want)
		}
	}
	right, lie := name("Jory Rask"), name("Nobody Else")
	w.write(by.Hub, journal.Subject("shop/"+string(by.Shop)), "io", journaltest.Sample(journal.ShopFounded).Data)
	w.write(by.Hub, "person/jr", "io", &journal.Person{Person: "jr", Initials: "JR"})
	is("without a card", right, "")
	w.write(by.Hub, "person/jr", "io", &journal.Person{Person: "jr", Initials: "JR", Card: right.Card})
	is("before anybody commits to the card", right, "")
	commits("bench-1", lie)
	is("by a card of a tablet's", lie, "")
	commits(by.Hub, right)
	is("by the hub’s card", right, "Jory Rask")
	is("by the tablet's card beside it", lie, "")
	is("while the card is not here", nil, "")
}

// watchedCards are logs with cards beside them.
type watchedCards struct {
	*logs
	cards []journal.CardState
	asked func() // before the cards are given
}

func (c *watchedCards) CardsSince(_ context.Context, rev int64) (list []journal.CardState, err error) {
	for _, s := range c.cards {
		if s.Rev > rev {
			c.asked()
			list = append(list, s)
		}
	}
	return list, nil
}

// Whoever waits until an entry is shown finds the card by its words too that was written, or
// erased, before the entry was.
func TestCardsAreThereBeforeEntries(t *testing.T) {
	w := newWriters(t)
	l := &watchedCards{logs: w.logs}
	s, idx := openWith(t, l, t.TempDir())
	defer idx.Close()
	id := w.write(by.Hub, "person/jr", "io", &journal.Person{Person: "jr", Initials: "JR", Card: "c7w1m3e9"})
	asked := 0
	l.cards = []journal.CardState{{Card: journal.Card{Card: "c7w1m3e9", Details: journal.Details{Name: "Jory Rask"}}, Rev: 1}}
	l.asked = func() {
		asked++
		rows, err := idx.ByID(t.Context(), id)
		if err != nil || len(rows) > 0 {
			t.Errorf("the entry is shown already, and its card is not here yet (%v)", err)
		}
	}
	if err := s.Follow(t.Context()); err != nil {
		t.Fatal(err)
	}
	if rows, err := idx.ByID(t.Context(), id); err != nil || len(rows) != 1 || asked != 1 {
		t.Errorf("%d rows after %d questions for cards (%v)", len(rows), asked, err)
	}
}
