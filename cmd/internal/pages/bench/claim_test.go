package bench_test

import (
	"net/http"
	"slices"
	"strings"
	"testing"

	"fettlebook/journal"
)

// A job that answers a complaint is begun from the complaint, with the same
// vehicle; one that names a complaint which is not here is not opened.
func TestAJobAnswersAComplaint(t *testing.T) {
	const track = "Was it driven on a track?"
	s := newSite(t)
	form := job()
	form.Set("excludes", track+"\n\n  Was it washed? ")
	at := strings.TrimPrefix(s.ask("/job/new", form).Header().Get("Location"), "/now")
	first := journal.JobID(strings.TrimPrefix(at, "/job/"))
	if is := s.live.View(t.Context()).Job(first).Stated.Excludes; !slices.Equal(is, []string{track, "Was it washed?"}) {
		t.Fatalf("the warranty asks %q", is)
	}
	claim := s.write(journal.About(first, "", ""), &journal.Claim{Says: "a bubble in the paint"})
	if _, err := s.live.Await(t.Context(), claim.ID); err != nil {
		t.Fatal(err)
	}
	s.sees(s.ask(at, nil), http.StatusOK, "a bubble in the paint", `href="/job/new?claim=`+claim.ID.String()+`"`)
	s.sees(s.ask("/job/new?claim="+claim.ID.String(), nil), http.StatusOK, "This job answers the complaint “a bubble in the paint”", `name="claim" value="`+claim.ID.String()+`"`, `value="TRL 4471"`)

	form = job()
	form.Set("claim", strings.Replace(claim.ID.String(), claim.ID.String()[:4], "0000", 1))
	s.sees(s.ask("/job/new", form), http.StatusUnprocessableEntity, "The complaint that this job answers is not here")
	form.Set("claim", claim.ID.String())
	w := s.ask("/job/new", form)
	s.sees(w, http.StatusSeeOther)
	if again := s.live.View(t.Context()).Job(journal.JobID(strings.TrimPrefix(w.Header().Get("Location"), "/now/job/"))); again == nil || again.Stated.Claim != claim.ID {
		t.Errorf("the job that answers it is %+v", again)
	}
}
