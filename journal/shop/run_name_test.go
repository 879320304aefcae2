package shop_test

import (
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
)

// Each device counts its own runs of a step in a year, and its letter follows from the
// register: so what another tablet began without a network takes no name twice, and changes
// none when it comes in late.
func TestRunName(t *testing.T) {
	watch := journaltest.NewWatch(journaltest.Morning())
	l := newLogs()
	s, idx := open(t, l, t.TempDir())
	defer idx.Close()
	authors := make(map[journal.DeviceID]*journaltest.Author)
	write := func(on journal.DeviceID, about journal.Subject, p journal.Payload) {
		t.Helper()
		watch.Advance(time.Minute)
		if authors[on] == nil {
			authors[on] = journaltest.NewAuthor(on, watch, string(on))
		}
		e, err := authors[on].Write(journal.Draft{Subject: about, By: "io", Data: p})
		if err != nil {
			t.Fatal(err)
		}
		raw, err := e.Encode()
		if err != nil {
			t.Fatal(err)
		}
		l.arrive(on, raw)
	}
	summer := time.Date(2026, 7, 1, 12, 0, 0, 0, time.UTC)
	is := func(when string, on journal.DeviceID, step journal.Step, at time.Time, want journal.RunID) {
		t.Helper()
		if err := s.Follow(t.Context()); err != nil {
			t.Fatal(err)
		}
		if got, ok := s.View(t.Context()).RunName(step, on, at); got != want || ok != (want != "") {
			t.Errorf("%s: %q, %v; want %q", when, got, ok, want)
		}
	}
	enrol := func(id journal.DeviceID) {
		d := *journaltest.Sample(journal.DeviceEnrolled).Data.(*journal.Device)
		d.Device = id
		write(by.Hub, journal.Of("device", string(id)), &d)
	}
	bake := func(on journal.DeviceID, name journal.RunID) {
		p := *journaltest.Sample(journal.BakeStarted).Data.(*journal.BakeStart)
		write(on, journal.Of("run", string(name)), &p)
	}
	is("before the shop is heard of", "zz-first", journal.StepBake, summer, "")
	write(by.Hub, journal.Subject("shop/"+string(by.Shop)), journaltest.Sample(journal.ShopFounded).Data)
	is("at the hub", by.Hub, journal.StepBake, summer, "bake-26-001")
	enrol("zz-first")
	enrol("aa-second")
	is("who joined first", "zz-first", journal.StepBake, summer, "bake-26-001a")
	is("who joined second", "aa-second", journal.StepBake, summer, "bake-26-001b")
	is("who is not enrolled", "nobody", journal.StepBake, summer, "")
	bake("zz-first", "bake-26-001a")
	bake("zz-first", "bake-26-009a")
	bake("zz-first", "4f7kk2m9") // of a program from before
	is("after some", "zz-first", journal.StepBake, summer, "bake-26-010a")
	is("another step", "zz-first", journal.StepBlast, summer, "blast-26-001a")
	is("another year", "zz-first", journal.StepBake, summer.AddDate(1, 0, 0), "bake-27-001a")
	is("no step", "zz-first", journal.NoStep, summer, "")
	// The second one's bakes come in late, by the same number: both stay what they are.
	bake("aa-second", "bake-26-001b")
	is("of both", "zz-first", journal.StepBake, summer, "bake-26-010a")
	is("of both", "aa-second", journal.StepBake, summer, "bake-26-002b")
	bake("zz-first", "bake-26-999a")
	is("more than a thousand", "zz-first", journal.StepBake, summer, "bake-26-1000a")
	write(by.Hub, "device/zz-first", &journal.Revocation{Device: "zz-first", Reason: "lost"})
	enrol("third")
	is("after one is lost", "aa-second", journal.StepBake, summer, "bake-26-002b")
	is("who joined after", "third", journal.StepBake, summer, "bake-26-001c")
}
