package record_test

import (
	"cmp"
	"slices"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/order"
	"fettlebook/journal/proof"
	"fettlebook/journal/record"
	"fettlebook/journal/trade/unit"
)

// saw has a tablet cite how much it holds of another's log, beside what it
// cites already.
func (t *tablet) saw(other *tablet, n int) *tablet {
	var tree proof.Tree
	for _, l := range other.log[:n] {
		tree.Append(l.Bytes)
	}
	root := tree.Root()
	device := other.write.Source.Device
	after := slices.DeleteFunc(slices.Clone(t.write.After), func(p journal.Prefix) bool { return p.Device == device })
	after = append(after, journal.Prefix{Device: device, Size: int64(n), Root: [16]byte(root[:16])})
	slices.SortFunc(after, func(a, b journal.Prefix) int { return cmp.Compare(a.Device, b.Device) })
	t.write.After = after
	return t
}

// What was seen comes first, whatever the clocks say; a correction by somebody
// who had seen the entry strikes it.
func TestSeenComesFirst(t *testing.T) {
	lift, pit := newTablet(t, "lift"), newTablet(t, "pit")
	first := lift.at("14:00").says(one("LF", ""), "io", note("first"))
	second := pit.at("13:49").saw(lift, 1).says(one("LF", ""), "mo", note("second"))
	third := pit.says(one("LF", ""), "mo", correct(first, "so", nil))
	shop := fold(pit.log, lift.log)
	a, b := only(t, shop, first), only(t, shop, second)
	if a.Relation(b) != order.Before || a.Compare(b) >= 0 {
		t.Errorf("what was seen is %d", a.Relation(b))
	}
	if a.Struck == nil || a.Struck.At != third {
		t.Errorf("struck by %+v", a.Struck)
	}
	var lines []journal.EntryID
	for l := range shop.All() {
		lines = append(lines, l.ID)
	}
	if len(lines) != 3 || lines[0] != first || lines[1] != second {
		t.Errorf("in the order %v", lines)
	}
}

// Who cites what is not here, or another history, is shown as waiting, says
// for what, and counts for nothing: no correction of it acts.
func TestWaitingCountsForNothing(t *testing.T) {
	lift, pit := newTablet(t, "lift"), newTablet(t, "pit")
	struck := lift.says(one("LF", ""), "io", note("a remark"))
	lift.says(one("LF", ""), "io", note("another"))
	waiting := pit.saw(lift, 2).says(one("LF", ""), "mo", correct(struck, "so", nil))
	follows := pit.says(one("LF", ""), "mo", note("after that"))

	shop := fold(lift.log[:1], pit.log)
	w, f := only(t, shop, waiting), only(t, shop, follows)
	if !w.Has(record.Waiting) || w.Effect() != nil || w.Waits == nil || *w.Waits != (record.Wait{Why: order.NotHere, Device: "lift", Entries: 2}) {
		t.Errorf("stands %+v, %v", w.Waits, w.Flags)
	}
	if !f.Has(record.Waiting) || f.Effect() != nil || f.Waits.Why != order.HeldUp {
		t.Errorf("what follows stands %+v, %v", f.Waits, f.Flags)
	}
	if l := only(t, shop, struck); l.Struck != nil {
		t.Error("a correction that waits struck an entry")
	}
	shop = fold(lift.log, pit.log)
	if w, l := only(t, shop, waiting), only(t, shop, struck); w.Waits != nil || w.Has(record.Waiting) || l.Struck == nil {
		t.Errorf("when all is here: %+v, struck %+v", w.Waits, l.Struck)
	}

	other := newTablet(t, "lift") // another history of the same log
	other.says(one("LF", ""), "io", note("another beginning"))
	other.says(one("LF", ""), "io", note("and on"))
	if w := only(t, fold(other.log, pit.log), waiting); w.Waits == nil || w.Waits.Why != order.OtherRoot {
		t.Errorf("of another history %+v", w.Waits)
	}
}

// Of a log that the register closed the entries up to the named one count, and
// who cites more of it counts with those.
func TestClosedLogCountsUpToTheNamedEntry(t *testing.T) {
	office, lift, pit := newTablet(t, "office"), newTablet(t, "lift"), newTablet(t, "pit")
	office.at("07:00").says("shop/s", "io", &journal.Shop{Shop: "k7m2q4xw", Name: "a shop", LogKey: "k", CosignKey: "k"})
	counts := lift.says(one("LF", ""), "io", note("before it was lost"))
	lift.says(one("LF", ""), "io", note("on the lost branch"))
	cites := pit.saw(lift, 2).says(one("LF", ""), "mo", note("having seen the lost branch"))
	onLift := journal.Of("device", "lift")
	office.at("17:00").says(onLift, "io", &journal.Revocation{Device: "lift", Reason: "restored from an old copy"})
	office.says(onLift, "io", &journal.LogClosing{Device: "lift", Counts: 1})

	// The tablet went on behind the common entry.
	lift.log = lift.log[:1]
	beyond := lift.at("12:00").says(one("LF", ""), "io", note("on the new branch"))
	shop := fold(office.log, lift.log, pit.log)
	if l := only(t, shop, counts); l.Waits != nil || l.Has(record.RevokedDevice) {
		t.Errorf("before the named entry: %+v, %v", l.Waits, l.Flags)
	}
	if l := only(t, shop, cites); l.Waits != nil || l.Relation(only(t, shop, counts)) != order.After {
		t.Errorf("who cites the lost branch: %+v", l.Waits)
	}
	if l := only(t, shop, beyond); l.Waits == nil || !l.Has(record.RevokedDevice) || l.Effect() != nil {
		t.Errorf("behind the named entry: %+v, %v", l.Waits, l.Flags)
	}
}

