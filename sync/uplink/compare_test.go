package uplink_test

import (
	"path/filepath"
	"strings"
	"testing"
	"testing/synctest"

	"fettlebook/journal"
	"fettlebook/journal/sqlitelog"
)

// history has another device write n entries into a log of its own, beside any
// that it wrote before, and returns them.
func (r *rig) history(of journal.DeviceID, n int) journal.Segment {
	r.t.Helper()
	db := r.openLog(of, filepath.Join(r.t.TempDir(), "history.db"))
	r.write(db, n)
	s, err := db.Segment(r.t.Context(), of, 0, journal.MaxSegmentBytes)
	must(r.t, err)
	must(r.t, db.Close())
	return s
}

// Where the hub holds another history of a log, however much of it, it is given
// the one that is here, once in a run of the hub. The tablet keeps what it has
// and has nothing more to do.
func TestTheHubHoldsAnotherHistory(t *testing.T) {
	for name, c := range map[string]struct{ here, there int }{
		"of the same length": {4, 4}, "a shorter one": {6, 2}, "a longer one": {2, 6},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			synctest.Test(t, func(t *testing.T) {
				r := open(t)
				r.run()
				r.rounds() // with the keys of all
				r.stop()
				_, err := r.db.Receive(t.Context(), r.history(other, c.here))
				must(t, err)
				here := log(t, r.db, other)
				r.elsewhere(c.there)
				there := log(t, r.hub, other)
				r.run()
				r.rounds()
				shown := func(times int) {
					t.Helper()
					r.mu.Lock()
					defer r.mu.Unlock()
					if len(r.given) != times || r.given[times-1].First != 0 {
						t.Fatalf("the hub was given %d segments, want %d from the first entry on", len(r.given), times)
					}
					same(t, "what the hub was given", r.given[times-1].Entries, here)
				}
				shown(1)
				r.write(r.db, 2)
				r.rounds()
				shown(1)
				if st := r.up.Status(); !st.CaughtUp || st.Problem != "" {
					t.Errorf("status %+v", st)
				}
				same(t, "the log here", log(t, r.db, other), here)
				same(t, "the log at the hub", log(t, r.hub, other), there)
				r.mu.Lock()
				r.began++ // perhaps of an older copy
				r.mu.Unlock()
				r.rounds()
				shown(2)
			})
		})
	}
}

// Of the register too. Then nobody tells this tablet any more what is new in
// the shop: it says so, and what is written here goes out all the same.
func TestTheHubHoldsAnotherRegister(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := open(t)
		r.run()
		r.rounds()
		lost := r.openLog(hubLog, filepath.Join(t.TempDir(), "lost.db"))
		defer lost.Close()
		before, err := r.hub.Segment(t.Context(), hubLog, 0, journal.MaxSegmentBytes)
		must(t, err)
		_, err = lost.Receive(t.Context(), before)
		must(t, err)
		for db, initials := range map[*sqlitelog.DB]string{lost: "IO", r.hub: "JO"} {
			_, err := db.Append(t.Context(), journal.Draft{Subject: "person/io", By: "hub", Data: &journal.Person{Person: "io", Initials: initials}})
			must(t, err)
		}
		must(t, r.countersign(hubLog))
		both, err := lost.Segment(t.Context(), hubLog, 0, journal.MaxSegmentBytes)
		must(t, err)
		_, err = r.db.Receive(t.Context(), both)
		must(t, err)
		r.write(r.db, 2)
		r.rounds()
		same(t, "the own log at the hub", log(t, r.hub, mine), log(t, r.db, mine))
		same(t, "the register here", log(t, r.db, hubLog), both.Entries)
		if st := r.up.Status(); st.CaughtUp || !strings.Contains(st.Problem, "restored from an older copy") {
			t.Errorf("status %+v", st)
		}
		r.mu.Lock()
		defer r.mu.Unlock()
		if len(r.given) != 1 {
			t.Errorf("the hub was given %d segments", len(r.given))
		}
	})
}
