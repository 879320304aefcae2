package shoptest_test

import (
	"slices"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/route"
	"fettlebook/journal/sqlitelog"
	"fettlebook/sync/shoptest"
)

// lines returns what a database makes of an entry.
func lines(t *testing.T, db *sqlitelog.DB, id journal.EntryID) []*record.Line {
	t.Helper()
	shop, err := record.Fold(journal.Authority{}, db.All(t.Context()))
	if err != nil {
		t.Fatal(err)
	}
	return shop.Line(id)
}

// countsTaken demands that everywhere an entry counts once, as one that was
// taken over in the log of a device.
func countsTaken(t *testing.T, dbs map[string]*sqlitelog.DB, id journal.EntryID, in journal.DeviceID) {
	t.Helper()
	for at, db := range dbs {
		var counts []*record.Line
		for _, l := range lines(t, db, id) {
			if l.Counts() {
				counts = append(counts, l)
			}
		}
		if len(counts) != 1 || counts[0].Taken == nil || counts[0].Taken.Device != in || counts[0].Effect() == nil {
			t.Errorf("at %s the entry counts %d times: %+v", at, len(counts), lines(t, db, id))
		}
	}
}

func takeOver(t *testing.T, to, from *sqlitelog.DB, lost sqlitelog.Lost, taken, before int) {
	t.Helper()
	haul, err := to.TakeOver(t.Context(), from, lost, false)
	if err != nil {
		t.Fatal(err)
	}
	if len(haul.Taken) != taken || haul.Before != before || len(haul.Left) > 0 {
		t.Errorf("taken over were %d, %d before, and left %v; want %d and %d", len(haul.Taken), haul.Before, haul.Left, taken, before)
	}
}

// A restored tablet wrote on: both ends of its log are lost. Joined anew it
// takes its own over, and the hub the one that it holds. The work shows, and a
// bleeding that rests on it alone is in doubt until it is done again.
func TestARestoredTabletTakesItsWorkOver(t *testing.T) {
	shop := shoptest.Open(t)
	tablet, other := shop.Tablet("bench 1"), shop.Tablet("bench 2")
	begin(t, shop, "LF")
	openLine(t, tablet, "io", "LF")
	shop.Settle()
	tablet.Disconnect()
	restore := tablet.Copy()
	tablet.Connect()
	sent := tablet.Write(journal.Draft{Subject: corner("LF"), By: "io", Data: &journal.Remark{Evidence: journal.Evidence{Note: "sent before it broke"}}})
	shop.Settle()
	tablet.Disconnect()
	restore()
	bleed := tablet.Write(bleedLine(t, "io", "LF"))
	tablet.Connect()
	closed(t, tablet)
	shoptest.WaitUntil(t, "the fork in the register", func() bool { return len(forks(shop)) == 1 })
	tablet.Disconnect()

	old, counts := shop.JoinAnew(tablet, "bench 1 again")
	if counts.Branch != journal.RestoredBranch || counts.Counts != 2 {
		t.Fatalf("of the earlier log counts %+v, want 2 entries, since it was restored", counts)
	}
	lost := sqlitelog.Lost{Device: old, From: counts.Counts, Branch: counts.Branch}
	takeOver(t, tablet.Bench.DB, tablet.Bench.DB, lost, 1, 0)
	takeOver(t, tablet.Bench.DB, tablet.Bench.DB, lost, 0, 1) // nothing is doubled
	tablet.Connect()
	stands(t, shop, route.InDoubt)
	countsTaken(t, databases(shop), bleed.ID, tablet.Device())

	takeOver(t, shop.Hub.DB, shop.Hub.DB, lost, 1, 0)
	for _, to := range []*shoptest.Tablet{tablet, other} {
		shoptest.WaitUntil(t, "what the hub took over", func() bool { return slices.ContainsFunc(lines(t, to.Bench.DB, sent.ID), (*record.Line).Counts) })
	}
	countsTaken(t, map[string]*sqlitelog.DB{"the hub": shop.Hub.DB, "bench 2": other.Bench.DB}, sent.ID, shop.HubDevice())

	tablet.Write(bleedLine(t, "io", "LF"))
	stands(t, shop, route.Met)
}

// A revoked tablet never sent its last work: the hub takes it over from the
// tablet's folder, and nobody else has to have it.
func TestARevokedTabletsWorkIsTakenOverAtTheDesk(t *testing.T) {
	shop := shoptest.Open(t)
	tablet, other := shop.Tablet("bench 1"), shop.Tablet("bench 2")
	begin(t, shop, "LF")
	openLine(t, other, "mk", "LF")
	tablet.Append(3)
	shop.Settle()
	tablet.Disconnect()
	bleed := tablet.Write(bleedLine(t, "io", "LF"))
	note := tablet.Write(journal.Draft{Subject: corner("LF"), By: "io", Data: &journal.Remark{Evidence: journal.Evidence{Note: "bled it"}}})
	shop.Revoke(tablet)
	counts := int64(-1)
	shoptest.WaitUntil(t, "how much counts", func() bool {
		for _, p := range shop.Register() {
			if c, ok := p.(*journal.LogClosing); ok && c.Device == tablet.Device() {
				counts = c.Counts
			}
		}
		return counts >= 0
	})
	if counts != 3 {
		t.Fatalf("%d entries of the revoked tablet count, want 3", counts)
	}
	lost := sqlitelog.Lost{Device: tablet.Device(), From: counts, Branch: journal.RevokedBranch}
	takeOver(t, shop.Hub.DB, tablet.Bench.DB, lost, 2, 0)
	takeOver(t, shop.Hub.DB, tablet.Bench.DB, lost, 0, 2)
	dbs := map[string]*sqlitelog.DB{"the hub": shop.Hub.DB, "bench 2": other.Bench.DB}
	shoptest.WaitUntil(t, "what the hub took over", func() bool { return len(lines(t, other.Bench.DB, note.ID)) > 0 })
	countsTaken(t, dbs, bleed.ID, shop.HubDevice())
	countsTaken(t, dbs, note.ID, shop.HubDevice())
	for at, db := range dbs {
		if v := bled(t, db, "LF"); v.State != route.InDoubt {
			t.Errorf("at %s the bleeding stands %s, want in doubt: %s", at, v.State, v.Why)
		}
	}
}
