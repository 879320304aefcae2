package index_test

import (
	"log/slog"
	"path/filepath"
	"slices"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/index"

	"github.com/go-json-experiment/json/jsontext"
)

// A customer is found by the telephone number, however its digits stand together,
// until the card is erased; and no word of a text becomes part of a number.
func TestFoundByTelephone(t *testing.T) {
	db, _, err := index.Open(t.Context(), filepath.Join(t.TempDir(), "index.db"), slog.New(slog.DiscardHandler))
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	keep := func(c index.CardWords) {
		t.Helper()
		if err := db.KeepCards(t.Context(), c); err != nil {
			t.Fatal(err)
		}
	}
	finds := func(text string) bool {
		t.Helper()
		list, err := db.SearchCards(t.Context(), text, 9)
		if err != nil {
			t.Fatal(err)
		}
		return slices.Contains(list, journal.CardID("tarn"))
	}
	keep(index.CardWords{Card: "tarn", Words: "W. Tarn\n+00 170 555-0123", Phone: "+00 170 555-0123", Rev: 1})
	keep(index.CardWords{Card: "fenn", Words: "I. Fenn\n0170 555 9999", Phone: "0170 555 9999", Rev: 2})
	for _, text := range []string{"Tarn", "0170 5550123", "01705550123", "00 170 5550123", "+00170/555 0123", "5550123", "0123", "(0170) 555.01", "170 555-0123"} {
		if !finds(text) {
			t.Errorf("%q does not find the customer", text)
		}
	}
	for _, text := range []string{"0170 555 9999", "555 0124", "dial", "0171"} {
		if finds(text) {
			t.Errorf("%q finds the customer", text)
		}
	}
	if list, err := db.CardsWith(t.Context(), "5550123"); err != nil || len(list) != 0 {
		t.Errorf("a number that is no word of the card stands on it: %v (%v)", list, err)
	}
	keep(index.CardWords{Card: "tarn", Erased: true, Rev: 3})
	if finds("01705550123") || finds("Tarn") {
		t.Error("an erased card is found")
	}
}

// Whatever somebody typed is found; what a machine wrote is not.
func TestWhatIsLookedFor(t *testing.T) {
	for text, found := range map[string]bool{
		"signal orange": true, "torn boot": true, "Bremssattelführungsbolzenschutzkappen": true, "3 nicks": true, "2 pits": true, "K7-0119": true, "DOT 4": true, "so-118": true, "4711": true,
		"22 N.m": false, "180 °C": false, "45 min": false, "60 µm": false, "2 bar": false, "82 79 84": false, "0b5e1f6a7c8d9e0f0b5e1f6a7c8d9e0f": false,
		"job/4f7kk2m9/corner/LF/part/caliper": false, "2026-03-02T10:00:00+01:00": false,
	} {
		data, err := jsontext.AppendQuote([]byte(`{"note":`), text)
		if err != nil {
			t.Fatal(err)
		}
		if got := index.Words(jsontext.Value(append(data, '}'))); (got != "") != found {
			t.Errorf("%q: looked for %q, want %v", text, got, found)
		}
	}
}
