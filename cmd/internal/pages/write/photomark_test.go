package write_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/media/mediatest"
)

// What is to be seen on a photograph that was stamped is marked on a copy by a tap, or
// typed; nothing is written without a mark, and none without its words.
func TestAPhotographIsMarked(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	path := "/write/photo.taken/" + string(lfCaliper)
	_, action, token := s.open(path)
	s.post(action, url.Values{"once": {token}, "do": {"photo"}, "role": {"the ear"}}, "photos", upload{"picture", "a.jpg", mediatest.JPEG(mediatest.Noise(320, 240, 7), 80, nil)}).want(t, http.StatusOK)
	s.post(action, url.Values{"once": {token}, "do": {"save"}, "sure": {"1"}}, "")
	lines := s.lines(journal.PhotoTaken)
	if len(lines) != 1 {
		t.Fatalf("%d photographs were written", len(lines))
	}
	taken := lines[0]
	mark := "/write/photo.marked/" + string(lfCaliper) + "?of=" + taken.ID.String()
	p, action, token := s.open(mark)
	found := tapOf.FindStringSubmatch(p.body)
	if found == nil {
		t.Fatalf("there is nothing to be tapped\n%s", clip(p.body))
	}
	s.post(action, url.Values{"once": {token}, "of": {taken.ID.String()}, found[1] + ".x": {"80"}, found[1] + ".y": {"120"}}, "")
	s.get(action).want(t, http.StatusOK, `name="marks.0.x" value="25.0"`, `name="marks.0.y" value="50.0"`, `cx="80.0" cy="120.0"`, ">1</text>")
	v := url.Values{"of": {taken.ID.String()}, "marks.0.photo": {taken.Photos[0].Ref.String()}, "marks.0.shape": {"arrow from the left"}, "marks.0.x": {"25"}, "marks.0.x.unit": {"%"}, "marks.0.y": {"50"}, "marks.0.y.unit": {"%"}}
	if p := s.stamp(action, v); p.status != http.StatusUnprocessableEntity {
		t.Errorf("a mark without its words gives %d", p.status)
	}
	if p := s.stamp(action, url.Values{"of": {taken.ID.String()}}); p.status != http.StatusUnprocessableEntity {
		t.Errorf("no mark gives %d", p.status)
	}
	v.Set("marks.0.says", "a chip")
	s.stamp(action, v).to(t, "/job/4f7kk2m9")
	l := s.lines(journal.PhotoMarked)
	if len(l) != 1 || !strings.Contains(l[0].Says(), "arrow from the left at 25 % from the left and 50 % from the top: a chip") {
		t.Errorf("written: %+v", l)
	}
	if now := s.lines(journal.PhotoTaken)[0]; now.Photos[0] != taken.Photos[0] {
		t.Error("the photograph is another one now")
	}
}
