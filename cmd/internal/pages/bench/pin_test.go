package bench_test

import (
	"context"
	"errors"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"fettlebook/journal"
)

// pins are those of a test, kept as they are.
type pins map[journal.PersonID]string

func (p pins) Has(who journal.PersonID) (bool, error) { return p[who] != "", nil }

func (p pins) Change(_ context.Context, by, who journal.PersonID, confirm, pin string) error {
	if p[by] == "" || p[by] != confirm {
		return errors.New("this is not the PIN of whoever asks, so nothing was written; type it again")
	}
	p[who] = pin
	return nil
}

// At a tablet each changes their own PIN with the one before, and the owner sets
// anybody's. A first one nobody sets for themselves there.
func TestPINsAreChanged(t *testing.T) {
	s := newSite(t)
	s.write("person/jr", &journal.Person{Person: "jr", Initials: "JR", Duties: []journal.Duty{"bench"}})
	s.write("person/mk", &journal.Person{Person: "mk", Initials: "MK", Duties: []journal.Duty{"bench"}})
	s.write("person/io", &journal.Person{Person: "io", Initials: "IO", Duties: []journal.Duty{"owner"}})
	form := func(of, pin, fresh, again string) url.Values {
		return url.Values{"of": {of}, "pin": {pin}, "new": {fresh}, "again": {again}}
	}
	s.by = ""
	if to := s.ask("/pin", nil).Header().Get("Location"); to != "/who?back=%2Fpin" {
		t.Errorf("nobody is led to %q", to)
	}
	s.by = "jr"
	s.sees(s.ask("/who", nil), http.StatusOK, `href="/pin"`)
	if w := s.ask("/pin", nil); strings.Contains(w.Body.String(), `name="new"`) {
		t.Error("somebody without a PIN may set a first one")
	}
	s.sees(s.ask("/pin", nil), http.StatusOK, "JR has no PIN on this tablet yet", "fettlebook tablet pin --for jr")
	s.sees(s.ask("/pin", form("jr", "", "4711", "4711")), http.StatusUnprocessableEntity)
	s.pins["io"] = "20618"
	s.by = "io"
	s.sees(s.ask("/pin", nil), http.StatusOK, "Set a PIN", `<option value="jr"`, `<option value="mk"`)
	s.sees(s.ask("/pin", form("jr", "20619", "4711", "4711")), http.StatusUnprocessableEntity, "This is not the PIN of whoever asks", `<option value="jr" selected`)
	s.sees(s.ask("/pin", form("gone", "20618", "4711", "4711")), http.StatusUnprocessableEntity, "Only the owner")
	s.sees(s.ask("/pin", form("jr", "20618", "4711", "4712")), http.StatusUnprocessableEntity, "differ")
	if w := s.ask("/pin", form("jr", "20618", "4711", "4711")); w.Header().Get("Location") != "/pin?set=jr" {
		t.Errorf("set, it leads to %q: %s", w.Header().Get("Location"), w.Body)
	}
	s.sees(s.ask("/pin?set=jr", nil), http.StatusOK, "The PIN of JR on this tablet is set.")
	s.by = "jr"
	s.sees(s.ask("/pin", form("mk", "4711", "1234", "1234")), http.StatusUnprocessableEntity, "Only the owner of the shop gives somebody else a PIN.")
	s.ask("/pin", form("", "4711", "90210", "90210"))
	if s.pins["jr"] != "90210" || s.pins["mk"] != "" || s.pins["io"] != "20618" {
		t.Errorf("in the end: %v", s.pins)
	}
}
