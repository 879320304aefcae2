package write_test

import (
	"maps"
	"net/http"
	"regexp"
	"slices"
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages"
	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
)

var sectionOf = regexp.MustCompile(`(?s)<section class="sheet" id="(closes|ways|named)">.*?</section>`)

// section is one of the lists of ways, "" where the page has it not.
func (p page) section(name string) string {
	for _, m := range sectionOf.FindAllStringSubmatch(p.body, -1) {
		if m[1] == name {
			return m[0]
		}
	}
	return ""
}

// A stage says before it is stamped what it puts out of sight that has no
// photograph or is not written down, each with a link; what is there is not
// listed, nor what lies behind an earlier stage.
func TestWhatAStageClosesOff(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	refit := "/stage/refit/" + string(lfCaliper)
	list := s.get(refit).want(t, http.StatusOK, "Out of sight after “Back on”").section("closes")
	for _, want := range []string{"/stage/seats/" + string(lfCaliper), "Seats", "photograph: "} {
		if !strings.Contains(list, want) {
			t.Errorf("%q is not in\n%s", want, list)
		}
	}
	if strings.Contains(list, "/stage/mask/") || strings.Contains(list, "/stage/removed/") {
		t.Errorf("what powder or the strip hid is listed:\n%s", list)
	}
	s.stamp("/stage/seats/"+string(lfCaliper), map[string][]string{"shown.0.what": {"bolt seat"}, "shown.0.count": {"2"}, "state": {"bare"}, "role": {"bare seats and faces"}}, upload{"picture", "a.jpg", photo(31)})
	if list := s.get(refit).section("closes"); strings.Contains(list, "Seats bare") || strings.Contains(list, "photograph: bare seats") {
		t.Errorf("what is shown is listed:\n%s", list)
	}
	// A stage that hides nothing says nothing of it; a run says it of what hangs in it.
	if p := s.get(maskPage); p.section("closes") != "" {
		t.Error("masking hides something")
	}
	if list := s.get("/run/new/powder.applied?part=" + string(rfCaliper)).section("closes"); !strings.Contains(list, "/stage/mask/"+string(rfCaliper)) || strings.Contains(list, string(one)) {
		t.Errorf("powder on another car's part hides\n%s", list)
	}
}

// Handing back with open holds of safety is a list of links to where they are met,
// and nothing to be pressed, however it is asked for.
func TestHandBackIsAListOfLinks(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	path := "/write/vehicle.released/job/" + string(one)
	p := s.get(path).want(t, http.StatusOK, "The vehicle may not be handed back yet", "/stage/raised/job/4f7kk2m9", "The pedal is firm", "/stage/hydraulics/job/4f7kk2m9?kind=pedal.checked", "Bled after the last opening")
	if strings.Contains(p.body, `id="stamp"`) || strings.Contains(p.body, "<form") {
		t.Error("there is something to be pressed")
	}
	if named := p.section("named"); !strings.Contains(named, "Soaked before powder") || strings.Contains(named, "The pedal is firm") {
		t.Errorf("the record will name\n%s", named)
	}
	p = s.press(path, map[string][]string{"once": {"0123456789abcdef01234567"}, "do": {"save"}})
	p.want(t, http.StatusUnprocessableEntity, "The vehicle may not be handed back yet")
	if strings.Contains(p.body, `id="stamp"`) || len(s.lines(journal.VehicleReleased)) > 0 {
		t.Error("it can be pressed all the same")
	}
	for _, link := range regexp.MustCompile(`href="(/stage/[^"]+)"`).FindAllStringSubmatch(p.section("ways"), -1) {
		s.get(strings.ReplaceAll(link[1], "&amp;", "&")).want(t, http.StatusOK)
	}
}

// Who may not do a thing sees who may.
func TestWhoMaySaysSo(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	s.write("person/mk", &journal.Person{Person: "mk", Initials: "MK", Duties: []journal.Duty{"bench"}})
	check, waive, back := "/write/second.checked/job/"+string(one), "/write/hold.waived/job/"+string(one), "/write/vehicle.released/job/"+string(one)
	for _, c := range []struct {
		by         journal.PersonID
		path, says string
	}{
		{"mk", check, "MK is not authorised for second checks, so this would not count. JR is."},
		{"mk", waive, "MK is not authorised to waive, so this would not count. IO is."},
		{"mk", back, "MK is not authorised to hand a vehicle back, so this would be refused. IO is."},
		{"io", waive, ""}, {"jr", check, ""}, {"io", back, ""},
	} {
		s.by = c.by
		p := s.get(c.path).want(t, http.StatusOK, c.says)
		if c.says == "" && strings.Contains(p.body, "is not authorised") {
			t.Errorf("%s may not do %s", c.by, c.path)
		}
	}
	s.by = "io"
	s.get(check).want(t, http.StatusOK, "Nobody else has worked on the brakes of this vehicle.", "Authorised for second checks: JR.")
}

