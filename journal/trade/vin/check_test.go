package vin_test

import (
	"slices"
	"strings"
	"testing"

	"fettlebook/journal/trade/vin"

	"pgregory.net/rapid"
)

// sample is the worked sample of 49 CFR 565; the other texts are misreadings of it.
func TestSuggestions(t *testing.T) {
	tests := []struct {
		text  string
		swaps string // "" where the sample is too far away to be suggested
	}{
		{"00FAH59H3SG118341", "position 10: 5 instead of S"},
		{"00FAHS9H3SG118341", "position 6: 5 instead of S, position 10: 5 instead of S"},
		{"O0FAH59H35G118341", "position 1: 0 instead of O"},
		{"00FAH59H35GI1B341", "position 12: 1 instead of I, position 14: 8 instead of B"},
		{"00fah59h35gi18341", "position 12: 1 instead of I"},
		{"O0FAHS9H3SG1IB341", ""},
		{"00FAH59H35G118331", ""},
	}
	for _, test := range tests {
		got := vin.Check(test.text)
		var swaps string
		for _, s := range got.Suggestions {
			if s.VIN == sample {
				swaps = s.String()
			}
		}
		if swaps != test.swaps {
			t.Errorf("%s: the sample is suggested as %q, want %q, among %v", test.text, swaps, test.swaps, got.Suggestions)
		}
	}
}

func TestNotes(t *testing.T) {
	for text, want := range map[string]string{
		sample:              "",
		"00FAH59H35G118331": "position 9 is 3, but the other characters give 0: compare every character with the plate, unless the vehicle was not built for North America",
		"00FZZZ1KZAW000001": "position 9 is Z, which is not a check digit: usual for vehicles not built for North America, so nothing can be checked",
		"00FAH59H35GI18341": "position 12 is I, and a VIN has no I, O or Q: look again, it is probably 1",
		"00F":               "a VIN has 17 characters and this has 3: count them again on the plate",
	} {
		if got := vin.Check(text).Note; got != want {
			t.Errorf("%s:\n got %s\nwant %s", text, got, want)
		}
	}
}

// A European VIN may hold O misread for 0, and then no check digit can confirm it.
func TestReplacementAloneIsSuggestedWhenNoDigitFits(t *testing.T) {
	got := vin.Check("00FNNN1KNAWO0O001")
	if len(got.Suggestions) != 1 || got.Suggestions[0].VIN != "00FNNN1KNAW000001" {
		t.Fatalf("got %v", got.Suggestions)
	}
	if want := "position 12: 0 instead of O, position 14: 0 instead of O"; got.Suggestions[0].String() != want {
		t.Errorf("the swaps are named %q, want %q", got.Suggestions[0], want)
	}
}

// misread draws one character that has look-alikes and replaces it by one of them.
func misread(t *rapid.T, v vin.VIN) string {
	var readings []string
	for i := range vin.Length {
		for _, pair := range []string{"1I", "0O", "0Q", "S5", "5S", "B8", "8B", "Z2", "2Z"} {
			if v[i] == pair[0] {
				readings = append(readings, string(v[:i])+pair[1:]+string(v[i+1:]))
			}
		}
	}
	return rapid.SampledFrom(readings).Draw(t, "misread")
}

func TestOneMisreadCharacterIsSuggestedBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := invented(t)
		text := misread(t, v)
		got := vin.Check(text)
		if got.Fits || got.Note == "" {
			t.Fatalf("%s read as %s is taken as fitting", v, text)
		}
		if !slices.ContainsFunc(got.Suggestions, func(s vin.Suggestion) bool { return s.VIN == v && len(s.Swaps) == 1 }) {
			t.Fatalf("%s read as %s: suggests only %v", v, text, got.Suggestions)
		}
	})
}

func FuzzCheck(f *testing.F) {
	f.Fuzz(func(t *testing.T, text string) {
		got := vin.Check(text)
		parsed, err := vin.Parse(text)
		if (err == nil) != (got.VIN != "") || parsed != got.VIN {
			t.Fatalf("%q: Check gives %q, Parse gives %q, %v", text, got.VIN, parsed, err)
		}
		if again, err := vin.Parse(parsed.String()); parsed != "" && (err != nil || again != parsed) {
			t.Fatalf("%q is parsed again as %q, %v", parsed, again, err)
		}
		if got.Fits == (got.Note != "") {
			t.Fatalf("%q: fits %v with the note %q", text, got.Fits, got.Note)
		}
		seen := map[vin.VIN]bool{parsed: true}
		for i, s := range got.Suggestions {
			if _, err := vin.Parse(s.VIN.String()); err != nil || seen[s.VIN] || len(s.Swaps) == 0 {
				t.Fatalf("%q: suggestion %v of %v is repeated or no VIN: %v", text, s, got.Suggestions, err)
			}
			seen[s.VIN] = true
			if i > 0 && len(s.Swaps) < len(got.Suggestions[i-1].Swaps) {
				t.Fatalf("%q: more swaps before fewer: %v", text, got.Suggestions)
			}
			if _, fits := s.VIN.CheckDigit(); !fits && !strings.ContainsAny(text, "IOQioq") {
				t.Fatalf("%q: the digit of %v does not fit", text, s)
			}
		}
	})
}
