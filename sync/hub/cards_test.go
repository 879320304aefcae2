package hub_test

import (
	"crypto/rand"
	"errors"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/sqlitelog"
	"fettlebook/sync/segment"
)

func newCard(t *testing.T, id journal.CardID, name string) journal.Card {
	t.Helper()
	c, err := journal.NewCard(id, journal.Details{Name: name}, rand.Reader)
	must(t, err)
	return c
}

// commit has a tablet write that a card is so, and returns the entry.
func commit(t *testing.T, tab *tablet, c journal.Card) journal.EntryID {
	t.Helper()
	to, err := c.Commitment()
	must(t, err)
	e := tab.entry(&journal.CardWriting{Card: c.Card, Commitment: to})
	e.Subject = journal.Of("card", string(c.Card))
	tab.add(e)
	tab.r.send(tab.device, tab.r.encode(tab.segment(len(tab.log)-1, len(tab.log))))
	tab.r.countersigned(tab, len(tab.log))
	return e.ID
}

func offerCard(t *testing.T, tab *tablet, c journal.Card, changed journal.EntryID) segment.CardsReply {
	t.Helper()
	var reply segment.CardsReply
	must(t, tab.r.ask(tab.device, segment.Cards, segment.CardsAsk{
		Cards: []segment.Card{segment.WireCard(journal.CardState{Card: c, Changed: changed})}}, &reply))
	return reply
}

func nameOn(t *testing.T, r *rig, id journal.CardID) string {
	t.Helper()
	c, err := r.db.Card(t.Context(), id)
	if errors.Is(err, sqlitelog.ErrNoCard) {
		return ""
	}
	must(t, err)
	return c.Details.Name
}

// A card waits for the entry that commits to it, whichever comes first, and
// nobody changes it without such an entry.
func TestCards(t *testing.T) {
	r := open(t)
	one, two := r.joined("t1aaaaaa"), r.joined("t2bbbbbb")
	const id = journal.CardID("c7m2q4xw")
	first, lie, second := newCard(t, id, "A. Customer"), newCard(t, id, "A. Stranger"), newCard(t, id, "A. Customer-Newname")

	early, err := one.clock.Next() // the entry is still on its way
	must(t, err)
	offerCard(t, one, first, early)
	if got := nameOn(t, r, id); got != "" {
		t.Errorf("%q is on the card before an entry says so", got)
	}
	wrote := commit(t, one, first)
	offerCard(t, one, first, wrote)
	if got := nameOn(t, r, id); got != "A. Customer" {
		t.Errorf("%q is on the card after its entry came", got)
	}

	later, err := two.clock.Next()
	must(t, err)
	for name, changed := range map[string]journal.EntryID{"under the entry that wrote it": wrote, "under an entry that never comes": later} {
		offerCard(t, two, lie, changed)
		if got := nameOn(t, r, id); got != "A. Customer" {
			t.Errorf("a lie %s: %q is on the card", name, got)
		}
	}
	var reply segment.CardsReply
	must(t, r.ask(two.device, segment.Cards, segment.CardsAsk{
		Cards: []segment.Card{segment.WireCard(journal.CardState{Card: journal.Card{Card: id}, Erased: true, Changed: later})}}, &reply))
	if got := nameOn(t, r, id); got != "A. Customer" {
		t.Errorf("a tablet said that the card is erased: %q", got)
	}

	renewed := commit(t, two, second)
	offerCard(t, two, second, renewed)
	reply = offerCard(t, one, first, wrote) // what is old travels once more
	if got := nameOn(t, r, id); got != "A. Customer-Newname" {
		t.Errorf("%q is on the card, want the newer one", got)
	}
	if len(reply.Cards) != 1 || reply.Cards[0].Details.Name != "A. Customer-Newname" || !reply.More {
		t.Errorf("the hub gives %+v", reply)
	}
	again := segment.CardsReply{}
	must(t, r.ask(one.device, segment.Cards, segment.CardsAsk{Since: reply.Rev}, &again))
	if len(again.Cards) != 0 || again.More || again.Rev != reply.Rev {
		t.Errorf("from %d on the hub gives %+v", reply.Rev, again)
	}
}

// What commits to a card counts where it lies: not in another's name, and not
// with an id that falls.
func TestCommitmentsCountWhereTheyLie(t *testing.T) {
	r := open(t)
	one, two := r.joined("t1aaaaaa"), r.joined("t2bbbbbb")
	const id = journal.CardID("c7m2q4xw")
	right, lie := newCard(t, id, "A. Customer"), newCard(t, id, "A. Stranger")
	wrote := commit(t, one, right)
	offerCard(t, one, right, wrote)
	to, err := lie.Commitment()
	must(t, err)
	for name, spoil := range map[string]func(*journal.Entry){
		"in the name of the other tablet": func(e *journal.Entry) { e.Source.Device = one.device },
		"in the name of another shop":     func(e *journal.Entry) { e.Source.Shop = "zzzzzzzz" },
		"with the id of an earlier entry": func(e *journal.Entry) {
			first, err := journal.Decode(two.log[0])
			must(t, err)
			e.ID = first.ID
		},
	} {
		two.write(1)
		e := two.entry(&journal.CardWriting{Card: id, Commitment: to})
		e.Subject = journal.Of("card", string(id))
		spoil(e)
		two.add(e)
		r.send(two.device, r.encode(two.segment(len(two.log)-2, len(two.log))))
		r.countersigned(two, len(two.log))
		offerCard(t, two, lie, e.ID)
		if got := nameOn(t, r, id); got != "A. Customer" {
			t.Errorf("%s: %q is on the card", name, got)
		}
	}
}
