package bench_test

import (
	"context"
	"errors"
	"net/http"
	"net/url"
	"testing"
	"time"

	"fettlebook/cmd/internal/pages/bench"
	"fettlebook/journal"
)

// hubKeys are keys of a hub as a test has them: one text asks, one fingerprint is right.
type hubKeys struct{ agreed journal.PersonID }

func (k *hubKeys) Weigh(_ context.Context, text string) (bench.Asked, error) {
	if text != "FETTLEKEYS1.good" {
		return bench.Asked{}, errors.New("this does not ask to agree to a hub’s new keys")
	}
	return bench.Asked{Because: journal.KeysLost, Old: "0000 1111 2222 3333", New: "4444 5555 6666 7777", Made: time.Date(2026, time.March, 3, 9, 0, 0, 0, time.UTC)}, nil
}

func (k *hubKeys) Agree(_ context.Context, _, fingerprint string, by journal.PersonID) error {
	if fingerprint != "4444 5555 6666 7777" {
		return errors.New("that is not the fingerprint of these keys; nothing was agreed to")
	}
	k.agreed = by
	return nil
}

// At the tablet somebody reads what is asked, with both fingerprints, and agrees by typing
// the one that the owner said.
func TestTheHubsNewKeysAreAgreedTo(t *testing.T) {
	s := newSite(t)
	give := func(text, fingerprint string) url.Values {
		return url.Values{"text": {text}, "fingerprint": {fingerprint}}
	}
	s.sees(s.ask("/hub-keys", nil), http.StatusOK, "Nothing but the word of people", `name="text"`)
	s.sees(s.ask("/hub-keys", give("anything", "")), http.StatusUnprocessableEntity, "This does not ask to agree")
	s.sees(s.ask("/hub-keys", give("FETTLEKEYS1.good", "")), http.StatusOK, "0000 1111 2222 3333", "4444 5555 6666 7777", "they are lost", `name="fingerprint"`)
	s.sees(s.ask("/hub-keys", give("FETTLEKEYS1.good", "1234")), http.StatusUnprocessableEntity, "That is not the fingerprint", `value="1234"`)
	if s.keys.agreed != "" {
		t.Error("it was agreed to by a wrong fingerprint")
	}
	s.by = ""
	if to := s.ask("/hub-keys", give("FETTLEKEYS1.good", "4444 5555 6666 7777")).Header().Get("Location"); to != "/who?back=%2Fhub-keys" {
		t.Errorf("nobody is led to %q", to)
	}
	s.by = "io"
	if to := s.ask("/hub-keys", give("FETTLEKEYS1.good", "4444 5555 6666 7777")).Header().Get("Location"); to != "/hub-keys?agreed" || s.keys.agreed != "io" {
		t.Errorf("led to %q; %q agreed", to, s.keys.agreed)
	}
	s.sees(s.ask("/hub-keys?agreed", nil), http.StatusOK, "Agreed.")
}
