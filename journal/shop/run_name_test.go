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
	w := newWriters(t)
	s, idx := open(t, w.logs, t.TempDir())
	defer idx.Close()
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
		w.write(by.Hub, journal.Of("device", string(id)), "io", &d)
	}
	bake := func(on journal.DeviceID, name journal.RunID) {
		p := *journaltest.Sample(journal.BakeStarted).Data.(*journal.BakeStart)
		w.write(on, journal.Of("run", string(name)), "io", &p)
	}
	is("before the shop is heard of", "zz-first", journal.StepBake, summer, "")
	w.write(by.Hub, journal.Subject("shop/"+string(by.Shop)), "io", journaltest.Sample(journal.ShopFounded).Data)
	is("at the hub", by.Hub, journal.StepBake, summer, "bake-26-001")
	for range 4 {
		w.write("aa-second", "job/4f7kk2m9", "io", &journal.Remark{Evidence: journal.Evidence{Note: "x"}})
	}
	w.write("aa-second", "device/zz-first", "io", &journal.Remark{Evidence: journal.Evidence{Note: "x"}}) // further on in its log than the hub is by then
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
	// Whoever has a tablet's keys can write of any run and any device, and takes no name and
	// no letter from anybody by that.
	for _, name := range []journal.RunID{"bake-26-9223372036854775807a", "bake-26-99999999999999999999a", "bake-26--5a", "bake-26-100000a", "bake-26-a"} {
		bake("aa-second", name)
	}
	is("after made-up names", "zz-first", journal.StepBake, summer, "bake-26-010a")
	is("after made-up names", "aa-second", journal.StepBake, summer, "bake-26-002b")
	bake("aa-second", "bake-27-99999a")
	is("where all numbers are taken", "zz-first", journal.StepBake, summer.AddDate(1, 0, 0), "")
	bake("zz-first", "bake-26-999a")
	is("more than a thousand", "zz-first", journal.StepBake, summer, "bake-26-1000a")
	w.write(by.Hub, "device/zz-first", "io", &journal.Revocation{Device: "zz-first", Reason: "lost"})
	enrol("third")
	is("after one is lost", "aa-second", journal.StepBake, summer, "bake-26-002b")
	is("who joined after", "third", journal.StepBake, summer, "bake-26-001c")
}
