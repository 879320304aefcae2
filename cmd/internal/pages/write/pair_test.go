package write_test

import (
	"net/http"
	"net/url"
	"testing"

	"fettlebook/journal"
)

// A word on an order is asked for of two entries of the job whose order nobody
// knows, and of nothing else.
func TestWhichWasFirstIsAskedOfAPair(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	opened := s.live.View(t.Context()).Job(one).Opened.ID.String()
	off := s.write(lfCaliper, &journal.Removal{Condition: "rusty"}).String()
	ask := func(ids ...string) page {
		return s.get("/write/order.stated/" + string(journal.About(one, "", "")) + "?" + url.Values{"of": ids}.Encode())
	}
	ask().want(t, http.StatusNotFound, "Come here from the hold point")
	ask(opened).want(t, http.StatusNotFound, "Come here from the hold point")
	ask(opened, "x").want(t, http.StatusNotFound)
	ask(opened, s.write(rfCaliper, &journal.Removal{}).String()).want(t, http.StatusNotFound, "is not in the record of this job here")
	ask(opened, off).want(t, http.StatusConflict, "The record already says which of the two was done first.")
}

// A word on an order that was a slip is corrected on a page that names both.
func TestAWordOnAnOrderIsCorrected(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	one, other := s.write(lfCaliper, &journal.Removal{Condition: "rusty"}), s.write(lfCaliper, &journal.Stripping{Removed: []string{"piston"}, Rubber: "none left in"})
	said := s.write(journal.About("4f7kk2m9", "", ""), &journal.OrderStatement{First: one, Then: other, How: "the wheel was off"})
	path := "/correct/" + said.String()
	p := s.get(path).want(t, http.StatusOK, "off the vehicle; rusty", "piston", `value="`+one.String()+`" checked`)
	wellFormed(t, p.body)
	s.stamp(path, url.Values{"first": {other.String()}, "how": {"the wheel was off"}}).to(t, "/job/4f7kk2m9")
	now, ok := s.live.View(t.Context()).Line(said)[0].Effect().(*journal.OrderStatement)
	if !ok || now.First != other || now.Then != one {
		t.Errorf("stands as %+v", now)
	}
}
