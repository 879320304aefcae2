package index_test

import (
	"slices"
	"testing"

	"fettlebook/journal/index"
)

// Every text that is one slip away is near, whichever of the two was typed, and
// none that is two away.
func TestNear(t *testing.T) {
	for _, trial := range []struct {
		typed, is string
		near      bool
	}{
		{"K17", "K71", true}, // two the other way round
		{"K17", "K18", true},
		{"k-17", "K1", true}, // one too many
		{"K17", "K117", true},
		{"K17", "K17", false}, // the same
		{"K17", "K81", false},
		{"K1", "K17", false}, // too short to be looked for so
		{"FB 501", "FB5O1", true},
		{"FB 501", "FÜ501", true},
		{"00FBH41JXMN109186", "00FBH41JXMN109168", true},
		{"00FBH41JXMN10918", "00FBH41JXMN109186", true},
		{"00FBH41JXMN1091866", "00FBH41JXMN109186", true},
		{"00FBH41JXMN109186", "00FBH41JXMN109268", false},
	} {
		if got := slices.Contains(index.Near(trial.typed), index.Squash(trial.is)); got != trial.near {
			t.Errorf("%s is near %s: %t", trial.is, trial.typed, got)
		}
	}
}
