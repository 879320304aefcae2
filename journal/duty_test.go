package journal_test

import (
	"slices"
	"testing"

	"fettlebook/journal"
)

// What a person is in the shop can be said of each that works in one: at the
// bench, as who looks a second time, at the desk, as its owner. One duty gives
// no other.
func TestDutiesOfAPerson(t *testing.T) {
	for _, duty := range []journal.Duty{"bench", "second check", "desk", "owner"} {
		raw := []byte(`{"person":"io","initials":"IO","duties":["` + string(duty) + `"]}`)
		p, err := journal.ParsePayload(journal.Type{Kind: journal.PersonAdded, Version: 1}, raw)
		if err != nil {
			t.Errorf("%s: %v", duty, err)
			continue
		}
		if got := p.(*journal.Person).Duties; !slices.Equal(got, []journal.Duty{duty}) {
			t.Errorf("%s is read as %v", duty, got)
		}
		if says, want := p.Say(), "io works here; stamp IO; authorised for: "+string(duty); says != want {
			t.Errorf("%q, want %q", says, want)
		}
	}
	if words := journal.Duty("").Words(); words[len(words)-1] != string(journal.OwnerDuty) {
		t.Errorf("a word came before the last one: %v", words)
	}
}
