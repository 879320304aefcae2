package write

import (
	"fmt"
	"net/http"

	"fettlebook/cmd/internal/pages/form"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/route"
)

// questions lays out for the form that settles a complaint what its warranty
// asks: a row for each, which a person answers. Of several complaints that are
// open the link says which.
func (t *task) questions(s *live.Snapshot, r *http.Request) {
	job := s.Job(t.subject.Job())
	if t.kind != journal.ClaimDecided || job == nil {
		return
	}
	of := r.URL.Query().Get("of")
	for _, c := range route.Claims(job) {
		if of == "" && !c.Open() || of != "" && c.Opened.ID.String() != of {
			continue
		}
		asked := s.Standing(job.ID).Stock.Coverage(c.Opened).Questions
		if len(asked) == 0 {
			continue
		}
		t.sheet = t.sheet.Named("answers", "A yes lies outside the warranty. Ask the customer, and look; what nobody can tell is not known.")
		if t.start == nil {
			t.start = form.Values{}
		}
		for i, q := range asked {
			t.start[fmt.Sprintf("answers.%d.question", i)] = []string{q}
		}
		return
	}
}
