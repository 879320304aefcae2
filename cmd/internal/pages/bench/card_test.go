package bench_test

import (
	"net/http"
	"strings"
	"testing"

	"fettlebook/journal"
)

// onHand writes a job with two corners, at each a caliper and a bracket off.
func (s *site) onHand(job journal.JobID) (parts []journal.Subject) {
	s.t.Helper()
	s.write(journal.Of("job", string(job)), &journal.Job{Vehicle: journal.Vehicle{Plate: "TRL 4471"}, Corners: []journal.Corner{"LF", "RF"}, Route: "caliper", Edition: 1})
	s.write(journal.Of("job", string(job)), &journal.Arrival{Agreed: true})
	s.write(journal.Of("job", string(job)), &journal.Raising{Points: "sills", Stands: 2})
	for _, c := range []journal.Corner{"LF", "RF"} {
		for _, p := range []journal.PartID{"caliper", "bracket"} {
			about := journal.About(job, c, p)
			parts = append(parts, about)
			s.write(about, &journal.Removal{})
			s.write(about, &journal.Tagging{Tag: string(c) + " " + string(p), Metal: "iron"})
			s.write(about, &journal.MakeUp{Line: journal.NoLine, Parking: journal.NoParkingBrake})
		}
		s.write(journal.About(job, c, ""), &journal.Bagging{Bag: string(c), Items: []journal.Item{{What: "bolt", Count: 4}}})
		s.write(journal.About(job, c, ""), &journal.LineOpening{At: "banjo"})
	}
	return parts
}

// What one entry says of several parts is one row of what comes next, and leads to
// the form in which they are ticked: a row for each part would hide the rest.
func TestPartsThatGoTogetherAreOneRow(t *testing.T) {
	s := newSite(t)
	parts := s.onHand("4f7kk2m9")
	for _, p := range parts {
		s.write(p, &journal.Stripping{Removed: []string{"piston"}, Rubber: journal.RubberOut})
	}
	page := s.ask("/job/4f7kk2m9", nil)
	s.sees(page, http.StatusOK, "LF bracket, LF caliper, RF bracket, RF caliper · Degreased", "Write it down of these 4 parts in one entry",
		`href="/run/new/part.degreased?part=job%2F4f7kk2m9%2Fcorner%2FLF%2Fpart%2Fbracket&amp;part=`)
	if n := strings.Count(page.Body.String(), "· Degreased</b>"); n != 1 {
		t.Errorf("%d rows for one wash", n)
	}
	// One that is left alone has the page of its stage.
	for _, p := range parts[1:] {
		s.write(p, &journal.Degreasing{Agent: "hot wash"})
	}
	s.sees(s.ask("/job/4f7kk2m9", nil), http.StatusOK, "<b>LF caliper · Degreased</b>", `href="/stage/degrease/job/4f7kk2m9/corner/LF/part/caliper?kind=part.degreased"`)
}

// Damage and a defect of the coat are two things, each of a part that is named.
func TestDamageIsNotADefect(t *testing.T) {
	s := newSite(t)
	s.onHand("4f7kk2m9")
	s.sees(s.ask("/job/4f7kk2m9", nil), http.StatusOK, "Damage, or a defect of the coat", "LF · hose, pipe or bolts",
		`href="/write/condition.found/job/4f7kk2m9/corner/LF/part/caliper"`, `href="/write/defect.found/job/4f7kk2m9/corner/LF/part/caliper"`, `href="/write/condition.found/job/4f7kk2m9/corner/RF"`)
}

// A second casting is told from the first, and what is not asked of it is not one
// that is still to be done.
func TestASecondCastingOnTheCard(t *testing.T) {
	s := newSite(t)
	s.onHand("4f7kk2m9")
	page := func() string { return s.ask("/job/4f7kk2m9", nil).Body.String() }
	if strings.Contains(page(), "not asked") {
		t.Error("something is not asked before anything came bare")
	}
	first, fresh := journal.About("4f7kk2m9", "LF", "caliper"), journal.About("4f7kk2m9", "LF", "caliper-2")
	s.write(first, &journal.Condition{Condition: journal.CrackedEar, Where: "upper ear", Decision: journal.ReplaceIt, Reason: "cracked through"})
	s.write(fresh, &journal.Tagging{Tag: "LF 2", Metal: "iron"})
	s.write(fresh, &journal.MakeUp{Line: journal.NoLine, Parking: journal.NoParkingBrake, Rubber: []journal.Item{{What: "dust boot", Count: 1}}, CameBare: true})
	s.sees(s.ask("/job/4f7kk2m9", nil), http.StatusOK, `aria-hidden="true">caliper-2</span>`, `aria-label="not asked"`)
}
