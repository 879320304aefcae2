package route_test

import (
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/route"
)

// A recall is owed to every customer for whom the thing was used on a day that
// is meant, until somebody was reached about this very recall. The job is of 2
// March 2026.
func TestRecalls(t *testing.T) {
	recall := func(of journal.Subject, r journal.Recall) step {
		r.Why, r.Remedy = "the maker recalls batch 2604", "replace the boots"
		return plain("recall", office, of, "io", r)
	}
	told := func(of string, reached bool, answer string) step {
		return linked("told", office, at("", ""), "io", func(ids map[string]journal.EntryID) journal.Payload {
			return &journal.Contact{How: "telephone", About: "the recall", Reached: reached, Answer: answer, Of: ids[of]}
		})
	}
	kit := journal.Of("kit", "ks-7")
	for _, trial := range []struct {
		what  string
		steps []step
		state route.Progress // "" if nothing is owed
		tries int
	}{
		{"nothing was recalled", nil, "", 0},
		{"a kit that was fitted", []step{recall(kit, journal.Recall{})}, route.Due, 0},
		{"a kit that was not", []step{recall(journal.Of("kit", "ks-8"), journal.Recall{})}, "", 0},
		{"a powder lot", []step{recall(journal.Of("lot", "so-118"), journal.Recall{})}, route.Due, 0},
		{"a tool", []step{recall(journal.Of("tool", "tw-1"), journal.Recall{})}, route.Due, 0},
		{"used on the first day", []step{recall(kit, journal.Recall{Since: "2026-03-02"})}, route.Due, 0},
		{"used on the last day", []step{recall(kit, journal.Recall{Until: "2026-03-02"})}, route.Due, 0},
		{"used before", []step{recall(kit, journal.Recall{Since: "2026-03-03"})}, "", 0},
		{"used after", []step{recall(kit, journal.Recall{Since: "2026-02-01", Until: "2026-03-01"})}, "", 0},
		{"the customer was told", []step{recall(kit, journal.Recall{}), told("recall", true, "comes on Thursday")}, route.Kept, 0},
		{"nobody was reached", []step{recall(kit, journal.Recall{}), told("recall", false, "")}, route.Due, 1},
		{"no answer was noted", []step{recall(kit, journal.Recall{}), told("recall", true, "")}, route.Due, 1},
		{"told about something else", []step{recall(kit, journal.Recall{}), told("opened", true, "comes on Thursday")}, route.Due, 0},
		{"the recall was struck out", []step{recall(kit, journal.Recall{}), linked("struck", office, kit, "io", func(ids map[string]journal.EntryID) journal.Payload {
			return &journal.Correction{Of: ids["recall"], Reason: "another batch"}
		})}, "", 0},
	} {
		s := complete(t)
		edit(s, "LF rebuilt", func(r *journal.Rebuild) { r.Kits = []journal.KitID{"ks-7"} })
		s.add(trial.steps...)
		job, _ := fold(s.write().log)
		var got route.FollowUp
		for _, f := range route.Recalls(job) {
			got = f
		}
		if got.State != trial.state || len(got.Tries) != trial.tries {
			t.Errorf("%s: %s after %d tries: %s", trial.what, got.State, len(got.Tries), got.Say)
		}
		if open := len(route.OpenRecalls(job)); (open > 0) != (trial.state == route.Due) {
			t.Errorf("%s: %d are open", trial.what, open)
		}
		if got.State == route.Due && !strings.Contains(got.Say, "the maker recalls batch 2604; replace the boots") {
			t.Errorf("%s: %s", trial.what, got.Say)
		}
	}
}
