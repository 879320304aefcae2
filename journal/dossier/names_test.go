package dossier_test

import (
	"testing"

	"fettlebook/journal/dossier"
)

// What a card says is found as whole words, in whatever way it is spaced and
// whatever stands around it; a name that is an ordinary word only where it is
// written as a name.
func TestHolds(t *testing.T) {
	for _, c := range []struct {
		text, says string
		want       bool
	}{
		{"lent to A. Customer, who waits", "A. Customer", true},
		{"lent to a customer", "A. Customer", true},
		{"lent to all customers", "A. Customer", false},
		{"ring 0170-123 456 first", "0170 123456", true},
		{"ring 0170 1234567 first", "0170 123456", false},
		{"wrote to someone@example.org.", "someone@example.org", true},
		{"the rack of Black hung left", "Black", true},
		{"Black powder, two coats", "Black", false},
		{"two coats. Black on top", "Black", false},
		{"painted black", "Black", false},
		{"Élan Vital's car", "Élan Vital", true},
		{"", "A. Customer", false},
	} {
		if got := dossier.Holds(c.text, c.says); got != c.want {
			t.Errorf("%q holds %q: %v", c.text, c.says, got)
		}
	}
	for text, want := range map[string]string{"the rack of trl-4471 hung": "TRL4471", "for TRL 4471": "TRL4471", "VIN 00F ZZZ 1JZ 1W1 23456": "00FZZZ1JZ1W123456"} {
		if !dossier.Spells(text, want) {
			t.Errorf("%q does not spell %q", text, want)
		}
	}
	for text, not := range map[string]string{"bolts 105 N.m": "S105", "1200 km": "1200", "1TRL 44712": "TRL4471"} {
		if dossier.Spells(text, not) {
			t.Errorf("%q spells %q", text, not)
		}
	}
}
