package write_test

import (
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
	"fettlebook/media/mediatest"
)

var tapOf = regexp.MustCompile(`name="(tap:mark:\d+:\d+:[0-9a-f]{64})" src="/snap/[0-9a-f]{64}" width="(\d+)" height="(\d+)"`)

// A place on a photograph of a defect is tapped on the picture, and can be
// typed all the same: each tap is a mark more. What was typed stays.
func TestAMarkIsTapped(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	p, action, token := s.open("/write/defect.found/" + string(lfCaliper))
	if strings.Contains(p.body, "tap:mark:") {
		t.Error("there is something to be marked before there is a photograph")
	}
	tall := upload{"picture", "a.jpg", mediatest.JPEG(mediatest.Noise(240, 320, 7), 80, nil)}
	s.post(action, url.Values{"once": {token}, "do": {"photo"}}, "photos", tall).want(t, http.StatusOK, "tap:mark:", "Tap the place on a photograph")
	p = s.get(action)
	wellFormed(t, p.body)
	found := tapOf.FindStringSubmatch(p.body)
	if found == nil || found[2] != "240" || found[3] != "320" {
		t.Fatalf("the picture to be tapped is %q\n%s", found, clip(p.body))
	}
	ref := found[1][strings.LastIndex(found[1], ":")+1:]
	held := url.Values{}
	tap := func(name, x, y string) page {
		t.Helper()
		v := with(held, url.Values{"once": {token}, "face": {"by the bridge"}, name + ".x": {x}, name + ".y": {y}})
		if p := s.post(action, v, ""); p.status != http.StatusSeeOther {
			t.Fatalf("the tap gives %d", p.status)
		}
		return s.get(action)
	}
	for what, no := range map[string][3]string{
		"by a key": {found[1], "0", "0"}, "beside it": {found[1], "-1", "5"}, "nowhere": {found[1], "a", "b"},
		"without a size": {"tap:mark:0:0:" + ref, "3", "3"}, "no photograph": {"tap:mark:240:320:" + strings.Repeat("ab", 32), "3", "3"}, "too little": {"tap:mark:240", "3", "3"},
	} {
		if p := tap(no[0], no[1], no[2]); strings.Contains(p.body, "<circle") || strings.Contains(p.body, `name="marks.1.photo"`) {
			t.Errorf("pressed %s, it is marked", what)
		}
	}
	tap(found[1], "60", "240").want(t, http.StatusOK, `name="marks.0.x" value="25.0"`, `name="marks.0.y" value="75.0"`, "1 mark", `cx="60.0" cy="240.0"`, `value="by the bridge"`, `id="marking" open`)
	held = url.Values{"marks.0.photo": {"sha256:" + ref}, "marks.0.x": {"25.0"}, "marks.0.x.unit": {"%"}, "marks.0.y": {"75.0"}, "marks.0.y.unit": {"%"}, "marks.0.radius": {"5"}, "marks.0.radius.unit": {"%"}}
	tap(found[1], "240", "320").want(t, http.StatusOK, `name="marks.0.x" value="25.0"`, `name="marks.1.x" value="100.0"`, "2 marks", `cx="240.0" cy="320.0"`)

	held = with(held, url.Values{"marks.1.photo": {"sha256:" + ref}, "marks.1.x": {"100.0"}, "marks.1.x.unit": {"%"}, "marks.1.y": {"100.0"}, "marks.1.y.unit": {"%"}})
	s.stamp(action, with(held, url.Values{"looks": {"pinhole"}, "face": {"by the bridge"}, "seen": {"after bake"}})).to(t, "/job/4f7kk2m9")
	l := s.lines(journal.DefectFound)[0]
	is := l.Effect().(*journal.Defect)
	if len(is.Marks) != 2 || is.Marks[0].Photo.Hex() != ref || is.Marks[0].X.In(unit.Percent) != 25 || is.Marks[0].Radius.In(unit.Percent) != 5 || is.Marks[1].Y.In(unit.Percent) != 100 {
		t.Errorf("written: %+v", is.Marks)
	}

	// A correction marks the photograph that is there already.
	_, action, token = s.open("/correct/" + l.ID.String())
	s.get(action).want(t, http.StatusOK, "or mark one", "2 marks", "tap:mark:240:320:"+ref)
	held["marks.2.photo"] = []string{""}
	tap(found[1], "120", "160").want(t, http.StatusOK, "3 marks", `name="marks.2.x" value="50.0"`)
	if p := s.get("/write/part.removed/" + string(lfCaliper)); strings.Contains(p.body, "tap:mark:") {
		t.Error("a part that comes off is marked")
	}
}
