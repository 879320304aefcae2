package journal_test

import (
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/words"
)

func TestCameraTimeSaid(t *testing.T) {
	for text, want := range map[string]string{
		"2026-03-02T08:12:44+01:00": "2 March 2026 08:12:44 UTC+01:00",
		"2026-03-02T08:12:44.5Z":    "2 March 2026 08:12:44 UTC+00:00",
		"2026-03-02T08:12:44":       "2 March 2026 08:12:44, without a zone",
		"yesterday":                 "yesterday",
	} {
		if got := journal.CameraTime(text).Said(words.Writing{}); got != want {
			t.Errorf("%s is said as %q, want %q", text, got, want)
		}
	}
}
