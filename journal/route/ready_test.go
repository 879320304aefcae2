package route_test

import (
	"strings"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/route"
)

// The day that was promised is owed until the vehicle is handed back. The last
// promise holds, and what it leaves out stays. The morning is that of 2 March
// 2026.
func TestPromisedDay(t *testing.T) {
	const day = 24 * time.Hour
	opened := func(ready journal.Date) func(*story) {
		return func(s *story) {
			edit(s, "opened", func(j *journal.Job) { j.Ready, j.Warranty = ready, &journal.Warranty{Months: 24} })
		}
	}
	later := func(p journal.Promise) func(*story) {
		return func(s *story) {
			opened("2026-03-04")(s)
			s.after("opened", plain("promised", office, at("", ""), "io", p))
		}
	}
	for _, trial := range []struct {
		what  string
		does  func(*story)
		after time.Duration
		state route.Progress
		says  string
	}{
		{"nothing was promised", func(*story) {}, 9 * day, "", ""},
		{"not due yet", opened("2026-03-04"), 0, route.Pending, "promised for 4 March 2026"},
		{"on the day", opened("2026-03-04"), 2 * day, route.Due, "promised for 4 March 2026"},
		{"a day late", opened("2026-03-04"), 3 * day, route.Due, "and that day is past"},
		{"promised anew", later(journal.Promise{Ready: "2026-03-09", Reason: "a seal kit comes late"}), 3 * day, route.Pending, "promised for 9 March 2026"},
		{"another warranty, the same day", later(journal.Promise{Warranty: &journal.Warranty{Months: 12}}), 3 * day, route.Due, "and that day is past"},
		{"the new promise was struck out", func(s *story) {
			later(journal.Promise{Ready: "2026-03-09"})(s)
			s.after("promised", linked("struck", office, at("", ""), "io", func(ids map[string]journal.EntryID) journal.Payload {
				return &journal.Correction{Of: ids["promised"], Reason: "another job"}
			}))
		}, 3 * day, route.Due, "promised for 4 March 2026"},
		{"handed back", func(s *story) { opened("2026-03-04")(s); s.add(released()) }, 9 * day, route.Kept, "handed back on 2 March 2026"},
	} {
		s := complete(t)
		trial.does(s)
		job, _ := fold(s.write().log)
		var got route.FollowUp
		for _, f := range route.FollowUps(nil, job, journaltest.Morning().Add(trial.after)) {
			if f.Name == "ready" {
				got = f
			}
		}
		if got.State != trial.state || !strings.Contains(got.Say, trial.says) {
			t.Errorf("%s: %s, %q", trial.what, got.State, got.Say)
		}
	}
}
