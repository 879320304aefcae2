package sqlitelog_test

import (
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/order"
	"fettlebook/journal/record"
	"fettlebook/journal/sqlitelog"
	"fettlebook/journal/trade/unit"
)

// A bench whose clock is eleven minutes slow holds the bleed of another one
// and opens the line: on every machine the opening comes after the bleed, and
// in whatever order the logs came there. A bench that holds nothing of it does
// not know what came first, whatever its clock says.
func TestSlowBenchOpensTheLineAfterTheBleed(t *testing.T) {
	_, office := knowing(t, journaltest.Office)
	right, lift := knowing(t, journaltest.Bench)
	_, pit := knowing(t, bench2)
	drawn, err := unit.Parse[unit.Volume]("250 mL")
	if err != nil {
		t.Fatal(err)
	}
	front := journal.About(journaltest.JobOne, "LF", "")
	say := func(db *sqlitelog.DB, data journal.Payload) *journal.Entry {
		return appendTo(t, db, journal.Draft{Subject: front, By: journaltest.Io, Data: data})[0]
	}
	appendTo(t, office, note("the register"))
	bring(t, office, lift, journaltest.Office)
	bring(t, office, pit, journaltest.Office)
	var opening journal.Payload
	for _, d := range journaltest.Minimal() {
		if d.Data.Kind() == journal.LineOpened {
			opening = d.Data
		}
	}
	right.watch.Advance(11 * time.Minute) // the pit's stands where it stood
	say(lift, opening)
	bleed := say(lift, &journal.Bleed{Fluid: "bf-3", Drawn: drawn, Bubbles: "none"})

	alone := say(pit, opening) // nothing of the lift is here yet
	bring(t, lift, pit, journaltest.Bench)
	again := say(pit, opening)
	if again.ID.Millis() >= bleed.ID.Millis() {
		t.Fatal("the bench is not slow, so this test proves nothing")
	}
	bring(t, pit, office, bench2)
	bring(t, lift, office, journaltest.Bench)
	bring(t, pit, lift, bench2)

	for name, db := range map[string]*sqlitelog.DB{"office": office, "lift": lift, "pit": pit} {
		shop, err := record.Fold(journal.Authority{Hub: journaltest.Office}, db.All(t.Context()))
		if err != nil {
			t.Fatal(err)
		}
		line := func(e *journal.Entry) *record.Line {
			lines := shop.Line(e.ID)
			if len(lines) != 1 || lines[0].Waits != nil {
				t.Fatalf("%s: %d lines", name, len(lines))
			}
			return lines[0]
		}
		b, o := line(bleed), line(again)
		if o.Relation(b) != order.After || o.Compare(b) <= 0 {
			t.Errorf("at the %s the opening is %d to the bleed", name, o.Relation(b))
		}
		if r := line(alone).Relation(b); r != order.Unknown {
			t.Errorf("at the %s what nobody knows is %d", name, r)
		}
	}
}
