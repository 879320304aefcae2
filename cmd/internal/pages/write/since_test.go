package write_test

import (
	"net/http"
	"regexp"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
)

var drawnOf = regexp.MustCompile(`name="shown" value="([^"]*)"`)

// A stamp is refused once if entries on its job came after its page was drawn,
// and shows them; what came on another job, or before, keeps nobody.
func TestWhatCameSinceIsShownFirst(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	p, action, token := s.open(maskPage)
	all := masked()
	all.Set("once", token)
	all.Set("do", "save")
	all.Set("shown", drawnOf.FindStringSubmatch(p.body)[1])
	s.write(rfCaliper, &journal.Stripping{Removed: []string{"piston"}, Rubber: "none left in"})
	s.write(lfCaliper, &journal.Blasting{Media: "glass bead", Pressure: q[unit.Pressure]("4 bar")})
	p = s.post(action, all, "").want(t, http.StatusConflict, "1 entry on this job came after this page was opened.", "glass bead", "Not stamped yet", `value="piston bore"`)
	wellFormed(t, p.body)
	if lines := s.lines(journal.BoreMasked); len(lines) > 0 {
		t.Fatal("it is written all the same")
	}
	all.Set("once", tokenOf.FindStringSubmatch(p.body)[1])
	all.Set("shown", drawnOf.FindStringSubmatch(p.body)[1])
	p = s.press(action, all)
	if p.status != http.StatusSeeOther || len(s.lines(journal.BoreMasked)) != 1 {
		t.Fatalf("refused twice: %d %s", p.status, clip(p.body))
	}
	s.press(action, all).to(t, p.location) // sent twice, it is not what came since
}

// Of a run that takes parts of several jobs, what came on the jobs of the
// ticked parts counts.
func TestWhatCameSinceOnTheJobsOfARun(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	p, action, token := s.open("/run/new/part.blasted")
	all := map[string][]string{"media": {"glass bead"}, "part": {string(rfCaliper)}, "once": {token}, "do": {"save"}, "shown": {drawnOf.FindStringSubmatch(p.body)[1]}}
	s.write(lfCaliper, &journal.Stripping{Removed: []string{"piston"}, Rubber: "none left in"})
	s.write("run/o1", &journal.BakeStart{Rack: journal.Rack{Parts: []journal.Subject{lfCaliper}}, Set: q[unit.Temperature]("200 °C"), Probes: []journal.Probe{{Channel: "1", Place: "ear", On: lfCaliper}}})
	if p := s.press(action, all); p.status != http.StatusSeeOther {
		t.Errorf("what came on another job keeps it: %d %s", p.status, clip(p.body))
	}
	s.write("run/o1", &journal.Cure{Held: q[unit.Duration]("20 min"), By: journal.CureMeans(journal.CureMeans("").Words()[0])})
	p, action, token = s.open("/run/new/part.blasted")
	all["part"] = []string{string(rfCaliper), string(lfCaliper)}
	all["once"], all["shown"] = []string{token}, []string{drawnOf.FindStringSubmatch(p.body)[1]}
	s.write(lfCaliper, &journal.Remark{Evidence: journal.Evidence{Note: "a crack at the ear"}})
	s.post(action, all, "").want(t, http.StatusConflict, "a crack at the ear")
}
