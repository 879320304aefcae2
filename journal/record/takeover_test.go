package record_test

import (
	"errors"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/order"
	"fettlebook/journal/proof"
	"fettlebook/journal/record"

	"golang.org/x/mod/sumdb/tlog"
)

// lost is a tablet whose log counts no more, with the key that signs it.
type lost struct {
	*tablet
	key proof.Key
}

func newLost(t *testing.T, name journal.DeviceID) *lost {
	t.Helper()
	key, err := proof.NewKey(journaltest.Rand("key of "+string(name)), proof.Origin(journaltest.Shop, name))
	if err != nil {
		t.Fatal(err)
	}
	return &lost{newTablet(t, name), key}
}

// enrols has the hub enrol a tablet with its key.
func (t *tablet) enrols(l *lost) {
	device := l.write.Source.Device
	invited := t.says(journal.Of("shop", string(journaltest.Shop)), "mo", &journal.Invitation{Token: journal.Digest{1}, Expires: journal.Stamp(t.watch.Now())})
	t.says(journal.Of("device", string(device)), "mo", &journal.Device{Device: device, Name: "bench 2", LogKey: l.key.Verifier(), ConnectKey: "U", Invitation: invited})
}

// quoted quotes an entry of the log, with a proof that holds.
func (l *lost) quoted(index int64) (journal.Draft, *journal.TakenOver) {
	l.tb.Helper()
	tree := new(proof.Tree)
	var nodes [][]tlog.Hash
	for _, e := range l.log {
		nodes = append(nodes, tree.Append(e.Bytes))
	}
	note, err := proof.Sign(l.key.Signer(), tree.Size(), tree.Root())
	if err != nil {
		l.tb.Fatal(err)
	}
	d, err := proof.Quote(l.log[index].Bytes, l.log[index].Position, note, tree.Size(), tlog.HashReaderFunc(func(at []int64) ([]tlog.Hash, error) {
		list := make([]tlog.Hash, len(at))
		for i, x := range at {
			leaf, nth := proof.Place(x)
			list[i] = nodes[leaf][nth]
		}
		return list, nil
	}), journal.RevokedBranch)
	if err != nil {
		l.tb.Fatal(err)
	}
	return d, d.Data.(*journal.TakenOver)
}

func TestWhatIsTakenOverCounts(t *testing.T) {
	office, bench, old := newTablet(t, "office"), newTablet(t, "bench-1"), newLost(t, "old")
	office.at("08:00").enrols(old)
	office.says(one("", ""), "mo", opening("", "AB 1"))
	old.at("09:02").says(one("LF", "caliper"), "io", note("the first"))
	said := old.says(one("LF", "caliper"), "ms", &journal.Tagging{Tag: "7", Metal: journal.Iron})
	d, _ := old.quoted(1)
	bench.at("14:00").saw(office, len(office.log))
	at := bench.says(d.Subject, d.By, d.Data)

	shop := fold(office.log, bench.log)
	l := only(t, shop, said)
	if !l.Counts() || l.By != "ms" || l.Device != "old" || l.Index != 1 || l.Clocks.Device.String()[11:16] != "09:02" || !l.Has(record.TakenOver) {
		t.Errorf("the line is %+v", l)
	}
	if l.Taken == nil || l.Taken.At != at || l.Taken.Device != "bench-1" || l.Taken.Branch != journal.RevokedBranch || l.Position() != bench.log[0].Position {
		t.Errorf("it was taken over %+v", l.Taken)
	}
	if p := shop.Job(jobOne).Corners[0].Parts[0]; p.Tag != "7" {
		t.Errorf("the part’s tag is %q", p.Tag)
	}
	if want := "taken over from tablet bench 2, written 2 March 2026 09:02 UTC+01:00, by ms"; shop.Came(l) != want {
		t.Errorf("it came so: %q, want %q", shop.Came(l), want)
	}
	var text strings.Builder
	if err := shop.Job(jobOne).WriteText(&text, record.Options{}); err != nil || !strings.Contains(text.String(), shop.Came(l)) {
		t.Errorf("the record does not say so (%v):\n%s", err, text.String())
	}
	fixed := office.at("15:00").says(one("LF", "caliper"), "mo", correct(said, "misread", &journal.Tagging{Tag: "1", Metal: journal.Iron}))
	if l := only(t, fold(office.log, bench.log), said); l.Struck == nil || l.Struck.At != fixed {
		t.Error("it cannot be corrected by its own id")
	}
}

