package journal_test

import (
	"testing"

	"fettlebook/journal"

	"github.com/go-json-experiment/json/jsontext"
)

// Who types data claims in vain that it was confirmed, in whatever it is wrapped.
func TestClaimsConfirmation(t *testing.T) {
	for name, c := range map[string]struct {
		data journal.Payload
		want bool
	}{
		"a check that says so":         {&journal.SecondCheck{Finds: journal.FoundRight, ConfirmedBy: journal.ByPIN}, true},
		"a waiver that says so":        {&journal.Waiver{Hold: "h", Reason: "r", ConfirmedBy: journal.ByPassphrase}, true},
		"a release that says so":       {&journal.Release{ConfirmedBy: journal.ByPIN}, true},
		"a correction that says so":    {&journal.Correction{Reason: "slip", Data: jsontext.Value(`{"finds":"right","confirmed":"PIN"}`)}, true},
		"one of a correction":          {&journal.Correction{Reason: "slip", Data: jsontext.Value(`{"reason":"slip","data":{"finds":"right","confirmed":"PIN"}}`)}, true},
		"an unknown word for it":       {&journal.Correction{Reason: "slip", Data: jsontext.Value(`{"confirmed":null}`)}, true},
		"a check":                      {&journal.SecondCheck{Finds: journal.FoundRight}, false},
		"a correction":                 {&journal.Correction{Reason: "slip", Data: jsontext.Value(`{"finds":"right"}`)}, false},
		"something struck out":         {&journal.Correction{Reason: "slip"}, false},
		"a correction that is no JSON": {&journal.Correction{Reason: "slip", Data: jsontext.Value(`{"confirmed`)}, false},
		"another kind":                 {&journal.Remark{Evidence: journal.Evidence{Note: "confirmed"}}, false},
	} {
		if got := journal.ClaimsConfirmation(c.data); got != c.want {
			t.Errorf("%s: %t", name, got)
		}
	}
	for kind := range journal.Kinds() {
		if want := kind == journal.SecondChecked || kind == journal.HoldWaived || kind == journal.VehicleReleased; (kind.Confirms() != "") != want {
			t.Errorf("%s is confirmed as %q", kind, kind.Confirms())
		}
	}
}
