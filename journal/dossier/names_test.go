package dossier_test

import (
	"strings"
	"testing"

	"fettlebook/journal/dossier"
	"fettlebook/journal/words"
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
		{"ring +49 170 123-456 first", "+49 170 123456", true},
		{"ring 49 170 123456 first", "+49 170 123456", true},
		{"lent to Tarn & Sons (Fleet), who wait", "Tarn & Sons (Fleet)", true},
		{"“Tarn & Sons” wait", "Tarn & Sons.", true},
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

// Whatever somebody writes around it, a name of several words and a plate are
// found in his text.
func FuzzHolds(f *testing.F) {
	f.Add("lent to ", "A. Customer", ", who waits")
	f.Add("ring ", "+49 170 123456", " first")
	f.Add("the rack of", "trl-4471", "hung left")
	f.Add("\u0301", "Élan \xff Vital", "\u00df")
	f.Fuzz(func(t *testing.T, before, name, behind string) {
		text := before + " " + name + " " + behind
		if list := strings.FieldsFunc(name, func(r rune) bool { return !dossier.InWord(r) }); len(list) > 1 && !dossier.Holds(text, name) {
			t.Errorf("%q does not hold %q", text, name)
		}
		if dossier.IsSpelled(name) && !dossier.Spells(text, words.Squash(strings.TrimFunc(name, func(r rune) bool { return !dossier.InWord(r) }))) {
			t.Errorf("%q does not spell %q", text, name)
		}
	})
}
