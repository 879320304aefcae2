package write_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"fettlebook/journal"
)

// The form that settles a complaint begins with what its warranty asks; each
// question has to be answered, and what is chosen stands beside the button.
func TestAComplaintIsSettled(t *testing.T) {
	t.Parallel()
	const track, acid = "Was it driven on a track?", "Was a wheel cleaner with acid used?"
	s := newShop(t)
	about := journal.About(one, "", "")
	s.write(about, &journal.Promise{Warranty: &journal.Warranty{Months: 24}, Excludes: []string{track, acid}})
	claim := s.write(about, &journal.Claim{Says: "a bubble in the paint"})
	path := "/write/claim.decided/" + string(about)
	p, action, _ := s.open(path + "?of=" + claim.String())
	p.want(t, http.StatusOK, "What the warranty asks", `value="`+track+`"`, `value="`+acid+`"`, "A yes lies outside the warranty", "a bubble in the paint")
	if q, reason := strings.Index(p.body, track), strings.Index(p.body, `name="reason"`); q > reason {
		t.Error("the questions do not come first")
	}
	typed := url.Values{"of": {claim.String()}, "decision": {string(journal.PutRight)}, "reason": {"a pinhole"}, "maker": {"does the lot gas out?"}, "sure": {"1"},
		"answers.0.question": {track}, "answers.0.answer": {"no"}, "answers.1.question": {acid}}
	s.stamp(action, typed)
	if n := len(s.lines(journal.ClaimDecided)); n != 0 {
		t.Fatalf("%d decisions were written with a question open", n)
	}
	typed.Set("answers.1.answer", "not known")
	if p := s.stamp(action, typed); p.status != http.StatusSeeOther {
		p.want(t, http.StatusSeeOther)
	}
	is := s.lines(journal.ClaimDecided)[0].Effect().(*journal.ClaimDecision)
	if len(is.Answers) != 2 || is.Answers[1] != (journal.ClaimAnswer{Question: acid, Answer: journal.RepliedNotKnown}) || is.Maker == "" || is.Of != claim {
		t.Errorf("written %+v", is)
	}

	// Without a link it is asked of the complaint that is open; there is none now.
	if p := s.get(path).want(t, http.StatusOK, "No complaint of this job is open."); strings.Contains(p.body, track) || strings.Contains(p.body, "a bubble in the paint") {
		t.Error("what was settled is asked about again")
	}
	s.get(path+"?of="+claim.String()).want(t, http.StatusOK, track, "a bubble in the paint")
}
