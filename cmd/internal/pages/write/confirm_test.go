package write_test

import (
	"errors"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages/write"
	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/record"
	"fettlebook/journal/trade/unit"
)

const three journal.JobID = "5c0n41rm"

// withPIN publishes the usual card as one that wants some stamps confirmed, and opens a
// job by it on which io has worked.
func (s *shop) withPIN(duties string) (torque journal.EntryID) {
	text, err := card.Supplied("caliper")
	if err != nil {
		s.t.Fatal(err)
	}
	text = strings.Replace(text, "edition: 1\n", "edition: 2\n", 1) + "\npin: [" + duties + "]\n"
	s.write("route/caliper", &journal.RouteCard{Route: "caliper", Edition: 2, Text: text})
	s.write(journal.About(three, "", ""), &journal.Job{Vehicle: journal.Vehicle{Plate: "PIN 5"}, Corners: []journal.Corner{"LF"}, Route: "caliper", Edition: 2})
	return s.write(journal.About(three, "LF", ""), &journal.Torque{Joint: "banjo bolt", Torque: q[unit.Torque]("27 N.m"), Tool: "tw-1"})
}

// Where a job's card wants it, a stamp is refused at the tablet until whoever stamps has
// typed their PIN, which is kept nowhere; the record says that it was confirmed. Jobs by
// other cards, and what was written before, are as they were.
func TestAStampIsConfirmed(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	asked := 0
	s.confirm = &write.Confirm{By: journal.ByPIN, Typed: true, Check: func(_ *http.Request, by journal.PersonID, typed string) error {
		asked++
		if by == "jr" && typed == "20618" {
			return nil
		}
		return errors.New("this is not the PIN of JR, so nothing was written; type it again")
	}}
	s.start()
	torque := s.withPIN("second check")
	early := s.write(journal.About(three, "LF", ""), &journal.SecondCheck{Of: torque, Finds: journal.FoundRight}) // of an older tablet
	s.by = "jr"
	check := "/write/second.checked/" + string(journal.About(three, "LF", ""))
	s.get(check).want(t, http.StatusOK, "PIN of JR", "The route card of this job wants this confirmed by JR.", `name="_pin"`)
	found := url.Values{"of": {torque.String()}, "finds": {"right"}, "sure": {"1"}}
	for _, pin := range []string{"", "20619", "PIN"} {
		s.stamp(check, with(found, url.Values{"_pin": {pin}, "confirmed": {"PIN"}})).want(t, http.StatusForbidden, "This is not the PIN of JR", `value="right" checked`)
	}
	written := func() (list []*record.Line) {
		for _, l := range s.live.View(t.Context()).Job(three).Timeline() {
			if l.Kind == journal.SecondChecked {
				list = append(list, l)
			}
		}
		return list
	}
	if got := written(); len(got) != 1 || got[0].ID != early {
		t.Fatalf("without the PIN there are %d", len(got))
	}
	if p := s.stamp(check, with(found, url.Values{"_pin": {"20618"}})); p.status != http.StatusSeeOther {
		p.want(t, http.StatusSeeOther)
	}
	list := written()
	if len(list) != 2 || !strings.Contains(list[1].Says(), "confirmed with a PIN") || strings.Contains(list[0].Says(), "confirmed") {
		t.Fatalf("the record has %d, and says %q", len(list), list[len(list)-1].Says())
	}

	// What is not of the card's asking is stamped as ever.
	before := asked
	s.by = "io"
	s.get("/write/hold.waived/job/"+string(three)).want(t, http.StatusOK)
	s.by = "jr"
	if p := s.get("/write/second.checked/" + string(lf)); strings.Contains(p.body, "_pin") {
		t.Error("a job by another card asks for a PIN")
	}
	// Struck out without replacement it needs none, with one it does.
	correct := "/correct/" + list[1].ID.String()
	s.stamp(correct, url.Values{"of": {torque.String()}, "finds": {"wrong"}, "why": {"slip"}, "_pin": {"1"}, "sure": {"1"}}).want(t, http.StatusForbidden, "This is not the PIN of JR")
	if p := s.stamp(correct, url.Values{"of": {torque.String()}, "finds": {"wrong"}, "why": {"slip"}, "_pin": {"20618"}, "sure": {"1"}}); p.status != http.StatusSeeOther {
		p.want(t, http.StatusSeeOther)
	}
	if says := written()[1].Effect().Say(); !strings.Contains(says, "not in order") || !strings.Contains(says, "confirmed with a PIN") {
		t.Errorf("corrected, it says %q", says)
	}
	if asked == before {
		t.Error("the correction was not asked for")
	}
	s.stamp("/correct/"+early.String(), url.Values{"do": {"strike"}, "why": {"slip"}, "finds": {"right"}, "of": {torque.String()}, "sure": {"1"}})
	if n := len(written()); n != 2 || written()[0].Effect() != nil {
		t.Errorf("%d are there, and the first still counts", n)
	}
	files, err := filepath.Glob(filepath.Join(s.drafts, "*"))
	if err != nil {
		t.Fatal(err)
	}
	for _, file := range files {
		if raw, err := os.ReadFile(file); err != nil || strings.Contains(string(raw), "2061") || strings.Contains(string(raw), "_pin") {
			t.Errorf("%s keeps a PIN: %v", file, err)
		}
	}
}

