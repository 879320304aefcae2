package write_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/trade/unit"
)

// banjoOf records a figure for the banjo bolts of some vehicles.
func banjoOf(s *shop, name journal.SpecID, fits ...string) {
	s.write(journal.Of("spec", string(name)), &journal.TorqueSpec{Spec: name, Joint: "banjo bolt", Nominal: q[unit.Torque]("27 N.m"), From: journal.FromManual, Fits: fits})
}

// A joint is offered the vehicle's own figures first, then those that name no vehicle,
// and those that would be borrowed last, each marked so.
func TestTheVehiclesOwnFiguresComeFirst(t *testing.T) {
	t.Parallel()
	s := newShop(t) // with a figure that names no vehicle
	banjoOf(s, "a-two-door", "two-door")
	banjoOf(s, "z-estate", "estate")
	body := s.get(torquePage).want(t, http.StatusOK, "; for this vehicle", "; borrowed from “two-door”").body
	own, nobodys, borrowed := strings.Index(body, `value="z-estate"`), strings.Index(body, `value="banjo"`), strings.Index(body, `value="a-two-door"`)
	if own < 0 || own > nobodys || nobodys > borrowed {
		t.Errorf("own at %d, nobody's at %d, borrowed at %d", own, nobodys, borrowed)
	}
}

// The figure of a wheel that was tightened last is offered again on the same vehicle,
// and on another one only if it was recorded for that one too.
func TestNoFigureIsLentUnasked(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	wheel := func(fits ...string) {
		s.write("spec/wheel", &journal.TorqueSpec{Spec: "wheel", Joint: "wheel nuts", Nominal: q[unit.Torque]("120 N.m"), From: journal.FromManual, Fits: fits})
	}
	offered := func(job journal.JobID, corner journal.Corner) bool {
		return strings.Contains(s.get("/write/wheel.fitted/"+string(journal.About(job, corner, ""))).want(t, http.StatusOK).body, `value="wheel" checked`)
	}
	s.write("spec/other", &journal.TorqueSpec{Spec: "other", Joint: "wheel nuts", Nominal: q[unit.Torque]("90 N.m"), From: journal.FromManual}) // so that none is the only one
	wheel()
	s.write(journal.About(two, "RF", ""), &journal.WheelFit{Step: journal.WheelFull, Nuts: 5, Pattern: journal.StarPattern, Torque: q[unit.Torque]("120 N.m"), Tool: "tw-1", Spec: "wheel"})
	if !offered(two, "RF") {
		t.Error("it is not offered again on the same vehicle")
	}
	if offered(one, "LF") {
		t.Error("a figure that names no vehicle is lent to another one")
	}
	wheel("two-door")
	if offered(one, "LF") {
		t.Error("a figure of other vehicles is lent")
	}
	wheel("two-door", "estate")
	if !offered(one, "LF") {
		t.Error("the vehicle’s own figure is not offered")
	}
}

// Beforehand the one figure of this vehicle is chosen for a joint, never one that would be
// borrowed.
func TestABorrowedFigureIsNotChosenBeforehand(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	chosen := func(name string) bool {
		return strings.Contains(s.get(torquePage+"&joint=bracket+bolt").want(t, http.StatusOK).body, `value="`+name+`" checked`)
	}
	bracket := func(name journal.SpecID, fits ...string) {
		s.write(journal.Of("spec", string(name)), &journal.TorqueSpec{Spec: name, Joint: "bracket bolt", Nominal: q[unit.Torque]("105 N.m"), From: journal.FromManual, Fits: fits})
	}
	if bracket("theirs", "two-door"); chosen("theirs") {
		t.Error("the only one is chosen, and is another vehicle's")
	}
	if bracket("nobodys"); !chosen("nobodys") {
		t.Error("the only one that may be this vehicle's is not chosen")
	}
	if bracket("ours", "estate"); !chosen("ours") {
		t.Error("this vehicle's own is not chosen")
	}
	if bracket("ours-too", "moss-green"); chosen("ours") || chosen("ours-too") || chosen("nobodys") {
		t.Error("one of two is chosen")
	}
}

// A contact that a list asked for says which follow-up it keeps, and leads back to
// that list.
func TestAContactKeepsAFollowUpByItsName(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	s.leads = func(l *record.Line) string {
		if d, ok := l.Effect().(*journal.Contact); ok && d.Keeps != "" {
			return "/due"
		}
		return ""
	}
	s.start()
	path := "/write/contact.made/job/" + string(one)
	s.get(path+"?how=telephone&about=fluid+at+the+joints&reached=yes&answer=dry&keeps=weep").want(t, http.StatusOK, `name="keeps" value="weep"`, `value="fluid at the joints"`)
	typed := url.Values{"how": {"telephone"}, "about": {"fluid at the joints"}, "reached": {"yes"}, "answer": {"dry"}}
	if p := s.stamp(path, with(typed, url.Values{"keeps": {"weep"}})); p.location != "/due" {
		t.Errorf("it leads to %q", p.location)
	}
	if p := s.stamp(path, with(typed, url.Values{"about": {"the weather"}})); p.location == "/due" {
		t.Error("what nobody asked for leads to the list")
	}
	lines := s.lines(journal.ContactMade)
	if d, ok := lines[0].Payload.(*journal.Contact); !ok || d.Keeps != "weep" || lines[0].Says() != "asked by telephone about fluid at the joints; answer: “dry”" {
		t.Errorf("written: %+v, %s", lines[0].Payload, lines[0].Says())
	}
}
