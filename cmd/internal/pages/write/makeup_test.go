package write_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/card"
)

const describePage = "/stage/makeup/" + "job/4f7kk2m9/corner/LF/part/caliper"

// A preset fills the form in by one tap, is corrected, and the entry holds the
// whole of what was stated.
func TestAPresetIsCorrected(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	p, action, token := s.open(describePage)
	if p.want(t, http.StatusOK, "What it has", "floating caliper, one piston", "fixed caliper, four pistons"); strings.Contains(p.body, "bracket that carries") {
		t.Error("a caliper is offered the presets of brackets")
	}
	press := func(do string) page {
		if p := s.post(action, url.Values{"once": {token}, "do": {do}, "note": {"counted twice"}}, ""); p.status != http.StatusSeeOther {
			t.Fatalf("%s: %d", do, p.status)
		}
		return s.get(action)
	}
	press("preset:no such preset").want(t, http.StatusOK, "counted twice")
	press("preset:fixed caliper, four pistons").want(t, http.StatusOK, `value="piston bore"`, `value="mounting bolt"`, "counted twice", `aria-pressed="true"`)
	typed := url.Values{"preset": {"floating caliper, one piston"}, "bores.0.what": {"piston bore"}, "bores.0.count": {"1"}, "rubber.0.what": {"dust boot"}, "rubber.0.count": {"1"},
		"bleeders": {"1"}, "line": {"flare nut"}, "joints.0.joint": {"guide pin bolt"}, "joints.0.bolts": {"2"}, "parking_brake": {"none"}, "sure": {"1"}}
	if p := s.stamp(action, typed); p.status != http.StatusSeeOther {
		p.want(t, http.StatusSeeOther)
	}
	is := s.lines(journal.PartDescribed)[0].Effect().(*journal.MakeUp)
	if is.Line != journal.ByFlareNut || len(is.Bores) != 1 || is.Joints[0].Bolts != 2 || is.Preset != "floating caliper, one piston" {
		t.Errorf("stated %+v", is)
	}

	// What the part has is asked for by name; the number is counted.
	p = s.get("/write/bore.masked/"+string(lfCaliper)).want(t, http.StatusOK, "The part has 1 piston bore.", `value="piston bore"`)
	if strings.Contains(p.body, `name="features.0.count" value="1"`) {
		t.Error("the number is filled in before anybody counted")
	}
	s.get("/write/part.rebuilt/"+string(lfCaliper)).want(t, http.StatusOK, "The part has 1 dust boot.")
}

// Where the bleeder screw points is asked of a part that has one.
func TestABracketIsNotAskedForItsBleederScrew(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	for part, bleeders := range map[journal.PartID]int{"caliper": 1, "bracket": 0} {
		about := journal.About(one, "LF", part)
		s.write(about, &journal.MakeUp{Bleeders: bleeders, Line: journal.NoLine, Parking: journal.NoParkingBrake})
		if p := s.get("/write/part.refitted/" + string(about)); p.status != http.StatusOK || strings.Contains(p.body, "Bleeder screw points") != (bleeders > 0) {
			t.Errorf("%s: %d, and its %d bleeder screws are asked for otherwise", part, p.status, bleeders)
		}
	}
}

// Whoever counts a part by hand that has nothing of a brake is not asked for it,
// and it is answered all the same; of a caliper it is asked.
func TestAnArmIsNotAskedForItsBleederScrews(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	text, err := card.Supplied("arm")
	if err != nil {
		t.Fatal(err)
	}
	s.write("route/arm", &journal.RouteCard{Route: "arm", Edition: 1, Text: text})
	s.write("job/7arm7arm", &journal.Job{Vehicle: journal.Vehicle{Plate: "TRL 88"}, Corners: []journal.Corner{"RF"}, Route: "arm", Edition: 1})
	arm := journal.About("7arm7arm", "RF", "arm")
	page, action, _ := s.open("/write/part.described/" + string(arm))
	page.want(t, http.StatusOK, "arm with ball joint and two bushes")
	main, more, _ := strings.Cut(page.body, `<details id="more"`)
	for _, name := range []string{"bleeders", "line", "parking_brake"} {
		if field := `name="` + name + `"`; strings.Contains(main, field) || !strings.Contains(more, field) {
			t.Errorf("%s stands among what is counted", name)
		}
	}
	typed := url.Values{"bores.0.what": {"bush bore"}, "bores.0.count": {"2"}, "bleeders": {"0"}, "line": {"none"}, "parking_brake": {"none"}, "sure": {"1"}}
	if !strings.Contains(page.body, `name="bleeders" value="0"`) {
		t.Error("the bleeder screws are not answered")
	}
	s.stamp(action, typed)
	if is := s.lines(journal.PartDescribed)[0].Effect().(*journal.MakeUp); is.Line != journal.NoLine || is.Bleeders != 0 {
		t.Errorf("stated %+v", is)
	}
	caliper := s.get(describePage)
	if before, _, _ := strings.Cut(caliper.body, `<details id="more"`); !strings.Contains(before, `name="bleeders" value=""`) {
		t.Error("a caliper is not asked for its bleeder screws")
	}
}
