package desk

import (
	"fmt"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"fettlebook/cmd/internal/pages/readonly"
	"fettlebook/journal"
	"fettlebook/journal/parts"
	"fettlebook/journal/recur"
	"fettlebook/journal/words"
)

// investigate leads to the form of an investigation, filled in with a question
// about recurring defects and what it finds now. The study behind it calls
// people by letters, since an entry goes to every tablet.
func (d *Desk) investigate(w http.ResponseWriter, r *http.Request) {
	s := d.Live.View(r.Context())
	a := readAsking(r.URL.Query())
	var study *recur.Study
	if a.Problem == "" {
		var err error
		if study, err = d.studies.Of(d.table(s), recur.Question{Defect: a.Defect, Filter: a.filter}); err != nil {
			a.Problem = words.Sentence(err.Error())
		}
	}
	if a.Problem != "" {
		http.Redirect(w, r, a.path("/recurring"), http.StatusSeeOther) // which says what is wrong
		return
	}
	http.Redirect(w, r, readonly.WritePath(journal.InvestigationMade, journal.Of("shop", string(s.Shop.ID)), begun(study, s.Shop.Writing(), parts.Name(r.URL.Query().Get("factor")))...), http.StatusSeeOther)
}

// investigatePath leads to the form with the same question; factor is the one
// that is looked into, if it is one.
func (a asking) investigatePath(factor parts.Name) string {
	path, query, _ := strings.Cut(a.path("/investigate"), "?")
	q, _ := url.ParseQuery(query) // which was encoded there
	if factor != "" {
		q.Set("factor", string(factor))
	}
	return withQuery(path, q)
}

// begun are the fields of an investigation as a study fills them in: all but
// what somebody has to conclude.
func begun(s *recur.Study, in words.Writing, factor parts.Name) []string {
	matter := s.Defect
	f := s.Of(factor)
	var of []parts.Name
	var found []string
	switch {
	case f.Name != "":
		matter += " and " + f.Says
		of, found = append(of, f.Name), sentences(f.Say(s.Defect, in)...)
	case s.Looked > 0 && s.Defect != "":
		found = sentences(s.SayRate(in)...)
		for _, a := range s.Accused {
			found = append(found, sentences(s.SayAccused(a, in)...)...)
		}
		found = append(found, sentences(s.SaySearch(in)...)...)
	}
	pairs := []string{"matter", matter, "defect", s.Defect, "looked_at.0", "the parts table"}
	for i, text := range s.Filter {
		pairs = append(pairs, "filter."+strconv.Itoa(i), text)
	}
	for i, t := range s.Tallies(of...) {
		at := fmt.Sprintf("counted.%d.", i)
		pairs = append(pairs, at+"with", t.With, at+"defects", strconv.Itoa(t.Sample.Defects), at+"parts", strconv.Itoa(t.Sample.Parts))
	}
	return append(pairs, "found", short(strings.Join(found, " ")))
}

// short cuts a text to what a field may hold.
func short(text string) string {
	if letters := []rune(text); len(letters) > journal.MaxText {
		return string(letters[:journal.MaxText-1]) + "…"
	}
	return text
}
