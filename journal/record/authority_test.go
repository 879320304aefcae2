package record_test

import (
	"encoding/json"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/order"
	"fettlebook/journal/record"
)

// Every kind counts in the log of whoever may write it, and is a line with a
// sentence and no effect in every other one.
func TestLinesWithoutAuthority(t *testing.T) {
	for _, d := range journaltest.Samples() {
		kind := d.Data.Kind()
		for _, c := range []struct {
			name   string
			in, as journal.DeviceID
			falls  bool
			want   record.Flag
		}{
			{"the hub’s", "office", "office", false, ""},
			{"the hub’s, falling", "office", "office", true, record.IDFalls},
			{"in the hub’s log, in a tablet's name", "office", "bench-1", false, record.WrongLog},
			{"a tablet's in the hub’s name", "bench-1", "office", false, record.WrongLog},
			{"a tablet's, falling", "bench-1", "bench-1", true, record.IDFalls},
			{"a tablet's", "bench-1", "bench-1", false, map[journal.Writer]record.Flag{journal.HubOnly: record.NoAuthority}[kind.Writer()]},
		} {
			writer := newTablet(t, c.as)
			if kind.Writer() == journal.AboutItself {
				d.Subject = journal.Of("device", string(c.in))
			}
			id := writer.says(d.Subject, d.By, d.Data)
			if q, quotes := d.Data.(*journal.TakenOver); quotes { // nobody is enrolled who could have signed it
				e, err := q.Quoted()
				if err != nil {
					t.Fatal(err)
				}
				if id = e.ID; c.want == "" {
					c.want = record.NotProven
				}
			}
			writer.log[0].Device, writer.log[0].Falls = c.in, c.falls
			shop := fold(writer.log)
			l := only(t, shop, id)
			if counts := c.want == ""; l.Counts() != counts || (l.Effect() != nil) != counts || !counts && !l.Has(c.want) ||
				counts && (l.Has(record.WrongLog) || l.Has(record.IDFalls) || l.Has(record.NoAuthority)) {
				t.Errorf("%s, %s: counts %v, effect %v, flags %q, want %q", kind, c.name, l.Counts(), l.Effect() != nil, l.Flags, c.want)
			}
			if l.Payload == nil || string(l.Data) == "" {
				t.Errorf("%s, %s: the line says no more what was written", kind, c.name)
			}
		}
	}
	for _, f := range []record.Flag{record.WrongLog, record.IDFalls, record.NoAuthority, record.NotQuotable, record.NotProven, record.CountsAlready} {
		if f.Sentence() == string(f) {
			t.Errorf("%q has no sentence", f)
		}
	}
}

// A correction takes the authority that is needed for what it corrects, at
// whatever distance.
func TestCorrectionsWithoutAuthority(t *testing.T) {
	office, bench := newTablet(t, "office"), newTablet(t, "bench-1")
	tool := journal.Tool{Tool: "tw-1", What: "torque wrench"}
	other := journal.Tool{Tool: "tw-1", What: "film gauge"}
	registered := office.at("08:00").says("tool/tw-1", "mo", &tool)
	sealed := office.says(one("", ""), "mo", &journal.Seal{Root: journal.Digest{1}, Entries: 1})
	opened := office.says(one("", ""), "mo", opening("", "AB 1"))
	struckBy := office.at("09:00").says("tool/tw-1", "mo", correct(registered, "another one", &journal.Tool{Tool: "tw-1", What: "torque screwdriver"}))

	onTool := bench.at("10:00").says("tool/tw-1", "io", correct(registered, "so it is", &other))
	onSeal := bench.says(one("", ""), "io", correct(sealed, "never", nil))
	onHubs := bench.says("tool/tw-1", "io", correct(struckBy, "never", nil))
	onOwn := bench.says("tool/tw-1", "io", correct(onTool, "again", nil))
	onOpening := bench.says(one("", ""), "io", correct(opened, "the other plate", opening("", "AB 2")))

	shop := fold(office.log, bench.log)
	for name, id := range map[string]journal.EntryID{"a tool": onTool, "a seal": onSeal, "the hub’s correction of a tool": onHubs, "a tablet's correction of a tool": onOwn} {
		l := only(t, shop, id)
		if !l.Has(record.NoAuthority) || l.Counts() || l.Effect() != nil || !l.Corrects.IsZero() {
			t.Errorf("a tablet's correction of %s acts: %q, corrects %s", name, l.Flags, l.Corrects)
		}
	}
	if got := shop.Tools[0].Stated; got == nil || got.What != "torque screwdriver" {
		t.Errorf("the tool is %+v", got)
	}
	j := shop.Job(jobOne)
	if j.Sealed == nil || j.Stated.Vehicle.Plate != "AB 2" || only(t, shop, onOpening).Has(record.NoAuthority) {
		t.Errorf("sealed %v, plate %q: a tablet strikes what a tablet may write, and that alone", j.Sealed != nil, j.Stated.Vehicle.Plate)
	}
}