// Every way in which a quote is wrong makes it a line that counts for nothing
// and says why.
func TestWrongQuotes(t *testing.T) {
	for _, c := range []struct {
		name  string
		wrong func(old, other *lost, d *journal.Draft, q *journal.TakenOver)
		want  record.Flag
	}{
		{"honest", func(_, _ *lost, _ *journal.Draft, _ *journal.TakenOver) {}, record.TakenOver},
		{"changed bytes", func(_, _ *lost, _ *journal.Draft, q *journal.TakenOver) {
			q.Entry = strings.Replace(q.Entry, "second", "SECOND", 1)
		}, record.NotProven},
		{"wrong index", func(_, _ *lost, _ *journal.Draft, q *journal.TakenOver) { q.Index = 0 }, record.NotProven},
		{"index beyond the log", func(_, _ *lost, _ *journal.Draft, q *journal.TakenOver) { q.Index = 7 }, record.NotProven},
		{"no proof", func(_, _ *lost, _ *journal.Draft, q *journal.TakenOver) { q.Proof = nil }, record.NotProven},
		{"foreign key", func(old, other *lost, _ *journal.Draft, q *journal.TakenOver) {
			key := old.key
			forged, err := proof.NewKey(journaltest.Rand("forged"), key.Name())
			if err != nil {
				t.Fatal(err)
			}
			old.key = forged
			_, again := old.quoted(q.Index)
			old.key, *q = key, *again
		}, record.NotProven},
		{"checkpoint of another log", func(_, other *lost, _ *journal.Draft, q *journal.TakenOver) {
			_, theirs := other.quoted(1)
			q.Checkpoint = theirs.Checkpoint
		}, record.NotProven},
		{"another subject", func(_, _ *lost, d *journal.Draft, _ *journal.TakenOver) { d.Subject = one("", "") }, record.NotQuotable},
		{"another person", func(_, _ *lost, d *journal.Draft, _ *journal.TakenOver) { d.By = "io" }, record.NotQuotable},
	} {
		office, bench, old, other := newTablet(t, "office"), newTablet(t, "bench-1"), newLost(t, "old"), newLost(t, "other")
		office.enrols(old)
		office.enrols(other)
		for _, l := range []*lost{old, other} {
			l.says(one("", ""), "io", note("first"))
			l.says(one("LF", ""), "ms", note("second"))
		}
		d, q := old.quoted(1)
		c.wrong(old, other, &d, q)
		bench.says(d.Subject, d.By, d.Data)
		var got *record.Line
		for l := range fold(office.log, bench.log).All() {
			if l.Position() == bench.log[0].Position {
				got = l
			}
		}
		if counts := c.want == record.TakenOver; got == nil || got.Counts() != counts || (got.Effect() != nil) != counts || !got.Has(c.want) || (got.Taken != nil) != counts {
			t.Errorf("%s: %+v", c.name, got)
		}
	}
}

