package shoptest_test

import (
	"fmt"
	"slices"
	"sync/atomic"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/facts"
	"fettlebook/journal/record"
	"fettlebook/journal/route"
	"fettlebook/journal/sqlitelog"
	"fettlebook/journal/trade/unit"
	"fettlebook/sync/shoptest"
)

// bledJob is the job of these tests: its LF line is opened and bled.
const bledJob = journal.JobID("7c2mm4k9")

func corner(c journal.Corner) journal.Subject { return journal.About(bledJob, c, "") }

// openLine has somebody open a line at its banjo and close that again. It
// returns both entries.
func openLine(t testing.TB, on *shoptest.Tablet, by journal.PersonID, c journal.Corner) []journal.EntryID {
	t.Helper()
	opening := on.Write(journal.Draft{Subject: corner(c), By: by, Data: &journal.LineOpening{At: "banjo"}})
	closing := on.Write(journal.Draft{Subject: corner(c), By: by, Data: &journal.LineConnection{At: "banjo"}})
	return []journal.EntryID{opening.ID, closing.ID}
}

func bleedLine(t testing.TB, by journal.PersonID, c journal.Corner) journal.Draft {
	t.Helper()
	drawn, err := unit.Parse[unit.Volume]("150 mL")
	if err != nil {
		t.Fatal(err)
	}
	return journal.Draft{Subject: corner(c), By: by, Data: &journal.Bleed{Fluid: "dot4-a", Drawn: drawn, Bubbles: journal.NoBubbles}}
}

// begin opens the job at the hub, on the card that comes with the program.
func begin(t *testing.T, shop *shoptest.Shop, corners ...journal.Corner) {
	t.Helper()
	text, err := card.Supplied(card.Usual)
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range []journal.Draft{
		{Subject: journal.Of("route", string(card.Usual)), By: "hub", Data: &journal.RouteCard{Route: card.Usual, Edition: 1, Text: text}},
		{Subject: journal.About(bledJob, "", ""), By: "hub", Data: &journal.Job{Vehicle: journal.Vehicle{Plate: "TEST 1"}, Corners: corners, Route: card.Usual, Edition: 1}},
	} {
		if _, err := shop.Hub.Hub.Append(t.Context(), d); err != nil {
			t.Fatal(err)
		}
	}
	shop.Settle()
}

// judged is how the holds of the job stand by what a database holds.
func judged(t testing.TB, db *sqlitelog.DB) route.Verdicts {
	t.Helper()
	book := record.NewBook(journal.Authority{})
	for l, err := range db.All(t.Context()) {
		if err != nil {
			t.Fatal(err)
		}
		book.Add(l)
	}
	in := book.Shop()
	job := in.Job(bledJob)
	by, err := route.Pinned(new(card.Shelf), job, in)
	if err != nil {
		t.Fatal(err)
	}
	held := route.Hold(by, job, facts.StockOf(in))
	for late := range book.Lates(nil) {
		other := late.Shop()
		held.Late(route.Hold(by, other.Job(bledJob), facts.StockOf(other)))
	}
	return held.Check()
}

// bled is how "bled after the last opening" stands for a corner.
func bled(t testing.TB, db *sqlitelog.DB, c journal.Corner) route.Verdict {
	t.Helper()
	v := judged(t, db)
	i := slices.IndexFunc(v.List, func(v route.Verdict) bool { return v.Hold == "bled" && v.Subject == corner(c) })
	if i < 0 {
		t.Fatalf("nothing is judged of %s: %+v", c, v)
	}
	return v.List[i]
}

// stands asks how the LF line stands at the hub and at every tablet.
func stands(t *testing.T, shop *shoptest.Shop, want route.State) (last route.Verdict) {
	t.Helper()
	shop.Settle()
	for name, db := range databases(shop) {
		if last = bled(t, db, "LF"); last.State != want {
			t.Errorf("at %s it stands %s, want %s: %s", name, last.State, want, last.Why)
		}
	}
	return last
}

func databases(shop *shoptest.Shop) map[string]*sqlitelog.DB {
	list := map[string]*sqlitelog.DB{"the hub": shop.Hub.DB}
	for i, tablet := range shop.Tablets {
		list[fmt.Sprintf("tablet %d", i+1)] = tablet.Bench.DB
	}
	return list
}

// Bench 1 bleeds LF. Bench 2, whose clock is eleven minutes slow, holds that
// and opens the line: its entry has the smaller id, and the line is not bled
// after it.
func TestASlowClockClosesNoLine(t *testing.T) {
	shop := shoptest.Open(t)
	one := shop.Tablet("bench 1")
	two := shop.JoinedAt("bench 2", func() time.Time { return time.Now().Add(-11 * time.Minute) })
	two.Connect()
	begin(t, shop, "LF")
	openLine(t, one, "io", "LF")
	bleed := one.Write(bleedLine(t, "io", "LF"))
	stands(t, shop, route.Met)

	two.Disconnect()
	two.Copy() // started anew, it has not compared its clock with the hub's
	opened := openLine(t, two, "mk", "LF")
	two.Connect()
	if opened[0].Bits() >= bleed.ID.Bits() {
		t.Error("the ids are in the order of the work, so this test shows nothing")
	}
	v := stands(t, shop, route.Broken)
	if v.Undone != opened[0] {
		t.Errorf("undone by %s, want the opening: %s", v.Undone, v.Why)
	}
	one.Write(bleedLine(t, "io", "LF"))
	stands(t, shop, route.Met)
}