// A second look lists the work on the brakes that somebody else did, the newest
// first, and nothing that could not be looked at.
func TestASecondLookListsWhatCounts(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	s.write(lf, &journal.LineOpening{At: "banjo"})
	s.write(lfCaliper, &journal.Refitting{Bleeder: "up"})
	s.write(lf, &journal.LineConnection{At: "banjo"})
	s.write(lfCaliper, &journal.Remark{Evidence: journal.Evidence{Note: "a scratch"}})
	s.by = "jr"
	p := s.get("/write/second.checked/job/" + string(one))
	closed, opened := strings.Index(p.body, "hydraulics closed at banjo"), strings.Index(p.body, "hydraulics opened at banjo")
	if closed < 0 || opened < closed || strings.Contains(p.body, "a scratch") {
		t.Errorf("closed at %d, opened at %d\n%s", closed, opened, clip(p.body))
	}
}

// Whatever a hold lacks, its link opens the form of it, or the page of its stage or run.
func TestWaysOpen(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	s.write(lf, &journal.LineOpening{At: "banjo"})
	for _, part := range []journal.PartID{"caliper", "bracket"} {
		for _, corner := range []journal.Corner{"LF", "RF"} {
			s.write(journal.About(one, corner, part), &journal.Removal{})
		}
	}
	s.write(lfCaliper, &journal.Degreasing{Agent: "alkaline bath"})
	baking(s)
	bracket := journal.About(one, "LF", "bracket")
	s.write(bracket, &journal.Coating{Lot: "pw-none", Coat: 1})
	s.write("run/b2", &journal.BakeStart{Rack: journal.Rack{Parts: []journal.Subject{bracket}}, Oven: "oven-1", Set: q[unit.Temperature]("180 °C")})
	s.write("run/b2", &journal.Cure{Held: q[unit.Duration]("20 min"), By: journal.OvenClock})
	s.write(lfCaliper, &journal.Refitting{Bleeder: "up"})
	banjoOf(s, "theirs", "two-door")
	for _, d := range []*journal.Torque{{Joint: "banjo bolt", Spec: "theirs", Tool: "tw-1"}, {Joint: "guide pin bolt", Tool: "tw-9"}} {
		d.Torque = q[unit.Torque]("27 N.m")
		s.write(lf, d)
	}
	s.write(lf, &journal.Bleed{Fluid: "bf-none", Drawn: q[unit.Volume]("60 mL"), Bubbles: journal.NoBubbles, Screw: q[unit.Torque]("12 N.m"), Tool: "tw-9"})
	s.write(lf, &journal.WheelFit{Step: journal.WheelFull, Nuts: 5, Pattern: journal.StarPattern, Torque: q[unit.Torque]("120 N.m"), Tool: "tw-9"})
	s.desk = true // where nothing is refused
	s.start()
	seen := make(map[string]bool)
	st := s.live.View(t.Context()).Standing(one)
	for v := range st.Each() {
		for _, w := range v.Ways(st.Card) {
			link := pages.WayOf(w)
			if seen[link.Path] {
				continue
			}
			seen[link.Path] = true
			p := s.get(link.Path).want(t, http.StatusOK)
			if w.Kind != "" && !strings.Contains(p.body, `id="stamp"`) && !strings.Contains(p.body, "/run/") {
				t.Errorf("%s %s: %q opens %s, where nothing can be stamped", v.Hold, v.Subject, link.Say, link.Path)
			}
		}
	}
	for _, path := range []string{"/write/spec.recorded/spec/theirs", "/write/tool.registered/tool/tw-9", "/write/fluid.opened/fluid/bf-none", "/write/powder.received/lot/pw-none", "/stage/road/job/4f7kk2m9?kind=second.checked", "/stage/bleed/" + string(lf) + "?kind=bleed.done"} {
		if !seen[path] {
			t.Errorf("nothing leads to %s, but to %v", path, slices.Sorted(maps.Keys(seen)))
		}
	}
}

// Every page of a job says that its vehicle is not to be driven, and why.
func TestDoNotDriveIsSaid(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	for _, path := range []string{maskPage, torquePage, "/stage/received/job/4f7kk2m9", "/write/vehicle.released/job/4f7kk2m9"} {
		s.get(path).want(t, http.StatusOK, "Do not drive: LF caliper off.")
	}
}
