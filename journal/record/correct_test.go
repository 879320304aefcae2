package record_test

import (
	"fmt"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/trade/unit"
)

func TestCorrectionReplaces(t *testing.T) {
	bench := newTablet(t, "bench-1")
	slip := bench.says(one("LF", ""), "io", torque("80 lbf.ft", "banjo bolt"))
	fix := bench.at("14:22").says(one("LF", ""), "mo", correct(slip, "typed ft for in", torque("80 lbf.in", "banjo bolt")))
	shop := fold(bench.log)
	l := only(t, shop, slip)
	if l.Struck == nil || l.Struck.At != fix || l.Struck.By != "mo" || l.Struck.Reason != "typed ft for in" || l.Struck.Time.String() != "2026-03-02T14:22:00.000+01:00" {
		t.Fatalf("got %+v", l.Struck)
	}
	if l.Payload.(*journal.Torque).Torque.String() != "80 lbf.ft" || l.Effect().(*journal.Torque).Torque.String() != "80 lbf.in" {
		t.Error("what was written must stay and what stands instead must count")
	}
	if l.Says() != "80 lbf.ft on banjo bolt with tw-1" || l.Now() != "80 lbf.in on banjo bolt with tw-1" {
		t.Errorf("got %q, now %q", l.Says(), l.Now())
	}
	if c := only(t, shop, fix); c.Corrects != slip || c.Struck != nil {
		t.Errorf("got %+v", c)
	}
}

func TestCorrectionRemoves(t *testing.T) {
	bench := newTablet(t, "bench-1")
	id := bench.says(one("LF", "caliper"), "io", &journal.Tagging{Tag: "LF-1", Metal: "iron"})
	bench.says(one("LF", "caliper"), "io", correct(id, "wrong part", nil))
	shop := fold(bench.log)
	if l := only(t, shop, id); l.Struck == nil || l.Effect() != nil || l.Now() != "" {
		t.Errorf("got %+v", l)
	}
	if p := shop.Job(jobOne).Corners[0].Parts[0]; p.Tag != "" || len(p.Lines) != 2 {
		t.Errorf("got %+v; the line stays, its tag does not count", p)
	}
}

func TestCorrectionOfOpening(t *testing.T) {
	office := newTablet(t, "office")
	id := office.says(one("", ""), "mo", opening("", "AB 1"))
	fix := office.says(one("", ""), "mo", correct(id, "misread", opening(invented(3), "AB 7")))
	if v := fold(office.log).Job(jobOne).Vehicle; v.VIN != invented(3) || len(v.Plates) != 1 || v.Plates[0] != "AB 7" {
		t.Errorf("got %+v", v)
	}
	office.says(one("", ""), "mo", correct(id, "no such job", nil))
	if j := fold(office.log).Job(jobOne); j.State != record.Struck || j.Vehicle != nil {
		t.Errorf("got %+v; of two corrections the last holds", j)
	}
	office.says(one("", ""), "mo", correct(fix, "and this was wrong too", nil))
	if j := fold(office.log).Job(jobOne); j.State != record.Struck {
		t.Errorf("got %+v", j)
	}
}

func TestCorrectionOfCorrection(t *testing.T) {
	bench := newTablet(t, "bench-1")
	id := bench.says(one("", ""), "io", note("right after all"))
	first := bench.says(one("", ""), "io", correct(id, "wrong", nil))
	second := bench.says(one("", ""), "io", correct(first, "it was right", nil))
	shop := fold(bench.log)
	if only(t, shop, id).Struck != nil || only(t, shop, first).Struck == nil {
		t.Error("a struck correction must act no more")
	}
	bench.says(one("", ""), "io", correct(second, "it was wrong", nil))
	if shop = fold(bench.log); only(t, shop, id).Struck == nil || only(t, shop, first).Struck != nil {
		t.Error("a correction whose correction was struck must act again")
	}
}

// A replacement may say a correction's reason or data anew, but it cannot turn
// it against another entry.
func TestCorrectionReworded(t *testing.T) {
	bench := newTablet(t, "bench-1")
	id := bench.says(one("", ""), "io", note("a"))
	other := bench.says(one("", ""), "io", note("b"))
	first := bench.says(one("", ""), "io", correct(id, "worng", nil))
	bench.says(one("", ""), "io", correct(first, "spelling", correct(id, "wrong", note("c"))))
	shop := fold(bench.log)
	if l := only(t, shop, id); l.Struck.At != first || l.Struck.Reason != "wrong" || l.Now() != "c" {
		t.Errorf("got %+v", l.Struck)
	}
	turned := bench.says(one("", ""), "io", correct(first, "meant b", correct(other, "wrong", nil)))
	shop = fold(bench.log)
	if only(t, shop, id).Struck != nil || only(t, shop, other).Struck != nil || !only(t, shop, turned).Has(record.BadReplacement) {
		t.Error("a correction was turned against another entry")
	}
}

func TestReplacementThatCannotBeRead(t *testing.T) {
	bench := newTablet(t, "bench-1")
	id := bench.says(one("LF", ""), "io", torque("80 N.m", "bolt"))
	bad := bench.says(one("LF", ""), "io", &journal.Correction{Of: id, Reason: "slip", Data: []byte(`{"torque":"80"}`)})
	shop := fold(bench.log)
	if l := only(t, shop, id); l.Struck == nil || l.Effect() != nil || !only(t, shop, bad).Has(record.BadReplacement) {
		t.Errorf("got %+v", l)
	}
	good := bench.says(one("LF", ""), "io", correct(id, "slip", torque("8 N.m", "bolt")))
	shop = fold(bench.log)
	if l := only(t, shop, id); l.Struck.At != good || l.Effect().(*journal.Torque).Torque != q[unit.Torque]("8 N.m") {
		t.Errorf("got %+v", l)
	}
}

func TestCorrectionBeforeItsEntry(t *testing.T) {
	bench, other := newTablet(t, "bench-1"), newTablet(t, "bench-2")
	id := bench.at("12:00").says(one("", ""), "io", note("from a clock that runs ahead"))
	other.at("09:00").says(one("", ""), "mo", correct(id, "not so", nil))
	if l := only(t, fold(other.log, bench.log), id); l.Struck == nil {
		t.Error("a correction dated before its entry must act")
	}
	if shop := fold(other.log); len(shop.Line(id)) != 0 {
		t.Error("an entry that is not here cannot be found")
	}
}

func TestCircularCorrections(t *testing.T) {
	bench := newTablet(t, "bench-1")
	// Ids are made when written, so a circle has to be forged.
	write := func(n byte, of journal.EntryID) journal.EntryID {
		e, err := bench.write.Write(journal.Draft{Subject: one("", ""), By: "io", Data: correct(of, "round and round", nil)})
		if err != nil {
			t.Fatal(err)
		}
		e.ID = forged(n)
		return bench.append(e)
	}
	self := write(1, forged(1))
	a, b, c := write(2, forged(3)), write(3, forged(4)), write(4, forged(2))
	shop := fold(bench.log)
	for _, id := range []journal.EntryID{self, a, b, c} {
		if l := only(t, shop, id); l.Struck != nil || !l.Has(record.Circular) {
			t.Errorf("got %+v", l)
		}
	}
}

// forged makes an id by hand.
func forged(n byte) journal.EntryID {
	id, err := journal.ParseEntryID(fmt.Sprintf("0195a3c1-7e40-7001-9c3a-5d1f0a6b7c%02x", n))
	if err != nil {
		panic(err)
	}
	return id
}