// A book of some entries has them in the order of all, also one that is taken
// in later.
func TestPlacedElsewhere(t *testing.T) {
	lift, pit := newTablet(t, "lift"), newTablet(t, "pit")
	lift.at("14:00").says(journal.About(jobTwo, "", ""), "io", note("another job"))
	first := lift.says(one("LF", ""), "io", note("first"))
	second := pit.at("13:00").saw(lift, 2).says(one("LF", ""), "mo", note("second"))
	whole := fold(lift.log, pit.log)
	some := record.NewBook(officeHub)
	for _, l := range []journal.Logged{pit.log[0], lift.log[1]} {
		e, err := journal.Decode(l.Bytes)
		if err != nil {
			t.Fatal(err)
		}
		some.Take(record.Decode(l), only(t, whole, e.ID).Standing())
	}
	shop := some.Shop()
	a, b := only(t, shop, first), only(t, shop, second)
	if a.Relation(b) != order.Before || a.Compare(b) >= 0 || a.Standing().Place != only(t, whole, first).Standing().Place {
		t.Errorf("%d, %d", a.Relation(b), a.Compare(b))
	}

	third := pit.says(one("LF", ""), "mo", note("third"))
	whole = fold(lift.log, pit.log)
	some.Take(record.Decode(pit.log[1]), only(t, whole, third).Standing())
	got := only(t, some.Shop(), third)
	if got.Waits != nil || got.Relation(a) != order.After || got.Relation(b) != order.After {
		t.Errorf("the third stands as %+v", got.Standing())
	}
}

// Of two entries that do not know each other somebody who did one of them may
// say which was first, having seen both; of a check of finished brakes nobody
// may.
func TestOrderIsStated(t *testing.T) {
	office := newTablet(t, "office")
	office.says("shop/s", "mo", note("begun"))
	lift, pit := newTablet(t, "lift").saw(office, 1), newTablet(t, "pit").saw(office, 1)
	opened := lift.says(one("LF", ""), "io", note("opened"))
	bled := pit.says(one("LF", ""), "mo", note("bled"))
	held := pit.says(one("", ""), "mo", &journal.LeakCheck{Held: q[unit.Duration]("60 s"), Result: journal.Dry})
	state := func(by journal.PersonID, first, then journal.EntryID) func() {
		office.saw(lift, 1).saw(pit, 2)
		office.says(one("", ""), by, &journal.OrderStatement{First: first, Then: then, How: "we stood beside each other"})
		return func() { office.log = office.log[:len(office.log)-1] }
	}
	relation := func(a, b journal.EntryID) order.Relation {
		shop := fold(office.log, lift.log, pit.log)
		x, y := only(t, shop, a), only(t, shop, b)
		if x.Relation(y) != -y.Relation(x) {
			t.Fatalf("%d one way, %d the other", x.Relation(y), y.Relation(x))
		}
		return x.Relation(y)
	}
	if r := relation(opened, bled); r != order.Unknown {
		t.Fatalf("before anybody said so: %d", r)
	}
	undo := state("jr", opened, bled)
	if r := relation(opened, bled); r != order.Unknown {
		t.Errorf("said by somebody who did neither: %d", r)
	}
	undo()
	undo = state("io", opened, held)
	if r := relation(opened, held); r != order.Unknown {
		t.Errorf("said of a check: %d", r)
	}
	undo()
	state("io", opened, bled)
	if r := relation(opened, bled); r != order.Before {
		t.Errorf("said by who opened it: %d", r)
	}
	pit.says(one("", ""), "mo", &journal.OrderStatement{First: bled, Then: opened, How: "I was first"})
	if r := relation(opened, bled); r != order.Before {
		t.Errorf("said by somebody who had not seen both: %d", r)
	}
}

// A word on an order counts for what is in the record of the job that it stands
// on, as it is asked where it is stamped: it moves nothing in a job whose record
// has not got it.
func TestOrderIsStatedOnItsJob(t *testing.T) {
	part := journal.About(jobOne, "LF", "caliper")
	coat := &journal.Coating{Lot: "pw-1", Coat: 1}
	coat.Parts = []journal.Subject{part}
	for _, c := range []struct {
		name   string
		on     journal.JobID
		first  journal.Subject
		counts bool
	}{
		{"on the job of both", jobOne, one("LF", ""), true},
		{"on another job", jobTwo, one("LF", ""), false},
		{"of a run of its part", jobOne, "run/coat-1", true},
		{"of a run of which it has no part", jobTwo, "run/coat-1", false},
		{"of its own entry and another job's", jobOne, journal.About(jobTwo, "", ""), false},
	} {
		t.Run(c.name, func(t *testing.T) {
			office := newTablet(t, "office")
			office.says("shop/s", "mo", note("begun"))
			lift, pit := newTablet(t, "lift").saw(office, 1), newTablet(t, "pit").saw(office, 1)
			then := pit.at("09:00").says(part, "mo", note("masked"))
			between := office.at("09:30").says(part, "jr", note("looked at"))
			var data journal.Payload = note("opened")
			if c.first.Run() != "" {
				data = coat
			}
			first := lift.at("10:00").says(c.first, "io", data)
			office.saw(lift, 1).saw(pit, 1)
			office.at("11:00").says(journal.About(c.on, "", ""), "io", &journal.OrderStatement{First: first, Then: then, How: "we stood beside each other"})
			shop := fold(office.log, lift.log, pit.log)
			x, y, z := only(t, shop, first), only(t, shop, then), only(t, shop, between)
			if counts := x.Relation(y) == order.Before; counts != c.counts {
				t.Errorf("it counts: %v", counts)
			}
			if moved := y.Compare(z) > 0 || z.Compare(x) > 0; moved != c.counts {
				t.Errorf("what lies between stands elsewhere: %v", moved)
			}
		})
	}
}