// Whoever gets past the pages is refused where entries are made: the card's asking is
// not a matter of the form.
func TestNoStampGetsPast(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	torque := s.withPIN("second check, waive, release")
	on := journal.About(three, "LF", "")
	checked := s.write(on, &journal.SecondCheck{Of: torque, Finds: journal.FoundWrong})
	instead, err := journal.MarshalPayload(&journal.SecondCheck{Of: torque, Finds: journal.FoundRight})
	if err != nil {
		t.Fatal(err)
	}
	const wants = "the route card of this job wants it confirmed"
	for name, c := range map[string]struct {
		about journal.Subject
		data  journal.Payload
		why   string
	}{
		"a second check":             {on, &journal.SecondCheck{Of: torque, Finds: journal.FoundRight}, wants},
		"a waiver":                   {journal.About(three, "", ""), &journal.Waiver{Hold: "film-within-limits", Reason: "hidden"}, wants},
		"handing back":               {journal.About(three, "", ""), &journal.Release{}, wants},
		"a correction of one":        {on, &journal.Correction{Of: checked, Reason: "slip", Data: instead}, wants},
		"one that is confirmed":      {on, &journal.SecondCheck{Of: torque, Finds: journal.FoundRight, ConfirmedBy: journal.ByPIN}, ""},
		"one that is struck out":     {on, &journal.Correction{Of: checked, Reason: "slip"}, ""},
		"another kind":               {on, &journal.Remark{Evidence: journal.Evidence{Note: "dry"}}, ""},
		"a job by another card":      {lf, &journal.Waiver{Hold: "film-within-limits", Reason: "hidden"}, ""},
		"a job that is not here yet": {journal.About("n0th3r3x", "", ""), &journal.Waiver{Hold: "film-within-limits", Reason: "hidden"}, ""},
	} {
		err := s.f.Folded.MayAppend(t.Context(), journal.Draft{Subject: c.about, By: "jr", Data: c.data})
		if got := err != nil && strings.Contains(err.Error(), wants); got != (c.why != "") {
			t.Errorf("%s: %v", name, err)
		}
	}
	// The page of what is done now leads to the page that asks.
	s.confirm = &write.Confirm{By: journal.ByPIN, Typed: true, Check: func(*http.Request, journal.PersonID, string) error { return nil }}
	s.start()
	if p := s.get("/now/job/" + string(three)); strings.Contains(p.body, "_pin") {
		t.Error("several forms ask for one PIN")
	}
	// At the desk nothing is typed: who signed in by name has confirmed it, and nobody else.
	var no error
	s.confirm = &write.Confirm{By: journal.ByPassphrase, Check: func(*http.Request, journal.PersonID, string) error { return no }}
	s.start()
	waive, why := "/write/hold.waived/job/"+string(three), url.Values{"hold": {"film-within-limits"}, "reason": {"agreed"}, "sure": {"1"}}
	s.get(waive).want(t, http.StatusOK, "The record will say that IO signed in at the desk with a passphrase.")
	no = errors.New("only somebody who signed in by name can confirm this")
	s.get(waive).want(t, http.StatusOK, "Only somebody who signed in by name can confirm this.")
	s.stamp(waive, why).want(t, http.StatusForbidden, "Only somebody who signed in by name can confirm this.")
	no = nil
	s.stamp(waive, why)
	if list := s.lines(journal.HoldWaived); len(list) != 1 || !strings.Contains(list[0].Says(), "confirmed with a passphrase") {
		t.Errorf("%d waivers are written", len(list))
	}
}