// Nobody gains by a quote what only the hub may write, not even of the hub's
// own log, and a quote cannot be quoted.
func TestNotQuotable(t *testing.T) {
	office, bench, old := newLost(t, "office"), newTablet(t, "bench-1"), newLost(t, "old")
	office.enrols(old)
	office.enrols(office)
	tool := office.says("tool/tw-1", "mo", &journal.Tool{Tool: "tw-1", What: "torque wrench"})
	old.says(one("", ""), "io", note("quoted"))
	d, _ := old.quoted(0)
	old.says(d.Subject, d.By, d.Data)
	old.says("tool/tw-1", "mo", &journal.Tool{Tool: "tw-1", What: "film gauge"})
	for _, q := range []struct {
		of    *lost
		index int64
	}{{old, 1}, {old, 2}, {office, 4}} {
		if _, err := quoteAnyway(t, q.of, q.index); err == nil {
			t.Errorf("entry %d of %s can be quoted", q.index, q.of.write.Source.Device)
		}
		forged, err := forgeQuote(q.of, q.index)
		if err != nil {
			t.Fatal(err)
		}
		bench.says(forged.Subject, forged.By, forged.Data)
	}
	// A correction that the hub wrote loses its authority when it is quoted.
	office.says("tool/tw-1", "mo", correct(tool, "never", nil))
	struck, _ := office.quoted(5)
	bench.says(struck.Subject, struck.By, struck.Data)
	shop := fold(office.log[:5], bench.log)
	if l := only(t, shop, tool); l.Struck != nil || len(shop.Tools) != 1 || shop.Tools[0].Stated.What != "torque wrench" {
		t.Errorf("the tool is %+v", l)
	}
	for l := range shop.All() {
		if l.Position().Device == "bench-1" && l.Counts() {
			t.Errorf("%+v counts", l)
		}
	}
}

func quoteAnyway(t *testing.T, l *lost, index int64) (journal.Draft, error) {
	t.Helper()
	return proof.Quote(l.log[index].Bytes, l.log[index].Position, nil, 1, tlog.HashReaderFunc(func(at []int64) ([]tlog.Hash, error) {
		return make([]tlog.Hash, len(at)), nil
	}), journal.RevokedBranch)
}

// What is refused is refused with its reason, also an entry that another device
// says it wrote.
func TestWhyNotQuotable(t *testing.T) {
	old := newLost(t, "old")
	old.says("job/a", "mk", &journal.Remark{Evidence: journal.Evidence{Note: "a note"}})
	of := old.log[0]
	_, err := proof.Quote(of.Bytes, journal.Position{Device: "bench-9", Index: 0}, nil, 1, tlog.HashReaderFunc(func(at []int64) ([]tlog.Hash, error) {
		return make([]tlog.Hash, len(at)), nil
	}), journal.RevokedBranch)
	if !errors.Is(err, proof.ErrNotQuotable) || !strings.Contains(err.Error(), "names the device \"old\" as its writer and lies in the log of bench-9") {
		t.Errorf("got %v", err)
	}
}

// forgeQuote quotes what proof.Quote refuses.
func forgeQuote(l *lost, index int64) (journal.Draft, error) {
	of := l.log[index]
	e, err := journal.Decode(of.Bytes)
	if err != nil {
		return journal.Draft{}, err
	}
	tree := new(proof.Tree)
	tree.Append(of.Bytes)
	note, err := proof.Sign(l.key.Signer(), 1, tree.Root())
	return journal.Draft{Subject: e.Subject, By: e.By, Data: &journal.TakenOver{Entry: string(of.Bytes), Device: of.Device, Index: 0, Checkpoint: string(note), Branch: journal.RestoredBranch}}, err
}

// An entry counts once: in its own log if it does there, else in the first
// quote.
func TestCountsOnce(t *testing.T) {
	office, one1, two, old := newTablet(t, "office"), newTablet(t, "bench-1"), newTablet(t, "bench-2"), newLost(t, "old")
	office.enrols(old)
	said := old.says(one("LF", "caliper"), "io", torque("27 N.m", "banjo"))
	d, _ := old.quoted(0)
	one1.says(d.Subject, d.By, d.Data)
	two.at("09:00").says(d.Subject, d.By, d.Data)
	closed := newTablet(t, "office")
	closed.enrols(old)
	closed.says(journal.Of("device", "old"), "mo", &journal.LogClosing{Device: "old", Counts: 0})
	for _, c := range []struct {
		name string
		logs [][]journal.Logged
		want journal.DeviceID // in whose log it counts
	}{
		{"twice", [][]journal.Logged{office.log, one1.log, two.log}, "bench-1"},
		{"only the second", [][]journal.Logged{office.log, two.log}, "bench-2"},
		{"in its own log too", [][]journal.Logged{office.log, one1.log, two.log, old.log}, "old"},
		{"its own log is closed before it", [][]journal.Logged{closed.log, one1.log, two.log, old.log}, "bench-1"},
	} {
		shop := fold(c.logs...)
		var counts []journal.DeviceID
		for _, l := range shop.Line(said) {
			if l.Counts() {
				counts = append(counts, l.Position().Device)
			} else if l.Waits == nil && !l.Has(record.CountsAlready) {
				t.Errorf("%s: %+v", c.name, l)
			}
			if l.Has(record.DoubleID) || l.Taken != nil && (l.Has(record.RevokedDevice) || l.Has(record.ForkedDevice)) {
				t.Errorf("%s: flags %q", c.name, l.Flags)
			}
		}
		if len(counts) != 1 || counts[0] != c.want {
			t.Errorf("%s: it counts in the logs of %q, want %s", c.name, counts, c.want)
		}
		if n := shop.Uses("tool/tw-1", nil, nil); n != 1 {
			t.Errorf("%s: the tool was used %d times", c.name, n)
		}
	}
}

