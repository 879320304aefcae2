package bench_test

import (
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"
)

var sameOf = regexp.MustCompile(`name="same" value="([0-9a-f]+)"`)

// A vehicle that is here already and is told otherwise asks: both are shown, and
// a second press says that it is so. What is typed is part of what was asked.
func TestAVehicleToldOtherwiseAsks(t *testing.T) {
	s := newSite(t)
	first := job()
	first.Set("looks", "moss-green estate")
	first.Set("odometer", "84210")
	s.sees(s.ask("/job/new", first), http.StatusSeeOther)
	for _, c := range []struct {
		name   string
		change url.Values
		says   string
	}{ // in this order: what the first opens is on record for the second
		{"another car", url.Values{"looks": {"black van"}}, "It looks like another car. On record: moss-green estate"},
		{"a smaller odometer", url.Values{"odometer": {"8421"}}, "The odometer shows less than before. On record: 84"},
	} {
		form := job()
		form.Set("looks", "green estate")
		form.Set("odometer", "84300")
		for k, v := range c.change {
			form[k] = v
		}
		form.Set("once", c.name)
		size := s.size()
		w := s.ask("/job/new", form)
		s.sees(w, http.StatusUnprocessableEntity, c.says, "Typed here: ", "Yes, open the job all the same")
		if s.size() != size {
			t.Fatalf("%s: the first press opened it", c.name)
		}
		same := sameOf.FindStringSubmatch(w.Body.String())[1]
		other := url.Values{}
		for k, v := range form {
			other[k] = v
		}
		other.Set("same", same)
		other.Set("odometer", "7")
		s.sees(s.ask("/job/new", other), http.StatusUnprocessableEntity, "Typed here: 7 km")
		form.Set("same", same)
		s.sees(s.ask("/job/new", form), http.StatusSeeOther)
	}
	// The same car again asks nothing.
	form := job()
	form.Set("plate", strings.ToLower(form.Get("plate")))
	form.Set("odometer", "84400")
	form.Set("once", "again")
	s.sees(s.ask("/job/new", form), http.StatusSeeOther)
}
