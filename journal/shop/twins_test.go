package shop_test

import (
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/record"
	"fettlebook/journal/shop"
)

// Somebody with the keys of an enrolled tablet gives an entry the id of another
// one. Wherever the two stand and whichever comes first, whatever the record
// says of either is the same in the shop, in a shop on a new index, and by the
// fold of everything.
func TestAnIDThatIsUsedAgain(t *testing.T) {
	job, other, run := journal.About("j0b00001", "LF", ""), journal.About("j0b00002", "LF", ""), journal.Of("run", "bake-1")
	caliper := journal.About("j0b00001", "LF", "caliper")
	torque := func(about journal.Subject) journal.Draft {
		return journal.Draft{Subject: about, By: "io", Data: &journal.Torque{Joint: "banjo bolt", Torque: quantity[unitTorque]("27 N.m"), Tool: "tw-1", Count: 1}}
	}
	check := func(result journal.CheckResult) journal.Draft {
		return journal.Draft{Subject: "tool/tw-1", By: "io", Data: &journal.ToolCheck{Tool: "tw-1", Result: result, Cycles: 5}}
	}
	clock := func(d journal.DeviceID) journal.Draft {
		return journal.Draft{Subject: journal.Of("device", string(d)), By: "io", Data: &journal.ClockReading{Device: d, OffsetMs: 4000}}
	}
	baked := journal.Draft{Subject: run, By: "io", Data: &journal.BakeStart{Rack: journal.Rack{Parts: []journal.Subject{caliper}}, Set: quantity[unitTemperature]("190 °C")}}
	tool := journal.Draft{Subject: "tool/tw-1", By: "io", Data: &journal.Tool{Tool: "tw-1", What: journal.TorqueWrench, Low: quantity[unitTorque]("5 N.m"), High: quantity[unitTorque]("60 N.m")}}
	revoked := journal.Draft{Subject: "device/bench-2", By: "io", Data: &journal.Revocation{Device: "bench-2", Reason: "lost"}}
	opened := func(id journal.JobID) journal.Draft {
		return journal.Draft{Subject: journal.About(id, "", ""), By: "io", Data: &journal.Job{Vehicle: journal.Vehicle{Plate: "AB 1"}, Corners: []journal.Corner{"LF"}, Route: "caliper", Edition: 1}}
	}
	tagged := func(about journal.Subject) journal.Draft {
		return journal.Draft{Subject: about, By: "io", Data: &journal.Tagging{Tag: "A1", Mark: "4R-17", Metal: journal.Iron}}
	}
	for _, c := range []struct {
		name       string
		on         journal.DeviceID // who writes the first
		one, again journal.Draft
		change     func(*journal.Entry) // of the second
	}{
		{"a clock is said to have been compared", "bench-1", torque(job), clock("bench-2"), nil},
		{"the clock of the tablet that wrote it", "bench-1", torque(job), clock("bench-1"), nil},
		{"the same job", "bench-1", torque(job), torque(job), nil},
		{"the same log", "bench-2", torque(job), torque(job), nil},
		{"the same log, another job", "bench-2", torque(job), torque(other), nil},
		{"the same log, its clock", "bench-2", torque(job), clock("bench-2"), nil},
		{"another job", "bench-1", torque(job), torque(other), nil},
		{"a run", "bench-1", torque(job), baked, nil},
		{"a thing of the register", "bench-1", torque(job), check(journal.OutOfTolerance), nil},
		{"the shop", "bench-1", torque(job), journal.Draft{Subject: "shop/k7m2q4xw", By: "io", Data: &journal.Withdrawal{Photo: journaltest.Picture("one").Ref, Reason: "a face"}}, nil},
		{"a customer's card", "bench-1", torque(job), journal.Draft{Subject: "card/c1", By: "io", Data: &journal.CardErasing{Card: "c1", Reason: "wanted"}}, nil},
		{"in the first one's name", "bench-1", torque(job), torque(other), func(e *journal.Entry) { e.Source.Device = "bench-1" }},
		{"a kind that nobody knows", "bench-1", torque(job), torque(other), func(e *journal.Entry) { e.Type.Kind = "brake.blessed" }},
		{"a run's own, by a clock", "bench-1", baked, clock("bench-2"), nil},
		{"a run's own, by another job", "bench-1", baked, torque(other), nil},
		{"a check of a tool, by a clock", "bench-1", check(journal.InTolerance), clock("bench-2"), nil},
		{"a check of a tool, by a job", "bench-1", check(journal.InTolerance), torque(job), nil},
		{"a tool, by a clock", "hub", tool, clock("bench-2"), nil},
		{"a tablet's end, by its clock", "hub", revoked, clock("bench-2"), nil},
		{"a clock's reading, by a job", "hub", clock("bench-1"), torque(job), nil},
		{"a clock's reading, by a clock", "hub", clock("bench-1"), clock("bench-1"), nil},
		{"an opening of the same vehicle, by a clock", "hub", opened("j0b00002"), clock("bench-2"), nil},
		{"an opening of the same vehicle, by a run", "hub", opened("j0b00002"), baked, nil},
		{"another life of the casting, by a clock", "bench-1", tagged(journal.About("j0b00002", "LF", "caliper")), clock("bench-2"), nil},
		{"another life of the casting, by a tool", "bench-1", tagged(journal.About("j0b00002", "LF", "caliper")), check(journal.OutOfTolerance), nil},
	} {
		for _, order := range []string{"after it", "before it"} {
			t.Run(c.name+", "+order, func(t *testing.T) {
				l, watch := newLogs(), journaltest.NewWatch(journaltest.Morning())
				authors := make(map[journal.DeviceID]*journaltest.Author)
				for _, d := range few.devices {
					authors[d] = journaltest.NewAuthor(d, watch, string(d))
				}
				write := func(on journal.DeviceID, d journal.Draft) *journal.Entry {
					t.Helper()
					watch.Advance(time.Minute)
					e, err := authors[on].Write(d)
					if err != nil {
						t.Fatal(err)
					}
					return e
				}
				s, idx := open(t, l, t.TempDir())
				defer idx.Close()
				arrive := func(on journal.DeviceID, e *journal.Entry) {
					t.Helper()
					raw, err := e.Encode()
					if err != nil {
						t.Fatal(err)
					}
					l.arrive(on, raw)
					// What was looked at before must not stay.
					if err := s.Follow(t.Context()); err != nil {
						t.Fatal(err)
					}
					wholly(t, l, s.View(t.Context()))
				}
				for _, d := range []journal.Draft{tool, opened("j0b00001"), clock("bench-1"), clock("bench-2")} {
					arrive("hub", write("hub", d))
				}
				arrive("bench-1", write("bench-1", tagged(caliper)))
				one, again := write(c.on, c.one), write("bench-2", c.again)
				again.ID = one.ID
				if c.change != nil {
					c.change(again)
				}
				correction := write("bench-1", journal.Draft{Subject: c.one.Subject, By: "io", Data: &journal.Correction{Of: one.ID, Reason: "slip"}})
				if order == "after it" {
					arrive(c.on, one)
					arrive("bench-2", again)
				} else {
					arrive("bench-2", again)
					arrive(c.on, one)
				}
				arrive("bench-1", correction)
				fresh, idx2 := open(t, l, t.TempDir())
				defer idx2.Close()
				if err := fresh.Follow(t.Context()); err != nil {
					t.Fatal(err)
				}
				wholly(t, l, fresh.View(t.Context()))
				for _, l := range fresh.View(t.Context()).Line(one.ID) {
					if !l.Has(record.DoubleID) {
						t.Errorf("%s on %s does not say that its id is used twice", l.Kind, l.Subject)
					}
				}
			})
		}
	}
}

// wholly demands that a view says of jobs, runs, tools and each single line what
// the fold of everything says.
func wholly(t *testing.T, l *logs, v *shop.View) {
	t.Helper()
	whole := record.NewBook(by)
	for _, e := range l.all() {
		whole.Add(e)
	}
	alike(t, whole.Shop(), v)
	everyLine(t, whole.Shop(), v)
}
