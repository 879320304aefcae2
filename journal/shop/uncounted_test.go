package shop_test

import (
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/order"
	"fettlebook/journal/record"
)

// Entries that do not count is listed log by log, with the reason and since when
// it is here: somebody with the keys of one tablet who writes much of it hides
// nothing of another, and what waits stands there until it waits no more.
func TestWhatCountsForNothingIsListed(t *testing.T) {
	w, seen := newWriters(t), newSeen()
	l := w.logs
	s, idx := open(t, l, t.TempDir())
	defer idx.Close()
	encoded := func(by journal.DeviceID, about journal.Subject, data journal.Payload) []byte {
		t.Helper()
		_, raw := w.made(by, journal.Draft{Subject: about, Data: data})
		return raw
	}
	arrive := func(on journal.DeviceID, raw []byte) {
		seen.wrote(on, raw)
		l.arrive(on, raw)
	}
	list := func(most int) map[journal.DeviceID][]any {
		t.Helper()
		if err := s.Follow(t.Context()); err != nil {
			t.Fatal(err)
		}
		v := s.View(t.Context())
		found := make(map[journal.DeviceID][]any)
		for _, of := range v.Idle(most) {
			found[of.Device] = append(found[of.Device], of.Entries)
			for _, i := range of.First {
				why := any(i.Never)
				if i.Waits != nil {
					why = i.Waits.Why
				}
				if i.Never == "" && i.Waits == nil {
					t.Errorf("entry %d of %s is listed for no reason", i.Index, of.Device)
				}
				found[of.Device] = append(found[of.Device], i.Index, why, !i.Received.IsZero())
			}
		}
		if v.Err() != nil {
			t.Fatal(v.Err())
		}
		return found
	}
	want := func(got map[journal.DeviceID][]any, device journal.DeviceID, all ...any) {
		t.Helper()
		same := len(got[device]) == len(all)
		for i := 0; same && i < len(all); i++ {
			same = got[device][i] == all[i]
		}
		if !same {
			t.Errorf("%s: %v, want %v", device, got[device], all)
		}
	}
	remark := &journal.Remark{Evidence: journal.Evidence{Note: "cold today"}}
	job := journal.About("j0b00001", "", "")

	arrive("hub", encoded("hub", "person/io", &journal.Person{Person: "io", Initials: "IO"}))
	early := encoded("bench-1", job, remark) // its id is not greater than that of what lies before it
	arrive("bench-1", encoded("bench-1", job, remark))
	if found := list(100); len(found) > 0 {
		t.Errorf("all counts, and there is %v", found)
	}
	arrive("bench-1", encoded("bench-1", "tool/tw-9", &journal.Tool{Tool: "tw-9", What: journal.TorqueWrench}))
	arrive("bench-1", early)
	arrive("bench-1", encoded("bench-2", job, remark)) // another tablet's, under this one's keys
	arrive("bench-1", []byte("nothing at all"))
	l.countersign("bench-1", w.watch.Now())
	for range 150 {
		arrive("bench-2", encoded("bench-2", "tool/tw-9", &journal.Tool{Tool: "tw-9", What: journal.TorqueWrench}))
	}
	got := list(4)
	want(got, "bench-1", 4, int64(1), record.NoAuthority, true, int64(2), record.IDFalls, true)
	want(got, "bench-2", 150, int64(0), record.NoAuthority, false, int64(1), record.NoAuthority, false)
	want(list(100), "bench-1", 4, int64(1), record.NoAuthority, true, int64(2), record.IDFalls, true, int64(3), record.WrongLog, true, int64(4), record.Unreadable, true)

	// Who cites what is not here waits, until it is.
	hub := encoded("hub", "person/mk", &journal.Person{Person: "mk", Initials: "MK"})
	seen.wrote("hub", hub)
	seen.meet("bench-1", "hub")
	w.author("bench-1").After = seen.after("bench-1")
	waiting := encoded("bench-1", job, remark)
	l.arrive("bench-1", waiting)
	if got := list(1000)["bench-1"]; got[0] != 5 || got[len(got)-2] != order.NotHere {
		t.Errorf("who waits is listed as %v", got)
	}
	l.arrive("hub", hub)
	want(list(2), "bench-1", 4, int64(1), record.NoAuthority, true)
}
