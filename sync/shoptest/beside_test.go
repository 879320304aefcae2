package shoptest_test

import (
	"bytes"
	"crypto/rand"
	"errors"
	"fmt"
	"sync/atomic"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/sqlitelog"
	"fettlebook/sync/segment"
	"fettlebook/sync/shoptest"
)

// writeCard keeps a card at a tablet and commits to it in its log.
func writeCard(t *testing.T, tablet *shoptest.Tablet, card journal.CardID, name string) journal.Card {
	t.Helper()
	c, err := journal.NewCard(card, journal.Details{Name: name, Phone: "555-0142"}, rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	to, err := c.Commitment()
	if err != nil {
		t.Fatal(err)
	}
	e := tablet.Write(journal.Draft{Subject: journal.Of("card", string(card)), By: "io", Data: &journal.CardWriting{Card: card, Commitment: to}})
	c.Written = e.ID
	if err := tablet.Bench.DB.SaveCard(t.Context(), journal.CardState{Card: c, Changed: e.ID}); err != nil {
		t.Fatal(err)
	}
	return c
}

func waitForCard(t *testing.T, at string, db *sqlitelog.DB, want journal.Card) {
	t.Helper()
	shoptest.WaitUntil(t, fmt.Sprintf("%s's card at %s", want.Details.Name, at), func() bool {
		got, err := db.Card(t.Context(), want.Card)
		return err == nil && got == want
	})
}

func waitForErased(t *testing.T, at string, db *sqlitelog.DB, card journal.CardID) {
	t.Helper()
	shoptest.WaitUntil(t, "the card to be erased at "+at, func() bool {
		_, err := db.Card(t.Context(), card)
		return errors.Is(err, journal.ErrCardErased)
	})
}

func TestCardsTravelBothWays(t *testing.T) {
	shop := shoptest.Open(t)
	one, two := shop.Tablet("bench 1"), shop.Tablet("bench 2")
	first := writeCard(t, one, "cu1", "A. Example")
	waitForCard(t, "the hub", shop.Hub.DB, first)
	waitForCard(t, "bench 2", two.Bench.DB, first)

	// The newest wins, on whichever tablet it was written.
	two.Disconnect()
	older := writeCard(t, two, "cu1", "A. Eksample")
	newer := writeCard(t, one, "cu1", "Ann Example")
	if older.Written.String() > newer.Written.String() {
		t.Fatal("the clocks are not in order")
	}
	two.Connect()
	for _, tablet := range shop.Tablets {
		waitForCard(t, string(tablet.Device()), tablet.Bench.DB, newer)
	}
	waitForCard(t, "the hub", shop.Hub.DB, newer)

	// A hub that lost its database, cards and all, gets them back.
	shop.DropHubDatabase()
	waitForCard(t, "the hub", shop.Hub.DB, newer)
	after := writeCard(t, one, "cu2", "B. Sample")
	waitForCard(t, "bench 2", two.Bench.DB, after)
}

// unwritten is smaller than the id of any entry: a card lies under it until
// its entry is written.
var unwritten = journal.EntryID{6: 0x70, 8: 0x80}

// A tablet that lies cannot change a card: the hub holds each against the
// newest entry that commits to it.
func TestALieAboutACard(t *testing.T) {
	newest := journal.EntryID(bytes.Repeat([]byte{0xff}, 16))
	newest[6], newest[8] = 0x7f, 0xbf
	for _, c := range []struct {
		name  string
		under func(honest journal.Card) journal.EntryID
	}{
		{"under no entry", func(journal.Card) journal.EntryID { return unwritten }},
		{"under an entry that never comes", func(journal.Card) journal.EntryID { return newest }},
		{"under the honest entry", func(honest journal.Card) journal.EntryID { return honest.Written }},
	} {
		t.Run(c.name, func(t *testing.T) {
			shop := shoptest.Open(t)
			one, liar := shop.Tablet("bench 1"), shop.Joined("bench 2")
			honest := writeCard(t, one, "cu1", "A. Example")
			waitForCard(t, "the hub", shop.Hub.DB, honest)
			lie, err := journal.NewCard("cu1", journal.Details{Name: "Somebody Else"}, rand.Reader)
			if err != nil {
				t.Fatal(err)
			}
			if err := liar.Bench.DB.SaveCard(t.Context(), journal.CardState{Card: lie, Changed: c.under(honest)}); err != nil {
				t.Fatal(err)
			}
			after := writeCard(t, liar, "cu2", "B. Sample") // travels behind the lie
			liar.Connect()
			waitForCard(t, "bench 1", one.Bench.DB, after)
			waitForCard(t, "the hub", shop.Hub.DB, honest)
			waitForCard(t, "bench 1", one.Bench.DB, honest)
			// Nor does the lie stand in the way of a newer card.
			newer := writeCard(t, one, "cu1", "Ann Example")
			waitForCard(t, "the hub", shop.Hub.DB, newer)
		})
	}
}

// A card is offered once and may come before its entry. It waits at the hub,
// and comes back under that entry's id.
func TestACardComesBeforeItsEntry(t *testing.T) {
	shop := shoptest.Open(t)
	one, two := shop.Tablet("bench 1"), shop.Tablet("bench 2")
	card, err := journal.NewCard("cu1", journal.Details{Name: "A. Example"}, rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	offered := one.Line.Asked(segment.Cards)
	if err := one.Bench.DB.SaveCard(t.Context(), journal.CardState{Card: card, Changed: unwritten}); err != nil {
		t.Fatal(err)
	}
	// The round under way may have begun before the card was there.
	shoptest.WaitUntil(t, "the card to be offered", func() bool { return one.Line.Asked(segment.Cards) > offered+2 })
	if _, err := shop.Hub.DB.Card(t.Context(), "cu1"); !errors.Is(err, sqlitelog.ErrNoCard) {
		t.Fatalf("a card that no entry commits to: the hub answers %v, want %v", err, sqlitelog.ErrNoCard)
	}
	to, err := card.Commitment()
	if err != nil {
		t.Fatal(err)
	}
	card.Written = one.Write(journal.Draft{Subject: journal.Of("card", "cu1"), By: "io", Data: &journal.CardWriting{Card: "cu1", Commitment: to}}).ID
	waitForCard(t, "the hub", shop.Hub.DB, card)
	waitForCard(t, "bench 1", one.Bench.DB, card)
	waitForCard(t, "bench 2", two.Bench.DB, card)
}

func TestManyCards(t *testing.T) {
	t.Parallel()
	shop := shoptest.Open(t)
	one, two := shop.Joined("bench 1"), shop.Tablet("bench 2")
	var last journal.Card
	for n := range 450 { // more than one message holds
		last = writeCard(t, one, journal.CardID(fmt.Sprintf("cu%d", n)), fmt.Sprintf("Customer %d", n))
	}
	one.Connect()
	waitForCard(t, "the hub", shop.Hub.DB, last)
	waitForCard(t, "bench 2", two.Bench.DB, last)
	waitForCard(t, "bench 2", two.Bench.DB, last)
	list, err := two.Bench.DB.CardsSince(t.Context(), 0)
	if err != nil || len(list) == 0 {
		t.Fatal(len(list), err)
	}
}

func TestAnErasedCardStaysErased(t *testing.T) {
	shop := shoptest.Open(t)
	one, two := shop.Tablet("bench 1"), shop.Tablet("bench 2")
	card := writeCard(t, one, "cu1", "A. Example")
	waitForCard(t, "bench 2", two.Bench.DB, card)
	two.Disconnect() // it still has the card, and brings it back later
	erasing := journal.Draft{Subject: journal.Of("card", "cu1"), By: "io", Data: &journal.CardErasing{Card: "cu1", Reason: "the customer asked for it"}}
	if _, err := shop.Hub.Hub.Append(t.Context(), erasing); err != nil {
		t.Fatal(err)
	}
	waitForErased(t, "bench 1", one.Bench.DB, "cu1")
	waitForErased(t, "the hub", shop.Hub.DB, "cu1")
	writeCard(t, two, "cu1", "A. Example again")
	two.Connect()
	waitForErased(t, "bench 2", two.Bench.DB, "cu1")
	shop.Settle()
	for _, db := range []*sqlitelog.DB{shop.Hub.DB, one.Bench.DB, two.Bench.DB} {
		waitForErased(t, "any", db, "cu1")
	}
}

func TestASkewedClockIsWrittenDownOnce(t *testing.T) {
	shop := shoptest.Open(t)
	const skew = 3*time.Minute + 12*time.Second
	tablet := shop.JoinedAt("bench 1", func() time.Time { return time.Now().Add(-skew) })
	tablet.Connect()
	readings := func() []*journal.ClockReading {
		var list []*journal.ClockReading
		for _, p := range shop.Register() {
			if c, ok := p.(*journal.ClockReading); ok {
				list = append(list, c)
			}
		}
		return list
	}
	shoptest.WaitUntil(t, "the comparison", func() bool { return len(readings()) > 0 })
	for range 5 { // each is a greeting or more
		greeted := tablet.Line.Asked("greet")
		tablet.Append(1)
		shop.Settle()
		shoptest.WaitUntil(t, "another greeting", func() bool { return tablet.Line.Asked("greet") > greeted })
	}
	shop.HubStop()
	shop.HubStart()
	tablet.Append(1)
	shop.Settle()
	list := readings()
	if len(list) != 1 {
		t.Fatalf("%d comparisons are in the register, want 1", len(list))
	}
	got, asked := time.Duration(list[0].OffsetMs)*time.Millisecond, time.Duration(list[0].RoundTripMs)*time.Millisecond
	if list[0].Device != tablet.Device() || (got+skew).Abs() > time.Second+asked { // no better than the question was quick
		t.Errorf("written: %s is off by %v, want %v", list[0].Device, got, -skew)
	}
}

func TestAFullDiskAtTheHub(t *testing.T) {
	var full atomic.Bool
	var asked atomic.Int64
	shop := shoptest.OpenWith(t, shoptest.Settings{Free: func() (uint64, error) {
		if full.Load() {
			asked.Add(1)
			return 1 << 20, nil
		}
		return 1 << 40, nil
	}})
	one, two := shop.Tablet("bench 1"), shop.Tablet("bench 2")
	one.Append(3)
	shop.Settle()
	full.Store(true)
	before := len(shoptest.Log(t, shop.Hub.DB, one.Device()))
	one.Append(10)
	two.Append(10)
	shoptest.WaitUntil(t, "the hub to try", func() bool { return asked.Load() > 0 })
	if got := len(shoptest.Log(t, shop.Hub.DB, one.Device())); got != before {
		t.Errorf("the hub took %d entries on a full disk", got-before)
	}
	full.Store(false)
	shop.Settle()
}
