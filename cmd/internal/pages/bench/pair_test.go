package bench_test

import (
	"context"
	"errors"
	"net/http"
	"net/url"
	"testing"
	"time"

	"fettlebook/cmd/internal/pages/bench"
	"fettlebook/journal/journaltest"
)

// phones are telephones that nobody has.
type phones struct {
	on, guest bool
	broken    error
}

func (p *phones) Offer() (bench.Offer, error) {
	return bench.Offer{Links: []string{"https://192.0.2.7:7463/pair/abc"}, Code: "7KQ2-M4XB", Until: journaltest.Morning().Add(time.Hour)}, nil
}
func (p *phones) Redeem(http.ResponseWriter, *http.Request, string, string) error { return nil }
func (p *phones) Is(*http.Request) bool                                           { return p.guest }
func (p *phones) List() []bench.Phone                                             { return nil }
func (p *phones) Forget(string) error                                             { return errors.New("nobody of that name") }
func (p *phones) On() bool                                                        { return p.on }
func (p *phones) Turn(_ context.Context, on bool) error {
	if p.broken == nil {
		p.on = on
	}
	return p.broken
}

// The way for telephones is switched at the tablet, and by no telephone; what goes wrong is
// said on the page.
func TestPhonesAreSwitched(t *testing.T) {
	s := newSite(t)
	turn := func(to string) url.Values { return url.Values{"turn": {to}} }
	s.sees(s.ask("/pair", nil), http.StatusOK, "Phones cannot reach this tablet", "Let phones use these pages")
	s.sees(s.ask("/pair", turn("on")), http.StatusSeeOther)
	s.sees(s.ask("/pair", nil), http.StatusOK, "7KQ2-M4XB", "Keep phones away")
	s.phones.guest = true
	s.sees(s.ask("/pair", turn("off")), http.StatusForbidden, "Phones are let in and removed at the tablet itself")
	s.phones.guest = false
	if !s.phones.on {
		t.Error("a phone has switched it off")
	}
	s.sees(s.ask("/pair", turn("off")), http.StatusSeeOther)
	s.sees(s.ask("/pair", turn("nonsense")), http.StatusSeeOther)
	if s.phones.on {
		t.Error("nonsense has switched it on")
	}
	s.phones.broken = errors.New("the pages cannot listen there")
	s.sees(s.ask("/pair", turn("on")), http.StatusInternalServerError, "The pages cannot listen there.", "Let phones use these pages")
	s.sees(s.ask("/pair", url.Values{"forget": {"x"}}), http.StatusNotFound, "This phone is not known here any more")
}