// Nobody holds up the hub's corrections by a circle: with the id of what the
// hub corrects, a tablet corrects the hub's correction.
func TestACircleTakesAuthority(t *testing.T) {
	office, bench := newTablet(t, "office"), newTablet(t, "bench-1")
	registered := office.says("tool/tw-1", "mo", &journal.Tool{Tool: "tw-1", What: "torque wrench"})
	struckBy := office.says("tool/tw-1", "mo", correct(registered, "broken", nil))
	bench.says("tool/tw-1", "io", note("the same id"))
	e, err := journal.Decode(bench.log[0].Bytes)
	if err != nil {
		t.Fatal(err)
	}
	e.ID = registered
	if e.Data, err = json.Marshal(map[string]any{"of": struckBy.String(), "reason": "no"}); err != nil {
		t.Fatal(err)
	}
	e.Type = journal.Type{Kind: journal.EntryCorrected, Version: 1}
	if bench.log[0].Bytes, err = e.Encode(); err != nil {
		t.Fatal(err)
	}
	shop := fold(office.log, bench.log)
	if l := only(t, shop, struckBy); l.Has(record.Circular) || l.Struck != nil {
		t.Errorf("the hub’s correction does not act: %q", l.Flags)
	}
	if got := shop.Tools[0].Stated; got != nil {
		t.Errorf("the tool is in use: %+v", got)
	}
}

// Entries that do not count takes no authority: with the id of a tablet's entry,
// another tablet writes what only the hub may, and the first one's corrections
// act all the same.
func TestNobodyMakesAnEntryTheHubs(t *testing.T) {
	office, bench, insider := newTablet(t, "office"), newTablet(t, "bench-1"), newTablet(t, "bench-2")
	office.says(one("", ""), "mo", opening("", "AB 1"))
	tightened := bench.at("09:00").says(one("LF", ""), "io", torque("27 N.m", "banjo bolt"))
	slip := bench.says(one("LF", ""), "io", correct(tightened, "on another car", nil))
	none := bench.says(one("LF", ""), "io", correct(slip, "it was this car", nil))
	e, err := insider.write.Write(journal.Draft{Subject: "device/bench-2", By: "mk", Data: &journal.ClockReading{Device: "bench-2"}})
	if err != nil {
		t.Fatal(err)
	}
	e.ID = tightened
	insider.append(e)
	shop := fold(office.log, bench.log, insider.log)
	if l := only(t, shop, none); !l.Counts() || l.Has(record.NoAuthority) {
		t.Errorf("the correction of the correction bears %q", l.Flags)
	}
	for _, l := range shop.Line(tightened) {
		if l.Device == "bench-1" && l.Effect() == nil {
			t.Error("the torque is struck out, though that was corrected")
		}
	}
}

