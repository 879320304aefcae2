package pages_test

import (
	"net/http/httptest"
	"net/url"
	"testing"
	"time"

	"fettlebook/cmd/internal/pages"
	"fettlebook/journal"
	"fettlebook/journal/route"
	"fettlebook/journal/words"
)

func TestPlace(t *testing.T) {
	for subject, want := range map[journal.Subject]string{
		"job/4f7kk2m9":                          "vehicle",
		"job/4f7kk2m9/corner/LF":                "LF",
		"job/4f7kk2m9/corner/LF/part/caliper":   "LF caliper",
		"job/4f7kk2m9/corner/NC/part/valve-lid": "valve-lid",
		"run/bake-17":                           "run bake-17",
		"tool/new":                              "new tool",
	} {
		if got := pages.Place(subject); got != want {
			t.Errorf("%s is %q instead of %q", subject, got, want)
		}
	}
}

func TestWhen(t *testing.T) {
	now := time.Date(2026, 3, 2, 14, 0, 0, 0, time.UTC)
	for want, at := range map[string]time.Time{"": {}, "09:05": now.Add(-295 * time.Minute), "1 March 14:00": now.AddDate(0, 0, -1), "2 March 2025 14:00": now.AddDate(-1, 0, 0)} {
		if got := pages.When(at, now, words.Writing{}); got != want {
			t.Errorf("%q instead of %q", got, want)
		}
	}
}

// TestStamp: a state is a word for everybody, and the same entry is always
// pressed at the same angle.
func TestStamp(t *testing.T) {
	words := map[string]bool{}
	for _, s := range []pages.Stamp{{}, {State: route.Open}, {State: route.Met}, {State: route.Broken}, {State: route.Waived}, {State: route.Met, Struck: true}} {
		words[s.Word()] = true
	}
	if len(words) != 6 {
		t.Errorf("six states have the words %v", words)
	}
	s, again := pages.Stamp{Seed: "0195-x"}, pages.Stamp{Seed: "0195-x", Initials: "IO"}
	if s.Turn() != again.Turn() || s.Turn() < -8 || s.Turn() > 8 {
		t.Errorf("it is turned by %d degrees", s.Turn())
	}
}

// TestBack: a request is never sent on to another site. (How browsers read an
// address: URL Standard, section 4.4.)
func TestBack(t *testing.T) {
	for to, want := range map[string]string{
		"/job/4f7kk2m9?corner=LF": "/job/4f7kk2m9?corner=LF", "": "/", "job": "/", "//elsewhere.example": "/", "https://elsewhere.example/": "/",
		`/\elsewhere.example`: "/", "/\t/elsewhere.example": "/", "/\n/elsewhere.example": "/", "/a\x00b": "/",
	} {
		r := httptest.NewRequest("GET", "/who?"+url.Values{"back": {to}}.Encode(), nil)
		if got := pages.Back(r); got != want {
			t.Errorf("%q leads to %q", to, got)
		}
	}
}