// A tablet whose clock was a year ahead once keeps that lead in its ids. What
// it opens can be closed all the same, by whoever holds the opening.
func TestALeadOfAYearKeepsNoLineOpen(t *testing.T) {
	shop := shoptest.Open(t)
	one := shop.Tablet("bench 1")
	var ahead atomic.Int64
	ahead.Store(int64(365 * 24 * time.Hour))
	two := shop.JoinedAt("bench 2", func() time.Time { return time.Now().Add(time.Duration(ahead.Load())) })
	two.Append(1) // before it ever compared its clock
	ahead.Store(0)
	two.Connect()
	begin(t, shop, "LF")
	opened := openLine(t, two, "mk", "LF")
	stands(t, shop, route.Open)
	bleed := one.Write(bleedLine(t, "io", "LF"))
	if bleed.ID.Bits() >= opened[0].Bits() {
		t.Error("the ids are in the order of the work, so this test shows nothing")
	}
	stands(t, shop, route.Met)
	openLine(t, two, "mk", "LF")
	stands(t, shop, route.Broken)
}

// Where one tablet bleeds a line and another one opens it, and neither holds
// the other's entry, nobody can know which was last: the vehicle is not handed
// back on it, until the line is bled again.
func TestAnOrderThatNobodyKnowsIsInDoubt(t *testing.T) {
	shop := shoptest.Open(t)
	one, two := shop.Tablet("bench 1"), shop.Tablet("bench 2")
	begin(t, shop, "LF")
	openLine(t, one, "io", "LF")
	shop.Settle()
	two.Disconnect()
	opened := openLine(t, two, "mk", "LF")
	bleed := one.Write(bleedLine(t, "io", "LF"))
	shop.SettleLog(one)
	two.Connect()
	v := stands(t, shop, route.InDoubt)
	open := func(id journal.EntryID) bool { return slices.Contains(opened, id) } // which of the two is named hangs on their ids
	if !slices.ContainsFunc(v.Doubtful, open) || !slices.Contains(v.Doubtful, bleed.ID) {
		t.Errorf("in doubt between %v: %s", v.Doubtful, v.Why)
	}
	if !slices.ContainsFunc(judged(t, shop.Hub.DB).Unmet(), func(u route.Verdict) bool { return u.Hold == "bled" }) {
		t.Error("the vehicle may be handed back with it")
	}
	one.Write(bleedLine(t, "io", "LF"))
	stands(t, shop, route.Met)
}

// Of a tablet with two histories counts what both have. Who had seen more of
// one of them counts all the same, and holds nobody up.
func TestAForkHoldsNobodyUp(t *testing.T) {
	shop := shoptest.Open(t)
	torn, two := shop.Tablet("bench 1"), shop.Tablet("bench 2")
	begin(t, shop, "LF")
	openLine(t, torn, "io", "LF")
	shop.Settle()
	torn.Disconnect()
	restore := torn.Copy()
	torn.Connect()
	torn.Write(bleedLine(t, "io", "LF")) // the restored tablet knows nothing of it
	shop.Settle()
	openLine(t, two, "mk", "LF")
	shop.SettleLog(two)
	torn.Disconnect()
	restore()
	openLine(t, torn, "io", "RF")
	torn.Connect()
	closed(t, torn)
	closings := func() (list []*journal.LogClosing) {
		for _, p := range shop.Register() {
			if c, ok := p.(*journal.LogClosing); ok {
				list = append(list, c)
			}
		}
		return list
	}
	shoptest.WaitUntil(t, "the closing in the register", func() bool { return len(closings()) > 0 })
	if c := closings(); len(c) != 1 || c[0].Device != torn.Device() || c[0].Counts != 2 {
		t.Errorf("closed: %+v, the histories part after the second entry", *c[0])
	}
	after := two.Write(bleedLine(t, "mk", "LF"))
	shop.SettleLog(two)
	for name, db := range map[string]*sqlitelog.DB{"the hub": shop.Hub.DB, "bench 2": two.Bench.DB} {
		in, err := record.Fold(journal.Authority{}, db.All(t.Context()))
		if err != nil {
			t.Fatal(err)
		}
		for l := range in.All() {
			counts := l.Device != torn.Device() || l.Index < 2
			if l.Counts() != counts {
				t.Errorf("at %s entry %d of %s counts: %t, waits %+v", name, l.Index, l.Device, l.Counts(), l.Waits)
			}
		}
		if v := bled(t, db, "LF"); v.State != route.Met || !slices.Contains(v.Entries, after.ID) {
			t.Errorf("at %s it stands %s: %s", name, v.State, v.Why)
		}
	}
}
