package route_test

import (
	"fmt"
	"regexp"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/route"
)

// end is what becomes of a job.
type end string

const (
	goesOut end = "released"
	refused end = "refused"
	named   end = "released, and the hold is named on the papers"
)

// jobCase is a whole job as somebody may do it: a right one of a kind with one
// thing changed, and what the hold that it is about says of it.
type jobCase struct {
	what string
	kind func() plan
	does func(*story)
	hold journal.HoldID
	at   string // "LF caliper", "LF", "vehicle"
	says string // the hold's sentence, without the card's reason
}

// play plays each case on one floor, one job after the other.
func playCases(t *testing.T, cases []jobCase, want func(jobCase) end) {
	f := newFloor(t)
	for i, c := range journaltest.Rows(t, 8, cases) {
		t.Run(c.what, func(t *testing.T) {
			f.tb = t
			s := c.kind().play(t, journal.JobID(fmt.Sprintf("job%02d", i)))
			if c.does != nil {
				c.does(s)
			}
			h := f.handBack(s)
			v := h.of(c.hold, s.named(c.at))
			if says := h.says(s, v); says != c.says {
				t.Errorf("%s of %s says\n%s\nand not\n%s", c.hold, c.at, says, c.says)
			}
			switch is := want(c); {
			case is == goesOut:
				f.right(s, h)
			case is == refused && (h.refused == nil || v.State == route.Met || v.State == ""):
				t.Errorf("the vehicle was handed back: %s is %s", c.hold, v.State)
			case is == named && (h.refused != nil || v.State != route.Broken || !strings.Contains(h.standing.Verdicts.Handover().Say(), v.Title)):
				t.Errorf("%s is %s and not named, or the vehicle was not handed back: %v", c.hold, v.State, h.refused)
			}
		})
	}
}

// says is a hold's sentence without the card's reason. The container of fluid is
// called as in any other job, and when work was done that was looked at is left out.
func (h handedBack) says(s *story, v route.Verdict) string {
	says := v.Why
	if _, hold := h.standing.Card.Hold(v.Hold); hold != nil {
		says = strings.TrimSuffix(says, " — "+hold.Reason)
	}
	says = regexp.MustCompile(`of [^;]* by (\w+): in order`).ReplaceAllString(says, "by $1: in order")
	return strings.ReplaceAll(says, string(s.can()), "bf-31")
}

// right demands that a job is handed back with all holds met.
func (f *floor) right(s *story, h handedBack) {
	f.tb.Helper()
	if h.refused != nil {
		f.tb.Errorf("honest work is refused: %v", h.refused)
	}
	for _, v := range h.standing.Verdicts.List {
		if v.State != route.Met {
			f.tb.Errorf("%s of %s is %s: %s", v.Hold, v.Subject, v.State, v.Why)
		}
	}
}