// Of what was taken over only one thing is known: whoever saw the quote came
// after it.
func TestOrderOfWhatIsTakenOver(t *testing.T) {
	office, bench, other, old := newTablet(t, "office"), newTablet(t, "bench-1"), newTablet(t, "other"), newLost(t, "old")
	office.enrols(old)
	before := office.says(one("LF", ""), "mo", note("before"))
	old.at("09:00").says(one("LF", ""), "io", note("one"))
	old.saw(office, len(office.log))
	second := old.says(one("LF", ""), "io", note("two"))
	first := journal.EntryID{}
	bench.at("10:00").saw(office, len(office.log))
	for i := range int64(2) {
		d, q := old.quoted(i)
		bench.says(d.Subject, d.By, d.Data)
		if e, err := q.Quoted(); err == nil && i == 0 {
			first = e.ID
		}
	}
	own := bench.says(one("LF", ""), "io", note("after"))
	other.saw(bench, len(bench.log))
	after := other.at("11:00").says(one("LF", ""), "ms", note("long after"))
	shop := fold(office.log, bench.log, other.log)
	for _, c := range []struct {
		a, b journal.EntryID
		want order.Relation
	}{
		{before, first, order.Unknown}, {before, second, order.Unknown}, {first, second, order.Unknown},
		{first, own, order.Before}, {second, after, order.Before}, {before, own, order.Before},
	} {
		a, b := only(t, shop, c.a), only(t, shop, c.b)
		if a.Relation(b) != c.want || b.Relation(a) != -c.want {
			t.Errorf("%s is %d to %s, and %d back, want %d", a.Says(), a.Relation(b), b.Says(), b.Relation(a), c.want)
		}
	}
	// Every pair that is in doubt comes in both orders that are as true.
	book := record.NewBook(officeHub)
	for _, log := range [][]journal.Logged{office.log, bench.log, other.log} {
		for _, l := range log {
			book.Add(l)
		}
	}
	pairs := [][2]journal.EntryID{{before, first}, {before, second}, {first, second}}
	came := make(map[[2]journal.EntryID]bool)
	look := func(s *record.Shop) {
		for _, p := range pairs {
			came[p] = came[p] || only(t, s, p[0]).Compare(only(t, s, p[1])) < 0
			back := [2]journal.EntryID{p[1], p[0]}
			came[back] = came[back] || only(t, s, p[1]).Compare(only(t, s, p[0])) < 0
		}
		for _, known := range [][2]journal.EntryID{{first, own}, {second, own}, {second, after}, {before, own}} {
			if only(t, s, known[0]).Compare(only(t, s, known[1])) > 0 {
				t.Error("what is known to be before comes after")
			}
		}
	}
	look(book.Shop())
	for late := range book.Lates(nil) {
		look(late.Shop())
	}
	for _, p := range pairs {
		if !came[p] || !came[[2]journal.EntryID{p[1], p[0]}] {
			t.Errorf("%v comes in one order only", p)
		}
	}
}
