package write_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"fettlebook/journal"
)

// What was ticked off a corner's bag is the remark of the photograph of the empty bag,
// with what was not ticked; it is written with it.
func TestTicksOfABagAreWritten(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	s.write(lf, &journal.Bagging{Bag: "b4", Items: []journal.Item{{What: "guide pin bolt", Count: 2}, {What: "anti-rattle clip", Count: 1}}})
	s.write(journal.About(one, "RF", ""), &journal.Bagging{Bag: "b5", Items: []journal.Item{{What: "cable clip", Count: 3}}})
	s.write(lf, &journal.Bagging{Bag: "b6", Items: []journal.Item{{What: "cover", Count: 1}}})
	page := "/write/photo.taken/" + string(lf)
	const remark = "Out of the bag and back on the vehicle: 2 guide pin bolts, 1 cover; not ticked: 1 anti-rattle clip."
	s.get(page+"?counted=0&counted=2&picture=").want(t, http.StatusOK, remark)
	for _, nothing := range []string{"", "?counted=", "?counted=9", "?counted=x"} {
		if strings.Contains(s.get(page+nothing).want(t, http.StatusOK).body, "Out of the bag") {
			t.Errorf("%q ticks something", nothing)
		}
	}
	if strings.Contains(s.get("/write/note.made/"+string(lf)+"?counted=0").body, "Out of the bag") {
		t.Error("another kind takes it too")
	}
	s.stamp(page+"?counted=0&counted=2", url.Values{"note": {remark}, "role": {"empty bag"}}, upload{"picture", "a.jpg", photo(9)})
	lines := s.lines(journal.PhotoTaken)
	if len(lines) != 1 || lines[0].Payload.(*journal.Snapshot).Note != remark {
		t.Errorf("written: %v", lines)
	}
	met := false
	st := s.live.View(t.Context()).Standing(one)
	for v := range st.Each() {
		if v.Hold == "bag-empty" && v.Subject == lf && !strings.Contains(v.Why, "no photograph shows") {
			met = true
		}
	}
	if !met {
		t.Error("the photograph does not count as that of the empty bag")
	}
}
