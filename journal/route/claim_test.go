package route_test

import (
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/route"
)

// Of several decisions about a complaint the last that counts is the answer,
// wherever it is told: as what was promised and in the warranty's questions.
func TestTheLastDecisionHolds(t *testing.T) {
	decided := func(name string, as journal.ClaimOutcome, reply journal.ClaimReply) step {
		return linked(name, office, at("", ""), "io", func(ids map[string]journal.EntryID) journal.Payload {
			return &journal.ClaimDecision{Of: ids["claim"], Decision: as, Reason: name, Answers: []journal.ClaimAnswer{{Question: "Was it driven on a track?", Answer: reply}}}
		})
	}
	struck := func(of string) step {
		return linked("strikes "+of, office, at("", ""), "io", func(ids map[string]journal.EntryID) journal.Payload {
			return &journal.Correction{Of: ids[of], Reason: "of another complaint"}
		})
	}
	for _, c := range []struct {
		what  string
		steps []step
		holds string
		reply journal.ClaimReply
	}{
		{"nobody decided", nil, "", ""},
		{"once", []step{decided("first", journal.ClaimRefused, journal.RepliedYes)}, "first", journal.RepliedYes},
		{"decided again", []step{decided("first", journal.ClaimRefused, journal.RepliedYes), decided("second", journal.PutRight, journal.RepliedNo)}, "second", journal.RepliedNo},
		{"the second was struck out", []step{decided("first", journal.ClaimRefused, journal.RepliedYes), decided("second", journal.PutRight, journal.RepliedNo), struck("second")}, "first", journal.RepliedYes},
		{"both were struck out", []step{decided("first", journal.ClaimRefused, journal.RepliedYes), decided("second", journal.PutRight, journal.RepliedNo), struck("second"), struck("first")}, "", ""},
	} {
		t.Run(c.what, func(t *testing.T) {
			s := complete(t)
			s.add(released(), plain("claim", office, at("", ""), "io", journal.Claim{Says: "it flakes"}))
			s.add(c.steps...)
			w := s.write()
			job, shop := fold(w.log)
			for _, f := range route.FollowUps(nil, job, journaltest.Morning()) {
				if f.Name != "claim" {
					continue
				}
				want := route.Kept
				if c.holds == "" {
					want = route.Due
				}
				if f.State != want || f.By != w.ids[c.holds] || !strings.Contains(f.Say, c.holds) {
					t.Errorf("the follow-up is %s by %s: %s", f.State, f.By, f.Say)
				}
			}
			claim := route.Claims(job)[0]
			if got := facts.StockOf(shop).Coverage(claim.Opened).Answer("Was it driven on a track?"); got != c.reply {
				t.Errorf("the coverage has the answer %q, want %q", got, c.reply)
			}
		})
	}
}
