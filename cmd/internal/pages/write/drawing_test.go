package write_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"fettlebook/journal"
)

// Each look of a defect stands beside its drawing and what tells it apart, which
// is all that a screen reader needs.
func TestLooksAreDrawn(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	p, _, _ := s.open("/write/defect.found/" + string(lfCaliper))
	p.want(t, http.StatusOK, `src="/look/pinhole.svg" alt=""`, "tiny hole, right through the film", `src="/look/rust-under-the-film.svg"`, "something else")
	if wellFormed(t, p.body); strings.Count(p.body, `src="/look/`) != len(journal.Look("").Words())-1 {
		t.Errorf("%d looks are drawn", strings.Count(p.body, `src="/look/`))
	}
	s.get("/look/pinhole.svg").want(t, http.StatusOK, "<svg")
	s.get("/look/something-else.svg").want(t, http.StatusNotFound)
}

// The place of a defect is tapped on a drawing of its part, and can be typed
// all the same. A browser sends where in pixels of a picture of 320 by 240.
func TestAPlaceIsTapped(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	p, action, token := s.open("/write/defect.found/" + string(lfCaliper))
	p.want(t, http.StatusOK, `type="image"`, "/outline/floating-caliper-outer-side.svg")
	if wellFormed(t, p.body); strings.Contains(p.body, "/outline/bracket") {
		t.Error("a caliper is offered the drawing of a bracket")
	}
	s.get("/outline/floating-caliper-outer-side.svg").want(t, http.StatusOK, "<svg")
	s.get("/outline/wheel.svg").want(t, http.StatusNotFound)
	tap := func(x, y string) page {
		typed := url.Values{"once": {token}, "face": {"by the bridge"}, "tap:floating caliper, outer side.x": {x}, "tap:floating caliper, outer side.y": {y}}
		if p := s.post(action, typed, ""); p.status != http.StatusSeeOther {
			t.Fatalf("the tap gives %d", p.status)
		}
		return s.get(action)
	}
	tap("-4", "no place").want(t, http.StatusOK, `value="by the bridge"`)
	tap("80", "180").want(t, http.StatusOK, `value="25.0"`, `value="75.0"`, "· chosen", `value="by the bridge"`)
	s.stamp(action, url.Values{"looks": {"pinhole"}, "face": {"by the bridge"}, "seen": {"after bake"}, "outline": {"floating caliper, outer side"}, "x": {"25.0"}, "x.unit": {"%"}, "y": {"75.0"}, "y.unit": {"%"}, "sure": {"1"}}).to(t, "/job/4f7kk2m9")
	if is := s.lines(journal.DefectFound)[0].Effect().(*journal.Defect); is.Outline != journal.FloatingOuter || is.X.String() != "25.0 %" || is.Y.String() != "75.0 %" {
		t.Errorf("written: %+v", is)
	}
}