// Where nobody says which device is the hub, it is the one whose log begins
// with the founding; without one nobody has the hub's word.
func TestWhoIsTheHub(t *testing.T) {
	office, bench := newTablet(t, "office"), newTablet(t, "bench-1")
	founded := office.at("08:00").says("shop/k7m2q4xw", "mo", &journal.Shop{Shop: journaltest.Shop, Name: "Pin Bore Works", LogKey: "k", CosignKey: "c"})
	tool := office.says("tool/tw-1", "mo", &journal.Tool{Tool: "tw-1", What: "torque wrench"})
	bench.at("09:00").says("shop/k7m2q4xw", "io", &journal.Shop{Shop: journaltest.Shop, Name: "Somebody Else's", LogKey: "k", CosignKey: "c"})
	theirs := bench.says("tool/tw-2", "io", &journal.Tool{Tool: "tw-2", What: "torque wrench"})
	for name, c := range map[string]struct {
		by       journal.Authority
		logs     [][]journal.Logged
		ours, of bool
	}{
		"the first founded":         {journal.Authority{}, [][]journal.Logged{bench.log, office.log}, true, false},
		"the office is the hub":     {journal.Authority{Hub: "office"}, [][]journal.Logged{bench.log, office.log}, true, false},
		"the bench is the hub":      {journal.Authority{Hub: "bench-1"}, [][]journal.Logged{bench.log, office.log}, false, true},
		"of another shop":           {journal.Authority{Shop: "zzzzzzzz", Hub: "office"}, [][]journal.Logged{bench.log, office.log}, false, false},
		"the founding is not here":  {journal.Authority{}, [][]journal.Logged{office.log[1:], bench.log[1:]}, false, false},
		"not here, but it was said": {journal.Authority{Hub: "office"}, [][]journal.Logged{office.log[1:], bench.log[1:]}, true, false},
	} {
		book := record.NewBook(c.by)
		for _, log := range c.logs {
			for _, l := range log {
				book.Add(l)
			}
		}
		shop := book.Shop()
		if got := only(t, shop, tool).Counts(); got != c.ours {
			t.Errorf("%s: the office's tool counts %v", name, got)
		}
		if got := only(t, shop, theirs).Counts(); got != c.of {
			t.Errorf("%s: the bench's tool counts %v", name, got)
		}
		if (shop.Founded != nil && shop.Founded.ID == founded) != (c.ours && len(c.logs[0]) == 2) {
			t.Errorf("%s: founded by %v", name, shop.Founded)
		}
	}
}

// Bytes that lie in two logs count where their source says, and with the id as
// it stands there.
func TestCopiesCountAtHome(t *testing.T) {
	bench := newTablet(t, "bench-1")
	id := bench.says(one("", ""), "io", note("mine"))
	stray := bench.log[0]
	stray.Device, stray.Falls = "bench-2", true
	for _, logs := range [][]journal.Logged{{stray, bench.log[0]}, {bench.log[0], stray}} {
		if l := only(t, fold(logs), id); !l.Counts() || len(l.Flags) > 0 {
			t.Errorf("it bears %q", l.Flags)
		}
		placed := record.NewBook(officeHub)
		for _, l := range logs {
			placed.Take(record.Decode(l), order.Standing{})
		}
		if l := only(t, placed.Shop(), id); !l.Counts() || l.Position() != bench.log[0].Position {
			t.Errorf("placed, it bears %q and lies at %v", l.Flags, l.Position())
		}
	}
}

// A book in another order, and one with an entry more, hold to the same word.
func TestEveryBookHoldsToTheHub(t *testing.T) {
	office, bench := newTablet(t, "office"), newTablet(t, "bench-1")
	tool := office.says("tool/tw-1", "mo", &journal.Tool{Tool: "tw-1", What: "torque wrench"})
	bench.says(one("", ""), "io", note("beside it"))
	more := bench.says("tool/tw-1", "io", correct(tool, "gone", nil))
	book := record.NewBook(officeHub)
	for _, l := range []journal.Logged{office.log[0], bench.log[0]} {
		book.Add(l)
	}
	late, _ := book.Late("bench-1")
	if !only(t, late.Shop(), tool).Counts() {
		t.Error("in another order the hub’s tool does not count")
	}
	book.Add(bench.log[1])
	shop := book.Shop()
	if l := only(t, shop, more); !l.Has(record.NoAuthority) || shop.Tools[0].Stated == nil {
		t.Errorf("what a tablet struck is struck: %q", l.Flags)
	}
}
