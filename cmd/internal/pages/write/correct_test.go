package write_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"fettlebook/journal"
)

func TestCorrect(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	s.stamp(torquePage, with(tight("72"), url.Values{"sure": {"1"}}), upload{"picture", "a.jpg", photo(7)})
	old := s.lines(journal.TorqueApplied)[0]
	path := "/correct/" + old.ID.String()
	p := s.get(path).want(t, http.StatusOK, "<del>", "72 N.m", `value="72"`, "slipped a digit", "wrong corner", "wrong tool", "entered twice",
		"Strike it through and put this instead", "Strike out without replacement")
	if n := strings.Count(p.body, "<h1"); n != 1 {
		t.Errorf("%d headings of the first rank", n)
	}
	s.stamp(path, tight("72")).want(t, http.StatusUnprocessableEntity, "Nothing is changed yet")
	s.stamp(path, tight("2x")).want(t, http.StatusUnprocessableEntity, "2x")
	s.stamp(path, with(tight("27"), url.Values{"why": {"slipped a digit"}})).to(t, "/job/4f7kk2m9")
	now := s.lines(journal.TorqueApplied)[0]
	if now.Struck == nil || now.Struck.Reason != "slipped a digit" || now.Struck.By != "io" {
		t.Fatalf("struck: %+v", now.Struck)
	}
	torque := now.Effect().(*journal.Torque)
	if torque.Torque.String() != "27 N.m" || len(torque.Photos) != 1 {
		t.Errorf("stands now: %+v", torque)
	}
	if c := s.lines(journal.EntryCorrected)[0]; c.Subject != old.Subject {
		t.Errorf("the correction is about %s", c.Subject)
	}
	s.get(path).want(t, http.StatusOK, "<del>", "72 N.m", `value="27"`)
}

func TestStrike(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	id := s.write(lfCaliper, &journal.Masking{Features: []journal.Item{{What: "piston bore", Count: 1}}, Plugs: 1})
	path := "/correct/" + id.String()
	s.stamp(path, url.Values{"do": {"strike"}, "because": {"that was the other car"}}).to(t, "/job/4f7kk2m9")
	l := s.live.View(s.t.Context()).Line(id)[0]
	if l.Struck == nil || l.Effect() != nil || l.Struck.Reason != "that was the other car" {
		t.Errorf("got %+v, %v", l.Struck, l.Effect())
	}
	// What the program wrote by itself, and a correction, can be struck only.
	c := s.lines(journal.EntryCorrected)[0]
	p := s.get("/correct/"+c.ID.String()).want(t, http.StatusOK, "Strike out without replacement")
	if strings.Contains(p.body, "put this instead") {
		t.Error("a correction has a form")
	}
	s.stamp("/correct/"+c.ID.String(), url.Values{"do": {"strike"}, "why": {"wrong corner"}})
	if l := s.live.View(s.t.Context()).Line(id)[0]; l.Effect() == nil {
		t.Error("the entry does not stand again")
	}
	s.get("/correct/"+s.lines(journal.PersonAdded)[0].ID.String()).want(t, http.StatusForbidden)
}

func TestCorrectRun(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	id := s.write("run/b1", &journal.Blasting{Rack: journal.Rack{Parts: []journal.Subject{lfCaliper, rfCaliper}}, Media: "glass bead"})
	s.stamp("/correct/"+id.String(), url.Values{"media": {"aluminium oxide"}, "why": {"wrong tool"}}).to(t, "/run/b1")
	b, ok := s.live.View(s.t.Context()).Line(id)[0].Effect().(*journal.Blasting)
	if !ok || b.Media != "aluminium oxide" || len(b.Parts) != 2 {
		t.Errorf("stands now: %+v", b)
	}
}
